"""The climate report against sums made here from the real file by pvlib's reader."""

import numpy as np
import pvlib
import pytest

from assembly_sim.files.climate.read import find_climate, read_bytes
from assembly_sim.report.climate import climate_text, design_cold_hour, heating_degree_days


@pytest.fixture(scope="module")
def frame():
    return pvlib.iotools.read_tmy3(
        find_climate("greensboro"), coerce_year=2001, map_variables=True
    )[0]


@pytest.fixture(scope="module")
def climate():
    return read_bytes(find_climate("greensboro").read_bytes(), "greensboro")


def test_degree_days_and_design_hour(climate, frame):
    celsius = frame["temp_air"].to_numpy()
    daily = celsius.reshape(365, 24).mean(axis=1)
    assert heating_degree_days(climate) == pytest.approx(np.clip(18 - daily, 0, None).sum())
    cold, hour = design_cold_hour(climate)
    assert np.mean(celsius > cold - 273.15) == pytest.approx(0.996, abs=0.001)
    assert climate.temperature[hour] == cold


def test_table_holds_the_months(climate, frame):
    text = climate_text(climate)
    rows = {line.split()[0]: line.split()[1:] for line in text.split("\n") if line[:3].istitle()}
    july = frame[frame.index.month == 7]
    assert float(rows["Jul"][2]) == pytest.approx(july["temp_air"].mean(), abs=0.1)
    assert float(rows["Jul"][6]) == pytest.approx(july["ghi"].sum() / 1000, abs=0.5)
    assert float(rows["Year"][9]) == pytest.approx(834.5, abs=0.1)
    assert rows["Jul"][8] == "-"  # sky radiation is not in the file, which is not zero
    assert "tenths of a millimetre" in text
    assert "2082 K d" in text


def test_table_in_inch_pound_units(climate):
    text = climate_text(climate, "ip")
    rows = {line.split()[0]: line.split()[1:] for line in text.split("\n") if line[:3].istitle()}
    assert float(rows["Year"][2]) == pytest.approx(
        climate.temperature.mean() * 1.8 - 459.67, abs=0.1
    )
    assert float(rows["Year"][9]) == pytest.approx(834.5 / 25.4, abs=0.1)
    assert "3747 degF d" in text

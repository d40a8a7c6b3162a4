"""The sun's place against the NREL solar position algorithm (Reda and Andreas 2004) in pvlib."""

import numpy as np
import pandas as pd
import pvlib
import pytest

from assembly_sim.physics.sun import sun_position


@pytest.mark.parametrize(
    ("latitude", "longitude"), [(36.1, -79.95), (55.3, -160.5), (-33.9, 151.2), (69.6, 18.9)]
)
@pytest.mark.parametrize("year", [1962, 2001, 2024])
def test_within_a_fiftieth_of_a_degree(latitude, longitude, year):
    hours = np.arange(0, 8760, 7) + 0.37
    times = pd.Timestamp(f"{year}-01-01", tz="UTC") + pd.to_timedelta(hours * 3600, unit="s")
    reference = pvlib.solarposition.get_solarposition(times, latitude, longitude)
    zenith, azimuth = sun_position(year, hours, latitude, longitude)
    assert np.abs(np.degrees(zenith) - reference["zenith"].to_numpy()).max() < 0.02
    turn = (np.degrees(azimuth) - reference["azimuth"].to_numpy() + 180.0) % 360.0 - 180.0
    assert np.abs(turn * np.sin(zenith)).max() < 0.02  # on the sky: azimuth is nothing overhead


def test_sun_stands_south_at_noon_and_east_before():
    zenith, azimuth = sun_position(2001, [10.0, 12.0], 45.0, 0.0)
    assert np.degrees(azimuth[0]) < 170.0
    assert np.degrees(azimuth[1]) == pytest.approx(180.0, abs=2.0)
    assert zenith[1] < zenith[0]

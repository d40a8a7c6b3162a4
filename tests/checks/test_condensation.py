"""Condensation counts at planes whose states are written down."""

import numpy as np
import pytest

from assembly_sim.checks.condensation import condensation_findings, path_condensation
from assembly_sim.checks.finding import longest_run
from assembly_sim.physics.moist_air import saturation_pressure, saturation_pressure_over_ice
from assembly_sim.words.checks import particulars
from tests.checks import made

END = 3 * made.YEAR
COLD = 263.15


def checked(result):
    found, path = made.only(result)
    return path_condensation(result, found, path)


def test_below_freezing_ice_is_the_measure():
    # At -10 degC air over ice saturates at 259.9 / 286.5 = 91 % over liquid (ASHRAE
    # Fundamentals 2021, ch. 1, tables): 92 % is frost, and 89 % still a risk.
    humidity = np.full((END, 4), 0.80)
    humidity[-40:-20, 1] = 0.92
    humidity[-20:-10, 1] = 0.89
    plane = checked(made.run(temperature=COLD, humidity=humidity))[1]
    assert plane.last.over_ice_hours == 20
    assert plane.last.wet_hours == 20
    assert plane.last.risk_hours == 30
    assert plane.humidity_max == pytest.approx(0.92)


def test_years_are_counted_apart_and_the_worst_is_judged():
    humidity = np.full((END, 4), 0.5)
    humidity[100:200, 1] = 1.0
    humidity[2 * made.YEAR, 1] = 1.0
    result = made.run(temperature=293.15, humidity=humidity)
    planes = checked(result)
    assert [year.risk_hours for year in planes[1].years] == [100, 0, 1]
    findings = condensation_findings(result, made.wall(), made.only(result)[1], planes)
    risk = [one for one in findings if one.check == "condensation-risk hours"][1]
    assert (risk.value, risk.settled, risk.year, risk.month) == (100, 1, 1, 10)


def test_dew_point_hours_take_the_air_that_reaches_the_plane():
    # Room air of 20 degC and 50 %: dew point 9.27 degC (ISO 13788 saturation, computed).
    room = 0.5 * saturation_pressure(293.15)
    temperature = np.full((END, 4), 273.15 + 9.2)
    temperature[-100:, 1] = 273.15 + 9.4
    planes = checked(
        made.run(
            temperature=temperature,
            drivers={"room_vapour_pressure": room, "outdoor_vapour_pressure": 300.0},
        )
    )
    assert planes[1].dew_point_hours == made.YEAR - 100
    assert planes[0].dew_point_hours == 0  # outdoor air reaches it, and is dry


def test_wetting_potential_is_leak_air_times_excess_humidity_ratio():
    # x = 0.622 p / (P - p); 1 mg of dry air a second and m2, a year long.
    room, plate, pressure = 1200.0, saturation_pressure_over_ice(268.15), 99000.0
    excess = 0.621945 * (room / (pressure - room) - plate / (pressure - plate))
    drivers = {"room_vapour_pressure": room, "leak": 1e-6, "atmospheric_pressure": pressure}
    planes = checked(made.run(temperature=268.15, drivers=drivers))
    assert planes[1].wetting_potential == pytest.approx(excess * 1e-6 * 8760 * 3600 * 1000)
    assert planes[0].wetting_potential == 0.0  # the leak blows outward, outdoor air stays out
    sealed = checked(made.run(temperature=268.15, assembly=made.wall(leak=None)))
    assert sealed[1].wetting_potential is None


def test_free_water_that_dries_and_that_does_not():
    water = np.zeros((END, 4))
    water[-3000:-1000, 1] = 0.3
    water[:, 2] = 0.05
    result = made.run(free_water=water)
    planes = checked(result)
    assert planes[1].last.dries
    assert not planes[2].last.dries
    assert planes[1].last.longest_wet_spell == 2000
    findings = condensation_findings(result, made.wall(), made.only(result)[1], planes)
    free = [finding for finding in findings if finding.check == "free water"]
    assert free[1].value == 0.3
    assert free[1].hour == END - 3000
    assert "runs off" in particulars(free[1])
    assert particulars(free[2]) == "does not dry within the year"
    assert not free[0].decides  # the outer surface is meant to get wet


def test_longest_run():
    assert longest_run(np.array([True, True, False, True, True, True])) == 3
    assert longest_run(np.array([False, False])) == 0

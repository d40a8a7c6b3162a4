"""A year of one hole: sums that can be done by hand on weather that stands still."""

from dataclasses import replace
from math import pi

import numpy as np
import pytest

from assembly_sim.boundary.openings import law
from assembly_sim.errors import InputError
from assembly_sim.files.climate.read import read_climate
from assembly_sim.hand.hole_year import Situation, heating_season, hole_year, hourly_flow
from assembly_sim.model.climate import Climate
from assembly_sim.model.opening import Gap, Side
from assembly_sim.physics.airflow import air_density

GAP = law(Gap(0.00635, 0.9144))


def still(celsius: object, wind: float = 0.0) -> Climate:
    climate = read_climate("cold_inland")
    return replace(
        climate,
        temperature=np.zeros(climate.hours) + celsius + 273.15,  # type: ignore[operator]
        pressure=np.full(climate.hours, 101325.0),
        wind_speed=np.full(climate.hours, wind),
        wind_direction=np.zeros(climate.hours),
    )


def test_a_steady_winter() -> None:
    """-10 degC all year, 2.5 m above the neutral level: 3.37 Pa (computed), C A sqrt(2 rho dp), and
    m c_p 30 K over 8760 hours; some 2.9 MWh."""
    found = hole_year(GAP, still(-10.0), Situation(2.5, 293.15))
    flow = 0.6 * 0.00635 * 0.9144 * np.sqrt(2 * air_density(293.15, 101325.0) * 3.3676)
    assert found.mean_flow == pytest.approx(flow, rel=1e-3)
    assert found.peak_flow == pytest.approx(flow, rel=1e-3)
    assert found.air_out == pytest.approx(8760 * 3600 * flow, rel=1e-3)
    assert found.air_in == 0.0
    assert found.heat == pytest.approx(8760 * 3600 * flow * 1006.0 * 30.0, rel=1e-3)
    assert found.degree_hours == pytest.approx(8760 * 30.0)
    assert found.heating_hours == 8760


def test_below_the_level_air_comes_in_and_is_as_cold() -> None:
    """The same heat but for the density of what enters: sqrt(rho_o / rho_i)."""
    low, high = (hole_year(GAP, still(-10.0), Situation(z, 293.15)) for z in (-2.5, 2.5))
    assert low.air_out == high.air_in == 0.0
    assert low.heat / high.heat == pytest.approx(np.sqrt(293.15 / 263.15), rel=1e-3)


def test_half_a_year_of_heating() -> None:
    """Days above 15.5 degC carry no heat of the season; air flows in them all the same."""
    day = np.repeat(np.arange(365), 24)
    climate = still(np.where(day < 100, 0.0, 18.0))
    found = hole_year(GAP, climate, Situation(2.5, 293.15))
    assert found.heating_hours == heating_season(climate).sum() == 100 * 24
    assert found.degree_hours == pytest.approx(100 * 24 * 20.0)
    assert found.air_out > 100 * 24 * 3600 * found.mean_flow


def test_wind_on_the_hole() -> None:
    """A windward hole at the neutral level: 0.6 + 0.2 times rho U^2 / 2, inward; lee draws out."""
    climate = still(10.0, wind=8.0)
    windward, lee = (
        hourly_flow(GAP, climate, Situation(0.0, 293.15, Side(pi / 2, azimuth)))
        for azimuth in (0.0, pi)
    )
    assert (windward < 0.0).all()
    assert (lee > 0.0).all()
    density = float(air_density(283.15, 101325.0))
    through = float(windward[0]) ** 2 / (2 * density * (0.6 * 0.00635 * 0.9144) ** 2)
    lull = 0.722 / 1.007  # suburb at 8 m and below over open country at 10 m (test_airflow)
    assert through == pytest.approx(0.8 * 0.5 * density * (8.0 * lull) ** 2, rel=0.01)


def test_at_the_neutral_level_stack_alone_is_no_answer() -> None:
    """Zero flow would say that the hole costs nothing."""
    with pytest.raises(InputError, match="wind does"):
        hole_year(GAP, still(0.0), Situation(0.0, 293.15))
    beside = Situation(0.0, 293.15, Side(pi / 2, 0.0))
    assert hole_year(GAP, still(0.0, wind=3.0), beside).heat > 0.0


def test_no_heating_season() -> None:
    found = hole_year(GAP, still(25.0), Situation(2.5, 293.15))
    assert found.heat == found.mean_flow == found.degree_hours == 0.0
    assert found.air_in > 0.0

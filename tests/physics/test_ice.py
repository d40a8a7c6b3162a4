"""Suction at which pore water freezes: Clausius and Clapeyron, and equal vapour pressures."""

import numpy as np
import pytest

from assembly_sim.physics import pore_water
from assembly_sim.physics.ice import freezing_suction
from assembly_sim.physics.moist_air import saturation_pressure, saturation_pressure_over_ice


@pytest.mark.parametrize("below", [0.01, 0.1, 1.0, 3.0])
def test_slope_is_fusion_heat_over_temperature(below):
    """rho L ln(T0 / T): 1.22 MPa a kelvin, L of ASHRAE Fundamentals 2021, ch. 1, table 3."""
    expected = 1000.0 * 333.4e3 * np.log(273.15 / (273.15 - below))
    assert freezing_suction(273.15 - below) == pytest.approx(expected, rel=0.025)


def test_none_above_the_ice_point():
    assert (freezing_suction(np.array([273.15, 280.0, 300.0])) == 0.0).all()


def test_water_of_that_suction_shares_the_pressure_over_ice():
    temperature = 266.0
    humidity = pore_water.relative_humidity(freezing_suction(temperature), temperature)
    over_water = humidity * saturation_pressure(temperature)
    assert over_water == pytest.approx(saturation_pressure_over_ice(temperature), rel=1e-12)


def test_colder_is_drier():
    suctions = freezing_suction(np.linspace(240.0, 273.0, 100))
    assert (np.diff(suctions) < 0.0).all()

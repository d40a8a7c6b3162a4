"""Saturation, dew point and humidity ratio against psychrolib and a handbook's table."""

import numpy as np
import psychrolib
import pytest

from assembly_sim.physics import moist_air
from assembly_sim.physics.constants import LATENT_HEAT_EVAPORATION, LATENT_HEAT_FUSION

psychrolib.SetUnitSystem(psychrolib.SI)
# ASHRAE Fundamentals 2021, ch. 1, table 3: Pa by degC, over ice below 0
PRINTED = {-10: 259.87, 0: 611.2, 10: 1228.2, 20: 2339.2, 30: 4246.7, 40: 7384.4}


@pytest.mark.parametrize("celsius", PRINTED)
def test_saturation_pressure_as_printed(celsius):
    """Within 0.25 %: the formula of ISO 13788 is simpler than the steam tables behind the print."""
    found = moist_air.saturation_pressure_over_stable_phase(273.15 + celsius)
    assert found == pytest.approx(PRINTED[celsius], rel=2.5e-3)


@pytest.mark.parametrize("celsius", range(1, 41, 3))
def test_saturation_pressure_beside_psychrolib(celsius):
    theirs = psychrolib.GetSatVapPres(celsius)
    assert moist_air.saturation_pressure(273.15 + celsius) == pytest.approx(theirs, rel=2e-3)


@pytest.mark.parametrize(
    ("celsius", "error"), [(-5, 2e-3), (-10, 3e-3), (-20, 6e-3), (-30, 1.1e-2)]
)
def test_saturation_pressure_over_ice_beside_psychrolib(celsius, error):
    theirs = psychrolib.GetSatVapPres(celsius)
    found = moist_air.saturation_pressure_over_ice(273.15 + celsius)
    assert found == pytest.approx(theirs, rel=error)


def test_phases_meet_at_the_ice_point_and_part_below():
    """Ice at -10 degC is in equilibrium with air of 91 % over liquid."""
    assert moist_air.saturation_pressure(273.15) == moist_air.saturation_pressure_over_ice(273.15)
    ratio = moist_air.saturation_pressure_over_ice(263.15) / moist_air.saturation_pressure(263.15)
    assert ratio == pytest.approx(0.908, abs=0.002)


def test_slopes_follow_clausius_and_clapeyron():
    """dp/dT = L p / (Rv T^2), L at 0 degC from ASHRAE Fundamentals 2021, ch. 1, table 3."""
    temperature, step = 273.15, 1e-3
    for curve, heat in (
        (moist_air.saturation_pressure, LATENT_HEAT_EVAPORATION),
        (moist_air.saturation_pressure_over_ice, LATENT_HEAT_EVAPORATION + LATENT_HEAT_FUSION),
    ):
        slope = (curve(temperature + step) - curve(temperature - step)) / (2 * step)
        expected = heat * curve(temperature) / (461.52 * temperature**2)
        assert slope == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("pressure", [300.0, 611.0, 1000.0, 2000.0, 4000.0])
def test_dew_point(pressure):
    found = moist_air.dew_point(pressure)
    assert moist_air.saturation_pressure(found) == pytest.approx(pressure, rel=1e-12)
    if pressure > 611.0:
        theirs = psychrolib.GetTDewPointFromVapPres(40.0, pressure)
        assert found - 273.15 == pytest.approx(theirs, abs=0.03)


def test_frost_point_lies_above_the_dew_point():
    found = moist_air.frost_point(260.0)
    assert moist_air.saturation_pressure_over_ice(found) == pytest.approx(260.0, rel=1e-12)
    assert found > moist_air.dew_point(260.0)


def test_humidity_ratio_beside_psychrolib():
    theirs = psychrolib.GetHumRatioFromVapPres(1500.0, 95000.0)
    assert moist_air.humidity_ratio(1500.0, 95000.0) == pytest.approx(theirs, rel=1e-5)


def test_arrays_keep_their_shape():
    assert moist_air.saturation_pressure_over_stable_phase(np.full((2, 3), 280.0)).shape == (2, 3)

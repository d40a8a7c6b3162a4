"""Vapour that distils from a warm face to a cold one carries heat through a wet layer.

Everywhere saturated and no liquid flow, so steadily q = [lambda dT + h dp_sat delta] / L. Flux and
profile are computed from that closed form (derived, not published). EN 15026's own case hardly
feels latent heat: this one misses by half without it.
"""

from __future__ import annotations

from dataclasses import replace

import bench_walls as bench
import numpy as np
import pytest

from assembly_sim.model import RetentionCurve, RetentionTerm
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.march import Nature

HOURS, NEARLY_ONE = 96, 0.99994
LATENT = Nature(latent_evaporation=2.5e6, vapour_heat=0.0, water_heat=0.0)
DEPTHS = np.array([0.02, 0.04, 0.05, 0.06, 0.08])  # m from the warm face
PROFILE = np.array([16.7936, 13.2422, 11.3208, 9.2933, 4.8941])  # degC, computed
FLUX = 14.83387  # W/m2, computed; 8.0 when dry


def distilling(nature: Nature):
    layer = bench.material(
        density=74.0,
        specific_heat=1000.0,
        conductivity=bench.constant(0.04),
        permeability=bench.constant(1.9e-10 / 1.2),
        storage=RetentionCurve(900.0, (RetentionTerm(1.0, 2e-4, 2.0, 0.5),)),
    )
    boundary = bench.rows(HOURS, (293.15, NEARLY_ONE), (273.15, NEARLY_ONE))
    part = bench.wall((layer, 0.1))
    return bench.marched(part, boundary, HOURS, (283.15, 0.999944), nature, refine=2.0)


def test_flux_and_profile():
    march = distilling(LATENT)
    entering = bench.flow(march, numbers.OUTER_SURFACE, 1)[-1]
    leaving = -bench.flow(march, numbers.ROOM_SURFACE, 1)[-1]
    assert entering == pytest.approx(FLUX, rel=2e-3)
    assert leaving == pytest.approx(FLUX, rel=2e-3)
    found = bench.temperatures(march, HOURS, DEPTHS) - 273.15
    assert found == pytest.approx(PROFILE, abs=0.02)


def test_water_that_condenses_inside():
    """3.49325e-6 comes in and 1.81203e-6 kg/(m2 s) goes out (computed)."""
    march = distilling(LATENT)
    assert bench.flow(march, numbers.OUTER_SURFACE)[-1] == pytest.approx(3.49325e-6, rel=0.01)
    assert -bench.flow(march, numbers.ROOM_SURFACE)[-1] == pytest.approx(1.81203e-6, rel=0.01)


def test_misses_without_latent_heat():
    march = distilling(replace(LATENT, latent_evaporation=0.0))
    entering = bench.flow(march, numbers.OUTER_SURFACE, 1)[-1]
    assert entering == pytest.approx(8.0, rel=2e-3)
    found = bench.temperatures(march, HOURS, DEPTHS) - 273.15
    assert np.abs(found - PROFILE).max() > 1.0


def test_a_film_that_evaporates_cools_to_the_wet_bulb():
    """A wet face that air blows on without sun settles where heat in equals heat of evaporation.

    h (T_air - T) = beta L (p_sat(T) - p_air): the psychrometer's balance, solved here by bisection.
    """
    convection, film, latent = 20.0, 1.34e-7, 2.5e6
    brick = bench.material(
        storage=RetentionCurve(300.0, (RetentionTerm(1.0, 1e-6, 2.0, 0.5),)),
        permeability=bench.constant(1e-11),
    )
    boundary = bench.rows(24, (293.15, 0.4), (293.15, 0.4), (convection, film), bench.SEALED)
    boundary[:, numbers.RAIN_ON_SURFACE] = 1e-3
    nature = replace(LATENT, water_heat=0.0)
    march = bench.marched(bench.wall((brick, 0.01)), boundary, 24, (293.15, 0.9999), nature)
    low, high = 273.15, 293.15
    for _ in range(60):
        middle = 0.5 * (low + high)
        pressure = saturation_pressure(middle) - 0.4 * saturation_pressure(293.15)
        gain = convection * (293.15 - middle) - film * latent * pressure
        low, high = (middle, high) if gain > 0.0 else (low, middle)
    assert march.planes[0][-1, 0] == pytest.approx(low, abs=0.02)

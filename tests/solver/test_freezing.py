"""A frost front that grows with the root of time: Stefan's and Neumann's problems.

Formulas are the textbook's (Carslaw and Jaeger, from memory); the numbers are computed. Pore ice
forms over a range of suctions, 1.2 MPa a kelvin, so all the water is held by a curve that empties
within 0.1 K of the ice point.
"""

from __future__ import annotations

from dataclasses import replace

import bench_walls as bench
import numpy as np
import pytest

from assembly_sim.model import RetentionCurve, RetentionTerm
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.march import Nature

FUSION = 334000.0  # J/kg
COARSE_PORES = (RetentionTerm(1.0, 1e-4, 4.0, 0.75),)
POROUS = Nature(latent_evaporation=0.0, vapour_heat=0.0, latent_fusion=FUSION)
DEPTHS = np.array([0.02, 0.05, 0.10, 0.15, 0.20, 0.30, 0.50])  # m
AFTER_A_DAY = np.array([-8.7620, -6.9163, -3.9121, -1.0609, 0.6042, 2.2857, 4.2222])  # degC
POROUS_FRONT = {6: 0.0847903, 24: 0.1695807, 120: 0.1695807 * 5.0**0.5}  # m, computed
WATER_FRONT = {6: 0.0530496, 24: 0.1060992, 240: 0.3355152}  # m, computed


@pytest.fixture(autouse=True)
def fine_mesh(monkeypatch):
    bench.cells_from_to(monkeypatch, 0.001, 0.01)


def frozen(water, dry_heat, conductivity, start, hours, thickness, nature):
    """A saturated wall at `start` (K) whose outer face is put to -10 degC."""
    layer = bench.material(
        density=1000.0,
        specific_heat=dry_heat / 1000.0,
        conductivity=bench.constant(conductivity),
        storage=RetentionCurve(water, COARSE_PORES),
    )
    boundary = bench.rows(hours, (263.15, 0.5), (start, 0.5), (bench.HELD_HEAT, 0.0), bench.SEALED)
    part = bench.wall((layer, thickness))
    return bench.marched(part, boundary, hours, (start, 0.999999), nature)


def front(march, hour: int, water: float) -> float:
    """Depth of a sharp front that holds the ice of the run, m."""
    return march.ice[hour - 1, 0] / water


def test_porous_wall():
    """Two phases: dry rho c 1.6e6, 100 kg/m3 of water, 1 W/(m K), from +5 degC."""
    march = frozen(100.0, 1.6e6, 1.0, 278.15, 120, 2.0, POROUS)
    for hour, depth in POROUS_FRONT.items():
        assert front(march, hour, 100.0) == pytest.approx(depth, abs=0.004)
    found = bench.temperatures(march, 24, DEPTHS) - 273.15
    assert found == pytest.approx(AFTER_A_DAY, abs=0.12)
    assert march.heat_balance_error < 1e-9


def test_misses_without_freezing():
    march = frozen(100.0, 1.6e6, 1.0, 278.15, 24, 2.0, replace(POROUS, freezing=False))
    found = bench.temperatures(march, 24, DEPTHS) - 273.15
    assert np.abs(found - AFTER_A_DAY).max() > 1.0
    assert march.ice.max() == 0.0


def test_water_at_its_freezing_point():
    """One phase: ice of 2.22 W/(m K) and 2.05e6 J/(m3 K) grows on water at 0 degC."""
    nature = replace(POROUS, ice_heat=1050.0)  # with 1.0e6 J/(m3 K) of the dry frame
    march = frozen(1000.0, 1.0e6, 2.22, 273.16, 240, 1.0, nature)
    for hour, depth in WATER_FRONT.items():
        assert front(march, hour, 1000.0) == pytest.approx(depth, rel=0.03), hour


def test_ice_stays_within_the_water():
    march = frozen(100.0, 1.6e6, 1.0, 278.15, 120, 0.3, POROUS)
    width = march.mesh.chain.nodes[:, numbers.WIDTH].sum()
    assert march.ice[-1, 0] == pytest.approx(100.0 * width, rel=1e-3)
    assert (march.ice <= march.layers + 1e-9).all()

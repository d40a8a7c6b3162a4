"""A layer that dries to both sides at one temperature: HAMSTAD benchmark 2 (from memory).

Material and boundary values by Hagentoft et al. 2004, J. Thermal Envelope and Building Science
27(4), from memory; with its constant diffusivity the problem has a Fourier series, evaluated here.
The values in WATER are computed from that series. Heat of evaporation is off: with it the wall
cools and the case is not isothermal.
"""

from __future__ import annotations

import bench_walls as bench
import numpy as np
import pytest

from assembly_sim.model import ConstantDiffusivity, RetentionCurve, RetentionTerm
from assembly_sim.physics.constants import GAS_CONSTANT_VAPOUR
from assembly_sim.solver.kernel import numbers

THICKNESS, DIFFUSIVITY = 0.2, 6e-10  # m, m2/s
START, OUTER, INNER = 84.768697, 19.535619, 30.505935  # kg/m3 at 95, 45 and 65 %
HOURS = (100, 300, 1000)
# x (mm): water content (kg/m3) after 100, 300 and 1000 h, computed
WATER = {
    10.0: (43.644, 33.810, 27.291),
    30.0: (75.055, 58.372, 41.992),
    50.0: (83.716, 74.012, 54.409),
    80.0: (84.761, 83.009, 66.504),
    100.0: (84.769, 84.115, 69.456),
    130.0: (84.728, 81.936, 66.078),
    160.0: (81.823, 70.306, 54.358),
    190.0: (50.560, 42.380, 36.908),
}
TOTAL = (14.97205, 13.52136, 10.69741)  # kg/m2, computed
OUTWARD = (1.50251e-6, 8.67474e-7, 4.67422e-7)  # kg/(m2 s) through the outer face, computed


def series(x: np.ndarray, hours: float) -> np.ndarray:
    """Water content of the linear problem (Carslaw and Jaeger's slab with two face values)."""
    n = np.arange(1, 400)[:, None]
    decay = np.exp(-((n * np.pi / THICKNESS) ** 2) * DIFFUSIVITY * 3600.0 * hours)
    weight = 2.0 / (n * np.pi) * ((START - OUTER) - (-1.0) ** n * (START - INNER))
    waves = weight * np.sin(n * np.pi * x / THICKNESS) * decay
    return OUTER + (INNER - OUTER) * x / THICKNESS + waves.sum(axis=0)


def dried(hours: int, refine: float = 1.0, **options):
    alpha = 1.0 / (0.118 * 1000.0 * GAS_CONSTANT_VAPOUR * 293.15)
    layer = bench.material(
        density=525.0,
        specific_heat=800.0,
        conductivity=bench.constant(0.15),
        permeability=bench.constant(1e-15),
        storage=RetentionCurve(116.0, (RetentionTerm(1.0, alpha, 1.0, 0.869),)),
        liquid=ConstantDiffusivity(DIFFUSIVITY),
    )
    boundary = bench.rows(hours, (293.15, 0.45), (293.15, 0.65))
    part = bench.wall((layer, THICKNESS))
    return bench.marched(part, boundary, hours, (293.15, 0.95), bench.DRY_STILL, refine, **options)


@pytest.fixture(scope="module")
def march():
    return dried(HOURS[-1], refine=4.0)


def test_series_gives_the_printed_start():
    """84.7688 kg/m3 is the benchmark's own initial value (from memory)."""
    assert series(np.array([0.1]), 0.0)[0] == pytest.approx(START, abs=0.1)


@pytest.mark.parametrize("column", range(3), ids=[f"{h} h" for h in HOURS])
def test_water_content(march, column):
    depth = np.array(list(WATER)) / 1000.0
    expected = np.array([row[column] for row in WATER.values()])
    assert series(depth, HOURS[column]) == pytest.approx(expected, abs=6e-4)
    found = bench.water_contents(march, HOURS[column], depth)
    assert found == pytest.approx(expected, abs=0.15)  # kg/m3


@pytest.mark.parametrize("column", range(3), ids=[f"{h} h" for h in HOURS])
def test_total_water_and_flux(march, column):
    hour = HOURS[column]
    assert march.layers[hour - 1, 0] == pytest.approx(TOTAL[column], abs=0.008)
    outward = -bench.flow(march, numbers.OUTER_SURFACE)[hour - 2 : hour].mean()
    assert outward == pytest.approx(OUTWARD[column], rel=0.01)


def test_stays_at_one_temperature(march):
    assert np.abs(march.profile[:, 0] - 293.15).max() < 1e-5

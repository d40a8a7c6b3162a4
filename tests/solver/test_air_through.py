"""Air that flows through a layer bends its temperature and vapour profiles.

T = T1 + (T2 - T1) (exp(Pe x/L) - 1) / (exp(Pe) - 1): Hagentoft, Introduction to Building Physics
(formula); the numbers are computed from it. Vapour is the same with its own Peclet number.
"""

from __future__ import annotations

import bench_walls as bench
import numpy as np
import pytest

from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY, MOLAR_MASS_RATIO
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.solver.kernel import numbers

THICKNESS, PERMEABILITY = 0.2, 1.6e-10  # m, kg/(m s Pa)
BATT = bench.material(
    density=30.0,
    specific_heat=840.0,
    conductivity=bench.constant(0.04),
    permeability=bench.constant(PERMEABILITY),
)
# m3/(m2 h) outwards: T (degC) at 50, 100, 150 mm from the room; conduction at the room, outdoors
CASES = {
    1.0: ((16.4041, 10.9382, 2.6296), 2.31631, 12.36631),
    2.0: ((18.5704, 15.2672, 7.6350), 0.73084, 20.83084),
    5.0: ((19.9508, 19.5513, 16.3093), 0.01159, 50.26159),
    -2.0: ((2.3650, -5.2672, -8.5704), 20.83084, 0.73084),
}


def blown(volume: float, outdoors, room, refine: float = 1.0):
    """Two days of air at `volume` m3/(m2 h), its heat that of 1.2 kg/m3 and 1005 J/(kg K)."""
    air = volume / 3600.0 * 1.2 * 1005.0 / DRY_AIR_HEAT_CAPACITY
    part = bench.wall((BATT, THICKNESS))
    boundary = bench.rows(48, outdoors, room)
    return air, bench.marched(
        part, boundary, 48, (283.15, 0.2), bench.DRY_STILL, refine, air_through=air
    )


@pytest.mark.parametrize("volume", CASES)
def test_temperature(volume):
    profile, at_room, at_outdoors = CASES[volume]
    _, march = blown(volume, (263.15, 0.2), (293.15, 0.2), refine=4.0)
    found = bench.temperatures(march, 48, THICKNESS - np.array([0.05, 0.10, 0.15])) - 273.15
    assert found == pytest.approx(np.array(profile), abs=0.03)  # straight between nodes
    conducted = bench.flow(march, numbers.ROOM_SURFACE, 2)[-1]
    assert conducted == pytest.approx(at_room, abs=0.005)
    assert -bench.flow(march, numbers.OUTER_SURFACE, 2)[-1] == pytest.approx(at_outdoors, rel=1e-3)


def test_nodes_hold_the_exact_profile():
    """Exponential fitting: no error of discretisation at the nodes when nothing varies."""
    air, march = blown(2.0, (263.15, 0.2), (293.15, 0.2))
    x = THICKNESS - march.mesh.depth
    peclet = air * DRY_AIR_HEAT_CAPACITY * THICKNESS / 0.04
    exact = 20.0 - 30.0 * np.expm1(peclet * x / THICKNESS) / np.expm1(peclet)
    assert march.profile[-1, 0] - 273.15 == pytest.approx(exact, abs=1e-4)


def test_vapour():
    air, march = blown(1.0, (293.15, 0.2), (293.15, 0.6))
    peclet = air * MOLAR_MASS_RATIO / 101325.0 * THICKNESS / PERMEABILITY
    x = (THICKNESS - march.mesh.depth)[march.mesh.chain.nodes[:, numbers.WIDTH] == 0.0]
    bend = np.expm1(peclet * x / THICKNESS) / np.expm1(peclet)
    saturated = saturation_pressure(293.15)
    assert march.planes[1][-1] == pytest.approx(saturated * (0.6 - 0.4 * bend), rel=1e-4)

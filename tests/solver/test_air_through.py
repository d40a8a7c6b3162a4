"""Air that flows through a layer bends its temperature and vapour profiles.

T = T1 + (T2 - T1) (exp(Pe x/L) - 1) / (exp(Pe) - 1): Hagentoft, Introduction to Building Physics
(formula); the numbers are computed from it. Vapour is the same with its own Peclet number.
"""

from __future__ import annotations

from dataclasses import replace

import bench_walls as bench
import numpy as np
import pytest

from assembly_sim.model import RetentionCurve, RetentionTerm
from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY, MOLAR_MASS_RATIO
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.solver import grading
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.march import Nature, constants_row, march
from assembly_sim.solver.mesh import HELD_FILM, build_mesh

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


# A light insulating block of two kinds of pores (numbers from memory, near those of mortars)
BLOCK = bench.material(
    density=212.0,
    specific_heat=1000.0,
    conductivity=bench.constant(0.06),
    permeability=bench.constant(2e-11),
    storage=RetentionCurve(
        871.0,
        (
            RetentionTerm(0.41, 6.12e-7, 2.4883, 0.5981),
            RetentionTerm(0.59, 1.22e-6, 2.3898, 0.5816),
        ),
    ),
)
REVERSING, TURN = 3e-3, 48  # kg/(m2 s), h
DEPTHS = np.linspace(0.005, 0.195, 39)  # m


def reversed_flow(refine: float = 1.0, steps: float = 0.25):
    """Hourly T (K) and water (kg/m3) at DEPTHS while room air, then outdoor air, blows through."""
    part = replace(bench.wall((BLOCK, 0.2)), air_through=REVERSING / 1.2)  # m3/(s m2)
    mesh = build_mesh(part, "main", 0.7, refine)
    boundary = bench.rows(TURN, (275.15, 0.8), (293.15, 0.7))
    kept, profiles = None, []
    for air in (REVERSING, -REVERSING):
        row = constants_row(Nature(), HELD_FILM)
        chain = mesh.chain._replace(surfaces=np.array([[0.0, air]]))
        found = march(
            replace(mesh, chain=chain),
            boundary,
            TURN,
            row,
            1,
            profiles=True,
            steps=steps,
            kept=kept,
        )
        assert found.code == numbers.COMPLETED
        kept = found.kept
        profiles.append(found.profile)
    profile = np.concatenate(profiles)
    inside = bench.cells(found)
    water = profile[:, 2, inside] / mesh.chain.nodes[inside, numbers.WIDTH]
    depth = mesh.depth[inside]
    return (
        np.array([np.interp(DEPTHS, depth, hour) for hour in profile[:, 0, inside]]),
        np.array([np.interp(DEPTHS, depth, hour) for hour in water]),
    )


def test_a_light_wall_with_reversing_flow_is_resolved(monkeypatch):
    """Against a mesh four times as fine: 0.02 K and 2.9 kg/m3 of 204 (regression values).

    On the mesh of still layers the same wave smears over 0.7 K and 19 kg/m3. All in the same short
    steps: those of their own choice leave 0.2 K in the second hour after the abrupt start, and
    0.09 K from then on, on any mesh.
    """
    true_temperature, true_water = reversed_flow(4.0)
    temperature, water = reversed_flow()
    assert np.abs(temperature - true_temperature).max() < 0.05
    assert np.abs(water - true_water).max() < 4.0
    monkeypatch.setattr(grading, "PECLET", np.inf)
    coarse_temperature, coarse_water = reversed_flow()
    assert np.abs(coarse_temperature - true_temperature).max() > 0.3
    assert np.abs(coarse_water - true_water).max() > 10.0

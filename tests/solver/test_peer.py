"""A month of real weather (Greensboro, TMY3) against two general integrators of SUNDIALS.

Same equations, mesh and weather (see `peer.py`), another integration in time: temperatures must
agree within 0.02 K rms, the water of every layer within 0.5 % rms.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from assembly_sim.boundary.forcing import boundary_rows
from assembly_sim.files.case.read import read_case
from assembly_sim.files.material.read import load
from assembly_sim.model import Assembly, Case, Layer, OuterSurface
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.kernel.numbers import LAYER
from assembly_sim.solver.march import Nature, constants_row, march
from assembly_sim.solver.mesh import HELD_FILM, build_mesh
from tests.solver.peer import INTEGRATORS, peer, water

HOURS = 730
LEAST_WATER = 1e-3  # kg/m2 on average: a layer with less is as good as dry
FRONT = 2e-3  # kg/m2: a batt feels the hour in which a wetting front reaches it
RAFTER_BAY = Path(__file__).parents[2] / "examples" / "rafter_bay_foam.toml"


def brick_wall() -> Assembly:
    """Bare brick to the north, insulated inside, rained on without shelter."""
    parts = (
        ("brick, retention curve", 0.22),
        ("mineral-wool batt", 0.10),
        ("gypsum board", 0.0127),
    )
    surface = OuterSurface(np.pi / 2, 0.0, 0.7, 0.9, rain_exposure=1.5)
    layers = tuple(Layer(name, load()[name], size) for name, size in parts)
    return Assembly("brick wall", 10.0, surface, layers, leak=None)


@pytest.fixture(scope="module")
def case() -> Case:
    return read_case(RAFTER_BAY, climate="greensboro")


@pytest.mark.parametrize("integrator", INTEGRATORS)
@pytest.mark.parametrize(
    ("wall", "first_hour"),
    [("rafter bay", 2208), ("brick wall", 8760 - HOURS)],
    ids=["rafter bay in January", "brick wall in September"],
)
def test_same_month_by_another_integrator(case, integrator, wall, first_hour):
    assembly = case.assemblies[0] if wall == "rafter bay" else brick_wall()
    rows = boundary_rows(case, assembly)[2 * first_hour : 2 * (first_hour + HOURS) + 1]
    mesh = build_mesh(assembly, "main", case.starting_humidity)
    row = constants_row(Nature(), HELD_FILM)
    found = march(mesh, rows, HOURS, row, len(assembly.layers), profiles=True)
    assert found.code == numbers.COMPLETED

    problem = peer(mesh, rows, row)
    other = INTEGRATORS[integrator](problem, HOURS, 3e-4)
    difference = found.profile[:, 0] - other[:, 0]
    assert np.sqrt((difference**2).mean()) <= 0.02
    held = water(problem, other)
    for layer in range(len(assembly.layers)):
        cells = mesh.chain.materials[:, LAYER] == layer
        ours, theirs = found.profile[:, 2, cells].sum(axis=1), held[:, cells].sum(axis=1)
        if theirs.mean() < LEAST_WATER:
            continue
        gap = ours / theirs - 1.0
        assert np.sqrt((gap**2).mean()) <= 0.005, f"layer {layer}"
        worst = np.abs(gap).argmax()  # the hour in which a storm begins, or its front arrives
        assert abs(gap[worst]) <= max(0.02, FRONT / theirs[worst]), f"layer {layer}"

    assert np.ptp(found.profile[:, 0, 0]) > 20.0  # weather there was
    if wall == "brick wall":
        assert rows[:, numbers.RAIN_ON_SURFACE].sum() * 1800.0 > 50.0  # kg/m2, and rain

"""Paths past defects in the solver: steady sums, and where named depths are read."""

from __future__ import annotations

from dataclasses import replace

import bench_walls as bench
import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from assembly_sim.checks.frost import temperature_at
from assembly_sim.envelope.resistances import steady_layers
from assembly_sim.errors import InputError
from assembly_sim.files.material.read import load
from assembly_sim.model import Defect, Layer, NamedDepth, defect
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.march import Nature, constants_row, march
from assembly_sim.solver.mesh import HELD_FILM, build_mesh
from assembly_sim.solver.path_result import path_result
from tests.solver.random_walls import HOURS, SOLIDS, built, faults, walls, week

INSULATIONS = [name for name in SOLIDS if load()[name].kinds & defect.INSULATIONS]
WOOL = bench.material(
    "wool", density=12.0, conductivity=bench.constant(0.04), kinds=frozenset({"insulation"})
)
BOARD = bench.material("board", density=500.0, conductivity=bench.constant(0.13))
PIPE = NamedDepth("pipe", 0.15)
DEFECTS = (
    Defect("void", 0.05),
    Defect("thin", 0.1, left=0.08),
    Defect("fallen", 0.1, left=0.08, space="inner"),
    Defect("crushed", 0.1, left=0.1, compressed=True),
)


def wall():
    layer = Layer("wool", WOOL, 0.2, defects=DEFECTS, probes=(PIPE,))
    return bench.wall((BOARD, 0.012), layer, (BOARD, 0.0125))


@pytest.mark.parametrize("path", [one.path for one in DEFECTS])
def test_steady_flux_is_that_of_what_is_left(path):
    """q = dT / R of the path (ISO 6946), air spaces and pressed wool as the hand method has them;
    so the pipe's temperature is linear in the resistance inside it."""
    assembly, hours = wall(), 900
    rows = bench.rows(hours, (268.15, 0.3), (293.15, 0.3), (25.0, 0.0), (1 / 0.13, 0.0))
    found = bench.marched(assembly, rows, hours, (280.0, 0.3), bench.DRY_STILL, path=path)
    steady = steady_layers(assembly)
    row = steady.resistances[steady.paths.index(path)]
    flux = 25.0 / (row.sum() + 0.17)
    assert bench.flow(found, numbers.ROOM_SURFACE, 2)[-1] == pytest.approx(flux, rel=1e-6)
    result = path_result(found, path, 0.1, rows, 0.0)
    layer = assembly.layers[1]
    there = temperature_at(assembly, result, 1, layer, PIPE)[-1]
    inner_face = 293.15 - flux * (0.13 + 0.0125 / 0.13)
    by_hand = {
        "void": inner_face - flux * row[1] * 0.05 / 0.2,
        "thin": inner_face - flux * 0.05 / 0.04,
        "fallen": inner_face - flux * (row[1] - 0.08 / 0.04) * 0.05 / 0.12,
        "crushed": inner_face - flux * (row[1] - _space(assembly)) * 0.05 / 0.1,
    }
    assert there == pytest.approx(by_hand[path], abs=1e-4)


def _space(assembly):
    from assembly_sim.physics.surface import air_layer_resistance

    return air_layer_resistance(0.1, 0.9, 0.9, assembly.outer.tilt)


def test_a_pipe_that_lies_bare_has_the_temperature_of_the_face_beside_it():
    fill = Layer("fill", WOOL, 0.2, defects=(Defect("void", 0.05),), probes=(PIPE,))
    floor = bench.wall(fill, (BOARD, 0.0125))
    floor = replace(floor, outer=replace(floor.outer, tilt=0.0, sheltered=True))
    rows = bench.rows(48, (268.15, 0.3), (293.15, 0.3), (25.0, 0.0), (1 / 0.13, 0.0))
    found = bench.marched(floor, rows, 48, (280.0, 0.3), bench.DRY_STILL, path="void")
    result = path_result(found, "void", 0.05, rows, 0.0)
    there = temperature_at(floor, result, 0, fill, PIPE)
    assert np.array_equal(there, result.temperature[:, 0])


@st.composite
def past(draw):
    """A random wall with one more layer of insulation, and every such layer as a path has it."""
    wall = draw(walls())
    more = (draw(st.sampled_from(INSULATIONS)), draw(st.sampled_from([0.05, 0.14])), 0.9)
    at = draw(st.integers(0, len(wall.layers)))
    return replace(wall, layers=(*wall.layers[:at], more, *wall.layers[at:])), draw(DEFECT)


DEFECT = st.builds(
    lambda left, pressed, space: (left, pressed and left > 0.0, space),
    st.sampled_from([0.0, 0.0, 0.3, 0.7]),
    st.booleans(),
    st.sampled_from(["outer", "inner"]),
)


def with_it(layer, share_left, pressed, space):
    """The layer with a defect that leaves this share of it, as it is where it can have none."""
    try:
        here = Defect("past", 0.05, share_left * layer.thickness, pressed, space)
        return replace(layer, defects=(here,))
    except (AttributeError, TypeError, InputError):
        return layer


@settings(
    max_examples=80,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(past())
def test_any_path_past_a_defect_completes_its_week_with_its_balances_closed(drawn):
    wall, what = drawn
    wall = replace(wall, leaked_rain_layer=None)
    assembly = built(wall)
    try:
        layers = tuple(with_it(layer, *what) for layer in assembly.layers)
        assembly = replace(assembly, layers=layers)
    except InputError:
        return  # nothing would be left
    mesh = build_mesh(assembly, "past", 0.8)
    planes = [plane.index for plane in mesh.planes]
    assert planes == sorted(planes)
    assert (planes[0], planes[-1]) == (0, len(layers))
    row = constants_row(Nature(), HELD_FILM)
    found = march(mesh, week(wall), HOURS, row, len(layers), profiles=True)
    assert faults(found) == []

"""The chain of nodes: nothing of a layer is lost, planes stand where materials meet."""

from __future__ import annotations

import dataclasses

import bench_walls as bench
import pytest

from assembly_sim.files.material.read import load
from assembly_sim.model import AirLayer, AirLeak, Bridge, Layer, Membrane, NamedDepth, Sheet
from assembly_sim.solver.grading import (
    COARSEST,
    FINEST,
    first_cell,
    graded,
    heat_penetration,
    largest_cell,
    moisture_penetration,
)
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.mesh import ADSORBED, build_mesh

OSB = load()["osb"]
BOARD = bench.material("board", density=500.0, specific_heat=1600.0)
WOOD = bench.material("wood", density=450.0, specific_heat=1600.0)
BATT = bench.material("batt", density=20.0, kinds=frozenset({"insulation"}))
FELT = Membrane("felt", Sheet("felt", bench.constant(3e-10)))
DECK = Layer("deck", BOARD, 0.02, probes=(NamedDepth("nails", 0.018),))
FILL = Layer("fill", BATT, 0.14, bridges=(Bridge("rafters", 0.1, WOOD),), starting_humidity=0.5)


@pytest.mark.parametrize("thickness", [0.0005, 0.003, 0.0127, 0.14, 0.5])
def test_cells_fill_the_layer_and_are_fine_at_both_faces(thickness):
    cells = graded(thickness, OSB)
    assert cells.sum() == pytest.approx(thickness, rel=1e-12)
    assert cells == pytest.approx(cells[::-1], rel=1e-9)
    assert cells[0] <= 2.0 * cells.min()
    assert (cells[1:] / cells[:-1]).max() < 2.6
    assert cells[0] < 1.3 * first_cell(OSB)


def test_refining_halves_every_cell():
    coarse, fine = graded(0.14, OSB), graded(0.14, OSB, 2.0)
    assert fine[0::2] + fine[1::2] == pytest.approx(coarse, rel=1e-9)


@pytest.mark.parametrize("refine", [0.1, 0.7, 1.3, 32.0])
def test_a_layer_is_whole_whatever_it_is_refined_by(refine):
    assert graded(0.0127, OSB, refine).sum() == pytest.approx(0.0127, rel=1e-12)


def test_heat_penetrates_softwood_by_seven_centimetres_in_a_day():
    """sqrt(a P / pi) of 450 kg/m3, 1600 J/(kg K), 0.13 W/(m K): ISO 13786's periodic depth."""
    wood = bench.material(density=450.0, specific_heat=1600.0, conductivity=bench.constant(0.13))
    assert heat_penetration(wood) == pytest.approx(0.0705, abs=1e-4)


def test_first_cells_are_tenths_of_a_millimetre_in_boards_and_wider_in_foam():
    """Boards take vapour up over some tenths of a millimetre a day (common practice, no source)."""
    shipped = load()
    boards = [
        shipped[name] for name in ("osb", "plywood, exterior grade", "spruce", "fibre cement")
    ]
    for board in boards:
        assert FINEST < first_cell(board) < moisture_penetration(board) < 4e-4
    assert 5e-4 < first_cell(shipped["polyiso"]) < 1e-3
    assert first_cell(shipped["glass-fibre batt"]) == COARSEST


def test_air_through_a_layer_makes_its_cells_smaller():
    """Half the vapour's cell Peclet number: 0.5 delta P / (0.622 m)."""
    light = bench.material(density=600.0, permeability=bench.constant(2e-11))
    widest = 0.5 * 2e-11 * 101325.0 / (0.622 * 3e-4)
    assert (
        largest_cell(light, 3e-4) == largest_cell(light, -3e-4) == pytest.approx(widest, rel=1e-3)
    )
    assert graded(0.2, light, air=3e-4).max() <= 1.01 * widest
    assert largest_cell(light) > 2.0 * widest


@pytest.mark.parametrize("refine", [1.0, 4.0])
def test_a_layer_adsorbs_the_same_on_any_mesh(refine):
    """Steel that holds nothing must not hold more on a finer mesh."""
    mesh = build_mesh(bench.wall(DECK, FILL), "main", 0.8, refine)
    layer, adsorbed = mesh.chain.materials[:, numbers.LAYER], mesh.chain.nodes[:, numbers.ADSORBED]
    for index in (0, 1):
        assert adsorbed[layer == index].sum() == pytest.approx(ADSORBED)
    assert (adsorbed[layer < 0] == ADSORBED).all()


def test_layers_are_whole():
    mesh = build_mesh(bench.wall(FELT, DECK, FILL), "main", 0.8)
    nodes, materials = mesh.chain.nodes, mesh.chain.materials
    for layer, part in ((1, DECK), (2, FILL)):
        inside = materials[:, numbers.LAYER] == layer
        assert nodes[inside, numbers.WIDTH].sum() == pytest.approx(part.thickness)
        mass = part.material.density * part.material.specific_heat * part.thickness
        assert nodes[inside, numbers.CAPACITY].sum() == pytest.approx(mass)
    links = (materials[:, numbers.LINK_SHEET] < 0) & (nodes[:, numbers.LINK] > 0.0)
    assert (1.0 / nodes[links, numbers.LINK]).sum() == pytest.approx(0.16)


def test_every_link_lies_in_one_material_or_is_a_resistance():
    mesh = build_mesh(bench.wall(FELT, DECK, FILL, DECK), "main", 0.8)
    materials = mesh.chain.materials
    for i in range(len(materials) - 1):
        if materials[i, numbers.LINK_SHEET] < 0:
            inner = materials[i, numbers.INNER_MATERIAL]
            assert inner == materials[i + 1, numbers.OUTER_MATERIAL] > 0


def test_planes_are_named_by_their_neighbours_and_a_membrane_has_two_sides():
    mesh = build_mesh(bench.wall(DECK, FELT, FILL), "main", 0.8)
    names = [(plane.name, plane.side) for plane in mesh.planes]
    assert names == [
        ("outdoors | deck", "both"),
        ("deck | felt | fill", "outer"),
        ("deck | felt | fill", "inner"),
        ("fill | room", "both"),
        ("nails", "both"),
    ]
    assert [plane.depth for plane in mesh.planes] == pytest.approx([0.0, 0.02, 0.02, 0.16, 0.018])
    node = mesh.chain.plane_node[-1]
    assert mesh.depth[node] == pytest.approx(0.018)
    assert mesh.chain.nodes[node, numbers.WIDTH] == 0.0


def test_a_bridge_takes_the_layer_s_place_on_its_path():
    wall = bench.wall(DECK, FILL)
    assert build_mesh(wall, "main", 0.8).materials == [None, BOARD, BATT]
    assert build_mesh(wall, "rafters", 0.8).materials == [None, BOARD, WOOD]


def test_starting_humidity_by_layer():
    mesh = build_mesh(bench.wall(DECK, FILL), "main", 0.8)
    layer = mesh.chain.materials[:, numbers.LAYER]
    assert set(mesh.starting_humidity[layer == 0]) == {0.8}
    assert set(mesh.starting_humidity[layer == 1]) == {0.5}


def test_a_vented_air_layer_breathes_with_outdoors():
    """10 air changes an hour of 50 mm: 10 / 3600 x 0.05 x 1.25 kg/m3."""
    gap = AirLayer("gap", 0.05, air_changes=10.0)
    mesh = build_mesh(bench.wall(DECK, gap, FILL), "main", 0.8)
    air = mesh.chain.flow_value[mesh.chain.flow_kind == numbers.VENT]
    assert air == pytest.approx([10.0 / 3600.0 * 0.05 * 1.247], rel=0.01)
    closed = build_mesh(bench.wall(DECK, AirLayer("gap", 0.05), FILL), "main", 0.8)
    assert numbers.VENT not in closed.chain.flow_kind


def test_rain_and_leaks_enter_where_the_assembly_says():
    wall = bench.wall(DECK, FELT, DECK, FILL, DECK)
    outer = dataclasses.replace(wall.outer, leaked_rain=0.01, leaked_rain_layer="felt")
    leak = AirLeak(0.2e-3, 75.0)
    mesh = build_mesh(dataclasses.replace(wall, outer=outer, leak=leak), "main", 0.8)
    chain = mesh.chain
    node = {kind: mesh.depth[n] for kind, n in zip(chain.flow_kind, chain.flow_node)}
    assert node[numbers.RAIN] == 0.0
    assert node[numbers.LEAKED_RAIN] == pytest.approx(0.02)
    assert node[numbers.LEAK_OUTWARD] == pytest.approx(0.04)
    assert node[numbers.LEAK_INWARD] == pytest.approx(0.18)

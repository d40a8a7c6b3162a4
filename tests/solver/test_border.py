"""Several paths in one matrix, and floating zones that border it: a run has none of these yet.

An attic between a roof and a ceiling is the zone. Its temperature and vapour pressure follow from
conductances in series and in parallel, its warming from one exponential (derived).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import bench_walls as bench
import numpy as np
import pytest

from assembly_sim.boundary.forcing import boundary_rows
from assembly_sim.files.case.read import read_case
from assembly_sim.files.material.read import load
from assembly_sim.model import Points
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.solver import kernel, layout
from assembly_sim.solver.march import Nature, constants_row, march, starting_state, suction_of
from assembly_sim.solver.mesh import ADSORBED, FILM_SPRING, HELD_FILM, Mesh, border, build_mesh

RAFTER_BAY = Path(__file__).parents[2] / "examples" / "rafter_bay_foam.toml"
HEAT_AND_VAPOUR_APART = Nature(latent_evaporation=0.0, vapour_heat=0.0)
LINK, PERMEANCE = 8.0, 2e-9  # W/(m2 K), kg/(m2 s Pa), from a face to the zone's air
ROOF, CEILING = 30.0, 20.0  # m2


def joined(meshes: Sequence[Mesh], layers: int, capacity: Sequence[float] = ()) -> Mesh:
    """Paths of `layers` layers each in one mesh, and after them a zone for each capacity (J/K)."""
    chains = [mesh.chain for mesh in meshes]
    nodes = np.cumsum([0] + [len(chain.nodes) for chain in chains])
    kinds = np.cumsum([0] + [len(mesh.materials) for mesh in meshes])
    sheets = np.cumsum([0] + [len(mesh.sheets) for mesh in meshes])
    numbers = [chain.materials.copy() for chain in chains]
    for k, table in enumerate(numbers):
        table[:, [kernel.OUTER_MATERIAL, kernel.INNER_MATERIAL]] += kinds[k]
        table[:, kernel.LAYER] += np.where(table[:, kernel.LAYER] >= 0, k * layers, 0)
        table[:, kernel.LINK_SHEET] += np.where(table[:, kernel.LINK_SHEET] >= 0, sheets[k], 0)
    flow_kind = np.concatenate([chain.flow_kind for chain in chains])
    reported, number = np.unique(flow_kind, return_inverse=True)
    zones = [[0.0, heat, FILM_SPRING, 0.0, ADSORBED] for heat in capacity]
    outer = meshes[0].chain
    return replace(
        meshes[0],
        chain=outer._replace(
            nodes=np.vstack([chain.nodes for chain in chains] + zones),
            materials=np.vstack(numbers + [[0, 0, -1, -1]] * len(zones)),
            flow_kind=flow_kind,
            flow_node=np.concatenate([c.flow_node + nodes[k] for k, c in enumerate(chains)]),
            flow_value=np.concatenate([chain.flow_value for chain in chains]),
            flow_number=number,
            kinds=reported,
            plane_node=np.concatenate([c.plane_node + nodes[k] for k, c in enumerate(chains)]),
            border=border(nodes[-1] + len(zones), len(zones)) if zones else None,
        ),
        materials=[material for mesh in meshes for material in mesh.materials],
        sheets=[sheet for mesh in meshes for sheet in mesh.sheets],
        depth=np.concatenate(
            [mesh.depth for mesh in meshes] + [meshes[-1].depth[-1:]] * len(zones)
        ),
        starting_humidity=np.concatenate(
            [mesh.starting_humidity for mesh in meshes] + [[0.5]] * len(zones)
        ),
    )


def without(mesh: Mesh, *kinds: int) -> Mesh:
    """A mesh without these flows."""
    chain = mesh.chain
    kept = ~np.isin(chain.flow_kind, kinds)
    return replace(
        mesh,
        chain=chain._replace(
            flow_kind=chain.flow_kind[kept],
            flow_node=chain.flow_node[kept],
            flow_value=chain.flow_value[kept],
        ),
    )


def attic(
    roof: Mesh, ceiling: Mesh, capacity: float, areas: tuple[float, float] = (ROOF, CEILING)
) -> Mesh:
    """A roof whose room side, and a ceiling whose outer side, face a zone instead."""
    roof = without(roof, layout.ROOM_SURFACE)
    ceiling = without(ceiling, layout.OUTER_SURFACE, layout.RAIN)
    both = joined([roof, ceiling], 1, [capacity])
    inner, outer = len(roof.depth) - 1, len(roof.depth)
    sheet = len(both.sheets)
    links = [(inner, 0, sheet, LINK, areas[0]), (outer, 0, sheet, LINK, areas[1])]
    return replace(
        both,
        chain=both.chain._replace(border=border(len(both.depth), 1, links)),
        sheets=[*both.sheets, Points((0.5,), (PERMEANCE,))],
    )


def test_cavity_and_framing_in_one_march_are_what_they_are_apart():
    """A month of Greensboro; together they share each step, cut where one of them asks for it."""
    case = read_case(RAFTER_BAY, climate="greensboro")
    (assembly,) = case.assemblies
    rows = boundary_rows(case, assembly)
    row = constants_row(Nature(), assembly.outer.emittance, 0.0, HELD_FILM)
    layers, hours = len(assembly.layers), 730
    meshes = [build_mesh(assembly, path, 0.8) for path in ("main", "rafters")]
    steps = {"longest_step": 900.0, "profiles": True}
    apart = [march(mesh, rows, hours, row, layers, **steps) for mesh in meshes]
    start = np.hstack([starting_state(mesh, rows) for mesh in meshes])
    both = march(joined(meshes, layers), rows, hours, row, 2 * layers, start=start, **steps)
    assert both.code == layout.COMPLETED
    first = len(meshes[0].depth)
    for one, part in zip(apart, (both.profile[:, :, :first], both.profile[:, :, first:])):
        assert np.sqrt(((part[:, 0] - one.profile[:, 0]) ** 2).mean()) <= 1e-3
        assert part[:, 2] == pytest.approx(one.profile[:, 2], abs=1e-4)
    assert both.layers[:, layers:] == pytest.approx(apart[1].layers, abs=1e-4)
    assert both.heat_balance_error <= 1e-9
    assert both.moisture_balance_error <= 1e-9


def sheets_of(resistance: float, permeability: float = 1e-10) -> Mesh:
    """A path of one light layer, 20 mm, that resists heat by m2 K/W."""
    light = bench.material(
        density=1.0,
        specific_heat=1.0,
        conductivity=Points((293.15,), (0.02 / resistance,)),
        permeability=Points((0.5,), (permeability,)),
    )
    return build_mesh(bench.wall((light, 0.02)), "main", 0.5)


def conductance(*resistances: float) -> float:
    return 1.0 / sum(resistances)


@pytest.mark.parametrize("hours", [6, 400])
def test_an_attic_floats_between_roof_and_ceiling(hours):
    """20 degC, 1,000 Pa below and 5 degC, 700 Pa outdoors: series and parallel, one exponential.

    The films at roof and ceiling are the bench's: heat 25 and 7.7 W/(m2 K), vapour 1e-7 and 2e-8.
    """
    capacity = 2e6  # J/K
    mesh = attic(sheets_of(0.2), sheets_of(1.0, 2e-11), capacity)
    room, outdoors = 293.15, 278.15
    rows = bench.rows(
        hours,
        (outdoors, 700.0 / saturation_pressure(outdoors)),
        (room, 1000.0 / saturation_pressure(room)),
        (25.0, 1e-7),
        (7.7, 2e-8),
    )
    row = constants_row(HEAT_AND_VAPOUR_APART, 0.0, 0.0, HELD_FILM)
    start = starting_state(mesh, rows)
    start[0] = outdoors
    found = march(mesh, rows, hours, row, 2, start=start, profiles=True)
    assert found.code == layout.COMPLETED
    up = ROOF * conductance(1 / 25.0, 0.2, 1 / LINK)
    down = CEILING * conductance(1 / 7.7, 1.0, 1 / LINK)
    settled = (up * outdoors + down * room) / (up + down)
    gone = np.exp(-(up + down) * 3600.0 * hours / capacity)
    expected = settled + (outdoors - settled) * gone
    assert found.profile[-1, 0, -1] == pytest.approx(expected, abs=0.002)
    assert (settled - expected > 0.5) == (hours == 6)
    up = ROOF * conductance(1e7, 0.02 / 1e-10, 1 / PERMEANCE)
    down = CEILING * conductance(1 / 2e-8, 0.02 / 2e-11, 1 / PERMEANCE)
    pressure = (up * 700.0 + down * 1000.0) / (up + down)
    suction = suction_of(found.profile[-1, 1, -1])
    held = saturation_pressure(expected) * np.exp(-suction / (1000.0 * 461.5 * expected))
    assert held == pytest.approx(pressure, rel=2e-3)


def test_a_partition_between_two_zones():
    """Outdoors 5 degC, roof, attic, partition, closet, film, room at 20 degC: in series."""
    roof = without(sheets_of(0.2), layout.ROOM_SURFACE)
    wall = without(sheets_of(1.0), layout.OUTER_SURFACE, layout.RAIN, layout.ROOM_SURFACE)
    mesh = joined([roof, wall], 1, [1e5, 2e5])
    chain, sheet, last = mesh.chain, len(mesh.sheets), len(mesh.depth) - 1
    ends = [(len(roof.depth) - 1, 0), (len(roof.depth), 0), (last - 2, 1)]
    areas = (ROOF, CEILING, CEILING)
    links = [(node, zone, sheet, LINK, area) for (node, zone), area in zip(ends, areas)]
    mesh = replace(
        mesh,
        chain=chain._replace(
            flow_kind=np.append(chain.flow_kind, layout.ROOM_SURFACE),
            flow_node=np.append(chain.flow_node, last),
            flow_value=np.append(chain.flow_value, 0.0),
            flow_number=np.append(chain.flow_number, len(chain.kinds)),
            kinds=np.append(chain.kinds, layout.ROOM_SURFACE),
            border=border(last + 1, 2, links),
        ),
        sheets=[*mesh.sheets, Points((0.5,), (PERMEANCE,))],
    )
    rows = bench.rows(400, (278.15, 0.6), (293.15, 0.4), (25.0, 1e-7), (7.7, 2e-8))
    found = march(
        mesh, rows, 400, constants_row(HEAT_AND_VAPOUR_APART, 0.0, 0.0, HELD_FILM), 2, profiles=True
    )
    assert found.code == layout.COMPLETED
    out = ROOF * conductance(1 / 25.0, 0.2, 1 / LINK)
    between = CEILING * conductance(1 / LINK, 1.0, 1 / LINK)
    heat = 15.0 * conductance(1 / out, 1 / between, 1 / 7.7)
    expected = [278.15 + heat / out, 293.15 - heat / 7.7]
    assert found.profile[-1, 0, -2:] == pytest.approx(expected, abs=1e-3)
    assert expected[1] - expected[0] > 1.0


def test_heat_and_water_between_paths_and_zone_add_up():
    """A wet roof and a ceiling in Greensboro's January, latent heat and all, 1 m2 each."""
    case = read_case(RAFTER_BAY, climate="greensboro")
    (assembly,) = case.assemblies
    rows = boundary_rows(case, assembly)[2 * 2208 :]
    brick = load()["brick, retention curve"]
    meshes = [build_mesh(bench.wall((brick, 0.05)), "main", humidity) for humidity in (0.95, 0.6)]
    mesh = attic(*meshes, capacity=2e4, areas=(1.0, 1.0))
    row = constants_row(Nature(), 0.9, 0.0, HELD_FILM)
    found = march(mesh, rows, 336, row, 2, profiles=True)
    assert found.code == layout.COMPLETED
    assert found.heat_balance_error <= 1e-9
    assert found.moisture_balance_error <= 1e-9
    zone = found.profile[48:, 0, -1]
    outdoors = rows[98 : 2 * 336 + 1 : 2, layout.OUTDOOR_TEMPERATURE]
    assert (zone < rows[0, layout.ROOM_TEMPERATURE]).all()
    assert zone.mean() > outdoors.mean() + 3.0
    assert np.ptp(zone) > 3.0

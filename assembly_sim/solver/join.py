"""Paths and floating zones in one matrix: what shares an attic's air marches together.

Each path stays a chain of its own, of 1 m2, under the boundary rows of its own surface (two slopes
of a roof, a wall and a ceiling have four). A zone is a node behind all paths, of all its air, and
where its faces radiate another is behind those, at which they meet. A face that looks at a zone
exchanges heat and vapour with it through a film, instead of with outdoors or the room. Air moves
by the streams of the house (`solver/streams.py`), through leaks of paths too: a path that has a
leak of its own, or air through its layers, is refused at a zone.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Points
from assembly_sim.solver.chain import Air, Border, Chain, Mesh
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.march import March
from assembly_sim.solver.mesh import ADSORBED, FILM_SPRING
from assembly_sim.solver.streams import HouseAir, air_of, kinds, weights

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# What no longer comes to a face that looks at a zone
GONE = {
    "inner": (numbers.ROOM_SURFACE,),
    "outer": (numbers.OUTER_SURFACE, numbers.LEAKED_RAIN),
}
AIR = (numbers.LEAK_OUTWARD, numbers.LEAK_INWARD, numbers.AIR_AT_OUTER, numbers.AIR_AT_ROOM)


class Part(NamedTuple):
    """A path to join: its mesh, number of layers, number of its surface in the rows, and area."""

    mesh: Mesh
    layers: int
    surface: int = 0
    area: float = 1.0  # m2


class Zone(NamedTuple):
    """Air that floats: heat capacity (J/K) of it and of what it holds, humidity to start with.

    flows: (kind, value, surface) of what else enters it: `numbers.VENT` with kg/s of outdoor air,
    or a surface's film of 1 m2.
    """

    heat_capacity: float
    starting_humidity: float = 0.5
    flows: tuple[tuple[int, float, int], ...] = ()


class Face(NamedTuple):
    """A part's face, "outer" or "inner", at a zone, with its film: W/(m2 K), kg/(m2 s Pa).

    colder: W/(m2 K) where the face is colder than the air, None: the same; emissivity: of what it
    radiates at the zone's other faces, 0: nothing.
    """

    part: int
    side: str
    zone: int
    conductance: float
    permeance: float
    colder: float | None = None
    emissivity: float = 0.0


class Joined(NamedTuple):
    """One mesh of all paths, in order, and of zones behind them; parts as they stand in it."""

    mesh: Mesh
    parts: tuple[Part, ...]


RADIANT_STORAGE = 100.0  # J/K of the node where faces meet: hardly any, so that it has no kink
ZONE_WATER = 1e-4 * ADSORBED  # kg per unit of u: its row has an answer, and no heat of freezing


def join(
    parts: Sequence[Part],
    zones: Sequence[Zone] = (),
    faces: Sequence[Face] = (),
    house: HouseAir | None = None,
) -> Joined:
    """Paths, zones and the faces between them in one mesh.

    Layers, planes and reported flows are those of the first path, the second and so on; then come
    the zones, each a plane, those where their faces' radiation meets, and what passes the border
    (`kernel/zones.py`). Streams' leaks name nodes of the whole (`place_of`). InputError where a
    number is of nothing, a face is at two zones, a path at a zone passes air, or parts of one
    surface differ in what is the surface's.
    """
    _check(parts, zones, faces)
    radiant = range(len(zones) if any(face.emissivity > 0.0 for face in faces) else 0)
    nodes = [*zones, *(Zone(RADIANT_STORAGE) for _ in radiant)]
    own = tuple(_facing(part, k, faces) for k, part in enumerate(parts))
    meshes = [part.mesh for part in own]
    films = [Points((0.5,), (face.permeance,)) for face in faces]
    materials, solid = _shared([mesh.materials for mesh in meshes])
    sheets, sheet = _shared([*(mesh.sheets for mesh in meshes), films])
    numbered = [_numbered(part, *both) for part, *both in zip(own, solid, sheet)]
    depths = [mesh.depth for mesh in meshes]
    humidities = [mesh.starting_humidity for mesh in meshes]
    reported = [mesh.chain.kinds for mesh in meshes]
    node_area = _areas(own, depths, len(nodes))
    air = air_of(house, len(zones), sum(len(depth) for depth in depths))
    border = _border(own, zones, radiant, faces, sheet[-1], air)
    passing = [] if border is None else [0.0] * len(border.links) + weights(air, node_area)
    mesh = Mesh(
        chain=_chain(own, numbered, nodes, border),
        materials=materials,
        sheets=sheets,
        planes=tuple(plane for mesh in meshes for plane in mesh.planes),
        depth=np.concatenate([*depths, np.zeros(len(nodes))]),
        starting_humidity=np.concatenate([*humidities, [z.starting_humidity for z in nodes]]),
        node_area=node_area,
        kind_area=np.concatenate(
            [_areas(own, reported, sum(len(zone.flows) for zone in zones)), passing]
        ),
    )
    return Joined(mesh, own)


def place_of(parts: Sequence[Part], number: int) -> int:
    """The first node of a part among those of all."""
    return sum(len(part.mesh.depth) for part in parts[:number])


def part_of(found: March, joined: Joined, number: int) -> March:
    """The march of one part out of that of all, as if it had marched alone.

    Balances, defect and statistics are those of the whole march.
    """
    parts = joined.parts
    node = _place([len(part.mesh.depth) for part in parts], number)
    plane = _place([len(part.mesh.chain.plane_node) for part in parts], number)
    layer = _place([part.layers for part in parts], number)
    kind = _place([len(part.mesh.chain.kinds) for part in parts], number)
    return replace(
        found,
        mesh=parts[number].mesh,
        node=found.node - node.start,
        planes=found.planes[:, :, plane],
        humidity=found.humidity[:, plane],
        film=found.film[:, plane],
        layers=found.layers[:, layer],
        ice=found.ice[:, layer],
        flows=found.flows[:, kind],
        initial_layers=found.initial_layers[layer],
        profile=None if found.profile is None else found.profile[:, :, node],
        kept=None,
    )


def zone_air(found: March) -> Floats:
    """Hourly mean temperature (K) and vapour pressure (Pa) of the zones, (2, hours, zones)."""
    border = found.mesh.chain.border
    zones = 0 if border is None else border.columns.shape[1]
    return found.planes[:, :, found.planes.shape[2] - zones :]


def _place(sizes: list[int], number: int) -> slice:
    """Where the things of one part stand among those of all."""
    return slice(sum(sizes[:number]), sum(sizes[: number + 1]))


def _refuse(cause: str, cure: str) -> None:
    raise InputError(Problem(cause, cure))


def _check(parts: Sequence[Part], zones: Sequence[Zone], faces: Sequence[Face]) -> None:
    """Refuse what would have the kernel reach beyond its arrays, or count a face twice."""
    surfaces = {part.surface for part in parts}
    if not parts or surfaces != set(range(len(surfaces))):
        _refuse(f"parts of surfaces {sorted(surfaces)}", "number surfaces from 0, leaving out none")
    for face in faces:
        if not (0 <= face.part < len(parts) and 0 <= face.zone < len(zones)):
            _refuse(f"a face of part {face.part} at zone {face.zone}", "count both from 0")
        if not (face.conductance > 0.0 and face.permeance > 0.0):
            _refuse("a film that lets nothing pass", "leave out the face, or give its film")
        if face.side not in GONE:
            _refuse(f"a face on the {face.side!r} side", 'say "outer" or "inner"')
    if any(n > 1 for n in Counter((face.part, face.side) for face in faces).values()):
        _refuse("a face at two zones", "give it one")
    if not all(part.area > 0.0 for part in parts):
        _refuse("a part without area", "give its m2")
    for zone in zones:
        if not zone.heat_capacity > 0.0:
            _refuse(f"a zone that holds {zone.heat_capacity:g} J/K", "give more than 0")
        if any(surface not in surfaces for _, _, surface in zone.flows):
            _refuse("a flow into a zone from an unknown surface", "give that of a part")


def _facing(part: Part, number: int, faces: Sequence[Face]) -> Part:
    """A part without the flows that do not come to its faces at zones.

    Where rain came and ran off, dew still runs off: a face that kept it all would fill the cells
    behind it with more than their pores hold.
    """
    sides = [face.side for face in faces if face.part == number]
    chain = part.mesh.chain
    if sides and np.isin(chain.flow_kind, AIR).any():
        _refuse(
            f"part {number} passes air, and its {' and '.join(sides)} face is at a zone",
            "leave out its leak and the air through it: what a zone gives or takes is not computed",
        )
    kept = ~np.isin(chain.flow_kind, [kind for side in sides for kind in GONE[side]])
    flow_kind = chain.flow_kind[kept]
    if "outer" in sides:
        flow_kind = np.where(flow_kind == numbers.RAIN, numbers.DRAIN, flow_kind)
    kinds, number_of = np.unique(flow_kind, return_inverse=True)
    chain = chain._replace(
        flow_kind=flow_kind,
        flow_node=chain.flow_node[kept],
        flow_value=chain.flow_value[kept],
        flow_surface=np.full(kept.sum(), part.surface),
        flow_number=number_of,
        kinds=kinds,
    )
    mesh = replace(part.mesh, chain=chain, kind_area=np.ones(len(kinds)))
    return part._replace(mesh=mesh)


def _shared(lists: Sequence[Sequence[Any]]) -> tuple[list[Any], list[Ints]]:
    """All different things of several lists, and for each list their numbers among these."""
    found: list[Any] = []
    for thing in (thing for things in lists for thing in things):
        if thing not in found:
            found.append(thing)
    return found, [np.array([found.index(t) for t in things], dtype=np.int64) for things in lists]


def _areas(parts: Sequence[Part], things: Sequence[Floats | Ints], zones: int) -> Floats:
    """The part's area for each of its things, 1 for those of zones."""
    repeats = [len(each) for each in things]
    return np.concatenate([np.repeat([part.area for part in parts], repeats), np.ones(zones)])


def _numbered(part: Part, solid: Ints, sheet: Ints) -> Ints:
    """A part's table of numbers, turned to those of its materials and sheets among all."""
    table = part.mesh.chain.materials.copy()
    for side in (numbers.OUTER_MATERIAL, numbers.INNER_MATERIAL):
        table[:, side] = solid[table[:, side]]
    crossed = table[:, numbers.LINK_SHEET] >= 0
    table[crossed, numbers.LINK_SHEET] = sheet[table[crossed, numbers.LINK_SHEET]]
    table[:, numbers.SURFACE] = part.surface
    return table


def _chain(
    parts: Sequence[Part], numbered: list[Ints], zones: Sequence[Zone], border: Border | None
) -> Chain:
    """The chains one after the other, then the zones, all numbers moved to their new places."""
    chains = [part.mesh.chain for part in parts]
    first = _starts([len(chain.nodes) for chain in chains])
    air = [[0.0, zone.heat_capacity, FILM_SPRING, 0.0, ZONE_WATER] for zone in zones]
    for table, before in zip(numbered, _starts([part.layers for part in parts])):
        table[:, numbers.LAYER] += np.where(table[:, numbers.LAYER] >= 0, before, 0)
    kind, node, surface, number, value = _flows(chains, first, zones)
    planes = [chain.plane_node + at for chain, at in zip(chains, first)]
    more = [kind for zone in zones for kind, _, _ in zone.flows]
    passing = [] if border is None else [numbers.LINKED] * len(border.links) + kinds(border.air)
    own = sum(len(chain.kinds) for chain in chains) + len(more)
    return Chain(
        nodes=np.vstack([*(chain.nodes for chain in chains), *air]),
        materials=np.vstack(numbered + [[0, 0, -1, -1, 0]] * len(zones)),
        flow_kind=kind.astype(np.int64),
        flow_node=node.astype(np.int64),
        flow_value=value,
        flow_surface=surface.astype(np.int64),
        flow_number=np.append(number, own + np.arange(len(passing))).astype(np.int64),
        kinds=np.concatenate([*(chain.kinds for chain in chains), more, passing]).astype(np.int64),
        plane_node=np.concatenate([*planes, first[-1] + np.arange(len(zones))]),
        surfaces=_surfaces(parts),
        border=border,
    )


def _starts(sizes: list[int]) -> Ints:
    """Where each of several runs of these sizes begins, and where the last one ends."""
    return np.concatenate(([0], np.cumsum(sizes))).astype(np.int64)


def _flows(chains: list[Chain], first: Ints, zones: Sequence[Zone]) -> Floats:
    """Kind, node, surface, reported number and value of all flows, (5, flows); zones' come last."""
    reported = _starts([len(chain.kinds) for chain in chains])
    tables = [
        np.array(
            [c.flow_kind, c.flow_node + at, c.flow_surface, c.flow_number + before, c.flow_value]
        )
        for c, at, before in zip(chains, first, reported)
    ]
    own = [
        (kind, z, surface, value)
        for z, zone in enumerate(zones)
        for kind, value, surface in zone.flows
    ]
    more = [
        [kind, first[-1] + z, surface, reported[-1] + k, value]
        for k, (kind, z, surface, value) in enumerate(own)
    ]
    return np.hstack([*tables, np.array(more, dtype=float).reshape(-1, 5).T])


def _surfaces(parts: Sequence[Part]) -> Floats:
    """Constants of each surface, those of its parts, which must agree."""
    found = np.zeros((1 + max(part.surface for part in parts), numbers.SURFACE_FIELDS))
    for number in range(len(found)):
        own = {tuple(p.mesh.chain.surfaces[0]) for p in parts if p.surface == number}
        if len(own) > 1:
            _refuse(
                f"parts of surface {number} differ in emittance or in air through",
                "give each its own surface",
            )
        found[number] = own.pop()
    return found


def _border(
    parts: Sequence[Part],
    zones: Sequence[Zone],
    radiant: Sequence[int],
    faces: Sequence[Face],
    films: Ints,
    air: Air,
) -> Border | None:
    """Links from faces to zones, with their scratch; None where there is no zone."""
    if not zones:
        return None
    first = _starts([len(part.mesh.depth) for part in parts])
    rows = []
    for face, film in zip(faces, films):
        at = first[face.part] if face.side == "outer" else first[face.part + 1] - 1
        back, area = face.conductance if face.colder is None else face.colder, parts[face.part].area
        rows.append((at, face.zone, film, numbers.FILM, face.conductance, back, area))
        if face.emissivity > 0.0:
            meet = len(zones) + radiant.index(face.zone)
            rows.append((at, meet, 0, numbers.RADIATION_LINK, face.emissivity, 0.0, area))
    links = np.array(sorted(rows, key=lambda row: row[0]), dtype=float).reshape(-1, 7)
    nodes = len(zones) + len(radiant)
    return Border(
        links=links[:, :4].astype(np.int64),
        sizes=np.ascontiguousarray(links[:, 4:]),
        flux=np.zeros((len(links), numbers.BORDER_FIELDS)),
        columns=np.zeros((first[-1] + nodes, nodes, 4)),
        known=np.zeros((first[-1] + nodes, nodes, 4)),
        touched=_touched(first, links[:, 0].astype(np.int64), air),
        dense=np.zeros((2 * nodes, 2 * nodes + 1)),
        air=air,
    )


def _touched(first: Ints, faces: Ints, air: Air) -> Ints:
    """How far outwards on each path zones' columns reach, and zones' rows; see `Border`."""
    found = np.zeros(first[-1], dtype=np.int64)
    targets, states = air.items[:, numbers.TARGET], air.items[:, numbers.STATE]
    for begin, end in zip(first[:-1], first[1:]):
        asked = [at[(begin <= at) & (at < end)] for at in (faces, targets, states)]
        if any(len(at) for at in asked):
            found[min(at.min() for at in asked if len(at)) : end] = 1
        needed = np.concatenate((asked[0], asked[2]))
        if len(needed):
            found[needed.min() : end] = 2
    return found

"""The chain of nodes that stands for one path: cells, planes between them, links and flows.

Cells are graded toward surfaces and interfaces. At both surfaces, at every interface, at both
faces of a sheet and at every named depth stands a plane node, which stores nothing but a film:
so each link lies inside one material or is a resistance, and what the checks report are nodes,
not extrapolations. Nodes run outside to inside.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.carried import mass_through
from assembly_sim.envelope.airways import Airways, airways
from assembly_sim.envelope.paths import OnPath, material_on_path, on_path
from assembly_sim.envelope.rain import drainage_plane
from assembly_sim.model import AirLayer, Assembly, Layer, Material, Membrane, Points, Sheet
from assembly_sim.physics.airflow import air_density
from assembly_sim.physics.constants import ICE_POINT, STANDARD_PRESSURE
from assembly_sim.physics.surface import air_layer_resistance
from assembly_sim.solver.grading import graded
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.result import Plane

SHEET_CONDUCTANCE = 1e4  # W/(m2 K): a sheet resists vapour, not heat
AIR_LAYER_PERMEANCE = 2.0e-8  # kg/(m2 s Pa): sd 0.01 m whatever its thickness (ISO 13788, memory)
FILM_SPRING = 10.0  # kg/m2 of film per unit of u past saturation, at a plane
OVERFLOW = 1000.0  # kg/m3 likewise, in a cell
ADSORBED = 2e-6  # kg/m2 per unit of u on every plane: some nanometres of water on any surface
HELD_FILM = 0.2  # kg/m2 a face holds before water runs off (common practice, no source)
HALVES = 2  # halves of an air layer's resistance, before and behind its mixed air

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Air(NamedTuple):
    """Streams between spaces (zones, then rooms, then outdoors), and what balancing them takes.

    ends (streams, 2): spaces, inside and outside; laws (streams, 3): coefficient (m3/s Pa^-n; 0: a
    given flow), exponent, height m; items (n, 4): stream, way (1 outward, -1 inward), target node,
    node of the state brought (or -1 - space), in the order of targets, and factors (n,): what a
    kg/s of the stream brings to the target; rows (stamps, columns) at half-hour stamps, as
    `kernel/numbers.py` orders them; free (spaces,): whether a pressure is solved for.
    All else is scratch; without streams and gains all is empty.
    """

    ends: Ints
    laws: Floats
    items: Ints
    factors: Floats
    rows: Floats
    free: Ints
    row: Floats
    flow: Floats
    slope: Floats
    drive: Floats
    sides: Floats
    moved: Floats
    by_temperature: Floats
    brought: Floats
    space: Floats
    excess: Floats
    step: Floats
    miss: Floats
    matrix: Floats


class Border(NamedTuple):
    """Links from paths to floating zones, which are the last nodes, and what solving them takes.

    links (n, 4): node, zone, the sheet crossed and the kind, in the order of nodes; sizes (n, 3):
    conductance crossed as the face is the warmer side and as it is not, W/(m2 K), or emissivity,
    and area, m2. touched (nodes,): 0 before a path's first link or stream, 1 from there inwards,
    2 from the first node inwards that a zone's row asks for. flux (n, 13), columns and known
    (nodes, zones, 4) and dense (2 zones, 2 zones + 1) are scratch. A zone's row is of all its area,
    a path's of 1 m2.
    """

    links: Ints
    sizes: Floats
    touched: Ints
    flux: Floats
    columns: Floats
    known: Floats
    dense: Floats
    air: Air


class Chain(NamedTuple):
    """Arrays that the kernel indexes, by node, flow and reported plane.

    nodes (n, 5): width m (0: a plane), dry heat capacity J/(m2 K), overflow kg/m2 per unit of u,
    the link inwards, 1/m inside a material or W/(m2 K) across a resistance, and adsorbed water,
    kg/m2 per unit of u; materials (n, 5):
    numbers of the materials on the node's outer and inner side, of its layer (-1: none), of the
    sheet that the link inwards crosses (-1: none) and of its surface; flows, in the order of their
    nodes, by kind, node, value (the air of a vent, kg/(m2 s)), surface and the number in `kinds` of
    their kind, by which they are reported (numbers go on for what passes a border); plane_node:
    nodes of the reported planes; surfaces (n, 2): emittance outdoors and air through the layers,
    kg/(m2 s), positive outward, of each row of boundary values. A node whose link inwards is 0 ends
    its path, and another may follow it.
    border: None where there is no zone.
    """

    nodes: Floats
    materials: Ints
    flow_kind: Ints
    flow_node: Ints
    flow_value: Floats
    flow_surface: Ints
    flow_number: Ints
    kinds: Ints
    plane_node: Ints
    surfaces: Floats
    border: Border | None


@dataclass(frozen=True)
class Mesh:
    """A chain with what its numbers stand for: materials, sheets, planes, node depths (m).

    node_area and kind_area: m2 that a node and a reported flow stand for, 1 of a path alone.
    """

    chain: Chain
    materials: list[Material | None]
    sheets: list[Sheet | Points]
    planes: tuple[Plane, ...]
    depth: Floats
    starting_humidity: Floats
    node_area: Floats
    kind_area: Floats


@dataclass
class _Nodes:
    """The chain while it is being laid, outside to inside."""

    materials: list[Material | None] = field(default_factory=lambda: [None])
    sheets: list[Sheet | Points] = field(default_factory=list)
    width: list[float] = field(default_factory=list)
    material: list[int] = field(default_factory=list)  # of a cell; 0 at a plane
    layer: list[int] = field(default_factory=list)
    humidity: list[float] = field(default_factory=list)
    inverse: list[float] = field(default_factory=list)  # of the link behind each node
    link_material: list[int] = field(default_factory=list)
    sheet: list[int] = field(default_factory=list)
    depth: list[float] = field(default_factory=list)

    def add(self, width: float, material: int, layer: int, humidity: float, depth: float) -> int:
        self.width.append(width)
        self.material.append(material)
        self.layer.append(layer)
        self.humidity.append(humidity)
        self.depth.append(depth)
        return len(self.width) - 1

    def link(self, inverse: float, material: int, sheet: int) -> None:
        self.inverse.append(inverse)
        self.link_material.append(material)
        self.sheet.append(sheet)

    def number(self, material: Material) -> int:
        if material not in self.materials:
            self.materials.append(material)
        return self.materials.index(material)

    def sheet_number(self, sheet: Sheet | Points) -> int:
        self.sheets.append(sheet)
        return len(self.sheets) - 1


def build_mesh(
    assembly: Assembly, path: str, starting_humidity: float, refine: float = 1.0
) -> Mesh:
    """Chain of one path, started at `starting_humidity` (0-1) unless a layer says.

    A path past a defect has layers, planes and airways of its own; its cells count to the layers,
    and its planes lie by the indices, of the drawn assembly.
    """
    nodes, own = _Nodes(), on_path(assembly, path)
    way = airways(own.assembly)
    air = mass_through(assembly)
    vents: list[tuple[int, float]] = []
    at: list[int] = [nodes.add(0.0, 0, -1, starting_humidity, 0.0)]  # node of each plane
    probes: list[tuple[int, str, Material]] = []
    for index, element in zip(own.drawn, own.assembly.layers):
        material = material_on_path(element, path)
        if isinstance(element, Membrane):
            nodes.link(SHEET_CONDUCTANCE, 0, nodes.sheet_number(element.sheet))
        elif isinstance(element, Layer) or material is not None:
            assert material is not None
            humidity = _face_humidity(element, starting_humidity)
            probes += _lay_material(nodes, element, material, index, humidity, refine, air)
        else:
            face = len(nodes.depth) - 1
            vents += _lay_air(nodes, element, assembly.outer.tilt, starting_humidity)
            air_behind = nodes.depth[face] + element.thickness
        humidity = _face_humidity(element, starting_humidity)
        is_air = isinstance(element, AirLayer) and material is None
        depth = air_behind if is_air else _depth(nodes)
        at.append(nodes.add(0.0, 0, -1, humidity, depth))
    flows = _flows(own.assembly, way, at, vents)
    planes = [_plane(assembly, own, path, way, at, j, nodes) for j in range(len(at))]
    planes += [_probe(nodes, assembly, node, name, m) for node, name, m in probes]
    surface = np.array([[assembly.outer.emittance, air]])
    chain = _chain(nodes, flows, at + [node for node, _, _ in probes], surface)
    return Mesh(
        chain=chain,
        materials=nodes.materials,
        sheets=nodes.sheets or [Points((0.5,), (AIR_LAYER_PERMEANCE,))],
        planes=tuple(planes),
        depth=np.array(nodes.depth),
        starting_humidity=_starting_humidity(nodes),
        node_area=np.ones(len(nodes.depth)),
        kind_area=np.ones(len(chain.kinds)),
    )


def _starting_humidity(nodes: _Nodes) -> Floats:
    """Humidity at the start; of a face, that of its wetter side: liquid is there before vapour.

    A dry face on a soaked board would have to evaporate what the board conducts, 0.1 kg/(m2 s),
    and no temperature does that.
    """
    humidity, width = np.array(nodes.humidity), np.array(nodes.width)
    within = np.array(nodes.sheet) < 0  # links inside a material
    beside = humidity.copy()
    beside[:-1][within] = np.maximum(beside[:-1], humidity[1:])[within]
    beside[1:][within] = np.maximum(beside[1:], humidity[:-1])[within]
    return np.where(width == 0.0, beside, humidity)


def _depth(nodes: _Nodes) -> float:
    return nodes.depth[-1] + 0.5 * nodes.width[-1]


def _face_humidity(element: object, default: float) -> float:
    start = element.starting_humidity if isinstance(element, Layer) else None
    return default if start is None else start


def _lay_material(
    nodes: _Nodes,
    layer: Layer | AirLayer,
    material: Material,
    index: int,
    humidity: float,
    refine: float,
    air: float,
) -> list[tuple[int, str, Material]]:
    """Cells of one layer with plane nodes at its named depths; returns those planes.

    An air layer here is one whose place studs or battens take on this path.
    """
    number = nodes.number(material)
    named = layer.probes if isinstance(layer, Layer) else ()
    probes = sorted(named, key=lambda probe: probe.depth)
    edges = [0.0, *(probe.depth for probe in probes), layer.thickness]
    found = []
    for k in range(len(edges) - 1):
        for width in graded(edges[k + 1] - edges[k], material, refine, air):
            previous = nodes.width[-1]
            nodes.link(2.0 / (previous + width), number, -1)
            depth = _depth(nodes) + 0.5 * width
            nodes.add(float(width), number, index, humidity, depth)
        nodes.link(2.0 / nodes.width[-1], number, -1)
        if k < len(probes):
            node = nodes.add(0.0, number, -1, humidity, _depth(nodes))
            found.append((node, probes[k].name, material))
    return found


def _lay_air(
    nodes: _Nodes, layer: AirLayer, tilt: float, humidity: float
) -> list[tuple[int, float]]:
    """Links of an air layer; a vented one has a node of mixed air between two half resistances."""
    resistance = air_layer_resistance(
        layer.thickness, layer.emittance_outer, layer.emittance_inner, tilt
    )
    face = nodes.depth[-1]
    if layer.air_changes == 0.0:
        nodes.link(1.0 / resistance, 0, nodes.sheet_number(Points((0.5,), (AIR_LAYER_PERMEANCE,))))
        return []
    half = nodes.sheet_number(Points((0.5,), (HALVES * AIR_LAYER_PERMEANCE,)))
    nodes.link(HALVES / resistance, 0, half)
    node = nodes.add(0.0, 0, -1, humidity, face + 0.5 * layer.thickness)
    nodes.link(HALVES / resistance, 0, half)
    density = float(air_density(ICE_POINT + 10.0, STANDARD_PRESSURE))
    return [(node, layer.air_changes / 3600.0 * layer.thickness * density)]


def _flows(
    assembly: Assembly, way: Airways, at: list[int], vents: list[tuple[int, float]]
) -> list[tuple[int, int, float]]:
    """(kind, node, value) of all that enters or leaves the chain."""
    flows = [
        (numbers.ROOM_SURFACE, at[-1], 0.0),
        (numbers.OUTER_SURFACE, at[0], 0.0),
        (numbers.RAIN, at[0], 0.0),
    ]
    if assembly.leak is not None and way.outward is not None:
        flows.append((numbers.LEAK_OUTWARD, at[way.outward], 0.0))
    if assembly.leak is not None and way.inward is not None:
        flows.append((numbers.LEAK_INWARD, at[way.inward], 0.0))
    drainage = drainage_plane(assembly)
    if drainage is not None:
        flows.append((numbers.LEAKED_RAIN, at[drainage], 0.0))
    flows += [(numbers.VENT, node, air) for node, air in vents]
    flows += [(numbers.DRAIN, node, 0.0) for node in [*at[1:], *(node for node, _ in vents)]]
    if assembly.air_through != 0.0:
        flows += [(numbers.AIR_AT_OUTER, at[0], 0.0), (numbers.AIR_AT_ROOM, at[-1], 0.0)]
    return sorted(flows, key=lambda flow: flow[1])


def _chain(
    nodes: _Nodes, flows: list[tuple[int, int, float]], planes: list[int], surfaces: Floats
) -> Chain:
    width = np.array(nodes.width)
    cell = np.array(nodes.material)
    link = np.array(nodes.link_material)
    plane = width == 0.0
    capacity = [m.density * m.specific_heat if m is not None else 0.0 for m in nodes.materials]
    outer = np.where(plane, np.concatenate(([0], link)), cell)
    inner = np.where(plane, np.concatenate((link, [0])), cell)
    overflow = np.where(plane, FILM_SPRING, OVERFLOW * width)
    inverse, sheet = np.append(nodes.inverse, 0.0), np.append(nodes.sheet, -1)
    flow_kind = np.array([kind for kind, _, _ in flows])
    kinds, flow_number = np.unique(flow_kind, return_inverse=True)
    return Chain(
        nodes=np.column_stack(
            (width, width * np.array(capacity)[cell], overflow, inverse, _adsorbed(nodes))
        ),
        materials=np.column_stack((outer, inner, nodes.layer, sheet, np.zeros_like(outer))).astype(
            np.int64
        ),
        flow_kind=flow_kind,
        flow_node=np.array([node for _, node, _ in flows]),
        flow_value=np.array([value for _, _, value in flows]),
        flow_surface=np.zeros(len(flows), dtype=np.int64),
        flow_number=flow_number,
        kinds=kinds,
        plane_node=np.array(planes),
        surfaces=surfaces,
        border=None,
    )


def _adsorbed(nodes: _Nodes) -> Floats:
    """Adsorbed water of each node: a plane's own; a layer's once, whatever its number of cells.

    Else the mesh would decide how much a layer holds that holds nothing: steel, shingles.
    """
    width, layer = np.array(nodes.width), np.array(nodes.layer)
    cells = layer >= 0
    thickness = np.bincount(layer[cells], width[cells])
    found = np.full(len(width), ADSORBED)
    found[cells] *= width[cells] / thickness[layer[cells]]
    return found


def _plane(
    assembly: Assembly, own: OnPath, path: str, way: Airways, at: list[int], j: int, nodes: _Nodes
) -> Plane:
    """Plane j of a path in the user's words: between which layers, on which side of a sheet."""
    layers = own.assembly.layers
    outer, inner = j, j  # elements either side that are more than a sheet
    while outer > 0 and isinstance(layers[outer - 1], Membrane):
        outer -= 1
    while inner < len(layers) and isinstance(layers[inner], Membrane):
        inner += 1
    sheets = [layer.name for layer in layers[outer:inner]]
    ends = (
        layers[outer - 1].name if outer > 0 else assembly.outside,
        layers[inner].name if inner < len(layers) else assembly.inside,
    )
    side = "both" if outer == inner else {outer: "outer", inner: "inner"}.get(j, "between")
    solid = [
        None if layer is None else material_on_path(layer, path)
        for layer in (
            layers[j - 1] if j > 0 else None,
            layers[j] if j < len(layers) else None,
        )
    ]
    return Plane(
        index=_drawn_index(assembly, own, j),
        name=" | ".join((ends[0], *sheets, ends[1])),
        side=side,
        depth=nodes.depth[at[j]],
        outer_material=solid[0],
        inner_material=solid[1],
        reach=way.reach[j],
        drained=way.drained[j],
    )


def _drawn_index(assembly: Assembly, own: OnPath, j: int) -> int:
    """Index in the drawn assembly of plane j of a path.

    Where layers are gone, that of the outermost plane that falls together here, or the room's;
    inside a layer of which part is left, that of the face that the remaining part shows here.
    """
    if j == len(own.drawn):
        return len(assembly.layers)
    before = own.drawn[j - 1] if j else -1
    inside = before == own.drawn[j] and isinstance(own.assembly.layers[j], Layer)
    return before if inside else before + 1


def _probe(nodes: _Nodes, assembly: Assembly, node: int, name: str, material: Material) -> Plane:
    return Plane(
        index=len(assembly.layers) + 1,
        name=name,
        side="both",
        depth=nodes.depth[node],
        outer_material=material,
        inner_material=material,
        reach="none",
        drained=False,
    )

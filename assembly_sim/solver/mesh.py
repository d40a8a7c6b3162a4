"""The chain of nodes that stands for one path: cells, planes between them, links and flows.

Cells are graded toward surfaces and interfaces. At both surfaces, at every interface, at both
faces of a sheet and at every named depth stands a plane node, which stores nothing but a film:
so each link lies inside one material or is a resistance, and what the checks report are nodes,
not extrapolations. Nodes run outside to inside.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.carried import mass_through
from assembly_sim.envelope.airways import Airways, airways
from assembly_sim.envelope.paths import material_on_path, on_path
from assembly_sim.envelope.rain import drainage_plane
from assembly_sim.model import AirLayer, Assembly, Layer, Material, Membrane, Points, Sheet
from assembly_sim.physics.airflow import air_density
from assembly_sim.physics.constants import ICE_POINT, STANDARD_PRESSURE
from assembly_sim.physics.surface import air_layer_resistance
from assembly_sim.solver.chain import Chain, Mesh
from assembly_sim.solver.grading import graded
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.planes import plane, probe

SHEET_CONDUCTANCE = 1e4  # W/(m2 K): a sheet resists vapour, not heat
AIR_LAYER_PERMEANCE = 2.0e-8  # kg/(m2 s Pa): sd 0.01 m whatever its thickness (ISO 13788, memory)
FILM_SPRING = 10.0  # kg/m2 of film per unit of u past saturation, at a plane
OVERFLOW = 1000.0  # kg/m3 likewise, in a cell
ADSORBED = 2e-6  # kg/m2 per unit of u on every plane: some nanometres of water on any surface
HELD_FILM = 0.2  # kg/m2 a face holds before water runs off (common practice, no source)
HALVES = 2  # halves of an air layer's resistance, before and behind its mixed air

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


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
    planes = [plane(assembly, own, path, way, j, nodes.depth[at[j]]) for j in range(len(at))]
    planes += [probe(assembly, name, of, nodes.depth[node]) for node, name, of in probes]
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

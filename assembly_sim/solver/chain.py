"""What a mesh is when it is laid: the arrays that the kernel indexes, and what they stand for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from assembly_sim.model import Material, Points, Sheet
from assembly_sim.solver.result import Plane

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

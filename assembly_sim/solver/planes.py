"""Planes that a run reports, in the user's words: between which layers, by which index."""

from __future__ import annotations

from assembly_sim.envelope.airways import Airways
from assembly_sim.envelope.paths import OnPath, material_on_path
from assembly_sim.model import Assembly, Layer, Material, Membrane
from assembly_sim.solver.result import Plane


def plane(assembly: Assembly, own: OnPath, path: str, way: Airways, j: int, depth: float) -> Plane:
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
        depth=depth,
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


def probe(assembly: Assembly, name: str, material: Material, depth: float) -> Plane:
    """Plane at a named depth (m) inside a layer."""
    return Plane(
        index=len(assembly.layers) + 1,
        name=name,
        side="both",
        depth=depth,
        outer_material=material,
        inner_material=material,
        reach="none",
        drained=False,
    )

"""Routes through an assembly: through what is drawn, through bridges, and past defects.

What a missing, thin or crushed layer leaves is decided here:

* a void between two solid faces is an air space as thick as what is gone (ISO 6946 for still air,
  its faces' emittances those of what it lies between; voids one behind the other are one space);
* a void beside an air layer is part of it and adds nothing: no air layer wider than some 20 mm
  resists more for being wider (ISO 6946's table);
* a void that is open to outdoors, to the room or to a sheltered space is nothing: its air is there;
* a thin layer leaves the same on the side that its `space` names;
* pressed fibres are as thick as what is left, denser, and conduct by the law of
  `physics/compression.py`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from assembly_sim.envelope.rain import drainage_plane
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import (
    AirLayer,
    Assembly,
    Defect,
    Layer,
    Material,
    Membrane,
    NamedDepth,
    Points,
    RetentionCurve,
    SorptionPoints,
    TwoPointStorage,
)
from assembly_sim.model.assembly import NOWHERE, AnyLayer, in_place_of
from assembly_sim.physics.compression import compressed_conductivity
from assembly_sim.physics.pore_water import Storage

MAIN_PATH = "main"


def path_shares(assembly: Assembly) -> dict[str, float]:
    """Share of the area of each path by name; the first, `main`, is what no other takes."""
    taken = {one.path: one.share for layer in assembly.layers for one in in_place_of(layer)}
    if MAIN_PATH in taken:
        cause = f"a bridge of '{assembly.name}' takes the name of the main route"
        raise InputError(Problem(cause, f"give it another name than '{MAIN_PATH}'"))
    return {MAIN_PATH: 1.0 - sum(taken.values()), **taken}


def defect_shares(assembly: Assembly) -> dict[str, float]:
    """Share of the area of each path with a defect, by its name."""
    return {one.path: one.share for layer in assembly.layers for one in _defects(layer)}


def as_drawn(assembly: Assembly) -> Assembly:
    """The assembly without its defects, and without what else lies on their paths."""
    past = defect_shares(assembly)
    if not past:
        return assembly

    def drawn(layer: AnyLayer) -> AnyLayer:
        if isinstance(layer, Membrane):
            return layer
        bridges = tuple(one for one in layer.bridges if one.path not in past)
        if isinstance(layer, AirLayer):
            return replace(layer, bridges=bridges)
        return replace(layer, bridges=bridges, defects=())

    return replace(assembly, layers=tuple(drawn(layer) for layer in assembly.layers))


def _defects(layer: AnyLayer) -> tuple[Defect, ...]:
    return layer.defects if isinstance(layer, Layer) else ()


def defect_on(layer: AnyLayer, path: str) -> Defect | None:
    """What is wrong with a layer on a path, None where nothing is."""
    return next((one for one in _defects(layer) if one.path == path), None)


def material_on_path(layer: AnyLayer, path: str) -> Material | None:
    """What fills a layer on a path: its bridge of that path, what a defect leaves, or its own.

    None for membranes, for voids, and for air where no stud or batten takes its place.
    """
    if isinstance(layer, Membrane):
        return None
    defect = defect_on(layer, path)
    if defect is not None and isinstance(layer, Layer):
        return _left(layer, defect).material if defect.left else None
    own = layer.material if isinstance(layer, Layer) else None
    return next((b.material for b in layer.bridges if b.path == path), own)


@dataclass(frozen=True)
class OnPath:
    """An assembly as one path has it; drawn: the drawn assembly's index of each of its layers.

    Its bridges are kept, since `material_on_path` reads them; of defects none is left.
    """

    assembly: Assembly
    drawn: tuple[int, ...]


def on_path(assembly: Assembly, path: str) -> OnPath:
    """What one path goes through, the drawn assembly itself where it has no defect.

    Rain that leaks in drains where it does as drawn, or onto the next layer there is.
    """
    if path not in defect_shares(assembly):
        return OnPath(assembly, tuple(range(len(assembly.layers))))
    found = [
        (index, piece)
        for index in range(len(assembly.layers))
        for piece in _pieces(assembly, index, path)
    ]
    plane, drained = drainage_plane(assembly), NOWHERE
    if plane is not None:
        drained = next(piece.name for index, piece in found if index >= plane)
    outer = replace(assembly.outer, leaked_rain_layer=drained)
    layers = tuple(piece for _, piece in found)
    own = replace(assembly, outer=outer, layers=layers, order_meant=True)
    return OnPath(own, tuple(index for index, _ in found))


def _pieces(assembly: Assembly, index: int, path: str) -> tuple[AnyLayer, ...]:
    """What stands in the place of a layer on a path, outside to inside."""
    layer = assembly.layers[index]
    defect = defect_on(layer, path)
    if defect is None or not isinstance(layer, Layer):
        return (_without_defects(layer),)
    if defect.left == 0.0:
        return _void(assembly, index, path)
    kept, outside = _left(layer, defect), defect.space == "outer"
    beside = index - 1 if outside else index + 1
    if _is_open(assembly, beside, path):
        return (kept,)
    facing = _emittance(assembly.layers[beside], path)
    faces = (facing, kept.material.emittance) if outside else (kept.material.emittance, facing)
    space = AirLayer(_space(layer), layer.thickness - defect.left, *faces)
    return (space, kept) if outside else (kept, space)


def _without_defects(layer: AnyLayer) -> AnyLayer:
    return replace(layer, defects=()) if isinstance(layer, Layer) and layer.defects else layer


def _space(layer: Layer) -> str:
    return f"space left by {layer.name}"


def _void(assembly: Assembly, index: int, path: str) -> tuple[AnyLayer, ...]:
    """The air space of a void, at the first of those that adjoin; nothing where it is open."""
    layers, start, end = assembly.layers, index, index
    while _is_open(assembly, start - 1, path) and start > 0:
        start -= 1
    while _is_open(assembly, end + 1, path) and end < len(layers) - 1:
        end += 1
    run = layers[start : end + 1]
    ends_open = start == 0 or end == len(layers) - 1
    gone = [one.thickness for one in run if isinstance(one, Layer)]
    if ends_open or len(gone) < len(run) or index > start:
        return ()
    layer = layers[index]
    assert isinstance(layer, Layer)
    faces = (_emittance(layers[start - 1], path), _emittance(layers[end + 1], path))
    return (AirLayer(_space(layer), sum(gone), *faces),)


def _is_open(assembly: Assembly, index: int, path: str) -> bool:
    """Whether what lies at this index on a path is air, or no layer any more."""
    if not 0 <= index < len(assembly.layers):
        return True
    layer = assembly.layers[index]
    return not isinstance(layer, Membrane) and material_on_path(layer, path) is None


def _emittance(layer: AnyLayer, path: str) -> float:
    if isinstance(layer, Membrane):
        return layer.sheet.emittance
    material = material_on_path(layer, path)
    assert material is not None
    return material.emittance


def _left(layer: Layer, defect: Defect) -> Layer:
    """The layer that a defect leaves, with the named depths that still lie in it."""
    material = layer.material
    if defect.compressed:
        material = compressed(material, defect.left / layer.thickness)
    cut = layer.thickness - defect.left if defect.space == "outer" else 0.0
    moved = (NamedDepth(one.name, one.depth - cut) for one in layer.probes if one.depth > cut)
    probes = () if defect.compressed else tuple(p for p in moved if p.depth < defect.left)
    return replace(
        layer,
        material=material,
        thickness=defect.left,
        bridges=(),
        probes=probes,
        defects=(),
    )


@lru_cache(maxsize=256)  # one object each, as materials of a case are
def compressed(material: Material, ratio: float) -> Material:
    """Fibrous insulation pressed to `ratio` (0-1) of its thickness: denser, and it holds more.

    Its permeability a metre stays: nearly all of it is air still.
    """
    curve = material.conductivity
    pressed = compressed_conductivity(curve.y, curve.x, ratio)
    return replace(
        material,
        name=f"{material.name}, pressed to {100.0 * ratio:.0f} %",
        density=material.density / ratio,
        conductivity=Points(curve.x, tuple(float(one) for one in pressed)),
        porosity=max(0.0, 1.0 - (1.0 - material.porosity) / ratio),
        storage=_denser(material, 1.0 / ratio),
    )


def _denser(material: Material, times: float) -> Storage | None:
    """The storage curve of as many times more fibres in the same space."""
    storage = material.storage
    match storage:
        case SorptionPoints():
            held = tuple(times * one for one in storage.water_content)
            return replace(storage, water_content=held, saturation=times * storage.saturation)
        case TwoPointStorage():
            at_80 = times * storage.at_80_percent
            return replace(storage, at_80_percent=at_80, saturation=times * storage.saturation)
        case RetentionCurve():
            return replace(storage, saturation=times * storage.saturation)
    return None

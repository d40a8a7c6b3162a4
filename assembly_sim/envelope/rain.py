"""What the rain wets by design: cladding, roofing, and the plane down which leaked rain drains.

Both are read off the layers, so that a case need not say them. They exempt from counts of water
alone; harm to a board, a frame, masonry or insulation counts wherever it lies.
"""

from __future__ import annotations

from assembly_sim.envelope.orientation import is_roof, is_wall
from assembly_sim.model import AirLayer, Assembly, Layer, Membrane
from assembly_sim.model.assembly import NOWHERE, AnyLayer

SIDING_BOARD = 0.03
"""m: solid wood up to here that a wall shows to the weather is siding, ours."""
SHEATHES = frozenset({"wood", "wood-based board"})
FOAMS = frozenset({"foam plastic", "air-impermeable insulation"})
LEAF = 0.15
"""m: masonry up to here before a vented air layer is a veneer; what is thicker is a wall, ours."""


def cladding_layers(assembly: Assembly) -> frozenset[int]:
    """Indices of the layers that are there to get wet in place of what they cover.

    The outermost layer, if its material is roofing (on a roof) or cladding or a siding board of
    solid wood (on a wall); on a wall also what hangs before its outermost vented air layer, and
    the battens in that layer, as long as nothing but cladding or a leaf of masonry lies there.
    Sheathing, insulation and walls of masonry are none, wherever air is let in behind them.
    The same material elsewhere is no cladding, and a sheltered surface has none.
    """
    solid = [i for i, layer in enumerate(assembly.layers) if isinstance(layer, Layer)]
    if assembly.outer.sheltered or not solid:
        return frozenset()
    outermost = {solid[0]} if _faces_weather(assembly, solid[0]) else set()
    if not is_wall(assembly):
        return frozenset(outermost)
    vented = outermost_vented(assembly.layers)
    before = {i for i in solid if i < (vented or 0)}
    hanging = {i for i in before - outermost if _hangs(assembly.layers[i])}
    if vented is None or before - outermost - hanging:
        return frozenset(outermost)
    return frozenset(before | {vented})


def spared_layers(assembly: Assembly) -> frozenset[int]:
    """Cladding and roofing whose wood nobody judges: all but siding that is the wall itself.

    Siding laid on air-open insulation, without a sheet or a gap between and with no board, wood or
    masonry before the lining, covers nothing: what comes from the room wets it first.
    """
    cladding = cladding_layers(assembly)
    return cladding - {i for i in cladding if _is_the_wall(assembly, i)}


def _is_the_wall(assembly: Assembly, index: int) -> bool:
    """Whether the cladding of this index is wood with only fibre between it and the lining."""
    inward = assembly.layers[index:]
    solid = [one.material.kinds for one in inward if isinstance(one, Layer)]
    if not is_wall(assembly) or not solid or not solid[0] & SHEATHES:
        return False
    if len(inward) < 2 or not isinstance(inward[1], Layer):
        return False
    on_fibre = "insulation" in solid[1] and not solid[1] & FOAMS
    return on_fibre and not any(one & (SHEATHES | {"masonry"}) for one in solid[1:-1])


def _hangs(layer: AnyLayer) -> bool:
    """Whether a layer is of what hangs before an air layer: cladding, metal or a leaf of masonry.

    Of wood and its boards only the outermost layer is siding: what lies behind it is sheathing.
    """
    assert isinstance(layer, Layer)
    kinds = layer.material.kinds
    if kinds & {"wood", "wood-based board"}:
        return False
    return bool(kinds & {"cladding", "metal"} or ("masonry" in kinds and layer.thickness <= LEAF))


def _faces_weather(assembly: Assembly, index: int) -> bool:
    """Whether the layer of this index, the outermost, is made to."""
    layer = assembly.layers[index]
    assert isinstance(layer, Layer)
    if is_roof(assembly):
        return "roofing" in layer.material.kinds
    boards = "wood" in layer.material.kinds and layer.thickness <= SIDING_BOARD
    covers = any(isinstance(other, Layer) for other in assembly.layers[index + 1 :])
    return "cladding" in layer.material.kinds or (boards and covers)


def outermost_vented(layers: tuple[AnyLayer, ...]) -> int | None:
    """Index of the first vented air layer from outdoors, None without one."""
    return next(
        (i for i, a in enumerate(layers) if isinstance(a, AirLayer) and a.air_changes), None
    )


def drainage_plane(assembly: Assembly) -> int | None:
    """Index of the plane that leaked rain runs down: the outer face of the layer of this index.

    As the case names it; else, on a clad wall, the first sheet behind the cladding or the face
    behind its air layer, as long as no board, masonry or insulation lies outside it. None: nothing
    is drained and no leaked rain is put anywhere, as in mass and face-sealed walls, and on roofs.
    """
    named = assembly.outer.leaked_rain_layer
    if assembly.outer.sheltered or named == NOWHERE:
        return None
    if named is not None:
        return [layer.name for layer in assembly.layers].index(named)
    cladding = cladding_layers(assembly)
    return _behind(assembly.layers, max(cladding) + 1) if cladding and is_wall(assembly) else None


def _behind(layers: tuple[AnyLayer, ...], start: int) -> int | None:
    """First sheet from `start` on, or first layer if air lies before it."""
    for i in range(start, len(layers)):
        layer = layers[i]
        if isinstance(layer, Layer):
            return i if isinstance(layers[i - 1], AirLayer) else None
        if isinstance(layer, Membrane) and "coating" not in layer.sheet.kinds:
            return i
    return None


def takes_no_rain(assembly: Assembly) -> bool:
    """Whether no rain matters: sheltered, not exposed, or under roofing that draws no water."""
    outer, first = assembly.outer, assembly.layers[0]
    if outer.sheltered or outer.rain_exposure * outer.rain_deposition == 0.0:
        return True
    if not is_roof(assembly):
        return False
    if isinstance(first, Membrane):
        return "roofing" in first.sheet.kinds
    return (
        isinstance(first, Layer)
        and first.material.liquid is None
        and 0 in (cladding_layers(assembly))
    )

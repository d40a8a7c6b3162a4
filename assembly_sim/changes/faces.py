"""Faces of air layers when what they face is changed.

The case keeps a face's emittance as a number. Where that is the emittance of the neighbour, it is
taken for the neighbour's own and follows it: foil taken out leaves no bright cavity behind, and
foil put in makes one. A face of another number was meant, and stays.
"""

from __future__ import annotations

from dataclasses import replace

from assembly_sim.model import AirLayer, Assembly, Case, Layer, Membrane
from assembly_sim.model.assembly import AnyLayer


def faces_follow(old: Case, new: Case) -> Case:
    """The new case with the faces of its air layers as bright as what they face now."""
    pairs = list(zip(old.assemblies, new.assemblies))
    same = all(a.layers is b.layers for a, b in pairs)
    if same or len(old.assemblies) != len(new.assemblies):
        return new
    return replace(new, assemblies=tuple(_followed(a, b) for a, b in pairs))


def _followed(old: Assembly, new: Assembly) -> Assembly:
    before = {
        layer.name: (layer, _emittance(old.layers, i - 1), _emittance(old.layers, i + 1))
        for i, layer in enumerate(old.layers)
        if isinstance(layer, AirLayer)
    }
    layers = list(new.layers)
    for i, layer in enumerate(layers):
        if not isinstance(layer, AirLayer) or layer.name not in before:
            continue
        was, outer, inner = before[layer.name]
        layers[i] = replace(
            layer,
            emittance_outer=_face(
                *(layer.emittance_outer, was.emittance_outer, outer),
                _emittance(new.layers, i - 1),
            ),
            emittance_inner=_face(
                *(layer.emittance_inner, was.emittance_inner, inner),
                _emittance(new.layers, i + 1),
            ),
        )
    return replace(new, layers=tuple(layers)) if tuple(layers) != new.layers else new


def _face(now: float, before: float, faced: float | None, faces: float | None) -> float:
    """Emittance of a face that faced a surface of `faced` and now faces one of `faces`."""
    own = now == before == faced
    return faces if own and faces is not None else now


def _emittance(layers: tuple[AnyLayer, ...], index: int) -> float | None:
    """That of the layer at an index, None for air and for none."""
    layer = layers[index] if 0 <= index < len(layers) else None
    if isinstance(layer, Membrane):
        return layer.sheet.emittance
    return layer.material.emittance if isinstance(layer, Layer) else None

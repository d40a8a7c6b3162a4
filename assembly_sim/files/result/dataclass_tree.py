"""A frozen description to plain JSON values and back, with its arrays kept apart.

The classes are a closed set, those of `model` and of `solver.result`. An object becomes
`{"class": name, field: ...}`, a set `{"set": [...]}`, a mapping `{"map": {...}}`, an array
`{"array": place}` with its values in `arrays[place]`. Materials and sheets are kept once each, in
`shared`, and `{"shared": key}` stands where they are used: planes name them over and over.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim import model
from assembly_sim.model import opening
from assembly_sim.solver import result as results

CLASSES: dict[str, type] = {
    name: kind
    for source in (model, opening, results)
    for name, kind in vars(source).items()
    if dataclasses.is_dataclass(kind) and isinstance(kind, type)
}
SINGULAR = {"assemblies": "assembly", "paths": "path", "zones": "zone", "streams": "stream"}


@dataclasses.dataclass(frozen=True)
class Packed:
    """What packing fills: arrays by place, the class and field each comes from, shared trees.

    `built` holds what unpacking has made of a shared tree: one material, one object, as before.
    """

    arrays: dict[str, NDArray[Any]] = dataclasses.field(default_factory=dict)
    origins: dict[str, str] = dataclasses.field(default_factory=dict)
    shared: dict[str, dict[str, Any]] = dataclasses.field(default_factory=dict)
    built: dict[str, Any] = dataclasses.field(default_factory=dict)


def pack(value: Any, packed: Packed, place: str = "", origin: str = "") -> Any:
    """Return `value` as JSON values; arrays and materials go to `packed`.

    Raises TypeError for anything outside the closed set of classes.
    """
    if CLASSES.get(type(value).__name__) is type(value):
        return _pack_object(value, packed, place)
    if isinstance(value, np.ndarray):
        packed.arrays[place], packed.origins[place] = value, origin
        return {"array": place, "dtype": str(value.dtype)}
    if isinstance(value, tuple):
        items = enumerate(value, start=1)
        return [pack(item, packed, _numbered(place, i), origin) for i, item in items]
    if isinstance(value, frozenset):
        return {"set": sorted(value)}
    if isinstance(value, Mapping):
        pairs = value.items()
        return {"map": {k: pack(v, packed, f"{place}/{k}", origin) for k, v in pairs}}
    return _pack_scalar(value, place)


def _pack_object(value: Any, packed: Packed, place: str) -> dict[str, Any]:
    kind = type(value).__name__
    tree = {"class": kind}
    for field in dataclasses.fields(value):
        inner = f"{place}/{field.name}".strip("/")
        tree[field.name] = pack(
            getattr(value, field.name), packed, inner, origin=f"{kind}.{field.name}"
        )
    if not isinstance(value, model.Material | model.Sheet):
        return tree
    key, count = value.name, 1
    while packed.shared.setdefault(key, tree) != tree:
        count += 1
        key = f"{value.name} ({count})"
    return {"shared": key}


def _pack_scalar(value: Any, place: str) -> Any:
    plain = value.item() if isinstance(value, np.generic) else value
    if isinstance(plain, float) and not math.isfinite(plain):
        return {"float": str(plain)}
    if plain is None or isinstance(plain, bool | int | float | str):
        return plain
    raise TypeError(f"{place}: cannot keep a {type(value).__name__}")


def _numbered(place: str, number: int) -> str:
    head, _, last = place.rpartition("/")
    return f"{head}/{SINGULAR.get(last, last)}_{number}".strip("/")


def unpack(tree: Any, packed: Packed) -> Any:
    """Return what `pack` was given. Raises KeyError for a class or an array that is not known."""
    if isinstance(tree, list):
        return tuple(unpack(item, packed) for item in tree)
    if not isinstance(tree, dict):
        return tree
    if "class" in tree:
        fields = {name: unpack(item, packed) for name, item in tree.items() if name != "class"}
        return CLASSES[tree["class"]](**fields)
    ((tag, inner),) = [(tag, inner) for tag, inner in tree.items() if tag != "dtype"]
    match tag:
        case "array":
            return packed.arrays[inner].astype(tree["dtype"], copy=False)
        case "shared":
            if inner not in packed.built:
                packed.built[inner] = unpack(packed.shared[inner], packed)
            return packed.built[inner]
        case "set":
            return frozenset(inner)
        case "map":
            return {name: unpack(item, packed) for name, item in inner.items()}
        case "float":
            return float(inner)
    raise KeyError(tag)

"""Paths to a field of a case, in the words of the case file.

`starting_humidity`, `room.humidity.mean`, `thresholds.mould_index`,
`assembly."North roof".azimuth`, `assembly."North roof".layer."rigid foam".thickness`,
`zone."attic".air_changes`, `opening."attic hatch".height`, `other_room."wing".temperature`,
`...bridges."rafters".share`, `...defects."pulled aside".left`, `material."polyiso".conductivity`
(wherever the case has that material). Items of a list go by name, or by their place from 0 in
Python.
"""

from __future__ import annotations

import difflib
import json
import tomllib
from collections.abc import Callable, Iterable
from dataclasses import fields, is_dataclass, replace
from typing import Any

from assembly_sim.changes.faces import faces_follow
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import (
    AirLayer,
    Assembly,
    Bridge,
    Case,
    Constant,
    Defect,
    Layer,
    Material,
    Membrane,
    Opening,
    OuterSurface,
    Points,
    Room,
    Schedule,
    Sheet,
)
from assembly_sim.model.kinds import check_field
from assembly_sim.physics.pore_water import (
    REFERENCE_TEMPERATURE,
    relative_humidity,
    suction_at_water_content,
)

Step = str | int
Path = tuple[Step, ...]
Change = Callable[[Any], Any]

# Entries of the case file whose fields of the model are called otherwise, or stand in a part.
ALIASES: dict[type, dict[str, Path]] = {
    Case: {
        **{"assembly": ("assemblies",), "other_room": ("more_rooms",), "zone": ("zones",)},
        **{"opening": ("openings",), "fan": ("fans",), "pipe": ("pipes",)},
    },
    Opening: {
        **{"size": ("shape",), "weight": ("shape", "weight"), "exponent": ("shape", "exponent")},
        **{"facing": ("side", "azimuth"), "tilt": ("side", "tilt")},
    },
    Assembly: {
        "layer": ("layers",),
        **{one.name: ("outer", one.name) for one in fields(OuterSurface)},
        "leak_exponent": ("leak", "exponent"),
        "height_above_neutral_level": ("leak", "height_above_neutral_level"),
        "fan_pressure": ("leak", "fan_pressure"),
    },
    AirLayer: {"air": ("thickness",)},
    Membrane: {"membrane": ("sheet",)},
    Schedule: {"at": ("entries",)},
}
SAID = ("text", "file", "unstated", "sources", "confidence", "notes")
"""Fields that say where a description comes from, and are not to be changed."""
_LISTS = ("assemblies", "layers", "more_rooms", "zones", "openings", "fans", "pipes")
MOISTURE_CONTENT = "starting_moisture_content"


def path_of(text: str | Path) -> Path:
    """Steps of a path written as in TOML. InputError where it is none."""
    if not isinstance(text, str):
        return tuple(text)
    try:
        table: Any = tomllib.loads(f"{text} = 0") if "\n" not in text else None
        steps: list[str] = []
        while isinstance(table, dict):
            ((key, table),) = table.items()
            steps.append(key)
        if steps and table == 0:
            return tuple(steps)
    except (ValueError, RecursionError):
        pass
    cure = 'write names with dots between, assembly."North roof".layer."foam".thickness'
    raise InputError(Problem("this is no path to a field", cure, field=text[:100]))


def spelled(path: Path) -> str:
    """A path as `path_of` reads it."""
    plain = [isinstance(one, str) and one.replace("_", "").isalnum() for one in path]
    return ".".join(
        str(one) if bare else json.dumps(str(one), ensure_ascii=False)
        for one, bare in zip(path, plain)
    )


def changed_at(case: Case, path: Path, change: Change) -> Case:
    """The case with the field at a path replaced by what `change` makes of it."""
    if path and path[0] == "material":
        return faces_follow(case, _in_material(case, path, change))
    found: Case = _changed(case, path, (), change)
    return faces_follow(case, found)


def value_at(case: Case, path: Path) -> Any:
    """What stands at a path."""
    found: list[Any] = []

    def look(value: Any) -> Any:
        found.append(value)
        return value

    changed_at(case, path, look)
    return found[0]


def _changed(thing: Any, steps: Path, done: Path, change: Change) -> Any:
    """`thing` with what the steps lead to changed; `done` led to it, for messages."""
    if not steps:
        return change(thing)
    step, rest, here = steps[0], steps[1:], (*done, steps[0])
    if isinstance(thing, tuple):
        index = place_of(thing, step, here)
        return (*thing[:index], _changed(thing[index], rest, here, change), *thing[index + 1 :])
    if isinstance(thing, Layer) and step == MOISTURE_CONTENT and not rest:
        return replace(thing, starting_humidity=_humidity(thing, change(None), here))
    name, *inner = ALIASES.get(type(thing), {}).get(str(step), (str(step),))
    _refuse_unknown(thing, str(name), step, here)
    value = getattr(thing, str(name))
    if value is None and (inner or rest):
        cause, cure = f"there is no {name}", f"set {name} as a whole first"
        raise InputError(Problem(cause, cure, field=spelled(here)))
    return _replaced(thing, str(name), value, _changed(value, (*inner, *rest), here, change), here)


def _replaced(thing: Any, name: str, old: Any, new: Any, path: Path) -> Any:
    """The description with a field replaced; a bare number is a constant rule or a flat curve."""
    if isinstance(new, int | float) and not isinstance(new, bool):
        if isinstance(thing, Room):
            new = Constant(float(new))
        elif isinstance(old, Points):
            new = Points(old.x[:1], (float(new),))
    check_field(thing, name, new, spelled(path))
    return replace(thing, **{name: new})


def _refuse_unknown(thing: Any, name: str, step: Step, path: Path) -> None:
    known = [one.name for one in fields(thing)] if is_dataclass(thing) else []
    if name in known and name not in SAID:
        return
    own, taken = ALIASES.get(type(thing), {}), {"outer", "shape", "side", *_LISTS, *SAID}
    listed = [one for one in [*known, *own] if one not in taken]
    if isinstance(thing, Layer):
        listed.append(MOISTURE_CONTENT)
    raise not_there(f"{type(thing).__name__} has no '{step}'", str(step), listed, path)


def place_of(items: Iterable[Any], step: Step, path: Path = ()) -> int:
    """Index of the item that a step names. InputError with the nearest name where there is none."""
    names = [name_of(item) for item in items]
    if isinstance(step, int) and not isinstance(step, bool):
        if 0 <= step < len(names):
            return step
        raise not_there(f"there are {len(names)}, counted from 0", "", names, path or (step,))
    word = str(step)
    if names.count(word) != 1:
        several = word in names
        cause = f"{'more than one' if several else 'nothing'} is called '{word[:60]}'"
        raise not_there(cause, "" if several else word, names, path or (step,))
    return names.index(word)


def name_of(item: Any) -> str:
    """The name that an item of a list goes by."""
    return str(item.path if isinstance(item, Bridge | Defect) else getattr(item, "name", ""))


def not_there(cause: str, word: str, known: Iterable[str], path: Path) -> InputError:
    """The error for a name that is not there, with the nearest that is."""
    listed = list(known)
    by_lower = {name.lower(): name for name in listed}
    close = difflib.get_close_matches(word.lower(), by_lower, n=1)
    cure = f"did you mean '{by_lower[close[0]]}'?" if close else f"there are: {', '.join(listed)}"
    return InputError(Problem(cause, cure[:300], field=spelled(path)))


def _humidity(layer: Layer, content: float, path: Path) -> float:
    """Humidity (0-1) in equilibrium with a moisture content (kg/kg), by the layer's storage."""
    material = layer.material
    if material.storage is None:
        cause = f"'{material.name}' holds no water"
        raise InputError(Problem(cause, "leave it out", field=spelled(path)))
    try:
        held = suction_at_water_content(material.storage, content * material.density)
    except ValueError:
        cause = f"'{material.name}' cannot hold {content:g} kg/kg of water"
        raise InputError(Problem(cause, "give another", field=spelled(path))) from None
    return float(relative_humidity(held, REFERENCE_TEMPERATURE))


def _in_material(case: Case, path: Path, change: Change) -> Case:
    """The field of a material or sheet of this name, wherever the case has it."""
    if len(path) < 3:
        cure = 'write material."polyiso".conductivity'
        raise InputError(Problem("this names no field of a material", cure, field=spelled(path)))
    names: set[str] = set()

    def made(thing: Any) -> Any:
        if isinstance(thing, Material | Sheet):
            names.add(thing.name)
            return _changed(thing, path[2:], path[:2], change) if thing.name == path[1] else thing
        if isinstance(thing, tuple):
            return tuple(made(one) for one in thing)
        inner = ("assemblies", "layers", "bridges", "material", "sheet")
        own = [name for name in inner if hasattr(thing, name)]
        return (
            replace(thing, **{name: made(getattr(thing, name)) for name in own}) if own else thing
        )

    found: Case = made(case)
    if path[1] not in names:
        cause = f"nothing is made of '{path[1]}'"
        raise not_there(cause, str(path[1]), sorted(names), path[:2])
    return found

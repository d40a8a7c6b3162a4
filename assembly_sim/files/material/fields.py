"""One entry of a material's table: a quantity, a list of quantities, a closed choice, or why not.

A list of quantities is one text, `"30 50 70 90 %"`, or a TOML list of texts, one unit each.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from typing import Any

from assembly_sim import units
from assembly_sim.files.words import nearest

Path = tuple[str, ...]

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")


class FieldError(ValueError):
    """An entry that cannot be taken: its path below the material, the cause and the cure."""

    def __init__(self, path: Path, cause: str, cure: str) -> None:
        super().__init__(f"{'.'.join(path)}: {cause}; {cure}")
        self.path, self.cause, self.cure = path, cause, cure


def look_up(table: Mapping[str, Any], path: Path) -> Any:
    """The entry at `path`; FieldError where it is missing or what should hold it is no table."""
    entry: Any = table
    for depth, key in enumerate(path):
        if not isinstance(entry, Mapping):
            raise FieldError(path[:depth], "this is no table", 'write { name = "value", ... }')
        if key not in entry:
            raise FieldError(path[:depth] or path, f"'{key}' is missing", f"add {key} = ...")
        entry = entry[key]
    return entry


def quantity(table: Mapping[str, Any], path: Path, kind: str, low: float, high: float) -> float:
    """The quantity at `path` in the model's unit; FieldError unless low <= value <= high."""
    value = _read(look_up(table, path), path, kind)
    _within(value, path, kind, low, high)
    return value


def quantities(
    table: Mapping[str, Any], path: Path, kind: str, low: float, high: float
) -> tuple[float, ...]:
    """The list of quantities at `path`, each within its bounds."""
    values = tuple(_read(item, path, kind) for item in _items(look_up(table, path), path))
    for value in values:
        _within(value, path, kind, low, high)
    return values


def choice(table: Mapping[str, Any], path: Path, allowed: Collection[str]) -> str:
    """One of a closed list of words."""
    word = look_up(table, path)
    if word not in allowed:
        raise FieldError(path, f"unknown word {word!r}", suggestion(str(word), allowed))
    return str(word)


def shape(table: Mapping[str, Any], path: Path, options: Iterable[tuple[str, ...]]) -> Path:
    """The first option of which every required key is in the table at `path`.

    A key that ends in `?` may be left out. FieldError where no option fits or a key is left over.
    """
    entry = look_up(table, path)
    if not isinstance(entry, Mapping):
        raise FieldError(path, "this is no table", 'write { name = "value", ... }')
    every = {key.rstrip("?") for option in options for key in option}
    for option in options:
        if all(key in entry for key in option if not key.endswith("?")):
            left_over = sorted(set(entry) - {key.rstrip("?") for key in option})
            if left_over:
                refuse_key(path, left_over[0], [key.rstrip("?") for key in option])
            return option
    for key in sorted(set(entry) - every):
        refuse_key(path, key, every)
    wanted = "; or ".join(", ".join(k for k in option if k[-1] != "?") for option in options)
    raise FieldError(path, "an entry is missing", f"give {wanted}")


def refuse_key(path: Path, key: str, allowed: Collection[str]) -> None:
    """Refuse a key that is not one of `allowed`."""
    raise FieldError((*path, key), f"'{key}' has no place here", suggestion(key, allowed))


def suggestion(word: str, allowed: Collection[str]) -> str:
    """`did you mean ...?` where a word comes close, else the words that are accepted."""
    return nearest(word, allowed) or f"use one of {', '.join(sorted(allowed))}"


def refuse_unless_rising(values: tuple[float, ...], path: Path) -> None:
    """Refuse points that do not rise one after the other."""
    for before, after in zip(values, values[1:]):
        if after <= before:
            cause = f"the points do not rise ({after:g} after {before:g})"
            raise FieldError(path, cause, "list them from low to high, each once")


def refuse_unless_paired(x: tuple[float, ...], y: tuple[float, ...], path: Path) -> None:
    """Refuse two lists of points of unequal length."""
    if len(x) != len(y):
        cause = f"{len(y)} values stand against {len(x)} points"
        raise FieldError(path, cause, "give one value for each point")


def _items(entry: Any, path: Path) -> list[Any]:
    if isinstance(entry, list):
        items = entry
    else:
        words = str(entry).split()
        count = next((i for i, w in enumerate(words) if not _NUMBER.fullmatch(w)), len(words))
        unit = " ".join(words[count:])
        items = [f"{number} {unit}".strip() for number in words[:count]] or [entry]
    if not items:
        raise FieldError(path, "the list is empty", 'write numbers and a unit, "30 50 70 %"')
    return items


def _read(item: Any, path: Path, kind: str) -> float:
    try:
        return units.read(item, kind)
    except units.UnitError as problem:
        raise FieldError(path, problem.cause, problem.cure) from None


def _within(value: float, path: Path, kind: str, low: float, high: float) -> None:
    if low <= value <= high:
        return
    plain_number = kind == "fraction" and high > 1.0  # a factor or an exponent, not a share
    shown = [
        f"{v:g}" if plain_number else units.show(v, kind, "si").strip() for v in (value, low, high)
    ]
    what = "number" if plain_number else kind
    cure = f"give a {what} from {shown[1]} to {shown[2]}"
    raise FieldError(path, f"{shown[0]} is not possible", cure)

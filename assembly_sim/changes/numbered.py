"""The number inside a change: read, replaced, and its kind. What a factor of a sweep turns.

| change | its number |
|---|---|
| `Set` of a number, a constant rule of the room, a flat curve | the value |
| `Set` of an air leak | its flow, m3/(s m2); 0 leaves none |
| `Times` | the factor |
| `Seal`, `SealOpening`, `SealBetween` | the share |
| `WinterHumidity` | the points |
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from assembly_sim.changes import (
    Change,
    Seal,
    SealBetween,
    SealOpening,
    Set,
    Times,
    WinterHumidity,
)
from assembly_sim.changes.field import KINDS
from assembly_sim.model import AirLeak, Constant

FIELDS: dict[type, str] = {
    Set: "value",
    Times: "factor",
    Seal: "share",
    SealOpening: "share",
    SealBetween: "share",
    WinterHumidity: "points",
}


def number_in(change: Change) -> float | None:
    """The number that a change puts in (SI); None where it is of another kind."""
    value = getattr(change, FIELDS.get(type(change), ""), None)
    if isinstance(value, AirLeak):
        return value.flow
    if isinstance(value, Constant):
        return float(value.value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value)


def with_number(change: Change, number: float) -> Change:
    """The change with another number in it. InputError where that cannot be (a factor below 0)."""
    name = FIELDS[type(change)]
    return replace(change, **{name: _numbered(getattr(change, name), number)})


def _numbered(value: Any, number: float) -> Any:
    """What stands in a change, with another number in it."""
    if isinstance(value, AirLeak):
        return replace(value, flow=number) if number > 0.0 else None
    return replace(value, value=number) if isinstance(value, Constant) else number


def kind_in(change: Change) -> str:
    """Kind of the number as in `unit_table.KINDS`; `factor` where it has no unit."""
    if isinstance(change, Seal | SealOpening | SealBetween | WinterHumidity):
        return "fraction"
    if not isinstance(change, Set):
        return "factor"
    if isinstance(change.value, AirLeak):
        return "air flow per area"
    last = str(change.path[-1])
    last = str(change.path[-2]) if last in ("mean", "value") and len(change.path) > 1 else last
    return KINDS.get(last, "factor")

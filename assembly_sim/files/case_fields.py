"""Kinds of entry in a case file: quantities with bounds, names of materials, the air leak.

Each is a pydantic type whose value is in the model's unit and whose JSON Schema is the text that
people write.
"""

from __future__ import annotations

import re
from math import pi
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    ValidationInfo,
    WithJsonSchema,
)

from assembly_sim.model import AirLeak, Material, Sheet
from assembly_sim.units import convert, read, spellings

_LEAK_CURE = 'write "0.2 L/(s m2) at 75 Pa", "1 m3/(h m2) at 50 Pa" or "none"'
_PATTERN = r"^\s*[-+\u2212]?(R-|RSI[ -]?)?[0-9.].*$"


class EntryError(ValueError):
    """An entry that cannot be used; `path` leads from the checked table to it."""

    def __init__(self, cause: str, cure: str, *path: str | int) -> None:
        super().__init__(f"{cause}; {cure}")
        self.cause, self.cure, self.path = cause, cure, path


class Table(BaseModel):
    """A table of a case: unknown entries are errors, nothing is converted in silence."""

    model_config = ConfigDict(extra="forbid", strict=True, arbitrary_types_allowed=True)


def quantity(kind: str, low: float, high: float, above: bool = False) -> Any:
    """Type of a quantity in `low` to `high` of the model's unit; `above` leaves `low` out."""

    def checked(text: Any) -> float:
        value = read(text, kind)
        round_off = 1e-12 * abs(high)  # 99.9 / 100 is a bit more than 0.999
        value = high if high < value <= high + round_off else value
        if value > high or value < low or (above and value == low):
            first = "more than" if above else "from"
            bounds = f"{first} {_bound(low, kind)} to {_bound(high, kind)}"
            raise EntryError(f"'{str(text)[:40]}' is out of range", f"write {bounds}")
        return value

    units = ", ".join(spellings(kind))
    schema: dict[str, Any] = {"type": "string", "pattern": _PATTERN}
    schema["description"] = f"{kind}, a number with a unit: {units}"
    if kind == "fraction":
        bare = {"type": "number", "minimum": low, "maximum": high}
        schema = {"anyOf": [schema, bare]}
    return Annotated[float, BeforeValidator(checked), WithJsonSchema(schema)]


def _hours() -> Any:
    """Type of a span within a year, written with its unit of time and kept in hours."""
    seconds = quantity("time", 0.0, 8784 * 3600.0)
    return Annotated[seconds, AfterValidator(lambda span: span / 3600.0)]


def _bound(value: float, kind: str) -> str:
    number, unit = convert(value, kind, "si")
    return f"{round(number, 6):.10g} {unit}".strip()


def _known(name: Any, kind: type, info: ValidationInfo) -> Any:
    """The material or sheet of this name, or the nearest names there are."""
    from assembly_sim.files.material_words import search
    from assembly_sim.files.words import nearest

    word, other = ("material", "membrane") if kind is Material else ("membrane", "material")
    if not isinstance(name, str):
        raise EntryError(f"the {word} is not a name", 'write a name in quotes, as in "spruce"')
    context: dict[str, Any] = info.context or {}
    found = context["materials"].get(name)
    if isinstance(found, kind):
        return found
    if name in context["faulty"]:
        raise EntryError(f"'{name}' is not described rightly", "correct its own entries")
    if found is not None:
        raise EntryError(f"'{name}' is no {word}", f'write {other} = "{name}"')
    of_kind: dict[str, Any] = {
        k: one for k, one in context["materials"].items() if isinstance(one, kind)
    }
    meant = " or ".join(f"'{each}'" for each in search(name, of_kind)[:3])
    cure = f"did you mean {meant}?" if meant else nearest(name, of_kind)
    cure = cure or "`assembly-sim materials` lists all; or describe your own"
    raise EntryError(f"unknown {word} '{name[:60]}'", cure)


def _material(name: Any, info: ValidationInfo) -> Material:
    return _known(name, Material, info)


def _sheet(name: Any, info: ValidationInfo) -> Sheet:
    return _known(name, Sheet, info)


def _leak(text: Any) -> AirLeak | None:
    if text == "none":
        return None
    flow, at, pressure = str(text).partition(" at ")
    if not isinstance(text, str) or (not at and not re.match(r"\s*[0-9.]", text)):
        raise EntryError("this is no air leak", _LEAK_CURE)
    if not at:
        raise EntryError("the leak does not say at what pressure it was measured", _LEAK_CURE)
    leak = AirLeak(read(flow, "air flow per area"), read(pressure, "pressure"))
    if not (0.0 < leak.flow <= 0.1 and 1.0 <= leak.reference_pressure <= 1000.0):
        raise EntryError("the air leak is out of range", _LEAK_CURE)
    return leak


def _name(text: Any) -> str:
    if not isinstance(text, str) or not text.strip() or len(text) > 80 or not text.isprintable():
        raise EntryError("this is no name", "write 1 to 80 letters in quotes, on one line")
    return text.strip()


_TEXT = WithJsonSchema({"type": "string"})

Name = Annotated[str, BeforeValidator(_name), _TEXT]
MaterialName = Annotated[Material, BeforeValidator(_material), _TEXT]
SheetName = Annotated[Sheet, BeforeValidator(_sheet), _TEXT]
Leak = Annotated[AirLeak | None, BeforeValidator(_leak), _TEXT]

Humidity = quantity("fraction", 0.0, 1.0, above=True)
Share = quantity("fraction", 0.0, 1.0)
InnerShare = quantity("fraction", 0.0, 0.999, above=True)
Factor = quantity("fraction", 0.0, 3.0)
MoistureContent = quantity("moisture content", 0.0, 20.0)
THINNEST = 5e-5  # m; the solver takes a fifth of it, below which round-off stops it
Thickness = quantity("length", THINNEST, 5.0)
Depth = quantity("length", 0.0, 5.0)
Height = quantity("length", 0.0, 1000.0)
HeightDifference = quantity("length", -1000.0, 1000.0)
Area = quantity("area", 0.0, 1e6, above=True)
Volume = quantity("volume", 0.0, 1e7, above=True)
Tilt = quantity("angle", 0.0, pi)
Azimuth = quantity("angle", 0.0, 2.0 * pi)
Temperature = quantity("temperature", 193.15, 373.15)
TemperatureAmplitude = quantity("temperature difference", 0.0, 50.0)
FanPressure = quantity("pressure", -1000.0, 1000.0)
VapourPressure = quantity("pressure", 0.0, 5000.0)
Exponent = quantity("fraction", 0.5, 1.0)
AirChanges = quantity("air changes", 0.0, 2000.0)
RoomAirChanges = quantity("air changes", 0.0, 100.0, above=True)
Generation = quantity("mass flow", 0.0, 1.0)
AirThrough = quantity("air flow per area", -0.1, 0.1)
ArealWater = quantity("areal mass", 0.0, 100.0)
Hours = _hours()
MouldIndex = quantity("fraction", 0.0, 6.0)

"""Kinds of entry in a case file: quantities with bounds, names of materials, the air leak.

Each is a pydantic type whose value is in the model's unit and whose JSON Schema is the text that
people write.
"""

from __future__ import annotations

import re
from calendar import month_name
from math import pi, radians
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationInfo,
    WithJsonSchema,
)

from assembly_sim.errors import InputError, shortened
from assembly_sim.model import AirLeak, Material, Sheet
from assembly_sim.model.ranges import RANGES, bounds
from assembly_sim.units import read, spellings

STEEPEST = (radians(5.0), radians(80.0))
DIRECTIONS = {
    **{"north-south": 0.0, "south-north": 0.0, "east-west": 90.0, "west-east": 90.0},
    **{"northeast-southwest": 45.0, "northwest-southeast": 135.0},
}
"""Ways a ridge may run, as the azimuth (deg) of one of its ends."""
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


def quantity(name: str) -> Any:
    """Type of a quantity within the range of this name, in the model's unit."""
    span = RANGES[name]

    def checked(text: Any) -> float:
        value = read(text, span.kind)
        refuse_outside(text, value, name)
        return min(value, span.high)  # 99.9 / 100 is a bit more than 0.999

    units = ", ".join(spellings(span.kind))
    schema: dict[str, Any] = {"type": "string", "pattern": _PATTERN}
    schema["description"] = f"{span.kind}, a number with a unit: {units}"
    if span.kind == "fraction":
        bare = {"type": "number", "minimum": span.low, "maximum": span.high}
        schema = {"anyOf": [schema, bare]}
    return Annotated[float, BeforeValidator(checked), WithJsonSchema(schema)]


def refuse_outside(text: Any, value: float, name: str, *path: str | int) -> None:
    """Raise EntryError where a value lies outside the range of this name."""
    if not RANGES[name].holds(value):
        cure = f"write {bounds(name)} ({RANGES[name].why})"
        raise EntryError(f"'{str(text)[:40]}' is out of range", cure, *path)


def _hours() -> Any:
    """Type of a span within a year, written with its unit of time and kept in hours."""
    return Annotated[quantity("hours threshold"), AfterValidator(lambda span: span / 3600.0)]


def _known(name: Any, kind: type, info: ValidationInfo) -> Any:
    """The material or sheet of this name, or the nearest names there are."""
    from assembly_sim.files.material.words import search
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
    values = read(flow, "air flow per area"), read(pressure, "pressure")
    refuse_outside(flow, values[0], "leak flow")
    refuse_outside(pressure, values[1], "leak pressure")
    return AirLeak(*values)


def _hole(text: Any) -> Any:
    """The size of an opening as text; what is wrong with it names the text."""
    from assembly_sim.files.opening.read import FORMS, read_hole

    if not isinstance(text, str):
        raise EntryError("this is no size of an opening", FORMS)
    try:
        return read_hole(text)
    except InputError as error:
        first = error.problems[0]
        raise EntryError(f"'{shortened(text, 40)}': {first.cause}", first.cure) from None


def _pitch(text: Any) -> float:
    """A roof's pitch, rise over run or an angle; above level and below upright."""
    plain = re.sub(r"(?<=\d) */ *(?=12 *$)", ":", text) if isinstance(text, str) else text
    value = read(plain, "angle")
    if not STEEPEST[0] <= value <= STEEPEST[1]:
        cure = 'write "6/12" or "30 deg", between 5 and 80 deg'
        raise EntryError(f"'{str(text)[:40]}' is no pitch of a roof", cure)
    return value


def _direction(text: Any) -> float:
    """The azimuth (rad) that a ridge points to, by compass or as an angle."""
    named = DIRECTIONS.get(text) if isinstance(text, str) else None
    if named is not None:
        return radians(named)
    if isinstance(text, str) and not re.search(r"\d", text):
        cure = f'write one of {", ".join(DIRECTIONS)}, or an angle such as "30 deg"'
        raise EntryError(f"'{text[:40]}' is no direction of a ridge", cure)
    value = read(text, "angle")
    refuse_outside(text, value, "azimuth")
    return value % pi


def _tested(text: Any) -> tuple[float, float]:
    """A blower door's flow (m3/s) and the pressure (Pa) it was measured at."""
    cure = 'write "1200 cfm at 50 Pa", "560 L/s at 50 Pa" or "1200 CFM50"'
    if not isinstance(text, str):
        raise EntryError("this is no flow of a test", cure)
    plain = re.sub(r"(?i)^(.*\d) *CFM ?50$", r"\1 cfm at 50 Pa", text.strip())
    flow, at, pressure = plain.partition(" at ")
    if not at:
        raise EntryError("the flow does not say at what pressure it was measured", cure)
    values = read(flow, "air flow"), read(pressure, "pressure")
    refuse_outside(flow, values[0], "tested flow")
    refuse_outside(pressure, values[1], "leak pressure")
    return values


def _at_fifty(text: Any) -> float:
    """Air changes an hour (1/h) at 50 Pa."""
    plain = text
    if isinstance(text, str):
        plain = re.sub(r"(?i)^(.*\d) *ACH ?50$", r"\1 1/h", text.strip())
        plain = re.sub(r" at 50(\.0*)? Pa$", "", plain)
    value = read(plain, "air changes")
    refuse_outside(text, value, "tested air changes")
    return value


def _number(value: float | int) -> float:
    """A bare number as float; TOML has whole ones of any length."""
    try:
        return float(value)
    except OverflowError:
        raise EntryError("this number is too large", "write one that fits") from None


def _name(text: Any) -> str:
    if not isinstance(text, str) or not text.strip() or len(text) > 80 or not text.isprintable():
        raise EntryError("this is no name", "write 1 to 80 letters in quotes, on one line")
    return text.strip()


def _place(text: Any) -> str:
    if not isinstance(text, str) or not text.strip() or len(text) > 4096 or not text.isprintable():
        raise EntryError("this is no name of a file", "write its path in quotes, on one line")
    return text.strip()


def _year(text: Any) -> str:
    if not isinstance(text, str) or not re.fullmatch(r"20[0-9]{2}", text.strip()):
        raise EntryError("this is no edition of a code", 'write its year in quotes, as in "2021"')
    return text.strip()


_TEXT = WithJsonSchema({"type": "string"})

Number = Annotated[float | int, AfterValidator(_number)]
Place = Annotated[str, BeforeValidator(_place), _TEXT]
Name = Annotated[str, BeforeValidator(_name), _TEXT]
Year = Annotated[str, BeforeValidator(_year), _TEXT]
MaterialName = Annotated[Material, BeforeValidator(_material), _TEXT]
SheetName = Annotated[Sheet, BeforeValidator(_sheet), _TEXT]
Leak = Annotated[AirLeak | None, BeforeValidator(_leak), _TEXT]
Size = Annotated[Any, BeforeValidator(_hole), _TEXT]
Pitch = Annotated[float, BeforeValidator(_pitch), _TEXT]
RidgeDirection = Annotated[float, BeforeValidator(_direction), _TEXT]
TestedFlow = Annotated[tuple[float, float], BeforeValidator(_tested), _TEXT]
TestedAirChanges = Annotated[float, BeforeValidator(_at_fifty), _TEXT]

Humidity = quantity("humidity threshold")
StartingHumidity = quantity("starting humidity")
RoomHumidity = quantity("room humidity")
HumidityLimit = quantity("humidity limit")
HumiditySwing = quantity("swing of room humidity")
Share = quantity("share threshold")
BridgeShare = quantity("bridge share")
Factor = quantity("rain factor")
LeakedRain = quantity("leaked rain")
StartingMoisture = quantity("starting moisture content")
WoodMoisture = quantity("wood threshold")
Thickness = quantity("layer thickness")
AirThickness = quantity("air layer thickness")
Depth = quantity("depth of a probe")
ThicknessLeft = quantity("thickness left")
GapWidth = quantity("gap width")
GapLength = quantity("gap length")
Height = quantity("height")
HeightDifference = quantity("height above the neutral level")
Area = quantity("area")
Volume = quantity("room volume")
Tilt = quantity("tilt")
Azimuth = quantity("azimuth")
Absorptance = quantity("solar absorptance")
Emittance = quantity("emittance")
FaceEmittance = quantity("emittance of a face")
RoomTemperature = quantity("room temperature")
RoomTemperatureSwing = quantity("swing of room temperature")
BalanceTemperature = quantity("balance temperature")
FreezingTemperature = quantity("freezing threshold")
FanPressure = quantity("fan pressure")
VapourPressure = quantity("vapour excess")
Exponent = quantity("leak exponent")
AirChanges = quantity("air changes of a layer")
RoomAirChanges = quantity("room air changes")
Generation = quantity("moisture generation")
AirThrough = quantity("air through")
ZoneVolume = quantity("zone volume")
ZoneHeatCapacity = quantity("zone heat capacity")
ZoneAirChanges = quantity("zone air changes")
HeatGain = quantity("heat gain")
OpeningHeight = quantity("height of an opening")
Weight = quantity("weight of an opening")
FanFlow = quantity("fan flow")
DuctFlow = quantity("duct flow")
DuctArea = quantity("duct area")
DuctResistance = quantity("duct resistance")
DuctLeak = quantity("duct leak")
PipeDiameter = quantity("pipe diameter")
PipeInsulation = quantity("pipe insulation")
Conductivity = quantity("conductivity")
SupplyTemperature = quantity("supply temperature")
FullLoadTemperature = quantity("full-load temperature")
PlanLength = quantity("plan length")
KneeWall = quantity("knee wall")
EaveHeight = quantity("eave height")
ArealWater = quantity("water threshold")
Hours = _hours()
MouldIndex = quantity("index threshold")
Efficiency = quantity("fuel efficiency")
Interest = quantity("discount rate")


def whole_number(name: str) -> Any:
    """Type of a whole number within the range of this name."""
    return Annotated[int, Field(ge=int(RANGES[name].low), le=int(RANGES[name].high))]


def _numbered_month(month: Any) -> Any:
    """The month as written, unless it is one by its name."""
    names = [name.lower() for name in month_name]
    if isinstance(month, str) and month.strip() and month.strip().lower() in names:
        number = names.index(month.strip().lower())
        raise EntryError("a month is written as its number", f"write {number}, without quotes")
    return month


Years = whole_number("years")
Month = Annotated[
    int,
    BeforeValidator(_numbered_month),
    Field(ge=int(RANGES["start month"].low), le=int(RANGES["start month"].high)),
]
Day = Annotated[
    float, Field(ge=RANGES["day of the year"].low, le=RANGES["day of the year"].high, strict=False)
]

"""What may be asked for: one table of ranges, for files and for descriptions made in Python.

A range is wide enough for any building that stands, so nothing overrides it, and narrow enough
that a slip of the unit (70 degC for 70 degF, 7 1/4 ft for 7 1/4 in, degrees for radians) falls
outside. Bounds are the trade's common knowledge (no source); each row tells why.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf, pi
from numbers import Real
from typing import Any

from assembly_sim.errors import InputError, Problem
from assembly_sim.unit_table import KINDS
from assembly_sim.units import convert


@dataclass(frozen=True)
class Range:
    """`low` to `high` of the model's unit for a kind of quantity; `above` leaves `low` out."""

    kind: str
    low: float
    high: float
    why: str
    above: bool = False

    def holds(self, value: float) -> bool:
        """Whether a value lies within, round-off allowed (99.9 / 100 > 0.999); NaN does not."""
        most = self.high + ROUND_OFF * abs(self.high)
        return self.low <= value <= most and not (self.above and value == self.low)


THINNEST = 5e-5
"""m: the solver takes a layer of a fifth of it, below which round-off stops it."""
ROUND_OFF = 1e-12

_HUMIDITY = "from 0 (dry) to 1 (saturated)"
_SHARE = "a share of a whole"
_LIMIT_OF_WOOD = "wood holds up to some 2 kg/kg"
_DAYS = "balance temperatures of houses"

RANGES: dict[str, Range] = {
    # layers
    "layer thickness": Range(
        "length", THINNEST, 20.0, "half-spaces of tests; thinner is a membrane"
    ),
    "masonry thickness": Range("length", 1e-4, 3.0, "the walls of castles have some 3 m"),
    "wood thickness": Range("length", 1e-4, 1.0, "the thickest logs have some 0.6 m"),
    "insulation thickness": Range("length", 5e-4, 1.5, "the deepest attic fill is some 1 m"),
    "board thickness": Range("length", 1e-4, 0.5, "a board; solid wood panels reach 0.5 m"),
    "gypsum thickness": Range("length", 1e-4, 0.2, "a lining; several boards reach 0.1 m"),
    "covering thickness": Range(
        "length", THINNEST, 0.5, "a covering; slates and siding are thinner"
    ),
    "air layer thickness": Range("length", 5e-4, 2.0, "a higher space is a room, thinner a joint"),
    "bridge share": Range("fraction", 0.0, 0.999, _SHARE, above=True),
    "thickness left": Range("length", 0.0, 1.5, "0 is a void, else what insulation remains"),
    "depth of a probe": Range("length", 0.0, 20.0, "a depth inside its layer"),
    "air changes of a layer": Range("air changes", 0.0, 2000.0, "wide cavities in wind: hundreds"),
    "emittance of a face": Range("fraction", 0.01, 1.0, "polished metal has 0.02"),
    "starting humidity": Range("fraction", 0.0, 1.0, _HUMIDITY, above=True),
    "starting moisture content": Range("moisture content", 0.0, 20.0, "sodden fibres hold 20"),
    # outer surface
    "area": Range("area", 1e-3, 1e5, "a house has hundreds of m2", above=True),
    "tilt": Range("angle", 0.0, pi, "a level roof 0, a wall a right angle, a floor twice that"),
    "azimuth": Range("angle", 0.0, 2.0 * pi, "clockwise from north, once around"),
    "solar absorptance": Range("fraction", 0.0, 1.0, _SHARE),
    "emittance": Range("fraction", 0.0, 1.0, _SHARE),
    "height": Range("length", 0.0, 500.0, "no building is higher"),
    "rain factor": Range("fraction", 0.0, 3.0, "the most exposed place has some 2"),
    "leaked rain": Range("fraction", 0.0, 0.5, "1 % is usual; half would be no cladding"),
    # air
    "leak flow": Range(
        *("air flow per area", 0.0, 0.1, "the leakiest plank wall passes some 0.02 m3/(s m2)"),
        above=True,
    ),
    "leak pressure": Range("pressure", 1.0, 500.0, "leaks are tested at 4 to 75 Pa"),
    "leak exponent": Range("fraction", 0.5, 1.0, "0.5 for orifices, 1 for pores"),
    "height above the neutral level": Range("length", -300.0, 300.0, "half a tower's height"),
    "fan pressure": Range("pressure", -250.0, 250.0, "fans of houses make up to 75 Pa"),
    "air through": Range(
        *("air flow per area", -0.0025, 0.0025, "9 m3/h each m2; more is an opening, not a layer")
    ),
    # openings
    "gap width": Range("length", 1e-5, 10.0, "from a hair to a gate"),
    "gap length": Range("length", 1e-3, 200.0, "once around a house"),
    "hole width": Range("length", 1e-4, 10.0, "from a nail hole to a gate"),
    "opening area": Range("opening area", 0.0, 100.0, "a gate has 20 m2", above=True),
    "tested flow": Range("air flow", 0.0, 1000.0, "a leaky hall has some 50 m3/s", above=True),
    "tested air changes": Range("air changes", 0.0, 200.0, "sieves have 50 at 50 Pa", above=True),
    "weight of an opening": Range("fraction", 0.0, 1e6, "shares of what is left", above=True),
    "height of an opening": Range("length", -50.0, 500.0, "from cellars to towers"),
    "fan flow": Range("air flow", -200.0, 200.0, "halls have some 50 m3/s, houses 0.1"),
    # room
    "room temperature": Range(
        *("temperature", 233.15, 323.15, "70 degF is 21 degC; only ovens and saunas are hotter")
    ),
    "hourly room temperature": Range(
        *("temperature", 203.15, 353.15, "70 degF is 21 degC; an attic in the sun has 70 degC")
    ),
    "swing of room temperature": Range("temperature difference", 0.0, 25.0, "half of the year's"),
    "room humidity": Range("fraction", 0.01, 1.0, "from 0.01 (very dry) to 1 (saturated)"),
    "hourly room humidity": Range("fraction", 0.0, 1.0, _HUMIDITY, above=True),
    "swing of room humidity": Range("fraction", 0.0, 0.5, "half of the year's"),
    "day of the year": Range("fraction", 1.0, 366.0, "1 is 1 January"),
    "vapour excess": Range("pressure", 0.0, 3000.0, "1300 Pa in a wet trade; air holds some 3000"),
    "humidity offset": Range("fraction", -0.3, 0.4, "high occupancy adds 0.10"),
    "plan length": Range("length", 0.5, 300.0, "from a dormer to a hall"),
    "eave height": Range("length", 0.0, 300.0, "a bungalow 2.5 m, a tower 100 m"),
    "zone volume": Range("volume", 0.1, 1e6, "from behind a knee wall to under a hall's roof"),
    "zone heat capacity": Range("heat capacity", 0.0, 1e9, "a ton of goods holds 1e6 J/K"),
    "zone air changes": Range("air changes", 0.0, 500.0, "a vented attic in a gale has some 50"),
    "heat gain": Range("power", 0.0, 1e5, "a boiler loses some 500 W"),
    "duct flow": Range("air flow", 0.0, 20.0, "houses have 0.2 to 1 m3/s", above=True),
    "duct area": Range("area", 0.0, 2000.0, "houses have 10 to 60 m2"),
    "duct resistance": Range("resistance", 0.02, 10.0, "bare sheet metal has some 0.1 with films"),
    "knee wall": Range("length", 0.1, 5.0, "from a curb to a storey"),
    "pipe diameter": Range("length", 0.002, 1.0, "from a capillary to a main"),
    "pipe insulation": Range("length", 0.0, 0.5, "bare to a buried main's"),
    "duct leak": Range("fraction", 0.0, 0.9, "typical 11 %, good 5 % each side"),
    "supply temperature": Range("temperature", 273.15, 373.15, "from chilled air to a furnace's"),
    "full-load temperature": Range("temperature", 203.15, 333.15, "a place's design temperature"),
    "room volume": Range("volume", 1.0, 1e6, "from a closet to a hall"),
    "room air changes": Range("air changes", 0.0, 50.0, "houses have 0.1 to 1; open windows 20"),
    "moisture generation": Range("mass flow", 0.0, 0.1, "a family makes 1e-4 kg/s, 10 L a day"),
    "humidity limit": Range("fraction", 0.1, 1.0, "where moisture is taken out"),
    # fuels and money
    "fuel efficiency": Range("fraction", 0.05, 8.0, "open fires 0.1, heat pumps up to 6"),
    "discount rate": Range("fraction", -0.1, 0.5, "interest beyond inflation; 0.03 is usual"),
    "lifetime": Range("fraction", 1, 200, "years that a measure lasts"),
    # case
    "years": Range("fraction", 1, 50, "whole years; three to ten settle most build-ups"),
    "start month": Range("fraction", 1, 12, "1 is January"),
    # thresholds
    "humidity threshold": Range("fraction", 0.0, 1.0, _HUMIDITY, above=True),
    "index threshold": Range("fraction", 0.0, 6.0, "the scale of the mould index"),
    "share threshold": Range("fraction", 0.0, 1.0, _SHARE),
    "wood threshold": Range("moisture content", 0.0, 2.0, _LIMIT_OF_WOOD, above=True),
    "water threshold": Range("areal mass", 0.0, 10.0, "1 kg/m2 is 1 mm of water"),
    "hours threshold": Range("time", 0.0, 8784.0 * 3600.0, "hours of one year"),
    "balance temperature": Range("temperature", 258.15, 308.15, _DAYS),
    "freezing threshold": Range("temperature", 243.15, 274.15, "pore water freezes below 0 degC"),
    # climate
    "latitude": Range("fraction", -90.0, 90.0, "degrees, north positive"),
    "longitude": Range("fraction", -180.0, 360.0, "degrees, east positive"),
    "elevation": Range("length", -500.0, 9000.0, "from the Dead Sea to the highest mountain"),
    "height of the wind": Range("length", 0.5, 300.0, "met masts have 10 m"),
    "outdoor temperature": Range("temperature", 173.15, 343.15, "no weather is colder or hotter"),
    "outdoor vapour pressure": Range("pressure", 0.0, 10000.0, "the most humid air has 5000 Pa"),
    "air pressure": Range("pressure", 30000.0, 115000.0, "from mountain tops to salt lakes"),
    "wind speed": Range("speed", 0.0, 120.0, "no storm is faster"),
    "radiation": Range("heat flux", -50.0, 2000.0, "the sun above the air has 1361 W/m2"),
    "wind direction": Range("angle", 0.0, 2.0 * pi, "clockwise from north, once around"),
    "snow depth": Range("length", 0.0, 30.0, "the deepest on record had some 12 m"),
    "time zone": Range("fraction", -14.0, 15.0, "hours from UTC, islands of the Pacific the most"),
    "calendar year": Range("fraction", 1, 9999, "of the common calendar"),
    "hourly rain": Range("areal mass", 0.0, 500.0, "the hardest hour on record had some 400 mm"),
    # materials
    "density": Range("density", 0.1, 25000.0, "from aerogels to heavy metals"),
    "specific heat": Range("specific heat", 1.0, 10000.0, "lead 130, water 4190; 1 for none"),
    "porosity": Range("fraction", 0.0, 1.0, _SHARE),
    "conductivity": Range("conductivity", 1e-4, 1000.0, "from vacuum panels to copper"),
    "permeability": Range("permeability", 0.0, 1e-8, "still air has 1.95e-10"),
    "permeance": Range("permeance", 0.0, 1e-4, "an open mesh has some 1e-8"),
    "air permeability": Range("fraction", 0.0, 1.0, "kg/(Pa s m); open wool has some 1e-7"),
    "mean temperature of a test": Range(*("temperature", 173.15, 1273.15, "of a kiln at most")),
    "gain with water": Range("conductivity per water content", 0.0, 1.0, "water itself: 6e-4"),
    "exponent of permeability": Range("fraction", -5.0, 5.0, "still air has 1.81"),
    "saturation": Range("water content", 1e-6, 1000.0, "all pores of a foam without skeleton"),
    "water of a curve": Range("water content", 0.0, 1000.0, "at most that of water alone"),
    "humidity of a curve": Range("fraction", 1e-4, 0.99999, "saturation has an entry of its own"),
    "weight of pores": Range("fraction", 0.0, 1.0, _SHARE),
    "alpha of pores": Range("inverse pressure", 1e-12, 1.0, "pores from molecules to hands"),
    "n of pores": Range("fraction", 0.1, 100.0, "beyond, a step"),
    "m of pores": Range("fraction", 1e-3, 100.0, "beyond, a step"),
    "uptake coefficient": Range("uptake coefficient", 1e-7, 10.0, "old brick has some 0.5"),
    "liquid diffusivity": Range("diffusivity", 1e-16, 1e-3, "wet brick has some 1e-6"),
    "liquid conductivity": Range("liquid conductivity", 1e-40, 1e-3, "coarse sand has some 1e-5"),
}

_THICKNESS_OF = (
    ("masonry thickness", {"masonry"}),
    ("insulation thickness", {"insulation", "air-impermeable insulation", "foam plastic"}),
    ("gypsum thickness", {"gypsum"}),
    ("board thickness", {"wood-based board"}),
    ("covering thickness", {"cladding", "roofing", "metal", "glazing"}),
    ("wood thickness", {"wood"}),
)


def thickness_range(kinds: Iterable[str]) -> str:
    """Name of the range of a layer's thickness by the kinds of its material."""
    own = set(kinds)
    return next((name for name, of in _THICKNESS_OF if own & of), "layer thickness")


def bounds(name: str) -> str:
    """A range in words and units of SI, `more than 0 mm to 3000 mm`."""
    span = RANGES[name]
    low, high = (_shown(value, span.kind) for value in (span.low, span.high))
    return f"{'more than' if span.above else 'from'} {low} to {high}"


def _shown(value: float, kind: str) -> str:
    if kind == "fraction" and abs(value) > 1.0:
        return f"{value:g}"  # a factor or a count, not a share
    if kind == "length" and abs(value) > 10.0:
        return f"{value:g} m"
    number, unit = convert(value, kind, "si")
    return f"{round(number, 6):.10g} {unit}".strip()


def refuse_outside(where: str, **given: tuple[str, Any]) -> None:
    """Raise InputError for every field whose value lies outside its range: field=(range, value).

    `where` names the description in the user's words. None passes: it means that none is given.
    """
    problems = [
        problem
        for field, (name, value) in given.items()
        if value is not None and (problem := _outside(f"{where}.{field}", name, value))
    ]
    if problems:
        raise InputError(*problems)


def _outside(field: str, name: str, value: Any) -> Problem | None:
    span, number = RANGES[name], _number(value)
    if number is not None and span.holds(number):
        return None
    unit = KINDS[span.kind][0]
    limits = f"{'more than' if span.above else 'from'} {span.low:.6g} to {span.high:.6g} {unit}"
    shown = f"{value!r:.40}" if number is None else f"{number:.6g} {unit}".strip()
    cure = f"give {limits.strip()} ({span.why})"
    return Problem(f"{shown} is out of range", cure, field=field)


def _number(value: Any) -> float | None:
    """A real number as float, infinite where it is too large for one; None where it is none."""
    if not isinstance(value, Real) or isinstance(value, bool):
        return None
    try:
        return float(value)
    except OverflowError:
        return inf if value == abs(value) else -inf


def refused(field: str, cause: str, cure: str) -> InputError:
    """The error for what no range can tell."""
    return InputError(Problem(cause, cure, field=field))

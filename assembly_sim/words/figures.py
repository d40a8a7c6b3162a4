"""Numbers as a person writes them: unit by system and size, no more digits than mean something.

`units.SHOWN` holds a fixed unit and format for each kind, for tables; here a quantity takes the
unit that suits its size: 87 g/m2 and 1.2 kg/m2, 640 kBtu and 3.8 MMBtu, 140 mm and 2.5 m.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from math import floor, log10

from assembly_sim.units import KINDS, convert, in_unit, show

Written = tuple[float, int, str]  # number, decimals, unit
Writer = Callable[[float, str], Written]

_ICE_POINT = 273.15  # K
MMBTU = 1e6 * 1055.056  # J
FULL_DIGITS = 4  # more than anybody reads; a limit is then still told from its value
ROUNDED = 1e-2  # share of a limit by which its text may miss it
_MARK = re.compile(r"\{([-+0-9.e]+) ([A-Za-z -]+)\}")


def figure(value: float, kind: str, system: str = "si", more: int = 0) -> str:
    """A quantity in the model's unit as text, with `more` decimals than usual."""
    if kind not in WRITERS:
        return show(value, kind, system)
    number, decimals, unit = WRITERS[kind](value, system)
    return _text(number, decimals + more, unit)


def limit_figure(limit: float, kind: str, system: str = "si", more: int = 0) -> str:
    """A limit as text: without empty decimals, and with one more where rounding would move it."""
    usual, finer = (figure(limit, kind, system, more + extra) for extra in (0, 1))
    exact, unit = _number(figure(limit, kind, system, more + FULL_DIGITS))
    same = _number(usual)[1] == unit and abs(_number(usual)[0] - exact) <= ROUNDED * abs(exact)
    number, _, unit = (usual if same else finer).partition(" ")
    whole = number.rstrip("0").rstrip(".") if "." in number else number
    return f"{whole} {unit}".rstrip()


def against(value: float, limit: float, kind: str, system: str = "si") -> tuple[str, str]:
    """A value and its limit as text; digits are added until the two differ where they do."""
    texts = figure(value, kind, system), limit_figure(limit, kind, system)
    for more in range(1, FULL_DIGITS):
        if value == limit or _number(texts[0]) != _number(texts[1]):
            break
        texts = figure(value, kind, system, more), limit_figure(limit, kind, system, more)
    return texts


def say(text: str, system: str = "si") -> str:
    """A sentence with the quantities that `units.marked` left open, in a system of units."""

    def written(found: re.Match[str]) -> str:
        known = found[2] in WRITERS or found[2] in KINDS
        return limit_figure(float(found[1]), found[2], system) if known else found[0]

    return _MARK.sub(written, text)


def _text(number: float, decimals: int, unit: str) -> str:
    text = f"{number:.{max(0, decimals)}f}"
    text = text.removeprefix("-") if not text.strip("-0.") else text
    return f"{text} {unit}".rstrip()


def _number(text: str) -> tuple[float, str]:
    number, _, unit = text.partition(" ")
    return float(number), unit


def _significant(number: float, digits: int) -> int:
    """Decimals that leave a number this many digits."""
    return max(0, digits - 1 - floor(log10(abs(number)))) if number else 0


def _areal_mass(value: float, system: str) -> Written:
    if system == "si":
        grams = 1000.0 * value
        return (grams, 0, "g/m2") if abs(grams) < 999.5 else (value, 2, "kg/m2")
    ounces = in_unit(value, "areal mass", "oz/ft2")
    return (ounces, 2, "oz/ft2") if abs(ounces) < 16.0 else (ounces / 16.0, 2, "lb/ft2")


def _energy(value: float, system: str) -> Written:
    if system == "si":
        hours = value / 3.6e6
        return (hours, 0, "kWh") if abs(hours) < 99999.5 else (hours / 1000.0, 1, "MWh")
    million = value / MMBTU
    if abs(million) < 0.9995:
        return 1000.0 * million, 0, "kBtu"
    return million, _significant(million, 3), "MMBtu"


def _length(value: float, system: str) -> Written:
    if system == "si":
        return (1000.0 * value, 0, "mm") if abs(value) < 0.9995 else (value, 1, "m")
    inches = value / 0.0254
    return (inches, 1, "in") if abs(inches) < 11.95 else (inches / 12.0, 1, "ft")


def _plain(factor: float, decimals: int, unit: str, value: float, system: str) -> Written:
    return factor * value, decimals, unit


def _counted(what: str, value: float, system: str) -> Written:
    return value, 0, what if round(value) == 1 else f"{what}s"


def _converted(kind: str, si: int, ip: int, value: float, system: str) -> Written:
    number, unit = convert(value, kind, system)
    return number, si if system == "si" else ip, unit


def _air_flow(value: float, system: str) -> Written:
    number, unit = convert(value, "air flow per area", system)
    return number, _significant(number, 3 if system == "si" else 2), unit


def _stream(value: float, system: str) -> Written:
    """Air between spaces: two digits, and whole litres or cubic feet from ten on."""
    number, unit = convert(value, "air flow", system)
    return number, min(2, _significant(number, 2)), unit


def _resistance(value: float, system: str) -> Written:
    number, unit = convert(value, "resistance", system)
    return number, 1 if number < 9.95 or system == "si" else 0, unit


# What a number is written by. `leak pressure` stays in pascals: leaks are rated by them in both.
WRITERS: dict[str, Writer] = {
    "percent": partial(_plain, 100.0, 1, "%"),
    "per cent of mass": partial(_plain, 1.0, 2, "%"),
    "moisture content": partial(_plain, 100.0, 1, "%"),
    "index": partial(_plain, 1.0, 2, ""),
    "factor": partial(_plain, 1.0, 2, ""),
    "hours": partial(_plain, 1.0, 0, "h"),
    "count": partial(_plain, 1.0, 0, ""),
    "months": partial(_counted, "month"),
    "cycles": partial(_counted, "cycle"),
    "leak pressure": partial(_plain, 1.0, 0, "Pa"),
    "areal mass": _areal_mass,
    "energy": _energy,
    "length": _length,
    "air flow per area": _air_flow,
    "air flow": _stream,
    "resistance": _resistance,
    "height": lambda value, system: (
        (value, 1, "m") if system == "si" else (value / 0.3048, 0, "ft")
    ),
    "rain": lambda value, system: (value, 0, "mm") if system == "si" else (value / 25.4, 1, "in"),
    "degrees Celsius": lambda value, system: _converted(
        "temperature", 1, 1, value + _ICE_POINT, system
    ),
    "temperature": partial(_converted, "temperature", 1, 1),
}


def percent(share: float) -> str:
    """A share as whole percents, `12 %`; all and none are said only of what is all or none."""
    whole = 100.0 * share
    if 99.5 <= whole < 100.0:
        return "over 99 %"
    if 0.0 < abs(whole) < 0.05:
        return "under 0.1 %"
    return f"{whole:.1f} %" if 0.0 < abs(whole) < 0.95 else f"{whole:.0f} %"

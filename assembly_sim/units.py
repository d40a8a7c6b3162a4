"""Text with a unit to SI floats and back: one strict parser over a closed table of spellings.

The grammar is `number unit`, with what the trade writes besides: `5 1/2 in`, `8' 6"`, `R-13`,
`RSI 2.3`, a roof pitch `5:12` or `5/12` (no other fraction is one). Nothing is guessed: no unit, a
unit of another kind, a decimal comma or a word with two meanings is refused with what to write
instead.
"""

from __future__ import annotations

import re
from functools import cache
from math import atan, isfinite, prod
from typing import Any

from assembly_sim.unit_table import (
    AMBIGUOUS,
    ATOMS,
    KINDS,
    LITRE_OF_WATER,
    LOOSE,
    SHOWN,
    SYNONYMS,
)

_OFFSETS = {"K": 0.0, "degC": 273.15, "degF": 459.67}
_LONGEST = 80  # characters; more is a slip, and digits without end would cost time
_DECIMAL = r"(?:[0-9]+\.?[0-9]*|\.[0-9]+)"
_NUMBER = re.compile(rf"([+-]?{_DECIMAL}(?:[eE][+-]?[0-9]+)?)(?![0-9,.]) *(.*)", re.DOTALL)
_FRACTION = re.compile(r"([+-]?)(?:([0-9]+)(?: +|-))?([0-9]+)/([0-9]+) *(.*)", re.DOTALL)
_FEET_AND_INCHES = re.compile(
    rf"(?:({_DECIMAL}) *')?(?:(?<=') *-? *)?"
    rf"(?:(?:([0-9]+)[ -]+([0-9]+)/([0-9]+)|({_DECIMAL})) *\")?"
)
_RESISTANCE = re.compile(rf"(R-|RSI[ -]?)({_DECIMAL})")
_PITCH = re.compile(rf"({_DECIMAL}) *(?:: *({_DECIMAL})|/ *12)")
_ATOM = re.compile(r"([A-Za-z_%]+|1)([0-9.]*)")
_GLYPHS = str.maketrans({"²": "2", "³": "3", "^": "", "·": " ", "⋅": " ", "*": " ", "°": "deg"})

Unit = tuple[tuple[str, ...], tuple[str, ...]]


class UnitError(ValueError):
    """A quantity that cannot be read: `cause` says what is wrong, `cure` what would be right."""

    def __init__(self, cause: str, cure: str) -> None:
        super().__init__(f"{cause}; {cure}")
        self.cause, self.cure = cause, cure


def spellings(kind: str) -> tuple[str, ...]:
    """Units that are accepted for a kind of quantity, the model's own unit first."""
    return tuple(unit for unit in KINDS[kind] if unit)


def read(text: str, kind: str) -> float:
    """Value of a quantity written as text, in the model's unit for its kind (K, Pa, kg, m, s ...).

    >>> round(read("5 1/2 in", "length"), 4)
    0.1397
    """
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise UnitError("a quantity is needed here", _write_one_of(kind))
    plain = str(text).replace("\u2212", "-").strip()
    if len(plain) > _LONGEST:
        raise UnitError(f"'{plain[:20]}...' is too long for a quantity", _write_one_of(kind))
    value = _read_special(plain, kind)
    if value is None:
        number, unit = _split(plain, kind)
        value = _to_model_unit(number, unit, kind)
    if not isfinite(value):
        raise UnitError(f"'{plain[:40]}' is not a finite number", "write an ordinary number")
    return value


def convert(value: float, kind: str, system: str) -> tuple[float, str]:
    """A value in the model's unit as (number, unit) of a system of units, `si` or `ip`."""
    unit = _shown(kind, system)[0]
    return in_unit(value, kind, unit), unit


def in_unit(value: Any, kind: str, unit: str) -> Any:
    """A value, or an array, of the model's unit in another unit of its kind."""
    if kind == "temperature":
        return value / ATOMS[unit] - _OFFSETS[unit]
    return value / _factor(unit, kind)


def show(value: float, kind: str, system: str) -> str:
    """A value in the model's unit as text to print, `0.250 W/(m2 K)`."""
    number, unit = convert(value, kind, system)
    return f"{number:{_shown(kind, system)[1]}} {unit}"


def marked(value: float, kind: str) -> str:
    """A quantity inside a sentence made before its reader's units are known (`words.say`)."""
    return f"{{{float(value)!r} {kind}}}"


def to_si(quantity: Any, kind: str) -> float:
    """A text, or a `pint.Quantity` of any registry, in the model's unit for its kind.

    UnitError (a ValueError) with cause and cure for what is no such quantity, or no kind.
    """
    if kind not in KINDS:
        raise UnitError(f"'{kind}' is no kind of quantity", f"one of {', '.join(sorted(KINDS))}")
    if isinstance(quantity, str | int | float):
        return read(quantity, kind)  # type: ignore[arg-type]
    import pint

    if not isinstance(quantity, pint.Quantity):
        raise UnitError("a text with a unit or a pint quantity is needed", _write_one_of(kind))
    _refuse_other_temperature(str(quantity.units), kind)
    try:
        value = float(quantity.to(_pint_name(KINDS[kind][0])).magnitude)
    except (pint.PintError, TypeError) as problem:
        cause = f"'{quantity.units}' does not measure {kind}"
        raise UnitError(cause, _write_one_of(kind)) from problem
    if not isfinite(value):
        raise UnitError(f"'{quantity}' is not a finite number", "give an ordinary number")
    return value


def _shown(kind: str, system: str) -> tuple[str, str]:
    return SHOWN[kind][("si", "ip").index(system)]


def _refuse_other_temperature(unit: str, kind: str) -> None:
    """A temperature is never taken for a difference of temperatures, nor the reverse."""
    offset = unit in ("degree_Celsius", "degree_Fahrenheit")
    if kind == "temperature difference" and offset:
        raise UnitError(f"'{unit}' is a temperature, not a difference", "use delta_degC or K")
    if kind == "temperature" and unit.startswith("delta_"):
        raise UnitError(f"'{unit}' is a difference, not a temperature", "use degC or K")


def _pint_name(spelling: str) -> str:
    """The model's unit in words that a pint registry reads."""
    above, below = _parse(spelling) if spelling else ((), ())
    power = re.compile(r"(?<=[A-Za-z])([0-9.]+)")
    names = [[power.sub(r"**\1", atom) for atom in side] for side in (above, below)]
    names = [[{"h": "hour"}.get(name, name) for name in side] for side in names]
    return "*".join(names[0] or ["dimensionless"]) + "".join(f"/{name}" for name in names[1])


def _write_one_of(kind: str) -> str:
    units = spellings(kind)
    return f"write a number and a unit, one of {', '.join(units)}"


def _read_special(text: str, kind: str) -> float | None:
    """What the trade writes without a plain unit, or None."""
    if kind == "resistance" and (match := _RESISTANCE.fullmatch(text)):
        unit = "h ft2 degF/Btu" if match[1] == "R-" else "m2 K/W"
        return float(match[2]) * _factor(unit, kind)
    if kind == "angle" and (match := _PITCH.fullmatch(text)) and float(match[2] or 12) > 0:
        return atan(float(match[1]) / float(match[2] or 12))
    if kind == "length" and text and (match := _FEET_AND_INCHES.fullmatch(text)):
        feet, whole, above, below, inches = match.groups(default="0")
        part = _fraction(int(whole), int(above), int(below)) if match[4] else float(inches)
        return float(feet) * ATOMS["ft"] + part * ATOMS["in"]
    if kind == "angle":
        _refuse_pitch_and_compass(text)
    if re.match(r"[RU] ?-? ?[0-9]", text):
        raise UnitError(f"'{text}' does not say its unit", _rating_cure(text, kind))
    return None


def _refuse_pitch_and_compass(text: str) -> None:
    """What people write for an angle beside a number and a unit."""
    if re.fullmatch(r"[0-9.]+ */ *[0-9.]+", text):
        raise UnitError(f"'{text}' may be a fraction", "write a roof pitch as 6:12")
    if re.fullmatch(r"(north|south|east|west|[nsew])+", re.sub(r"[ -]", "", text.lower())):
        cure = 'write degrees clockwise from north: "90 deg" is east, "180 deg" south'
        raise UnitError(f"'{text}' is a word", cure)


def _rating_cure(text: str, kind: str) -> str:
    if kind == "resistance":
        return "write R-13 (h ft2 degF/Btu), RSI 2.3 (m2 K/W), or a number and a unit"
    return _write_one_of(kind)


def _fraction(whole: int, above: int, below: int) -> float:
    if below == 0 or above >= below:
        raise UnitError(f"'{above}/{below}' is not a proper fraction", "write 5 1/2 in or 5.5 in")
    return whole + above / below


def _split(text: str, kind: str) -> tuple[float, str]:
    """Number and unit of a text, or why it has none."""
    if kind in ("length", "area", "opening area", "volume") and (
        match := _FRACTION.fullmatch(text)
    ):
        sign = -1.0 if match[1] == "-" else 1.0
        number = _fraction(int(match[2] or 0), int(match[3]), int(match[4]))
        return sign * number, match[5].strip()
    if match := _NUMBER.fullmatch(text):
        return float(match[1]), match[2].strip()
    if re.match(r"[+-]?[0-9.]*,[0-9]", text):
        cure = "write the decimal mark as a point and no mark between thousands"
        raise UnitError(f"'{text[:40]}' has a comma in its number", cure)
    raise UnitError(f"'{text[:40]}' does not start with a number", _write_one_of(kind))


def _to_model_unit(number: float, unit: str, kind: str) -> float:
    known = _known(unit, kind)
    if known == "%":
        return number / 100.0  # exact where a product with 0.01 is not
    if kind != "temperature":
        return number * _factor(known, kind)
    kelvin = (number + _OFFSETS[known]) * ATOMS[known]
    if kelvin < 0.0:
        raise UnitError(f"{number:g} {unit} is below absolute zero", "write a real temperature")
    return kelvin


def _known(unit: str, kind: str) -> str:
    """The table's spelling of a unit as written, or why it is not accepted."""
    if found := _index(kind).get(_parse(unit)):
        return found
    if unit == "" and kind == "fraction":
        return ""
    if not unit:
        raise UnitError("the number has no unit", _write_one_of(kind))
    for word in re.findall(r"[A-Za-z]+", unit):
        if word in AMBIGUOUS:
            raise UnitError(f"'{unit}' has more than one meaning", AMBIGUOUS[word])
    others = [other for other in KINDS if _parse(unit) in _index(other)]
    if others:
        raise UnitError(f"'{unit}' measures {others[0]}, not {kind}", _write_one_of(kind))
    raise UnitError(f"unit '{unit[:40]}' is not known", _write_one_of(kind))


@cache
def _index(kind: str) -> dict[Unit, str]:
    return {_parse(unit): unit for unit in KINDS[kind] if unit}


def _parse(unit: str) -> Unit:
    """Atoms above and below the stroke, sorted, so that the order of factors does not matter."""
    plain = re.sub(r"\bsqrt\(([a-z]+)\)", r"\g<1>0.5", " ".join(unit.split()))
    plain = re.sub(r"\b(US|EC|imp|imperial|short|long) (?=[a-z])", r"\1_", plain)
    plain = " ".join(plain.replace("**", "").translate(_GLYPHS).split()).replace(" /", "/")
    plain = LOOSE.get(plain.replace("/ ", "/"), plain.replace("/ ", "/"))
    whole = " ".join(_expand(word) for word in re.split(r"([ /()])", plain) if word.strip())
    shape = re.fullmatch(r"([^/()]+)(?:/ ([^ /()]+|\( [^/()]+ \)))?", whole.replace(" / ", "/ "))
    if shape is None:  # no shape the table has: kept whole, so that it is found nowhere
        return (whole,), ()
    above, below = (sorted((part or "").strip("() ").split()) for part in shape.groups())
    return tuple(above), tuple(below)


def _expand(word: str) -> str:
    match = _ATOM.fullmatch(word)
    return SYNONYMS.get(match[1], match[1]) + match[2] if match else word


@cache
def _factor(unit: str, kind: str) -> float:
    """Size of a unit in the model's unit of its kind."""
    if unit in LITRE_OF_WATER:
        return 1000.0 * _size(unit)
    return _size(unit) / _size(KINDS[kind][0])


def _size(unit: str) -> float:
    above, below = _parse(unit) if unit else ((), ())
    return prod(_atom_size(atom) for atom in above) / prod(_atom_size(atom) for atom in below)


def _atom_size(atom: str) -> float:
    match = _ATOM.fullmatch(atom)
    if match is None:
        raise KeyError(atom)
    return float(ATOMS[match[1]] ** float(match[2] or 1))

"""Openings as people write them: `1/4 in x 36 in`, `3 in round`, `20 cm2`, `recessed light`."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.words import nearest
from assembly_sim.model.opening import (
    FreeArea,
    Gap,
    LeakageArea,
    MeasuredFlow,
    RoundHole,
    SizedShape,
    SquareHole,
)
from assembly_sim.units import UnitError, read

FORMS = (
    'write "1/4 in x 36 in" (width x length), "3 in round", "3 in square", "20 cm2", '
    '"20 cm2 at 4 Pa" (effective leakage area), "100 cfm at 50 Pa", or the name of a preset '
    "(`assembly-sim hole` lists them)"
)
_TIMES = re.compile(r"(\d+) *(?:x|×|times) +(?=[A-Za-z])", re.IGNORECASE)
_BY = re.compile(r" *(?:\bx\b|(?<=[\d\"' ])x(?=[\d ])|×| by ) *")
_HOLE = re.compile(r"(.+?) +(round|square)(?: +hole)?")
_AT = re.compile(r"(.+?) +at +(.+)")


@dataclass(frozen=True)
class Preset:
    """A part that nobody measures: leakage areas (m2 each, or per m where `per_length`).

    `tight` is None where no figure is known, `tightened` says what makes it so.
    """

    name: str
    also: tuple[str, ...]
    leaky: float
    tight: float | None
    tightened: str
    source: str
    per_length: bool


@dataclass(frozen=True)
class Hole:
    """An opening as written: its shape, and the preset behind it if any."""

    text: str
    shape: SizedShape
    preset: Preset | None = None


@cache
def presets() -> Mapping[str, Preset]:
    """The shipped presets by name."""
    text = files("assembly_sim.files.opening").joinpath("presets.toml").read_text(encoding="utf-8")
    return {name: _preset(name, table) for name, table in tomllib.loads(text).items()}


def _preset(name: str, table: Mapping[str, Any]) -> Preset:
    tight = table.get("tight")
    per = read(table["per"], "length") if "per" in table else 1.0
    return Preset(
        name=name,
        also=tuple(table["also"]),
        leaky=read(table["leaky"], "opening area") / per,
        tight=None if tight is None else read(tight, "opening area") / per,
        tightened=table.get("tightened", ""),
        source=table["source"],
        per_length="per" in table,
    )


def read_hole(text: str) -> Hole:
    """An opening from its text; InputError with what may be written. Several: `6 x outlet`."""
    plain = " ".join(text.split())
    try:
        if found := _TIMES.match(plain):
            return _from_preset(plain, plain[found.end() :], float(found[1]))
        shape = _shape(plain)
        return _from_preset(plain, plain, 1.0) if shape is None else Hole(plain, shape)
    except UnitError as error:
        raise _refused(plain, error.cause, error.cure) from None
    except InputError as error:  # of a description: the ranges name no text
        raise InputError(*(_renamed(problem, plain) for problem in error.problems)) from None


def _shape(plain: str) -> SizedShape | None:
    """The shape of a text that begins with a number, None of one that begins with a word."""
    if not re.match(r"[-+.\d]", plain):
        return None
    if found := _HOLE.fullmatch(plain):
        across = read(found[1], "length")
        return RoundHole(across) if found[2] == "round" else SquareHole(across)
    if found := _AT.fullmatch(plain):
        return _at_pressure(found[1], read(found[2], "pressure"))
    sides = _BY.split(plain)
    if len(sides) == 2:
        return Gap(*sorted(read(_inches(side), "length") for side in sides))
    if len(sides) > 2:
        raise UnitError("it has more than two sides", FORMS)
    try:
        return FreeArea(read(plain, "opening area"))
    except UnitError as error:
        raise UnitError(error.cause, FORMS) from None


def _inches(side: str) -> str:
    """`1/4"` in the form that quantities have; feet and inches together have their own."""
    return side if "'" in side else side.replace('"', " in")


def _at_pressure(text: str, pressure: float) -> SizedShape:
    """A leakage area (at 4 Pa) or a measured flow, told by its unit."""
    try:
        area = read(text, "opening area")
    except UnitError:
        return MeasuredFlow(read(text, "air flow"), pressure)
    if abs(pressure - 4.0) > 1e-9:
        raise UnitError("effective leakage areas are at 4 Pa", "give one at 4 Pa, or a flow")
    return LeakageArea(area)


def _from_preset(text: str, words: str, count: float) -> Hole:
    """A preset by name, `, tight` and a length after it: `double-hung sash, tight, 4 m`."""
    name, *rest = (part.strip() for part in words.split(","))
    preset = named(name)
    tight = "tight" in rest
    if tight and "leaky" in rest:
        raise _refused(text, "it is said to be tight and leaky", "keep one of the two")
    lengths = [read(part, "length") for part in rest if part not in ("tight", "leaky")]
    if len(lengths) != preset.per_length:
        cure = f'write "{preset.name}, 4 m"' if preset.per_length else f'write "{preset.name}"'
        raise _refused(text, f"'{preset.name}' is counted by {_measure(preset)}", cure)
    if tight and preset.tight is None:
        raise _refused(text, f"no figure is known for a tight {preset.name}", "give its size")
    each = preset.tight if tight and preset.tight is not None else preset.leaky
    return Hole(text, LeakageArea(each * count * (lengths[0] if lengths else 1.0)), preset)


def named(name: str) -> Preset:
    """The preset of a name of the trade, singular or plural; InputError with close ones."""
    known = {word: one for one in presets().values() for word in (one.name, *one.also)}
    low = name.lower()
    found = known.get(low) or known.get(low.removesuffix("s")) or known.get(low.removesuffix("es"))
    if found is None:
        raise _refused(name, "no opening is read from this", nearest(name, known) or FORMS)
    return found


def _measure(preset: Preset) -> str:
    return "its length" if preset.per_length else "number"


def _renamed(problem: Problem, text: str) -> Problem:
    return problem if problem.field == text else Problem(problem.cause, problem.cure, field=text)


def _refused(text: str, cause: str, cure: str) -> InputError:
    return InputError(Problem(cause, cure, field=text[:80]))

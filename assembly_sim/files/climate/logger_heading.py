"""Headings of a logger's table: what a column is called, and what it is measured in.

One rule. A heading is a name and, where it tells one, a unit: in brackets at its end
(`RH (%)`, `Temp [degC]`), after its last comma or slash (`Temp, °C`), or as its last word where
that is plainly one (`temperature degC`, `humidity %`; a lone C, F or K is a letter, not a unit).
A column is named by its whole heading or by the name in it, capitals aside.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

SPELLINGS = {
    "degC": ("degc", "c", "celsius", "degcelsius"),
    "degF": ("degf", "f", "fahrenheit", "degfahrenheit"),
    "K": ("k", "kelvin"),
    "%": ("%", "%rh", "rh%", "percent", "pct"),
    "1": ("1", "0-1", "-"),
}
_UNITS = {spelling: unit for unit, known in SPELLINGS.items() for spelling in known}
_BRACKETS = re.compile(r"(.*?)\s*[(\[]([^()\[\]]*)[)\]]")
_AFTER = re.compile(r"(.*)[,/]([^,/]*)")
_LAST_WORD = re.compile(r"(.*)\s(\S{2,}|%)")
_STAMP_WORDS = {"date", "time", "datetime", "timestamp"}


def unit_of(text: str) -> str | None:
    """Our spelling of a unit as loggers write it, None where it is none we know."""
    plain = re.sub(r"[\s.]+", "", text.lower().replace("°", "deg").replace("º", "deg"))
    return _UNITS.get(plain)


def name_and_unit(heading: str) -> tuple[str, str | None]:
    """The name in a heading and its unit, None where it tells none."""
    for pattern in (_BRACKETS, _AFTER, _LAST_WORD):
        match = pattern.fullmatch(heading.strip())
        if match and match[1].strip() and unit_of(match[2]):
            return match[1].strip(), unit_of(match[2])
    return heading.strip(), None


def columns_called(column: str, headings: Sequence[str]) -> list[int]:
    """Positions of the columns that a name means: by whole heading first, then by its name."""
    wanted = column.strip().casefold()
    whole = [i for i, heading in enumerate(headings) if heading.strip().casefold() == wanted]
    by_name = [i for i, h in enumerate(headings) if name_and_unit(h)[0].casefold() == wanted]
    return whole or by_name


def stamp_columns(headings: Sequence[str], beside: int) -> list[int]:
    """Positions of the columns that hold time stamps `beside` a column: one, or date and time."""
    words = [set(re.split(r"[^a-z]+", heading.lower())) for heading in headings]
    found = [i for i, each in enumerate(words) if each & _STAMP_WORDS and i != beside]
    return found[:2] if found and not {"date", "time"} <= words[found[0]] else found[:1]

"""A case written as a file that reads back to an equal case, and so to the same run.

Materials that are not in the shipped table, or differ from it, stand in the file; hourly columns of
the room in a CSV beside it. Weather is named: a case cannot hold it. What was written is read again
and compared before it takes its place, so a file that says something else is never left behind.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import fields
from hashlib import sha256
from pathlib import Path
from typing import Any

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.case.base import LISTS
from assembly_sim.files.case.describe import RULES, Columns, Table, tables_of
from assembly_sim.files.case.read import read_case
from assembly_sim.files.climate.read import find_climate, shipped_climates
from assembly_sim.files.output import whole_file
from assembly_sim.model import Case, ColumnOfFile

_UNIT = {"temperature": "K", "humidity": "1"}


def write_case(case: Case, path: str | Path, climate: str | None = None) -> None:
    """Write a case as TOML, whole or not at all.

    `climate` is the file of the case's weather, relative to `path`; it may be left out where the
    weather is shipped. Hourly columns of the room go into `NAME.room.csv` beside it. Raises
    InputError for what no case file can say, OSError where the place cannot be written.
    """
    target = Path(path)
    hourly = _hourly(case)
    named = climate or _shipped_name(case)
    beside = target.with_suffix(".room.csv")
    with ExitStack() as places:
        part = places.enter_context(whole_file(target))
        table = places.enter_context(whole_file(beside)) if hourly else beside
        if hourly:
            table.write_text(_columns(hourly), encoding="utf-8")
        for trial in (True, False):
            tables = tables_of(case, named, _rules(hourly, (table if trial else beside).name))
            part.write_text(_unsaid(case) + toml_text(tables), encoding="utf-8")
            if trial:
                _refuse_other(case, part)


def _unsaid(case: Case) -> str:
    """What the case left to the defaults, as comments: in the file all of it is stated."""
    notes = [f"#   {' '.join(note.split())}\n" for note in case.unstated]
    heading = "# Stated below, but left to the defaults before:\n"
    return "".join([heading, *notes, "\n"]) if notes else ""


def _shipped_name(case: Case) -> str:
    """Name of the shipped climate whose file the case's weather was read from."""
    for name in shipped_climates():
        if sha256(find_climate(name).read_bytes()).hexdigest() == case.climate.source_sha256:
            return name
    cause = f"'{case.climate.name[:60]}' is none of the weather that is shipped"
    cure = "give climate= the path of its file, from the folder of the case that is written"
    raise InputError(Problem(cause, cure, field="climate"))


Hourly = dict[tuple[str, str], tuple[str, ColumnOfFile]]
"""Headings and values of hourly columns, by room and entry."""


def _hourly(case: Case) -> Hourly:
    """The hourly columns of the rooms: `humidity` of the first, `humidity 2` of the second."""
    found: Hourly = {}
    for number, room in enumerate(case.rooms, 1):
        for entry in RULES:
            rule = getattr(room, entry)
            if isinstance(rule, ColumnOfFile):
                found[room.name, entry] = (f"{entry} {number}" if number > 1 else entry, rule)
    return found


def _rules(hourly: Hourly, file: str) -> Columns:
    return {
        (room, entry): {"file": file, "column": heading, "unit": _UNIT[entry]}
        for (room, entry), (heading, _) in hourly.items()
    }


def _columns(hourly: Hourly) -> str:
    headings = [heading for heading, _ in hourly.values()]
    rows = zip(*(rule.values for _, rule in hourly.values()))
    text = (",".join(repr(value) for value in row) for row in rows)
    return "\n".join([",".join(headings), *text]) + "\n"


def _refuse_other(case: Case, written: Path) -> None:
    """InputError unless the written file reads back to an equal case."""
    try:
        again = read_case(written)
    except InputError as error:
        found = [
            Problem(f"a case file cannot say this: {one.cause}", one.cure, field=one.field)
            for one in error.problems
        ]
        raise InputError(*found) from None
    for one in fields(case):
        if one.compare and getattr(again, one.name) != getattr(case, one.name):
            cause = "a case file cannot say this to the last digit, so the run would be another"
            cure = _CURES.get(one.name, "keep it in Python, or round its numbers")
            raise InputError(Problem(cause, cure, field=one.name))


_CURES = {"climate": "name the file that holds the case's own weather, unchanged"}


def toml_text(tables: Table) -> str:
    """Tables as TOML, entries before tables, lists of tables as [[name]]."""
    return "\n".join(_lines(tables, ())).lstrip("\n") + "\n"


def _lines(table: Table, path: tuple[str, ...]) -> Iterator[str]:
    below = {key: value for key, value in table.items() if _stands_below(key, value, path)}
    for key, value in table.items():
        if key not in below:
            yield f"{_key(key)} = {_value(value)}"
    for key, value in below.items():
        heading = ".".join(_key(part) for part in (*path, key))
        for one in value if isinstance(value, list) else [value]:
            yield ""
            yield f"[[{heading}]]" if isinstance(value, list) else f"[{heading}]"
            yield from _lines(one, (*path, key))


def _stands_below(key: str, value: Any, path: tuple[str, ...]) -> bool:
    """Whether an entry gets a heading of its own: the tables that a person writes so."""
    if isinstance(value, list):
        return key in ("assembly", "layer", *LISTS)
    return isinstance(value, dict) and (not path or path == ("materials",) or key == "sources")


def _key(key: str) -> str:
    bare = key.isascii() and key.replace("_", "").replace("-", "").isalnum()
    return key if bare else json.dumps(key, ensure_ascii=False)


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_value(one) for one in value) + "]"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return str(value).lower() if isinstance(value, bool) else repr(value)

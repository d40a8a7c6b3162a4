"""A column of values that the user brings for the room: a logger's CSV with a heading.

Rows stand at their time stamps where the table has them (`logger_stamps`); else there is one an
hour of the climate, from its first, and that is said. A blank cell is a missing value.
"""

from __future__ import annotations

import csv
import pathlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.case.lines import Path
from assembly_sim.files.case.text import CaseText
from assembly_sim.files.climate.gaps import fill, gaps
from assembly_sim.files.climate.logger_heading import columns_called, name_and_unit, stamp_columns
from assembly_sim.files.climate.logger_stamps import Aligned, ProblemOf, align, read_stamps
from assembly_sim.files.climate.rows import (
    LONGEST_GAP,
    LONGEST_QUOTE,
    Array,
    decode,
    number,
    quoted,
    separators_cure,
)
from assembly_sim.files.plain_file import read_plain
from assembly_sim.model import Climate, ColumnOfFile
from assembly_sim.model.ranges import RANGES, bounds
from assembly_sim.units import read

if TYPE_CHECKING:
    from assembly_sim.files.case.room import ColumnText

LARGEST_FILE = 50_000_000  # bytes; a year of minutes has some twenty million
_KINDS = {"temperature": "temperature", "humidity": "fraction"}
UNITS = {"temperature": ("degC", "degF", "K"), "humidity": ("%", "1")}


@dataclass(frozen=True)
class Rows:
    """A table as text: its file, its headings, and each row's line and cells."""

    file: str
    headings: list[str]
    lines: list[int]
    cells: list[list[str]]


def read_column(text: ColumnText, at: Path, climate: Climate, source: CaseText) -> ColumnOfFile:
    """Values of the column, K or 0-1, one an hour of the climate; `at` leads to the room's entry.

    Raises InputError.
    """
    entry, place = str(at[-1]), (*at, "file")
    file = str(pathlib.Path(source.place(place).file).parent / text.file)
    if not pathlib.Path(file).exists():
        cure = "give a path relative to the case"
        raise InputError(source.problem(place, f"there is no file '{text.file}'", cure))
    table = _table(file)
    column = _position(text, at, table, source)
    unit = _unit(text, at, table, column, source)
    values = _values(table, column, unit, entry)
    aligned = _aligned(table, values, climate, column)
    said = f"room {entry} by {text.file}"
    notes = tuple(f"{said}: {note}" for note in aligned.notes)
    return ColumnOfFile(tuple(aligned.values.tolist()), text.file, notes)


def _table(file: str) -> Rows:
    """Headings and rows of a CSV file; a row with more cells than the heading is refused."""
    data = read_plain(pathlib.Path(file), LARGEST_FILE, "a logger's table")
    if not data.strip():
        raise InputError(Problem("the file is empty", "give a table with a heading", file))
    lines, _ = decode(data, file)
    reader = csv.reader(lines)
    found = list(_read_rows(reader, file))
    headings = [heading.strip() for heading in found[0][1]]
    body = [(line, row) for line, row in found[1:] if row]
    while body and len(body[-1][1]) > 1 and not any(cell.strip() for cell in body[-1][1]):
        body.pop()  # spreadsheets leave rows of nothing but commas at the end
    for line, row in body:
        if len(row) > len(headings):
            cause = f"the row has {len(row)} fields, the heading {len(headings)}"
            cure = separators_cure(
                ",".join(headings), "write decimals with a point, and every row under its heading"
            )
            raise InputError(Problem(cause, cure, file, line))
    return Rows(file, headings, [line for line, _ in body], [row for _, row in body])


def _read_rows(reader: Iterator[list[str]], file: str) -> Iterator[tuple[int, list[str]]]:
    try:
        for row in reader:
            yield reader.line_num, row  # type: ignore[attr-defined]
    except csv.Error:
        cause, cure = "this row is no line of a table", "see that its quotes are closed"
        line = reader.line_num  # type: ignore[attr-defined]
        raise InputError(Problem(cause, cure, file, line)) from None


def _position(text: ColumnText, at: Path, table: Rows, source: CaseText) -> int:
    """Place of the column that the case names."""
    place = (*at, "column")
    found = columns_called(text.column, table.headings)
    shown = ", ".join(heading[:LONGEST_QUOTE] for heading in table.headings[:8])
    if not found:
        cure = separators_cure(",".join(table.headings), f"its columns are {shown}")
        cause = f"'{text.file}' has no column '{text.column}'"
        raise InputError(source.problem(place, cause, cure))
    if len(found) > 1:
        cause = f"'{text.file}' has {len(found)} columns '{text.column}'"
        raise InputError(source.problem(place, cause, f"give a whole heading: {shown}"))
    return found[0]


def _unit(text: ColumnText, at: Path, table: Rows, column: int, source: CaseText) -> str:
    """The unit of the column: the case's, or its heading's; both must agree, and fit the entry."""
    entry, place = str(at[-1]), (*at, "unit" if text.unit else "column")
    told = name_and_unit(table.headings[column])[1]
    unit = text.unit or told
    cure = f"write unit as one of {', '.join(UNITS[entry])}"
    if unit is None:
        cause = f"the column's heading {quoted(table.headings[column])} tells no unit"
    elif told and unit != told:
        cause = f"the column is in {told} by its heading, in {unit} by the case"
    elif unit not in UNITS[entry]:
        cause = f"{unit} does not measure {entry}"
    else:
        return unit
    raise InputError(source.problem(place, cause, cure))


def _values(table: Rows, column: int, unit: str, entry: str) -> Array:
    """The column in the model's unit, NaN where a cell is blank; the first impossible one named."""
    name = table.headings[column]
    cells = [row[column].strip() if column < len(row) else "" for row in table.cells]
    raw = [
        number(cell, table.file, line, name) if cell else np.nan
        for cell, line in zip(cells, table.lines, strict=True)
    ]
    spelling = "" if unit == "1" else unit
    zero, one = (read(f"{each} {spelling}", _KINDS[entry]) for each in (0, 1))
    values = zero + (one - zero) * np.array(raw, dtype=float)
    span = f"hourly room {entry}"
    wrong = np.array([np.isfinite(value) and not RANGES[span].holds(value) for value in values])
    if wrong.any():
        row = int(np.argmax(wrong))
        cause = f"{quoted(cells[row])} {spelling} is no possible {entry}"
        cure = f"correct the file or its unit, {bounds(span)}; a blank cell is a missing value"
        raise InputError(Problem(cause, cure, table.file, table.lines[row], name))
    known = values[np.isfinite(values)]
    _refuse_mean(float(known.mean()) if len(known) else np.nan, unit, entry, name, table.file)
    return values


def _refuse_mean(mean: float, unit: str, entry: str, name: str, file: str) -> None:
    """A whole column in another unit may pass hour by hour; its mean does not."""
    if np.isnan(mean) or RANGES[f"room {entry}"].holds(mean):
        return
    shown = f"{mean - 273.15:.1f} degC" if entry == "temperature" else f"{100.0 * mean:.2g} %"
    cause = f"the column's mean would be {shown}: no possible {entry} of a room"
    raise InputError(Problem(cause, f"correct its unit, now '{unit}'", file, field=name))


def _aligned(table: Rows, values: Array, climate: Climate, column: int) -> Aligned:
    """The column at the hours of the climate, by stamps or by its rows' order."""
    name = table.headings[column]

    def problem(cause: str, cure: str) -> Problem:
        return Problem(cause, cure, table.file, None, name)

    def problem_at(at: str, row: int, cause: str, cure: str) -> Problem:
        return Problem(cause, cure, table.file, table.lines[row], at)

    where = stamp_columns(table.headings, column)
    texts = [" ".join(row[i].strip() for i in where if i < len(row)) for row in table.cells]
    if not where or _counts(texts):
        return _in_order(values, climate, problem)
    at = " ".join(table.headings[i] for i in where)
    stamps = read_stamps(texts, climate.time_zone, partial(problem_at, at))
    return align(stamps, values, climate, problem)


def _counts(texts: list[str]) -> bool:
    """Whether stamps only number the rows, 1, 2, 3, or from 0."""
    return texts in ([str(i + first) for i in range(len(texts))] for first in (0, 1))


def _in_order(values: Array, climate: Climate, problem: ProblemOf) -> Aligned:
    """Rows as the hours of the climate in order; short gaps filled."""
    hours = climate.hours
    if len(values) != hours:
        cure = f"give {hours} rows, one an hour of the climate, or a column of time stamps"
        raise InputError(problem(f"the file has {len(values)} rows", cure))
    missing = gaps(np.isnan(values))
    if any(length > LONGEST_GAP for _, length in missing):
        cause = f"{max(length for _, length in missing)} cells in a row are blank"
        raise InputError(problem(cause, f"gaps up to {LONGEST_GAP} h are filled"))
    first = "hour of January" if climate.wraps else "hour of the window"
    notes = [f"without time stamps its first row counts as the first {first}"]
    if missing:
        count = sum(length for _, length in missing)
        notes.append(f"{count} missing hours are filled between neighbours")
    return Aligned(fill(values, wraps=climate.wraps), tuple(notes))

"""A column of hourly values that the user brings for the room: CSV with a heading."""

from __future__ import annotations

import csv
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.case_text import CaseText, read_text
from assembly_sim.model import ColumnOfFile
from assembly_sim.model.ranges import RANGES, bounds
from assembly_sim.units import UnitError, read

if TYPE_CHECKING:
    from assembly_sim.files.case_room import ColumnText

_KINDS = {"temperature": "temperature", "humidity": "fraction"}


def read_column(text: ColumnText, entry: str, hours: int, source: CaseText) -> ColumnOfFile:
    """Values of the column, K or 0-1, one an hour of the climate. Raises InputError."""
    place = ("room", entry, "file")
    file = str(Path(source.place(place).file).parent / text.file)
    if not Path(file).is_file():
        cure = "give a path relative to the case"
        raise InputError(source.problem(place, f"there is no file '{text.file}'", cure))
    rows = list(csv.reader(StringIO(read_text(file))))
    headings = [heading.strip() for heading in rows[0]] if rows else []
    if text.column not in headings:
        cure = f"its columns are {', '.join(headings)[:200]}"
        cause = f"'{text.file}' has no column '{text.column}'"
        raise InputError(source.problem(("room", entry, "column"), cause, cure))
    body = [(line, row) for line, row in enumerate(rows[1:], start=2) if row]
    if len(body) != hours:
        cure = f"give {hours} rows, one an hour of the climate"
        raise InputError(Problem(f"the file has {len(body)} rows", cure, file, field=text.column))
    column = headings.index(text.column)
    values = tuple(_value(row, column, line, text, entry, file) for line, row in body)
    _refuse_mean(sum(values) / hours, entry, text, file)
    return ColumnOfFile(values, text.file)


def _refuse_mean(mean: float, entry: str, text: ColumnText, file: str) -> None:
    """A whole column in another unit may pass hour by hour; its mean does not."""
    if RANGES[f"room {entry}"].holds(mean):
        return
    shown = f"{mean - 273.15:.1f} degC" if entry == "temperature" else f"{100.0 * mean:.2g} %"
    cause = f"the column's mean would be {shown}: no possible {entry} of a room"
    cure = f"correct its unit, now '{text.unit}'"
    raise InputError(Problem(cause, cure, file, field=text.column))


def _value(
    row: list[str], column: int, line: int, text: ColumnText, entry: str, file: str
) -> float:
    """One cell in the model's unit, or an InputError with its line."""
    cell = row[column].strip() if column < len(row) else ""
    unit = "" if text.unit == "1" else text.unit
    try:
        value = read(f"{cell} {unit}", _KINDS[entry])
    except UnitError as error:
        raise InputError(Problem(error.cause, error.cure, file, line, text.column)) from None
    if not RANGES[f"hourly room {entry}"].holds(value):
        cause = f"'{cell} {unit}' is no possible {entry}"
        cure = f"correct the file or its unit: {bounds(f'hourly room {entry}')}"
        raise InputError(Problem(cause, cure, file, line, text.column))
    return value

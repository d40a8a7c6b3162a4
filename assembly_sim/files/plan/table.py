"""The user's own table of points: rows in the plan, or a CSV file beside it."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.case.text import CaseText
from assembly_sim.files.plain_file import read_plain
from assembly_sim.files.plan.schema import PlanFile
from assembly_sim.files.words import nearest

LARGEST = 100_000_000  # bytes of a table of points


def rows_of(told: PlanFile, source: CaseText) -> list[list[Any]]:
    """Values of each row in the order of the factors; none where the plan has no table."""
    if told.rows is None:
        return []
    if isinstance(told.rows, str):
        file = Path(source.file).parent / told.rows
        if not file.exists():
            cause = f"there is no table of points '{told.rows[:80]}'"
            raise InputError(source.problem(("rows",), cause, "name a CSV file beside the plan"))
        return _from_csv(file, [one.name for one in told.factor])
    for number, row in enumerate(told.rows):
        if len(row) != len(told.factor):
            cause = f"row {number + 1} has {len(row)} values for {len(told.factor)} factors"
            raise InputError(source.problem(("rows",), cause, "give one for each"))
    return told.rows


def _from_csv(file: Path, names: list[str]) -> list[list[Any]]:
    """Rows of a file whose heading names every factor; further columns are not taken."""
    try:
        text = read_plain(file, LARGEST, "a table of points").decode("utf-8-sig")
        heading, *lines = list(csv.reader(text.splitlines()))
    except (UnicodeDecodeError, ValueError, csv.Error) as error:
        if isinstance(error, InputError):
            raise
        raise InputError(
            Problem("is no table", "write a heading and rows, commas between", str(file))
        ) from None
    heading = [one.strip() for one in heading]
    for name in names:
        if heading.count(name) != 1:
            cause = f"the heading has {heading.count(name)} columns called '{name}'"
            cure = nearest(name, heading) or "name each factor once"
            raise InputError(Problem(cause, cure, str(file), 1))
    columns = [heading.index(name) for name in names]
    rows = []
    for number, line in enumerate(lines, start=2):
        if not any(line):
            continue
        if len(line) != len(heading):
            cause = f"{len(line)} values under {len(heading)} headings"
            raise InputError(Problem(cause, "give one each", str(file), number))
        rows.append([_plain(line[column].strip()) for column in columns])
    return rows


def _plain(text: str) -> Any:
    """A bare number as such, as in TOML; all else is text."""
    try:
        return float(text)
    except ValueError:
        return text

"""The tables of a page as files: one for each, comma-separated, more digits than are printed."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

from assembly_sim.files.output import whole_file
from assembly_sim.model import Case
from assembly_sim.report.compare.tables import AT_ONCE
from assembly_sim.report.page.content import Cell, DataTable, Page, tables_of


def named_tables(page: Page) -> Iterator[tuple[str, DataTable]]:
    """Every table with the name of its file, `report_part_1_humidity.csv`."""
    for section in page.sections:
        stem = section.anchor.replace("-", "_")
        for table in tables_of(section):
            yield f"report_{stem}_{table.name}.csv", table


BY_PART = {
    "part": (
        *("layers", "humidity", "wet_hours", "growth", "autumn_water", "dew_margin"),
        *("heat", "limits", "camera", "survey_hours"),
    ),
    "numbers": ("energy", "checks", "nothing_found", "not_checked", "planes", "balances"),
}
SHARED = ("overview_overview", "basis_thresholds", "basis_sources", "basis_provenance")
HOUSE = ("house_heat", "house_air", "house_holes", "house_zones")

OPTIONS = "options.csv"
"""Of a comparison: a row for each part of each option."""
COMPARED = (
    *("answer_margin_saving", "options_energy_by_part", "options_saving_cost", "options_courses"),
    *("options_heat", "options_money", "options_house_openings_as_found", "basis_inputs"),
)
COMPARED_IN_PARTS = ("out_of_the_rooms", "out_of_the_house", "where_heat_comes_in")
"""Those that hold some options beside each other, and begin anew with more."""


def compared_names(options: int) -> list[str]:
    """Names of all files that may be written for a comparison of so many options."""
    parts = [
        f"options_house_{name}{part_suffix(part)}"
        for name in COMPARED_IN_PARTS
        for part in range(-(-options // AT_ONCE))
    ]
    return [OPTIONS, *(f"report_{name}.csv" for name in (*COMPARED, *parts))]


def part_suffix(part: int) -> str:
    """What tells the parts of one table apart, from 0: nothing, `_2`, `_3`."""
    return f"_{part + 1}" if part else ""


def table_names(case: Case) -> list[str]:
    """Names of all files that `write_tables` may write for a run of this case."""
    parts = [
        f"{kind}_{number}_{name}"
        for number, _ in enumerate(case.assemblies, start=1)
        for kind, names in BY_PART.items()
        for name in names
    ]
    return [f"report_{name}.csv" for name in (*parts, *SHARED, *(HOUSE if case.zones else ()))]


def write_tables(page: Page, folder: str | Path) -> tuple[Path, ...]:
    """Write all tables of a page into a folder; return the files.

    All of them appear together at the end. Raises OSError where they cannot be written.
    """
    Path(folder).mkdir(exist_ok=True)
    written = []
    with ExitStack() as whole:
        for name, table in named_tables(page):
            part = whole.enter_context(whole_file(Path(folder) / name))
            part.write_text(table_csv(table), encoding="utf-8", newline="")
            written.append(Path(folder) / name)
    return tuple(written)


def table_csv(table: DataTable) -> str:
    """A table as comma-separated text: numbers in six digits, nothing where there is none."""
    made = io.StringIO()
    writer = csv.writer(made, lineterminator="\n")
    writer.writerow([column.head for column in table.columns])
    writer.writerows([_plain(cell) for cell in row] for row in table.rows)
    return made.getvalue()


def _plain(cell: Cell) -> str:
    if cell is None or (isinstance(cell, float) and not math.isfinite(cell)):
        return ""
    return cell if isinstance(cell, str) else f"{cell:.6g}"

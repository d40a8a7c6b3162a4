"""Mould index and moisture of wood over the year: first year and last one over another."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.finding import Finding
from assembly_sim.checks.mould import plane_mould_index
from assembly_sim.checks.planes import place_of, years_of
from assembly_sim.checks.wood import path_boards
from assembly_sim.report.page.content import Absent, Cell, Column, DataTable, Figure
from assembly_sim.report.page.plots import Curves, Limit, Panel, Series
from assembly_sim.report.page.times import MONTHS, by_month, daily_means, year_ticks, years_told
from assembly_sim.report.page.view import View
from assembly_sim.words.checks import place_and_path

Array = NDArray[np.float64]
Traced = tuple[Finding, Array]

TITLE = "Mould and moisture of wood, year over year"


def growth_figure(view: View) -> Figure | Absent:
    """The worst mould index and the wettest board, each year drawn over the one before."""
    mould, wood = _mould(view), _wood(view)
    if mould is None and wood is None:
        return Absent(
            TITLE, "nothing here has a mould class, and nothing is wood with a known curve"
        )
    panels = []
    if mould is not None:
        panels.append(_panel(view, mould, "mould index, 0 to 6", 1.0, 2))
    if wood is not None:
        panels.append(_panel(view, wood, "moisture, % by mass", 100.0, 1))
    return Figure(
        name=f"growth-{view.number}",
        title=TITLE,
        says=" ".join(filter(None, (_mould_says(view, mould), _wood_says(view, wood)))),
        reading=_reading(view, mould, wood),
        plot=Curves(tuple(panels), year_ticks(view.result, view.last)),
        table=_table(view, mould, wood),
    )


def _worst(view: View, check: str) -> Finding | None:
    """The finding that decides, or else the worst that may, or else the worst of all."""
    decisive = view.one.verdict.finding
    if decisive is not None and decisive.check == check:
        return decisive
    known = [one for one in view.one.findings if one.check == check and one.value is not None]
    return max(known, key=lambda one: (one.decides, one.value or 0.0), default=None)


def _mould(view: View) -> Traced | None:
    finding = _worst(view, "mould index")
    if finding is None:
        return None
    path = next(one for one in view.found.paths if one.name == finding.path)
    at = next(i for i, plane in enumerate(path.planes) if place_of(plane) == finding.place)
    decline = view.result.case.thresholds.mould_decline
    index = plane_mould_index(view.found.assembly, path, at, decline)
    return None if index is None else (finding, index)


def _wood(view: View) -> Traced | None:
    finding = _worst(view, "wood moisture")
    if finding is None:
        return None
    path = next(one for one in view.found.paths if one.name == finding.path)
    boards = path_boards(view.found.assembly, path)
    board = next((one for one in boards if one.name == finding.place), None)
    return None if board is None else (finding, board.moisture)


def _panel(view: View, traced: Traced, title: str, factor: float, decimals: int) -> Panel:
    finding, values = traced
    series = []
    for label, role, stroke, year in years_told(view.result):
        x, mean = daily_means(factor * values, year)
        series.append(Series(label, x, mean, role, stroke))
    limit = factor * (finding.limit or 0.0)
    shown = finding.place if len(finding.place) <= 34 else f"{finding.place[:31]}..."
    return Panel(
        f"{title}: {shown} ({finding.path} path)",
        tuple(series),
        (Limit(limit, f"limit {limit:g}"),),
        bottom=0.0,
    )


def _peaks(view: View, values: Array) -> list[float]:
    return [float(values[year].max()) for year in years_of(view.result)]


def _mould_says(view: View, traced: Traced | None) -> str:
    """The highest index of the years; on the scale visible growth begins at 3."""
    if traced is None:
        return ""
    finding, peaks = traced[0], _peaks(view, traced[1])
    said = f"The mould index (3: visible growth) at {place_and_path(finding)} rose to at most "
    more = _mould_beside(view, finding)
    if len(peaks) == 1:
        return f"{said}{peaks[0]:.2f} in {view.span}{more}."
    said += f"{peaks[0]:.2f} in the first year and stood at most at {peaks[-1]:.2f} in the last"
    return f"{said}{more}."


def _mould_beside(view: View, shown: Finding) -> str:
    """A place with a higher index that does not decide, which is not drawn."""
    values = [one for one in view.one.findings if one.check == "mould index" and one.value]
    worst = max(values, key=lambda one: one.value or 0.0, default=shown)
    if (worst.value or 0.0) <= (shown.value or 0.0):
        return ""
    return f"; {place_and_path(worst)}, not drawn, reached {worst.value:.2f}"


def _wood_says(view: View, traced: Traced | None) -> str:
    if traced is None:
        return ""
    finding, peaks = traced[0], _peaks(view, traced[1])
    said = f"{place_and_path(finding)} held at most "
    said = said[0].upper() + said[1:]
    if len(peaks) == 1:
        return f"{said}{100 * peaks[0]:.1f} % of water by mass in {view.span}."
    return (
        f"{said}{100 * peaks[0]:.1f} % of water by mass in the first year and "
        f"{100 * peaks[-1]:.1f} % in the last."
    )


def _reading(view: View, mould: Traced | None, wood: Traced | None) -> str:
    parts = ["Means of days."]
    if len(years_of(view.result)) > 1:
        parts.append("The first year dries from its starting moisture; the last is what stays.")
    if mould is not None:
        parts.append(
            "The index runs from 0 (none) to 6 (dense) and is carried on from year to year."
            if mould[0].decides
            else "The index runs from 0 (none) to 6 (dense); here it does not decide."
        )
    if wood is not None:
        parts.append("Moisture is the mean over the thickness.")
        if not wood[0].decides:
            parts.append("This wood is there to get wet and does not decide.")
    return " ".join(parts)


def _table(view: View, mould: Traced | None, wood: Traced | None) -> DataTable:
    """Highest of each month and year."""
    columns = [Column("year", 0), Column("month")]
    columns += [Column("mould index, highest", 2)] * (mould is not None)
    columns += [Column("moisture, highest, %", 1)] * (wood is not None)
    rows: list[tuple[Cell, ...]] = []
    for number, year in enumerate(years_of(view.result), start=1):
        for month, hours in by_month(view.result, year):
            row: list[Cell] = [number, MONTHS[month - 1]]
            row += [float(mould[1][hours].max())] if mould is not None else []
            row += [100.0 * float(wood[1][hours].max())] if wood is not None else []
            rows.append(tuple(row))
    return DataTable("growth", "Highest of each month", tuple(columns), tuple(rows))

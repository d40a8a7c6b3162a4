"""Humidity of the deciding plane over the years, and the hours of its last year."""

from __future__ import annotations

from calendar import month_name

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.condensation import DRY_FILM
from assembly_sim.checks.finding import longest_run
from assembly_sim.checks.planes import years_of
from assembly_sim.model import Thresholds
from assembly_sim.report.page.content import Cell, Column, DataTable, Figure
from assembly_sim.report.page.plots import Calendar, Curves, Key, Limit, Panel, Series
from assembly_sim.report.page.times import (
    MONTHS,
    bins,
    by_month,
    clock,
    days_at_once,
    over_bins,
    run_ticks,
    year_ticks,
)
from assembly_sim.report.page.view import View
from assembly_sim.verdict.place import Place, nearness
from assembly_sim.words.checks import days as lasting

Array = NDArray[np.float64]

FREE = 4  # step of free water, the darkest


def steps_of(limits: Thresholds) -> tuple[float, float]:
    """Humidities (%) from which mould may grow and from which an hour is one of risk, rising."""
    risk = 100.0 * limits.condensation_humidity
    return min(100.0 * limits.surface_humidity, risk), risk


def humidity_figure(view: View, place: Place) -> Figure:
    """Humidity over the whole run: means of days with the range of their hours."""
    percent = 100.0 * nearness(place)
    starts, x = bins(view.result)
    mean, low, high = over_bins(percent, starts)
    limits = view.result.case.thresholds
    grown, risk = steps_of(limits)
    each = days_at_once(view.result)
    label = "mean of a day" if each == 1 else f"mean of {each} days"
    panel = Panel(
        "relative humidity, % (below freezing: over ice)",
        (Series(f"{label}, with the range of its hours", x, mean, "moist", "solid", low, high),),
        (Limit(risk, f"{risk:g} %"), Limit(grown, f"{grown:g} %")),
        bottom=float(max(0.0, 10.0 * np.floor(low.min() / 10.0))),
        top=max(102.0, float(high.max())),
    )
    return Figure(
        name=f"humidity-{view.number}",
        title=f"Humidity at {place.name}",
        says=_humidity_says(view, place, percent, (grown, risk)),
        reading=(
            f"The hour's vapour pressure against saturation, over water or, below freezing, over "
            f"ice{_why(place)}. From {grown:g} % mould may grow where it is warm enough; from "
            f"{risk:g} % an hour is one of condensation risk; at 100 % there is dew or frost."
        ),
        plot=Curves((panel,), run_ticks(view.result)),
        table=_months_table(view, percent, risk),
    )


def _why(place: Place) -> str:
    return (
        ", where the verdict is decided" if place.decides else ", the most humid that rain spares"
    )


def _humidity_says(view: View, place: Place, percent: Array, steps: tuple[float, float]) -> str:
    years = years_of(view.result)

    def count(year: slice, step: float) -> int:
        return int((percent[year] >= step).sum())

    grown, risk = steps
    last, first = years[-1], years[0]
    said = (
        f"In {view.span} the air at {place.name} was at {grown:g} % humidity or more in "
        f"{count(last, grown)} of {last.stop - last.start} hours, and at {risk:g} % or more in "
        f"{count(last, risk)}"
    )
    if len(years) > 1:
        said += f"; in the first year in {count(first, grown)} and {count(first, risk)}"
    return f"{said}."


def _months_table(view: View, percent: Array, risk: float) -> DataTable:
    columns = (
        *(Column("year", 0), Column("month"), Column("mean, %", 1)),
        *(Column("lowest hour, %", 1), Column("highest hour, %", 1)),
        Column(f"hours at {risk:g} % or more", 0),
    )
    rows: list[tuple[Cell, ...]] = []
    for number, year in enumerate(years_of(view.result), start=1):
        for month, hours in by_month(view.result, year):
            part = percent[hours]
            counted = int((part >= risk).sum())
            means = float(part.mean()), float(part.min()), float(part.max())
            rows.append((number, MONTHS[month - 1], *means, counted))
    return DataTable("humidity", "Humidity by month", columns, tuple(rows))


def hour_steps(view: View, place: Place) -> NDArray[np.int8]:
    """Step of each hour of the last year: 0 dry, 1 from mould's humidity, 2 risk, FREE water."""
    limits, year = view.result.case.thresholds, view.last
    percent, (grown, risk) = 100.0 * nearness(place)[year], steps_of(limits)
    steps = (percent >= grown).astype(np.int8)
    steps[percent >= risk] = 2
    steps[place.path.free_water[year, place.position] > DRY_FILM] = FREE
    return steps


def calendar_figure(view: View, place: Place) -> Figure:
    """Hours of the last year by the hour of the day and by the day."""
    limits, steps = view.result.case.thresholds, hour_steps(view, place)
    year = view.last
    day = view.result.day[year] - view.result.day[year.start]
    grid = np.full((24, int(day[-1]) + 1), -1, np.int8)
    grid[clock(view.result)[year], day] = steps
    grown, risk = steps_of(limits)
    legend = (
        (0, f"below {grown:g} %"),
        (1, f"{grown:g} to {risk:g} %"),
        (2, f"{risk:g} % or more"),
        (FREE, "free water or frost"),
    )
    return Figure(
        name=f"calendar-{view.number}",
        title=f"When it is wet at {place.name}",
        says=_calendar_says(view, steps, risk),
        reading=(
            f"Each hour of {view.span}, midnight at the foot: days run to the right. Free water "
            "or frost is more than a thousandth of a millimetre on the plane at the hour's end."
        ),
        plot=Calendar(grid, year_ticks(view.result, year), legend),
        table=_steps_table(view, steps, legend),
    )


def _calendar_says(view: View, steps: NDArray[np.int8], risk: float) -> str:
    wet, near = int((steps == FREE).sum()), steps >= 2
    if not near.any():
        return (
            f"In no hour of {view.span} was there free water or frost here, nor did the humidity "
            f"reach {risk:g} %; {int((steps == 1).sum())} hours were in the step below that."
        )
    counts = np.bincount(view.result.month[view.last][near], minlength=13)
    worst = int(counts.argmax())
    rest = int(near.sum()) - wet
    free = (
        f"{wet} hours carried free water or frost here and {rest} more were"
        if wet
        else (f"no hour carried free water or frost here and {rest} were")
    )
    return (
        f"In {view.span} {free} at {risk:g} % or more; {month_name[worst]} had most such hours, "
        f"{int(counts[worst])}, and the longest spell of them lasted {lasting(longest_run(near))}."
    )


def _steps_table(view: View, steps: NDArray[np.int8], legend: tuple[Key, ...]) -> DataTable:
    rows: list[tuple[Cell, ...]] = []
    for month, hours in by_month(view.result, view.last):
        part = steps[hours - view.last.start]
        rows.append((MONTHS[month - 1], *(int((part == step).sum()) for step, _ in legend)))
    columns = (Column("month"), *(Column(f"{label}, h", 0) for _, label in legend))
    return DataTable("wet_hours", f"Hours of {view.span} by month", columns, tuple(rows))

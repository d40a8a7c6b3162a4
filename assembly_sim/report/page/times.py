"""Time on axes: days of a run, its years one over another, months, hours of the day."""

from __future__ import annotations

from calendar import month_abbr

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.period import begin_of
from assembly_sim.checks.planes import years_of
from assembly_sim.report.page.plots import Tick
from assembly_sim.solver.result import Result

Array = NDArray[np.float64]

MOST_BINS = 1100  # points of a line over the whole run, on a page of one or two parts
MONTHS = tuple(month_abbr[1:])
HOURS_OF_DAY = 24


def clock(result: Result) -> NDArray[np.int64]:
    """Hour of the day, 0-23, in which each hour of the run begins."""
    climate, hours = result.case.climate, np.arange(result.hours)
    first = 0 if climate.wraps else begin_of(climate).hour
    return (first + hours) % HOURS_OF_DAY


def days_at_once(result: Result) -> int:
    """Days that one point of a line over the run stands for."""
    days = int(result.day[-1]) + 1 if result.hours else 1
    return -(-days * max(1, len(result.assemblies) // 2) // MOST_BINS)


def bins(result: Result) -> tuple[NDArray[np.int64], Array]:
    """First hour of each bin of whole days, and the day (from the start) of its middle."""
    group = result.day // days_at_once(result)
    starts = np.flatnonzero(np.diff(group, prepend=-1))
    ends = np.append(starts[1:], result.hours)
    return starts, (starts + ends) / 2.0 / HOURS_OF_DAY


def over_bins(values: Array, starts: NDArray[np.int64]) -> tuple[Array, Array, Array]:
    """Mean, lowest and highest of hourly values in each bin."""
    counts = np.diff(np.append(starts, len(values)))
    mean = np.add.reduceat(values, starts) / counts
    return mean, np.minimum.reduceat(values, starts), np.maximum.reduceat(values, starts)


def run_ticks(result: Result) -> tuple[Tick, ...]:
    """Where the years of a run begin, or its months where it is shorter than two years."""
    years = [year for year in years_of(result) if year.stop - year.start > 24 * 360]
    if len(years) > 1 and result.case.climate.wraps:
        return tuple((y.start / 24.0, f"year {n}") for n, y in enumerate(years, start=1))
    starts = np.flatnonzero(np.diff(result.month, prepend=-1))
    step = max(1, -(-len(starts) // 8))
    return tuple((int(hour) / 24.0, _month(result, int(hour))) for hour in starts[::step])


def _month(result: Result, hour: int) -> str:
    """A month by its name, with its year and its first day where the weather has dates."""
    name = month_abbr[int(result.month[hour])]
    climate = result.case.climate
    if climate.wraps:
        return name
    begins = begin_of(climate, hour)
    return f"{'' if begins.day == 1 else f'{begins.day} '}{name} {begins.year}"


def year_ticks(result: Result, year: slice) -> tuple[Tick, ...]:
    """Starts of months in days from the start of the first day of a year of the run."""
    months, first = result.month[year], clock(result)[year.start]
    starts = np.flatnonzero(np.diff(months, prepend=-1))
    ticks = [
        (0.0 if not at else (int(at) + int(first)) / 24.0, _day(result, year.start + int(at)))
        for at in starts
    ]
    return tuple(ticks[:12])


def _day(result: Result, hour: int) -> str:
    """A month by its name, with its day where it is not its first."""
    climate, name = result.case.climate, month_abbr[int(result.month[hour])]
    day = 1 if climate.wraps else begin_of(climate, hour).day
    return name if day == 1 else f"{day} {name}"


def by_month(result: Result, span: slice) -> list[tuple[int, NDArray[np.int64]]]:
    """Months (1-12) of a span in the order in which they come, each with its hours."""
    months = result.month[span]
    order = list(dict.fromkeys(months.tolist()))
    return [(month, span.start + np.flatnonzero(months == month)) for month in order]


def years_told(result: Result) -> list[tuple[str, str, str, slice]]:
    """Years of a run to be drawn one over another: label, role and stroke of each.

    The first with its starting moisture, those between, and the last; one alone is the run's.
    """
    years = years_of(result)
    if len(years) == 1:
        return [("the year" if _whole(result) else "the run", "moist", "solid", years[0])]
    between = "years between" if len(years) > 3 else f"year {2}"
    told = [("first year", "start", "dashed", years[0])]
    told += [(between, "between", "thin", year) for year in years[1:-1]]
    return [*told, (f"last year ({len(years)})", "moist", "solid", years[-1])]


def _whole(result: Result) -> bool:
    year = years_of(result)[0]
    return year.stop - year.start >= 8759


def daily_means(values: Array, year: slice) -> tuple[Array, Array]:
    """Means of 24 hours in a row from the start of a year, and the day of the middle of each."""
    hours = values[year]
    starts = np.arange(0, len(hours), HOURS_OF_DAY)
    mean, _, _ = over_bins(hours, starts)
    return np.arange(len(starts), dtype=float) + 0.5, mean

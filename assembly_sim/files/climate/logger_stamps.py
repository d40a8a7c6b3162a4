"""Time stamps of a logger, and its samples brought to the hours of the climate.

A stamp names the moment of its sample, in the local standard time of the weather unless it tells
its own distance from UTC. An hour's value is that at its end, as for temperatures of the weather:
samples closer than an hour are averaged over the hour around that moment, others are joined by
straight lines. Days are matched by month and day, whatever the year; with a window of weather,
whose hours have dates, by their date.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from itertools import product

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.climate.gaps import fill, gaps
from assembly_sim.files.climate.rows import LONGEST_GAP, Array, quoted
from assembly_sim.model import Climate

Stamps = NDArray[np.datetime64]
ProblemAt = Callable[[int, str, str], Problem]  # of a row counted from 0, with cause and cure
ProblemOf = Callable[[str, str], Problem]  # of the whole column

_DATES = (
    *("%Y-%m-%d", "%Y/%m/%d", "%d.%m.%Y", "%m/%d/%Y", "%d/%m/%Y", "%m/%d/%y", "%d/%m/%y"),
    *("%d.%m.%y", "%m-%d-%Y", "%d-%m-%Y"),
)
_TIMES = ("%H:%M:%S", "%H:%M", "%I:%M:%S %p", "%I:%M %p", "%H:%M:%S.%f")
_FORMATS = tuple("".join(parts) for parts in product(_DATES, (" ", "T"), _TIMES, ("", "%z")))
_HOUR = np.timedelta64(1, "h")
MOST_YEARS = 20  # of a log; more is a slip of the keys, and would cost memory for every hour
WRITE = "write stamps as 2024-01-31 14:00"


@dataclass(frozen=True)
class Aligned:
    """Values (hours,) of the climate at hours' ends, and what was done to get them."""

    values: Array
    notes: tuple[str, ...]


def read_stamps(texts: list[str], time_zone: float, problem_at: ProblemAt) -> Stamps:
    """Stamps in the weather's standard time, rising. Raises `InputError` naming the row."""
    stamps = _parsed(texts, time_zone, problem_at)
    back = np.flatnonzero(np.diff(stamps) <= np.timedelta64(0))
    if back.size:
        row = int(back[0]) + 1
        cause = f"{quoted(texts[row])} does not follow the row before"
        cure = "let stamps rise, in standard time all year: clocks that go back repeat an hour"
        raise InputError(problem_at(row, cause, cure))
    return stamps


def _parsed(texts: list[str], time_zone: float, problem_at: ProblemAt) -> Stamps:
    """The one reading of the stamps that fits all rows: day or month first is seen, not guessed."""
    read = [_by_format(texts, each, time_zone) for each in _FORMATS if _fits(texts[0], each)]
    if not read:
        raise InputError(problem_at(0, f"{quoted(texts[0])} is no time stamp", WRITE))
    whole = [stamps for stamps in read if not np.isnat(stamps).any()]
    if not whole:
        row = int(max(int(np.argmax(np.isnat(stamps))) for stamps in read))
        raise InputError(problem_at(row, f"{quoted(texts[row])} is no such time stamp", WRITE))
    rising = [each for each in whole if (np.diff(each) > np.timedelta64(0)).all()]
    kept = rising or whole
    if any(not np.array_equal(kept[0], other) for other in kept[1:]):
        cause = f"{quoted(texts[0])} may have the day or the month first"
        raise InputError(problem_at(0, cause, WRITE))
    return kept[0]


def _fits(text: str, form: str) -> bool:
    try:
        datetime.strptime(text, form)
    except (ValueError, OverflowError):
        return False
    return True


def _by_format(texts: list[str], form: str, time_zone: float) -> Stamps:
    """Stamps by one format, NaT where it does not fit."""
    import pandas as pd

    zoned = form.endswith("%z")
    parsed = pd.to_datetime(pd.Series(texts), format=form, errors="coerce", utc=zoned)
    if zoned:
        parsed = parsed.dt.tz_localize(None) + pd.Timedelta(hours=time_zone)
    return parsed.to_numpy().astype("datetime64[s]")


def align(stamps: Stamps, values: Array, climate: Climate, problem: ProblemOf) -> Aligned:
    """Samples (NaN: missing) at the climate's hours. Raises `InputError` for longer gaps."""
    known = np.isfinite(values)
    if known.sum() < 2:
        raise InputError(
            problem("it holds no two values", "give a value for every hour of the weather")
        )
    if stamps[-1] - stamps[0] > MOST_YEARS * 8766 * _HOUR:
        cause = f"its stamps run from {_day(stamps[0])} to {_day(stamps[-1])}"
        raise InputError(problem(cause, f"give at most {MOST_YEARS} years"))
    step = float(np.median(np.diff(stamps)) / _HOUR)
    first, last = stamps[0], stamps[-1]
    moments = (stamps[known] - first.astype("datetime64[h]")) / _HOUR
    notes = [f"its rows stand at their time stamps, {_day(first)} to {_day(last)}"]
    if step < 0.99:
        moments, samples = _means(moments, values[known])
        notes.append(f"rows {60 * step:.3g} min apart are averaged over the hour around each")
    else:
        samples = values[known]
        if (moments % 1.0).any() or step > 1.01:
            notes.append("values between its rows lie on straight lines")
    ends, at_ends, filled = _at_hours(moments, samples, max(step, 1.0))
    stamped = first.astype("datetime64[h]") + ends.astype("timedelta64[h]")
    year, folded = (
        _folded(stamped, at_ends, climate.hours)
        if climate.wraps
        else (_within(stamped, at_ends, climate), [])
    )
    missing = gaps(np.isnan(year))
    if any(length > LONGEST_GAP for _, length in missing):
        raise InputError(_too_long(climate, missing, problem, notes[0]))
    count = int(filled.sum()) + int(np.isnan(year).sum())
    if count:
        notes.append(f"{count} missing hours are filled between neighbours")
    return Aligned(fill(year, wraps=climate.wraps), (*notes, *folded))


def _day(stamp: np.datetime64) -> str:
    moment: datetime = stamp.astype("datetime64[s]").item()
    return f"{moment.day} {moment:%B %Y}"


def _means(moments: Array, samples: Array) -> tuple[Array, Array]:
    """Means over the hour around each full hour that has samples, and those hours.

    Of the straight lines between samples, so that a mean neither lags nor leads by half a step.
    """
    hours = np.unique(np.ceil(moments - 0.5))
    pieces = 0.5 * (samples[1:] + samples[:-1]) * np.diff(moments)
    area = np.concatenate(([0.0], np.cumsum(pieces)))
    low = np.maximum(hours - 0.5, moments[0])
    high = np.minimum(hours + 0.5, moments[-1])
    wide = high > low
    within = np.interp(high, moments, area) - np.interp(low, moments, area)
    return hours[wide], within[wide] / (high - low)[wide]


def _at_hours(
    moments: Array, samples: Array, step: float
) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Full hours, values there on straight lines between samples, and which bridge a gap.

    NaN where the samples around are more than the longest gap apart.
    """
    ends = np.arange(np.ceil(moments[0]), np.floor(moments[-1]) + 1.0)
    after = np.clip(np.searchsorted(moments, ends), 1, len(moments) - 1)
    apart = moments[after] - moments[after - 1]
    exact = np.isin(ends, moments)
    values = np.interp(ends, moments, samples)
    values[~exact & (apart > LONGEST_GAP + 1.0)] = np.nan
    return ends, values, ~exact & (apart > 1.5 * step) & np.isfinite(values)


def _folded(stamped: Stamps, values: Array, hours: int) -> tuple[Array, list[str]]:
    """Values at the places of their hours in a year of the climate's length; later ones win."""
    begins = stamped - _HOUR
    month = begins.astype("datetime64[M]")
    day = (begins.astype("datetime64[D]") - month.astype("datetime64[D]")).astype(int)
    leap = hours == 8784
    month_lengths = np.array([31, 28 + leap, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    number = month.astype(int) % 12
    start = np.cumsum(month_lengths) - month_lengths
    hour = (begins - begins.astype("datetime64[D]")).astype(int)
    index = (start[number] + day) * 24 + hour
    there = leap | ~((number == 1) & (day == 28))
    year = np.full(hours, np.nan)
    year[index[there]] = values[there]
    notes = [] if there.all() else ["its 29 February is left out: the climate has none"]
    if len(stamped) > hours + 24:
        notes.append("of days that it holds more than once the last are used")
    extra = slice(59 * 24, 60 * 24)
    if leap and np.isnan(year[extra]).all():
        year[extra] = year[58 * 24 : 59 * 24]
        notes.append("it has no 29 February: that day repeats the one before")
    return year, notes


def _within(stamped: Stamps, values: Array, climate: Climate) -> Array:
    """Values at the hours of a window, by their dates; NaN where there is none."""
    index = (stamped - _HOUR - climate.hour_starts[0]) // _HOUR
    there = (index >= 0) & (index < climate.hours)
    window = np.full(climate.hours, np.nan)
    window[index[there]] = values[there]
    return window


def _too_long(
    climate: Climate, missing: list[tuple[int, int]], problem: ProblemOf, where: str
) -> Problem:
    start, length = max(missing, key=lambda run: run[1])
    day: datetime = climate.hour_starts[start].astype("datetime64[s]").item()
    first = f"{day.day} {day:%B %H:%M}" if climate.wraps else f"{day.day} {day:%B %Y %H:%M}"
    cause = f"{length} hours in a row have no value, from {first} ({where})"
    whole = "a year" if climate.wraps else "the window of weather"
    cure = f"give every hour of {whole}; gaps up to {LONGEST_GAP} h are filled"
    return problem(cause, cure)

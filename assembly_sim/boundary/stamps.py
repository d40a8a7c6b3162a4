"""Hours of the climate: half-hour stamps between them, where a run starts, and its calendar.

A year of weather that wraps is cyclic: its last hour runs into its first. Of a window nothing is
known beyond its ends, so there its first and its last value are held. "State" rows hold at the
end of their hour, "mean" rows over it. Stamps are in half hours from the start of the first row.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Case, Climate

Array = NDArray[np.float64]

MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def month_days(hours: int) -> NDArray[np.int64]:
    """Days of each month in a year of 8760 or 8784 hours; another length is an InputError."""
    if hours not in (8760, 8784):
        cure = "give a whole year, 8760 or 8784 hours, or say when a window begins"
        raise InputError(Problem(f"the climate has {hours} hours", cure, field="climate"))
    days = np.array(MONTH_DAYS)
    days[1] += hours == 8784
    return days


def start_hour(case: Case) -> int:
    """Hours from the climate's first row to the start of the case's run; a window has none."""
    if not case.climate.wraps:
        return 0
    return 24 * int(month_days(case.climate.hours)[: case.start_month - 1].sum())


def calendar(case: Case, hours: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Month (1-12) and day from the start (first is 0) of each hour of the run, (hours,) each.

    A window's days are those of the calendar: its first and last may be parts of one.
    """
    if not case.climate.wraps:
        starts = case.climate.hour_starts[:hours]
        days = starts.astype("datetime64[D]").astype(int)
        return starts.astype("datetime64[M]").astype(int) % 12 + 1, days - days[:1]
    year = case.climate.hours
    months = np.repeat(np.arange(1, 13), 24 * month_days(year))
    hour = np.arange(hours)
    return months[(start_hour(case) + hour) % year], hour // 24


def on_half_hours(climate: Climate, rule: Callable[[Array], Array], hourly: Array) -> Array:
    """(2 hours + 1,) values at all half-hour stamps by `from_states` or `from_means`."""
    if climate.wraps:
        stamps = rule(hourly)
        return np.append(stamps, stamps[0])
    held = np.pad(hourly, 1, mode="edge")
    return rule(held)[2 : 2 * climate.hours + 3]


def from_states(state: Array) -> Array:
    """(2 hours,) values at half-hour stamps of (hours,) states at hours' ends, linear between."""
    start = np.roll(state, 1)
    return np.column_stack([start, 0.5 * (start + state)]).ravel()


def from_means(mean: Array) -> Array:
    """(2 hours,) values at half-hour stamps whose mean over each hour is that of `mean` (>= 0).

    At the hour v = min((m1 + m2) / 2, 2 min(m1, m2)) of the two hours that meet there, at the
    half hour 2 m - (v1 + v2) / 2: linear between stamps it keeps each mean and never falls
    below zero.
    """
    before = np.roll(mean, 1)
    start = np.minimum(0.5 * (before + mean), 2.0 * np.minimum(before, mean))
    middle = 2.0 * mean - 0.5 * (start + np.roll(start, -1))
    return np.column_stack([start, middle]).ravel()


def running_mean(values: Array, hours: int, wraps: bool = True) -> Array:
    """Mean of the `hours` (even) around each stamp, ends weighing half, a year cyclic.

    At noon that of 24 hours is the mean of the calendar day, and it has no jump at midnight.
    Beyond the ends of what does not wrap the first and the last value are held.
    """
    padded = np.pad(values, hours // 2, mode="wrap" if wraps else "edge")
    weights = np.ones(hours + 1)
    weights[[0, -1]] = 0.5
    return np.convolve(padded, weights / hours, mode="valid")

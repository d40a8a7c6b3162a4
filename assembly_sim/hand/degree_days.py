"""Degree days, and the yearly heat of a leak-free, sunless house by them."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.period import whole_years
from assembly_sim.checks.planes import hour_means
from assembly_sim.model.climate import Climate

Array = NDArray[np.float64]
DAY = 86400.0  # s


def daily_means(climate: Climate) -> tuple[NDArray[np.datetime64], Array]:
    """Dates, (days,), and mean outdoor temperatures (K), (days,), of the whole days of a climate.

    A typical year lies in a year of its own length, whose number means nothing.
    """
    dates = climate.hour_starts.astype("datetime64[D]")
    days, at, hours = np.unique(dates, return_inverse=True, return_counts=True)
    means = np.bincount(at, hour_means(climate.temperature)) / hours
    return days[hours == 24], means[hours == 24]


def daily_between(
    climate: Climate, first: date, last: date
) -> tuple[NDArray[np.datetime64], Array]:
    """Dates from one to another and their means (K), as far as the climate holds them.

    A typical year stands for every year: each day has the mean of its own day and month, a
    29 February that it lacks that of the day before.
    """
    dates, means = daily_means(climate)
    if not climate.wraps:
        return dates, means
    own = {(one.month, one.day): mean for one, mean in zip(dates.tolist(), means.tolist())}
    own.setdefault((2, 29), own[2, 28])
    asked = np.arange(np.datetime64(first), np.datetime64(last) + 1)
    return asked, np.array([own[one.month, one.day] for one in asked.tolist()])


def last_year_of_days(climate: Climate) -> Array:
    """Daily means (K) of a climate's last whole year, or of all its days where it holds none."""
    means = daily_means(climate)[1]
    years = whole_years(climate, climate.hours)
    return means[-((years[-1].stop - years[-1].start) // 24) :] if years else means


def degree_days(daily: Array, base: float) -> float:
    """Sum over days of what the daily mean (K) lacks to the base temperature (K), K day.

    Accumulated temperature differences by daily means (ISO 15927-6, from memory).
    """
    return float(np.maximum(base - np.asarray(daily, dtype=float), 0.0).sum())


def transmission_heat(transmittance: float, area: float, degree_days: float) -> float:
    """Heat of a year by degree days, J: U A HDD times 24 h (W/(m2 K), m2, K day)."""
    return transmittance * area * degree_days * DAY

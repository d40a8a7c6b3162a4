"""Degree days, and the yearly heat of a leak-free, sunless house by them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

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


def degree_days(daily: Array, base: float) -> float:
    """Sum over days of what the daily mean (K) lacks to the base temperature (K), K day.

    Accumulated temperature differences by daily means (ISO 15927-6, from memory).
    """
    return float(np.maximum(base - np.asarray(daily, dtype=float), 0.0).sum())


def transmission_heat(transmittance: float, area: float, degree_days: float) -> float:
    """Heat of a year by degree days, J: U A HDD times 24 h (W/(m2 K), m2, K day)."""
    return transmittance * area * degree_days * DAY

"""Monthly means of the air on both sides: what hand methods take in place of hourly weather."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.period import whole_years
from assembly_sim.boundary.room_state import room_rows
from assembly_sim.boundary.stamps import calendar, month_days
from assembly_sim.model import Case

Array = NDArray[np.float64]


@dataclass(frozen=True)
class MonthlyAir:
    """Monthly means, (12,) each, January first: temperatures in K, vapour pressures in Pa."""

    inside_temperature: Array
    inside_pressure: Array
    outside_temperature: Array
    outside_pressure: Array


def monthly_means(hourly: Array) -> Array:
    """Mean of each month, (12,), of a year of 8760 or 8784 hourly values."""
    hours = 24 * month_days(len(hourly))
    starts = np.concatenate(([0], np.cumsum(hours)[:-1]))
    return np.add.reduceat(hourly, starts) / hours


def monthly_air(case: Case) -> MonthlyAir | None:
    """Monthly means of the case's climate and of the room by its own rules.

    None of a window of less than a year: the methods go round all months. Of real years those of
    all Januaries, and so on.
    """
    climate = case.climate
    if not whole_years(climate, climate.hours):
        return None
    hourly = (*room_rows(case), climate.temperature, climate.vapour_pressure)
    if climate.wraps:
        return MonthlyAir(*(monthly_means(each) for each in hourly))
    month, _ = calendar(case, climate.hours)
    count = np.bincount(month, minlength=13)[1:]
    return MonthlyAir(*(np.bincount(month, each)[1:] / count for each in hourly))


def coldest_month(air: MonthlyAir) -> int:
    """Index (0-11) of the month that is coldest outdoors."""
    return int(np.argmin(air.outside_temperature))


def three_coldest_months(air: MonthlyAir) -> float:
    """Mean outdoor temperature (K) of the three coldest months."""
    return float(np.sort(air.outside_temperature)[:3].mean())

"""A schedule hour by hour, by the calendar of the weather."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.stamps import month_days
from assembly_sim.model import Climate
from assembly_sim.model.schedule import Schedule

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
THURSDAY = 3  # 1 January 1970, from which numpy counts days


def clock(climate: Climate, first_weekday: int = 0) -> tuple[Ints, Ints, Ints]:
    """Hour of the day (0-23), weekday (0 is Monday) and month of each row, (hours,) each.

    By the weather's dates where it has them; else 1 January is that `first_weekday`.
    """
    if not climate.wraps:
        starts = climate.hour_starts
        days = starts.astype("datetime64[D]")
        hours = (starts - days).astype("timedelta64[h]").astype(np.int64)
        weekday = (days.astype(np.int64) + THURSDAY) % 7
        return hours, weekday, starts.astype("datetime64[M]").astype(np.int64) % 12 + 1
    row = np.arange(climate.hours)
    months = np.repeat(np.arange(1, 13), 24 * month_days(climate.hours))
    return row % 24, (first_weekday + row // 24) % 7, months


def schedule_values(schedule: Schedule, climate: Climate) -> Array:
    """Values (hours,) of a schedule over each hour of the weather.

    Rows are states at hours' ends: what begins at ten is reached by eleven, linearly.
    """
    hour, weekday, month = clock(climate, schedule.first_weekday)
    found = np.full(climate.hours, schedule.otherwise)
    for entry in schedule.entries:
        here = np.isin(hour, entry.hours) & np.isin(weekday, entry.weekdays)
        found[here & np.isin(month, entry.months)] = entry.value
    return found

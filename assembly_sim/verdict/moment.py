"""When something happened in a run: an hour with its date, and its words."""

from __future__ import annotations

from calendar import month_name
from dataclasses import dataclass

import numpy as np

from assembly_sim.boundary.stamps import month_days, start_hour
from assembly_sim.checks.planes import year_number
from assembly_sim.solver.result import Result


@dataclass(frozen=True)
class Moment:
    """An hour of a run, from 0, its year of the run, from 1, and the date and time it ends.

    month 1-12; day of the month; clock: 1-24, standard time.
    """

    hour: int
    year: int
    month: int
    day: int
    clock: int


def moment_of(result: Result, hour: int) -> Moment:
    """The date of an hour of the run."""
    climate = result.case.climate
    month, year = int(result.month[hour]), year_number(result, hour)
    if not climate.wraps:
        start = climate.hour_starts[hour]
        day = int((start.astype("datetime64[D]") - start.astype("datetime64[M]")).astype(int)) + 1
        clock = int((start - start.astype("datetime64[D]")).astype(int)) + 1
        return Moment(hour, year, month, day, clock)
    of_year = (start_hour(result.case) + hour) % climate.hours
    before = 24 * int(month_days(climate.hours)[: month - 1].sum())
    days, clock = divmod(of_year - before, 24)
    return Moment(hour, year, month, int(days) + 1, int(clock) + 1)


def told(moment: Moment) -> str:
    """A date and time as people write them: `14 January, 06:00`."""
    return f"{moment.day} {month_name[moment.month]}, {moment.clock:02d}:00"


def hour_of(values: np.ndarray, hours: np.ndarray, largest: bool) -> int:
    """The hour, of those where `hours` holds, at which a course is largest or smallest."""
    chosen = np.flatnonzero(hours)
    found = values[chosen].argmax() if largest else values[chosen].argmin()
    return int(chosen[found])

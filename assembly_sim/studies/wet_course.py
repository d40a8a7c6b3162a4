"""How humid the plane that decides is over the last year of a run, day by day."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.planes import last_year
from assembly_sim.solver.result import AssemblyResult, Result
from assembly_sim.verdict.evidence import within
from assembly_sim.verdict.place import deciding_plane, nearness
from assembly_sim.verdict.verdict import verdict

Array = NDArray[np.float64]
DAY = 24


@dataclass(frozen=True, eq=False)
class Course:
    """The deciding plane of one part through the last year of its run.

    place: with its path; decides: whether the verdict rests on it, or it is the most humid that
    rain spares; humidity: (days,) means of 24 hours, 0-1, over water or, below freezing, over ice;
    hours_at_risk: at the humidity of condensation risk or more, in these days; month: (days,) 1-12.
    """

    part: str
    place: str
    decides: bool
    humidity: Array
    hours_at_risk: int
    month: NDArray[np.int64]


def courses(result: Result) -> tuple[Course, ...]:
    """A course for each assembly of a run, none where no day was computed."""
    made = (_course(result, within(result, one)) for one in result.assemblies)
    return tuple(one for one in made if one is not None)


def _course(result: Result, found: AssemblyResult) -> Course | None:
    decisive = verdict(result, found).finding
    place = deciding_plane(result, found, decisive)
    if place is None:
        return None
    year = last_year(result)
    hourly = nearness(place)[year]
    days = len(hourly) // DAY
    if not days:
        return None
    whole = hourly[: days * DAY].reshape(days, DAY)
    risk = result.case.thresholds.condensation_humidity
    return Course(
        part=found.assembly.name,
        place=place.name,
        decides=place.decides,
        humidity=whole.mean(axis=1),
        hours_at_risk=int((whole >= risk).sum()),
        month=result.month[year][: days * DAY : DAY],
    )

"""The period of a run in words and numbers: years that repeat, or a window of weather."""

from __future__ import annotations

from dataclasses import dataclass

from assembly_sim.boundary.period import begin_of, window_in_words
from assembly_sim.model import Case
from assembly_sim.solver.result import Result

ONCE = "the window of weather runs once; nothing is known before and after it"


@dataclass(frozen=True)
class Period:
    """Hours that ran and when: from a start month, or both ends of a window."""

    hours: int
    start_month: int | None = None
    begins: str | None = None
    ends: str | None = None


def period_of(result: Result) -> Period:
    """The period of a run."""
    climate, hours = result.case.climate, result.hours
    if climate.wraps:
        return Period(hours, result.case.start_month)
    ends = begin_of(climate, hours).isoformat(timespec="minutes")
    begins = begin_of(climate).isoformat(timespec="minutes")
    return Period(hours, None, begins, ends)


def stated_of_weather(case: Case) -> tuple[str, ...]:
    """What the case leaves open, without what years that repeat would leave open in a window.

    Weather may be put into a case that was read with other weather.
    """
    if case.climate.wraps:
        return case.unstated
    return (ONCE, *(line for line in case.unstated if not line.startswith(OF_YEARS)))


OF_YEARS = ("the run goes on until it settles", "the run starts on 1 ", ONCE)


def period_lines(result: Result) -> tuple[str, str]:
    """What the weather is and what ran of it, for the head of a report: two half sentences."""
    climate = result.case.climate
    lasts = window_in_words(climate, climate.hours)
    ran = "once, in order" if result.hours == climate.hours else f"{result.hours} hours of it"
    return f"{climate.name}, {lasts}", ran

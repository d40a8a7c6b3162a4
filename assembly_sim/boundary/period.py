"""What a run covers: its whole years, which year an hour lies in, and its length in words.

A year that wraps has one length, its weather's. A window has real years, with and without
29 February, counted back from its end, so that the last is whole and what is left over comes first.
"""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np

from assembly_sim.model import Climate

USUAL_YEAR = 8760.0  # h, of a window's length in years


def whole_years(climate: Climate, hours: int) -> tuple[slice, ...]:
    """The whole years of the first `hours` of a run, counted back from their end; none if short."""
    if climate.wraps:
        starts = range(hours % climate.hours, hours, climate.hours)
        return tuple(slice(start, start + climate.hours) for start in starts)
    edges = [hours]
    while (start := hours - _hours_back(climate, hours, len(edges))) >= 0:
        edges.append(start)
    edges.reverse()
    return tuple(slice(start, stop) for start, stop in zip(edges, edges[1:]))


def year_number(climate: Climate, hour: int) -> int:
    """Year of the run that an hour lies in, from 1."""
    if climate.wraps:
        return 1 + hour // climate.hours
    begins, now = begin_of(climate), begin_of(climate) + timedelta(hours=int(hour))
    return 1 + now.year - begins.year - (now < moved(begins, now.year - begins.year))


def begin_of(climate: Climate, hour: int = 0) -> datetime:
    """When an hour of a window begins."""
    start = np.datetime64(climate.begins, "h") + np.timedelta64(int(hour), "h")
    found: datetime = start.astype("datetime64[s]").item()
    return found


def moved(moment: datetime, years: int) -> datetime:
    """The same moment so many years on; 29 February becomes 28 where there is none."""
    try:
        return moment.replace(year=moment.year + years)
    except ValueError:
        return moment.replace(year=moment.year + years, day=28)


def _hours_back(climate: Climate, hours: int, years: int) -> int:
    """Hours of the `years` years before the end of a window's first `hours`."""
    end = begin_of(climate, hours)
    return round((end - moved(end, -years)) / timedelta(hours=1))


def length_in_words(climate: Climate, hours: int) -> str:
    """How long a window is: `30 hours`, `54 days`, `3 years`, `1.4 years`."""
    years = len(whole_years(climate, hours))
    if years and whole_years(climate, hours)[0].start == 0:
        return "1 year" if years == 1 else f"{years} years"
    if years:
        return f"{hours / USUAL_YEAR:.1f} years"
    return f"{hours / 24:.0f} days" if hours >= 96 else f"{hours} hours"


def moment_in_words(moment: datetime) -> str:
    """A moment as people write it: `12 November 2021 14:00`."""
    return f"{moment.day} {moment:%B %Y %H:%M}"


def window_in_words(climate: Climate, hours: int) -> str:
    """A window with its length and ends: `a window of 54 days, 12 November 2021 14:00 to ...`."""
    first, last = moment_in_words(begin_of(climate)), moment_in_words(begin_of(climate, hours))
    return f"a window of {length_in_words(climate, hours)}, {first} to {last}"

"""When there is no verdict: a run or a climate that cannot carry one, and what would."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from assembly_sim.boundary.period import whole_years, window_in_words
from assembly_sim.envelope.rain import takes_no_rain
from assembly_sim.model import Climate
from assembly_sim.solver.result import AssemblyResult, Result

LEAST_YEARS = 3


@dataclass(frozen=True)
class Withheld:
    """Why there is no verdict: a key of `told.WITHHELD`, and what its sentence names."""

    key: str
    names: tuple[tuple[str, str], ...] = ()
    numbers: tuple[tuple[str, float], ...] = ()


def why_withheld(result: Result, found: AssemblyResult) -> tuple[Withheld, ...]:
    """Why no verdict can be given on an assembly; empty where one can."""
    return tuple(_reasons(result, found))


def _reasons(result: Result, found: AssemblyResult) -> Iterator[Withheld]:
    climate, ended = result.case.climate, found.outcome
    if ended.name != "completed":
        yield Withheld("stopped", (("cause", ended.cause), ("cure", ended.cure)))
    elif not found.converged:
        yield Withheld("not converged")
    if has_gaps(climate):
        yield Withheld("gaps", (("climate", climate.name),))
    if climate.rain is None and not takes_no_rain(found.assembly):
        yield Withheld("no rain")
    if len(whole_years(climate, result.hours)) < LEAST_YEARS:
        yield _too_short(climate, result.hours)


def _too_short(climate: Climate, hours: int) -> Withheld:
    """Fewer whole years than a verdict rests on: of a year that repeats, or of a window."""
    least = ("least", float(LEAST_YEARS))
    if climate.wraps:
        return Withheld("too short", numbers=(least, ("computed", hours / climate.hours)))
    return Withheld("window", (("window", window_in_words(climate, hours)),), (least,))


def has_gaps(climate: Climate) -> bool:
    """Whether a column that every run needs has a missing value."""
    columns = (
        climate.temperature,
        climate.vapour_pressure,
        climate.wind_speed,
        climate.direct_normal,
        climate.diffuse_horizontal,
    )
    return not all(np.isfinite(column).all() for column in columns)

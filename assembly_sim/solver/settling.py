"""Whether a run has settled: each year like the one before it.

Where weather wraps that of every year of a run is the same, so what still changes is the assembly
itself, on its way from the moisture it started with.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from assembly_sim.model import Thresholds
from assembly_sim.solver.result import PathResult

Array = NDArray[np.float64]

REPEATS = 0.005  # relative change of a year's heat loss


class YearStep(NamedTuple):
    """How water held (kg/m2) changed from the year before last to the last.

    peaks, means: (years,); step: the change of peak or mean, the larger where it counts as a
    rise, else the smaller; tolerance: a step within it is none; since_first: the step is from the
    first year, not from the one before the last.
    """

    peaks: Array
    means: Array
    step: float
    tolerance: float
    since_first: bool = False

    @property
    def is_none(self) -> bool:
        """Whether the last year was like the one before it."""
        return abs(self.step) <= self.tolerance


def by_year(series: Array, hours: int) -> Array:
    """Cut (total hours, ...) into (years, hours, ...), whole years counted back from the end."""
    years = len(series) // hours
    return series[len(series) - years * hours :].reshape(years, hours, *series.shape[1:])


def last_step(water: Array, hours: int, share: float, least: float) -> YearStep:
    """Last step of water at a place, kg/m2 (total hours,), over at least two years of `hours`.

    A step counts when it exceeds `share` of the year before and `least` kg/m2.
    """
    years = by_year(water, hours)
    return _step(years.max(axis=1), years.mean(axis=1), (-2,), share, least)


def real_step(water: Array, years: Sequence[slice], share: float, least: float) -> YearStep:
    """Last step over real years: from the one before and from the first, lest a dry last year
    hide what gathered before it. Part of it is the weather, which differs from year to year.
    """
    peaks = np.array([water[year].max() for year in years])
    means = np.array([water[year].mean() for year in years])
    return _step(peaks, means, (-2, 0), share, least)


def _step(
    peaks: Array, means: Array, since: tuple[int, ...], share: float, least: float
) -> YearStep:
    steps = [float(each[-1] - each[year]) for year in since for each in (peaks, means)]
    tolerance = max(least, share * float(peaks[-2]))
    rises = max(steps) > tolerance
    step = max(steps) if rises else min(steps[:2])
    return YearStep(peaks, means, step, tolerance, rises and max(steps) > max(steps[:2]))


def has_settled(path: PathResult, hours: int, limits: Thresholds) -> bool:
    """Whether water in every layer and heat through the room's surface repeat the year before.

    hours: of a year; a path of less than two years has not.
    """
    if len(path.heat_flux_room) < 2 * hours:
        return False
    share, least = limits.trend_tolerance, limits.trend_water
    water = (last_step(layer, hours, share, least) for layer in path.layer_water.T if layer.any())
    before, last = by_year(np.maximum(path.heat_flux_room, 0.0), hours)[-2:].sum(axis=1)
    return abs(last - before) <= REPEATS * last and all(step.is_none for step in water)

"""Trend over the years: does the wettest hour of each year rise, fall or settle.

The weather of every year of a run is the same, so what changes from one to the next is the
assembly itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.condensation import DRY_FILM
from assembly_sim.checks.finding import Finding, missing
from assembly_sim.checks.planes import (
    condensation_decides,
    face_planes,
    humidity_at,
    last_year,
    layer_material,
    place_of,
    sheds_rain,
)
from assembly_sim.model import Assembly
from assembly_sim.solver.result import PathResult, Result

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Trend:
    """Water (kg/m2) held at a place, year by year, and what its last year did.

    peaks, means: (years,); step: the last change of peak or mean, the larger where it counts as a
    rise, else the smaller; tolerance: a step within it is none; direction: `rises`, `falls` or
    `settles`.
    """

    place: str
    peaks: Array
    means: Array
    step: float
    tolerance: float
    decides: bool

    @property
    def direction(self) -> str:
        """What the last year did, in a word."""
        if abs(self.step) <= self.tolerance:
            return "settles"
        return "rises" if self.step > 0.0 else "falls"


def by_year(series: Array, hours: int) -> Array:
    """Cut (total hours, ...) into (years, hours, ...), whole years counted back from the end."""
    years = len(series) // hours
    return series[len(series) - years * hours :].reshape(years, hours, *series.shape[1:])


def trend_of(
    place: str, water: Array, hours: int, share: float, least: float, decides: bool
) -> Trend:
    """Trend of water at a place, kg/m2 (total hours,), over at least two years of `hours` each.

    A step counts when it exceeds `share` of the year before and `least` kg/m2.
    """
    years = by_year(water, hours)
    peaks, means = years.max(axis=1), years.mean(axis=1)
    steps = (float(peaks[-1] - peaks[-2]), float(means[-1] - means[-2]))
    tolerance = max(least, share * float(peaks[-2]))
    step = max(steps) if max(steps) > tolerance else min(steps)
    return Trend(place, peaks, means, step, tolerance, decides)


def path_trends(result: Result, assembly: Assembly, path: PathResult) -> tuple[Trend, ...]:
    """Trends of the water in layers that hold any and of free water at planes that gather some.

    Empty where the run is shorter than two years. A layer decides unless it lies outside the
    drainage plane, and only if it is humid: the last year's highest monthly mean humidity at one
    of its faces reaches the surface limit (80 %). Drier than that, a rise is a layer settling.
    """
    hours = result.case.climate.hours
    if result.hours < 2 * hours:
        return ()
    share = result.case.thresholds.trend_tolerance
    least = result.case.thresholds.trend_water
    layers = tuple(
        trend_of(
            layer.name,
            path.layer_water[:, index],
            hours,
            share,
            least,
            _layer_decides(result, assembly, path, index),
        )
        for index, layer in enumerate(assembly.layers)
        if layer_material(layer, path.name) is not None and path.layer_water[:, index].any()
    )
    planes = tuple(
        trend_of(
            place_of(plane),
            path.free_water[:, i],
            hours,
            share,
            least,
            condensation_decides(assembly, plane),
        )
        for i, plane in enumerate(path.planes)
        if path.free_water[:, i].max() > DRY_FILM
    )
    return layers + planes


def _layer_decides(result: Result, assembly: Assembly, path: PathResult, index: int) -> bool:
    """Whether the layer is inside the drainage plane and humid at one of its faces."""
    faces = face_planes(assembly, path, index)
    if path.planes[faces[1]].drained:
        return False
    if sheds_rain(layer_material(assembly.layers[index], path.name)):
        return False
    limit = result.case.thresholds.surface_humidity
    return any(highest_monthly_humidity(result, path, i) >= limit for i in faces)


def highest_monthly_humidity(result: Result, path: PathResult, position: int) -> float:
    """Highest monthly mean humidity (0-1 over liquid) of the last year at a plane."""
    year = last_year(result)
    _, which = np.unique(result.month[year], return_inverse=True)
    humidity = humidity_at(path, position)[year]
    return float((np.bincount(which, humidity) / np.bincount(which)).max())


def trend_findings(result: Result, assembly: Assembly, path: PathResult) -> tuple[Finding, ...]:
    """Last year's step of each place against the tolerance; one finding where a year is missing."""
    trends = path_trends(result, assembly, path)
    if not trends and result.hours < 2 * result.case.climate.hours:
        return (missing("trend of water", assembly.name, path.name, "two computed years or more"),)
    return tuple(
        Finding(
            check="trend of water",
            place=trend.place,
            path=path.name,
            value=trend.step,
            limit=trend.tolerance,
            unit="kg/m2 a year",
            decides=trend.decides,
            note=f"{trend.direction}; yearly peaks "
            + ", ".join(f"{peak:.3f}" for peak in trend.peaks)
            + " kg/m2",
        )
        for trend in trends
    )

"""Trend over the years: does the wettest hour of each year rise, fall or settle.

Where weather wraps that of every year of a run is the same, so what changes from one to the next
is the assembly itself. In real years it is the weather too, and what gathered since the first
counts as well as since the year before (`solver/settling.py`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.period import whole_years
from assembly_sim.checks.condensation import DRY_FILM
from assembly_sim.checks.finding import Finding, missing
from assembly_sim.checks.planes import (
    face_planes,
    humidity_at,
    last_year,
    place_of,
    wet_by_design,
)
from assembly_sim.envelope.rain import spared_layers
from assembly_sim.envelope.resistances import material_on_path
from assembly_sim.model import Assembly
from assembly_sim.solver.result import PathResult, Result
from assembly_sim.solver.settling import YearStep, last_step, real_step

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Trend:
    """Water (kg/m2) held at a place, year by year, and what its last year did."""

    place: str
    last: YearStep
    decides: bool

    @property
    def direction(self) -> str:
        """What the last year did, in a word: `rises`, `falls` or `settles`."""
        if self.last.is_none:
            return "settles"
        return "rises" if self.last.step > 0.0 else "falls"


def path_trends(result: Result, assembly: Assembly, path: PathResult) -> tuple[Trend, ...]:
    """Trends of the water in layers that hold any and of free water at planes that gather some.

    Empty where the run is shorter than two years. A layer decides unless it is cladding or
    roofing, and only if it is humid: the last year's highest monthly mean humidity at one
    of its faces reaches the surface limit (80 %). Drier than that, a rise is a layer settling.
    """
    climate, limits = result.case.climate, result.case.thresholds
    years = whole_years(climate, result.hours)
    if len(years) < 2:
        return ()

    def trend(place: str, water: Array, decides: bool) -> Trend:
        bounds = limits.trend_tolerance, limits.trend_water
        if climate.wraps:
            return Trend(place, last_step(water, climate.hours, *bounds), decides)
        return Trend(place, real_step(water, years, *bounds), decides)

    layers = tuple(
        trend(layer.name, path.layer_water[:, index], _layer_decides(result, assembly, path, index))
        for index, layer in enumerate(assembly.layers)
        if material_on_path(layer, path.name) is not None and path.layer_water[:, index].any()
    )
    planes = tuple(
        trend(place_of(plane), path.free_water[:, i], not wet_by_design(assembly, plane))
        for i, plane in enumerate(path.planes)
        if path.free_water[:, i].max() > DRY_FILM
    )
    return layers + planes


def _layer_decides(result: Result, assembly: Assembly, path: PathResult, index: int) -> bool:
    """Whether the layer is no cladding and humid at one of its faces."""
    if index in spared_layers(assembly):
        return False
    limit = result.case.thresholds.surface_humidity
    faces = face_planes(assembly, path, index)
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
    climate = result.case.climate
    if not trends and len(whole_years(climate, result.hours)) < 2:
        return (missing("trend of water", assembly.name, path.name, "two computed years or more"),)
    return tuple(
        Finding(
            check="trend of water",
            place=trend.place,
            path=path.name,
            value=trend.last.step,
            limit=trend.last.tolerance,
            unit="kg/m2 a year",
            decides=trend.decides,
            note=trend.direction,
            year=len(trend.last.peaks),
            settled=trend.last.step,
            counts=(
                *((f"peak_of_year_{year}", peak) for year, peak in enumerate(trend.last.peaks, 1)),
                *(() if climate.wraps else (("since_first", float(trend.last.since_first)),)),
            ),
        )
        for trend in trends
    )

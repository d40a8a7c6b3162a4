"""The surface that faces the room: temperature factor, humid months, condensation."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.checks.finding import Finding
from assembly_sim.checks.planes import hour_means, last_year, per_year, room_ground, room_surface
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.physics.moist_air import dew_point, saturation_pressure
from assembly_sim.solver.result import AssemblyResult, PathResult, Result
from assembly_sim.units import marked

Array = NDArray[np.float64]

STEADY_DIFFERENCE = 5.0
"""Smallest mean difference (K) indoors to outdoors for which a factor says something, ours."""


def temperature_factor(surface: ArrayLike, inside: ArrayLike, outside: ArrayLike) -> Array:
    """f_Rsi = (T_si - T_e) / (T_i - T_e), K (ISO 13788, from memory)."""
    outside = np.asarray(outside, dtype=float)
    return (np.asarray(surface) - outside) / (np.asarray(inside) - outside)


def lowest_surface_temperature(vapour_pressure: ArrayLike, humidity: float) -> Array:
    """Temperature (K) below which a surface exceeds `humidity` (0-1) in air of this p_v (Pa).

    psat(T_si) >= p_i / 0.8 against mould, / 1.0 against condensation (ISO 13788, from memory).
    """
    return dew_point(np.asarray(vapour_pressure, dtype=float) / humidity)


def required_factor(
    inside: ArrayLike, outside: ArrayLike, vapour_pressure: ArrayLike, humidity: float
) -> Array:
    """Least temperature factor that keeps a surface at or below `humidity` (ISO 13788).

    inside and outside: monthly means, K; vapour_pressure: of the room's air, Pa.
    """
    surface = lowest_surface_temperature(vapour_pressure, humidity)
    return temperature_factor(surface, inside, outside)


@dataclass(frozen=True)
class SurfaceMonths:
    """Monthly means of the last year at the room-side surface of a path, (months,) each.

    month: 1-12, those that occur; temperatures K; humidity at the surface 0-1, of mean vapour
    pressure and mean temperature; factor and required: temperature factors, as it is and as it
    has to be, NaN in months of small difference.
    """

    month: NDArray[np.int64]
    temperature: Array
    inside: Array
    outside: Array
    humidity: Array
    factor: Array
    required: Array


def surface_months(result: Result, found: AssemblyResult, path: PathResult) -> SurfaceMonths:
    """Monthly means behind the ISO 13788 surface check, from the hours of the last year."""
    year, drivers = last_year(result), found.drivers
    position = room_surface(found.assembly, path)
    months, which = np.unique(result.month[year], return_inverse=True)

    def mean(hourly: Array) -> Array:
        return np.bincount(which, hourly[year]) / np.bincount(which)

    surface = mean(path.temperature[:, position])
    inside = mean(hour_means(drivers.room_temperature))
    outside = mean(hour_means(drivers.outdoor_temperature))
    room = mean(hour_means(drivers.room_vapour_pressure))
    cold = inside - outside >= STEADY_DIFFERENCE
    limit = result.case.thresholds.surface_humidity
    outside_or_nan = np.where(cold, outside, np.nan)
    return SurfaceMonths(
        month=months,
        temperature=surface,
        inside=inside,
        outside=outside,
        humidity=mean(path.vapour_pressure[:, position]) / saturation_pressure(surface),
        factor=temperature_factor(surface, inside, outside_or_nan),
        required=required_factor(inside, outside_or_nan, room, limit),
    )


def condensing_hours(found: AssemblyResult, path: PathResult, year: slice) -> int:
    """Hours in which the room-side surface is colder than the dew point of the room."""
    room = hour_means(found.drivers.room_vapour_pressure)[year]
    surface = path.temperature[year, room_surface(found.assembly, path)]
    return int((room >= saturation_pressure(surface)).sum())


def surface_findings(
    result: Result, found: AssemblyResult, path: PathResult
) -> tuple[Finding, ...]:
    """Humid months, condensation hours, coldest hour and temperature factor of the surface."""
    position = room_surface(found.assembly, path)
    place = path.planes[position].name
    months = surface_months(result, found, path)
    made = (
        _humid_months(result, months, place, path.name),
        _dew(result, found, path, place),
        _coldest(result, path, position),
        _factor(months, place, path.name),
    )
    return tuple(replace(one, towards=found.assembly.inside) for one in made)


def _dew(result: Result, found: AssemblyResult, path: PathResult, place: str) -> Finding:
    hours = condensing_hours(found, path, last_year(result))
    decides = _dew_decides(result, found, path)
    return Finding(
        "surface condensation",
        place,
        path.name,
        value=hours,
        limit=result.case.thresholds.wet_hours if decides else 0,
        unit=per_year(result, "h"),
        decides=decides,
        settled=hours,
    )


def _dew_decides(result: Result, found: AssemblyResult, path: PathResult) -> bool:
    """Whether dew on the surface is told by its hours, since the ground takes it up unseen.

    On glass and metal it is free water, which is judged by its amount. Over a zone the plane's own
    hours count: decks of vented attics have dew on clear nights and dry (common practice).
    """
    ground = room_ground(found.assembly, path)
    zone = found.assembly.inside in {one.name for one in result.case.zones}
    return not zone and ground is not None and ground.mould_class != "resistant"


def _humid_months(result: Result, months: SurfaceMonths, place: str, path: str) -> Finding:
    limit = result.case.thresholds.surface_humidity
    worst = int(months.humidity.argmax())
    return Finding(
        "months of humid surface",
        place,
        path,
        value=int((months.humidity >= limit).sum()),
        limit=0,
        unit="months",
        month=int(months.month[worst]),
        decides=True,
        settled=int((months.humidity >= limit).sum()),
        counts=(("highest_month", float(months.humidity[worst])), ("month_limit", limit)),
    )


def _coldest(result: Result, path: PathResult, position: int) -> Finding:
    year = last_year(result)
    hour = year.start + int(path.temperature[year, position].argmin())
    return Finding(
        "coldest hour of the surface",
        path.planes[position].name,
        path.name,
        value=float(path.temperature[hour, position]) - ICE_POINT,
        unit="degC",
        hour=hour,
        month=int(result.month[hour]),
    )


def _factor(months: SurfaceMonths, place: str, path: str) -> Finding:
    """The factor of the month that asks for most; none where indoors is never much warmer."""
    check = "surface temperature factor"
    if not np.isfinite(months.required).any():
        least = marked(STEADY_DIFFERENCE, "temperature difference")
        note = f"no month with indoors {least} above outdoors"
        return Finding(check, place, path, note=note)
    critical = int(np.nanargmax(months.required))
    return Finding(
        check,
        place,
        path,
        value=float(months.factor[critical]),
        limit=float(months.required[critical]),
        unit="1",
        month=int(months.month[critical]),
        at_least=True,
        note="ISO 13788; surface resistance as in the run, corners and furniture left out",
    )

"""Condensation and frost at planes: how often, how much, and whether they dry.

Counts and amounts are those of the last year of the run, when the starting moisture has had its
say; the highest humidity is that of the whole run.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.finding import Finding, longest_run
from assembly_sim.checks.planes import (
    condensation_decides,
    hour_means,
    humidity_at,
    last_year,
    place_of,
    water_harms,
)
from assembly_sim.model import Assembly, Case
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.physics.moist_air import humidity_ratio, saturation_pressure_over_stable_phase
from assembly_sim.solver.result import AssemblyResult, Drivers, PathResult, Result

Array = NDArray[np.float64]

DRY_FILM = 1e-3
"""Free water (kg/m2) below which a plane counts as dry: a thousandth of a millimetre, ours."""


@dataclass(frozen=True)
class PlaneCondensation:
    """Condensation at one plane in the last year; hours are counts, water in kg/m2.

    risk_hours: at or above `condensation_humidity` over the stable phase; over_ice_hours: at or
    above ice saturation; wet_hours: at or above `wet_humidity`; dew_point_hours: the plane is
    colder than the dew (or frost) point of the air that leaks reach it with, None where none does;
    wetting_potential: g/m2, None without a leak; free_water, free_water_left: highest and lowest;
    longest_wet_spell: hours in a row that are wet or carry free water; humidity_max: 0-1 over
    liquid, of the whole run; peak_hour: of free water, or of humidity where there is none, in the
    last year, counted from the start of the run.
    """

    risk_hours: int
    over_ice_hours: int
    wet_hours: int
    dew_point_hours: int | None
    wetting_potential: float | None
    free_water: float
    free_water_left: float
    longest_wet_spell: int
    humidity_max: float
    peak_hour: int

    @property
    def dries(self) -> bool:
        """Whether what gathered was gone again at some hour of the year."""
        return self.free_water_left <= DRY_FILM


def path_condensation(
    result: Result, found: AssemblyResult, path: PathResult
) -> tuple[PlaneCondensation, ...]:
    """Condensation at each plane of a path, in the order of its planes."""
    return tuple(_one_plane(result, found, path, position) for position in range(len(path.planes)))


def _one_plane(
    result: Result, found: AssemblyResult, path: PathResult, position: int
) -> PlaneCondensation:
    year = last_year(result)
    limits = result.case.thresholds
    temperature = path.temperature[year, position]
    humidity = humidity_at(path, position)
    liquid = humidity[year]
    stable = path.vapour_pressure[year, position] / saturation_pressure_over_stable_phase(
        temperature
    )
    free = path.free_water[year, position]
    reach = path.planes[position].reach
    peak = int(free.argmax()) if free.max() > DRY_FILM else int(liquid.argmax())
    wet = stable >= limits.wet_humidity
    return PlaneCondensation(
        risk_hours=int((stable >= limits.condensation_humidity).sum()),
        over_ice_hours=int(((stable >= 1.0) & (temperature < ICE_POINT)).sum()),
        wet_hours=int(wet.sum()),
        dew_point_hours=dew_point_hours(found.drivers, year, reach, temperature),
        wetting_potential=wetting_potential(found, year, reach, temperature),
        free_water=float(free.max()),
        free_water_left=float(free.min()),
        longest_wet_spell=longest_run(wet | (free > DRY_FILM)),
        humidity_max=float(humidity.max()),
        peak_hour=year.start + peak,
    )


def _air_that_reaches(drivers: Drivers, reach: str) -> Array:
    """Vapour pressure (Pa, hour means) of the air that leaks bring to a plane of this reach."""
    room = drivers.room_vapour_pressure
    return hour_means(room if reach == "room" else drivers.outdoor_vapour_pressure)


def dew_point_hours(drivers: Drivers, year: slice, reach: str, temperature: Array) -> int | None:
    """Hours in which the air that reaches a plane would saturate at its temperature (K).

    The room's air for planes it reaches, outdoor air for those that outdoor air reaches; None for
    planes that no leak reaches. Below 0 degC the frost point counts. A count, never a verdict:
    it says nothing of how much air comes.
    """
    if reach == "none":
        return None
    vapour = _air_that_reaches(drivers, reach)[year]
    return int((vapour > saturation_pressure_over_stable_phase(temperature)).sum())


def wetting_potential(
    found: AssemblyResult, year: slice, reach: str, temperature: Array
) -> float | None:
    """Water (g/m2) that the leak could leave at a plane in a year if all of it passed there.

    Sum over hours of max(0, x_air - x_sat(T_plane)) times the dry air of that hour (kg/m2) that
    blows toward the plane: outward for planes the room's air reaches, inward for the others.
    Drying by the same air is left out, and so is the plane's warming by it unless the run had it.
    """
    if reach == "none" or found.assembly.leak is None:
        return None
    drivers = found.drivers
    outward = 1.0 if reach == "room" else -1.0
    air = 3600.0 * np.maximum(outward * hour_means(drivers.leak)[year], 0.0)
    pressure = hour_means(drivers.atmospheric_pressure)[year]
    brought = humidity_ratio(_air_that_reaches(drivers, reach)[year], pressure)
    kept = humidity_ratio(saturation_pressure_over_stable_phase(temperature), pressure)
    return float(1000.0 * (air * np.maximum(brought - kept, 0.0)).sum())


def condensation_findings(
    result: Result, assembly: Assembly, path: PathResult, planes: tuple[PlaneCondensation, ...]
) -> tuple[Finding, ...]:
    """Wet hours, free water and condensation-risk hours of each plane, in that order.

    Where water harms neither side, hours never decide, and a film does once it would run off.
    """
    return tuple(
        finding
        for position, plane in enumerate(planes)
        for finding in _findings(result, assembly, path, position, plane)
    )


def _findings(
    result: Result,
    assembly: Assembly,
    path: PathResult,
    position: int,
    found: PlaneCondensation,
) -> tuple[Finding, ...]:
    plane = path.planes[position]

    tender, limits = water_harms(plane), result.case.thresholds

    def finding(check: str, value: float, limit: float, unit: str, note: str) -> Finding:
        return Finding(
            check=check,
            place=place_of(plane),
            path=path.name,
            value=value,
            limit=limit,
            unit=unit,
            hour=found.peak_hour,
            month=int(result.month[found.peak_hour]),
            decides=condensation_decides(assembly, plane) and (tender or unit != "h"),
            note=note,
        )

    most = limits.free_water_wet if tender else limits.run_off_water
    fate = _fate(found, result.case)
    spell = f"longest wet spell {found.longest_wet_spell} h"
    return (
        finding("wet hours", found.wet_hours, limits.wet_hours, "h", spell),
        finding("free water", found.free_water, most, "kg/m2", fate),
        finding(
            "condensation-risk hours",
            found.risk_hours,
            limits.condensation_hours,
            "h",
            f"highest humidity {100 * found.humidity_max:.0f} %",
        ),
    )


def _fate(found: PlaneCondensation, case: Case) -> str:
    """What becomes of free water, in words."""
    if found.free_water <= DRY_FILM:
        return "none"
    runs = found.free_water > case.thresholds.run_off_water
    dries = "dries within the year" if found.dries else "does not dry within the year"
    return f"{dries}; more than the face can hold, runs off" if runs else dries

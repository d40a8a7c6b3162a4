"""Condensation and frost at planes: how often, how much, and whether they dry.

What is shown of a plane is that of the last year of the run, when the starting moisture has had
its say, but for the highest humidity, which is that of the whole run. What is judged is that of
the worst year, with the last year beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.drivers import Drivers
from assembly_sim.checks.finding import Finding, longest_run
from assembly_sim.checks.planes import (
    hour_means,
    humidity_at,
    last_year,
    place_of,
    water_harms,
    wet_by_design,
    when,
    years_of,
)
from assembly_sim.model import Assembly, Case
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.physics.moist_air import humidity_ratio, saturation_pressure_over_stable_phase
from assembly_sim.solver.result import AssemblyResult, PathResult, Result

Array = NDArray[np.float64]

HALF_A_YEAR = 4380
"""Hours of risk in a year from which no plane is called dry, whatever it is of, ours."""
DRY_FILM = 1e-3
"""Free water (kg/m2) below which a plane counts as dry: a thousandth of a millimetre, ours."""


@dataclass(frozen=True)
class WaterYear:
    """Water at one plane in one year; hours are counts, water in kg/m2.

    risk_hours: at or above `condensation_humidity` over the stable phase; over_ice_hours: at or
    above ice saturation; wet_hours: at or above `wet_humidity`; free_water, free_water_left:
    highest and lowest; longest_wet_spell: hours in a row that are wet or carry free water;
    peak_hour: of free water, or of humidity where there is none, from the start of the run.
    """

    risk_hours: int
    over_ice_hours: int
    wet_hours: int
    free_water: float
    free_water_left: float
    longest_wet_spell: int
    peak_hour: int

    @property
    def dries(self) -> bool:
        """Whether what gathered was gone again at some hour of the year."""
        return self.free_water_left <= DRY_FILM


@dataclass(frozen=True)
class PlaneCondensation:
    """Condensation at one plane: every year of the run, and what is counted in the last.

    dew_point_hours: the plane is colder than the dew (or frost) point of the air that leaks reach
    it with, None where none does; wetting_potential: g/m2, None without a leak; humidity_max: 0-1
    over liquid, of the whole run.
    """

    years: tuple[WaterYear, ...]
    dew_point_hours: int | None
    wetting_potential: float | None
    humidity_max: float

    @property
    def last(self) -> WaterYear:
        """The last year of the run."""
        return self.years[-1]


def path_condensation(
    result: Result, found: AssemblyResult, path: PathResult
) -> tuple[PlaneCondensation, ...]:
    """Condensation at each plane of a path, in the order of its planes."""
    return tuple(_one_plane(result, found, path, position) for position in range(len(path.planes)))


def _one_plane(
    result: Result, found: AssemblyResult, path: PathResult, position: int
) -> PlaneCondensation:
    year, reach = last_year(result), path.planes[position].reach
    humidity = humidity_at(path, position)
    temperature = path.temperature[year, position]
    return PlaneCondensation(
        years=tuple(_one_year(result, path, position, humidity, y) for y in years_of(result)),
        dew_point_hours=dew_point_hours(found.drivers, year, reach, temperature),
        wetting_potential=wetting_potential(found, year, reach, temperature),
        humidity_max=float(humidity.max()),
    )


def _one_year(
    result: Result, path: PathResult, position: int, humidity: Array, year: slice
) -> WaterYear:
    limits, temperature = result.case.thresholds, path.temperature[year, position]
    saturation = saturation_pressure_over_stable_phase(temperature)
    stable = path.vapour_pressure[year, position] / saturation
    free = path.free_water[year, position]
    peak = int(free.argmax()) if free.max() > DRY_FILM else int(humidity[year].argmax())
    wet = stable >= limits.wet_humidity
    return WaterYear(
        risk_hours=int((stable >= limits.condensation_humidity).sum()),
        over_ice_hours=int(((stable >= 1.0) & (temperature < ICE_POINT)).sum()),
        wet_hours=int(wet.sum()),
        free_water=float(free.max()),
        free_water_left=float(free.min()),
        longest_wet_spell=longest_run(wet | (free > DRY_FILM)),
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
    """Wet hours, free water, what of it stays and condensation-risk hours of each plane.

    Where water harms neither side, a film decides once it would run off, and hours of risk only if
    they are more of the year than not: masonry and foam take weeks of it, but are not dry then.
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
    plane, limits = path.planes[position], result.case.thresholds
    tender, by_design = water_harms(assembly, plane), wet_by_design(assembly, plane)

    def finding(check: str, name: str, limit: float, unit: str, **counts: float) -> Finding:
        worst = max(found.years, key=lambda year: getattr(year, name))
        lasts = name == "risk_hours" and worst.risk_hours > HALF_A_YEAR
        return Finding(
            check=check,
            place=place_of(plane),
            path=path.name,
            value=getattr(worst, name),
            limit=HALF_A_YEAR if lasts and not tender else limit,
            unit=unit,
            **when(result, worst.peak_hour),
            decides=not by_design and (tender or unit != "h" or lasts),
            settled=getattr(found.last, name),
            counts=(("tender", float(tender)), *counts.items()),
        )

    most = limits.free_water_wet if tender else limits.run_off_water
    spell = {"longest_wet_spell": float(found.last.longest_wet_spell)}
    highest, fate = {"highest_humidity": found.humidity_max}, _fate(found.last, result.case)
    return (
        finding("wet hours", "wet_hours", limits.wet_hours, "h", **spell),
        finding("free water", "free_water", most, "kg/m2", **fate),
        finding("free water that stays", "free_water_left", limits.free_water_wet, "kg/m2"),
        finding("condensation-risk hours", "risk_hours", limits.condensation_hours, "h", **highest),
    )


def _fate(found: WaterYear, case: Case) -> dict[str, float]:
    """What becomes of free water in the last year, 1 or 0 each."""
    return {
        "any_in_last_year": float(found.free_water > DRY_FILM),
        "dries": float(found.dries),
        "runs_off": float(found.free_water > case.thresholds.run_off_water),
    }

"""What becomes of a named water pipe in a zone: frost, and how soon where the heating fails."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.pipes import (
    frost_hours,
    heating_fails,
    pipe_time_constant,
    standing_water,
)
from assembly_sim.envelope.resistances import u_value
from assembly_sim.hand.zone import time_constant
from assembly_sim.model import Pipe
from assembly_sim.physics.airflow import REFERENCE_DENSITY
from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY
from assembly_sim.solver.result import Result, ZoneResult
from assembly_sim.verdict.house_air import inflows
from assembly_sim.verdict.moment import Moment, hour_of, moment_of

Array = NDArray[np.float64]
Hours = NDArray[np.bool_]


@dataclass(frozen=True)
class PipeSummary:
    """A pipe in the last year: water that stands in it all the time; h, K.

    time_constant_h: in which that follows the air, None of a bare pipe, which is as its air;
    zone_time_constant_h: of the zone without heat, by what stands in it alone; fails_h: the
    shortest time to 0 degC where all heating fails, from `fails_at` on, None: not in ten days.
    """

    name: str
    time_constant_h: float | None
    hours_below_0_degc: int
    longest_below_0_degc: int
    coldest_k: float
    coldest_at: Moment
    zone_time_constant_h: float
    fails_h: float | None
    fails_at: Moment


def pipe_summaries(
    result: Result, found: ZoneResult, outdoors: Array, year: Hours
) -> tuple[PipeSummary, ...]:
    """Pipes of a zone; outdoors K and year by hour of the run."""
    own = [one for one in result.case.pipes if one.zone == found.zone.name]
    return tuple(_pipe(result, one, found, outdoors, year) for one in own)


def _pipe(
    result: Result, pipe: Pipe, found: ZoneResult, outdoors: Array, year: Hours
) -> PipeSummary:
    air, constant = found.temperature[: result.hours], 0.0
    if pipe.insulation > 0.0:
        sizes = (pipe.inner_diameter, pipe.outer_diameter, pipe.insulation)
        constant = pipe_time_constant(*sizes, pipe.conductivity)
    water = standing_water(air, constant, float(air[0])) if constant else air
    frost, coldest = frost_hours(water[year]), hour_of(water, year, False)
    of_zone = zone_time_constant(result, found, year)
    fails = heating_fails(air[year], outdoors[year], water[year], of_zone, constant)
    return PipeSummary(
        name=pipe.name,
        time_constant_h=constant or None,
        hours_below_0_degc=frost.hours,
        longest_below_0_degc=frost.longest,
        coldest_k=frost.coldest,
        coldest_at=moment_of(result, coldest),
        zone_time_constant_h=of_zone,
        fails_h=fails.hours,
        fails_at=moment_of(result, int(np.flatnonzero(year)[fails.hour])),
    )


def zone_time_constant(result: Result, found: ZoneResult, year: Hours) -> float:
    """Hours in which a zone without any heat comes to 1/e: its air and what stands in it alone.

    Heat goes by all that surrounds it and with all air that came in, in the mean of the year, as
    if the rooms were as cold as outdoors; boards around it, which hold heat too, are left out. So
    it falls no faster than this.
    """
    zone = found.zone
    air = zone.volume * REFERENCE_DENSITY * DRY_AIR_HEAT_CAPACITY
    around = (one for one in result.case.assemblies if zone.name in (one.inside, one.outside))
    carried = sum(inflows(result.streams, year).get(zone.name, {}).values())
    lost = sum(u_value(one) * one.area for one in around) + DRY_AIR_HEAT_CAPACITY * carried
    return time_constant(air + zone.heat_capacity, lost)

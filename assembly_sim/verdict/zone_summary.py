"""What becomes of the zones of a house: cold, heat, damp, pipes, ice at eaves, and whence heat.

All is of the last year of the run, but for what is said of the whole run.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.house import into_zone, temperatures
from assembly_sim.checks.pipes import ALERT_OUTDOORS, frost_hours
from assembly_sim.checks.planes import last_year
from assembly_sim.envelope.orientation import is_roof
from assembly_sim.envelope.resistances import u_value
from assembly_sim.hand.ice_dam import FAHRENHEIT_22, FAHRENHEIT_30, ice_dam, melting_hours
from assembly_sim.model import Assembly, Case, Zone
from assembly_sim.model.assembly import OUTDOORS
from assembly_sim.physics.airflow import REFERENCE_DENSITY
from assembly_sim.solver.result import Result, ZoneResult
from assembly_sim.verdict.house_air import inflows, room_air_into
from assembly_sim.verdict.moment import Moment, hour_of, moment_of
from assembly_sim.verdict.pipe_summary import PipeSummary, pipe_summaries

Array = NDArray[np.float64]
Hours = NDArray[np.bool_]

HUMID = 0.95
AROUND = 2.0  # K around 22 degF outdoors, whose hours tell of icings
KWH = 1e-3  # per W in an hour


@dataclass(frozen=True)
class Extreme:
    """A highest or lowest hourly mean (K or 0-1), and when."""

    value: float
    at: Moment


@dataclass(frozen=True)
class IceDamSummary:
    """Whether the zone is warm enough for snow to melt on its roof and freeze at the eaves.

    melting_hours: its air above -1.1 degC while outdoors is at or below -5.6 degC; hours: those
    within 2 K of -5.6 degC outdoors, mean_temperature_k of its air in these, outdoor_air_m3_s that
    came in then, and outdoor_air_needed_m3_s for -1.1 degC by the hand formula; None where no hour
    is so cold. limit_k: -1.1 degC.
    """

    melting_hours: int
    hours: int
    mean_temperature_k: float | None
    outdoor_air_m3_s: float | None
    outdoor_air_needed_m3_s: float | None
    limit_k: float = FAHRENHEIT_30

    @property
    def met(self) -> bool | None:
        """Whether the zone keeps cold enough; None where no hour tells."""
        if self.mean_temperature_k is None:
            return None
        return self.mean_temperature_k <= self.limit_k


@dataclass(frozen=True)
class ZoneWay:
    """Heat that came into a zone by one way in the heating season, kWh, negative where it left."""

    name: str
    kind: str
    heating_season_kwh: float


@dataclass(frozen=True)
class ZoneSummary:
    """A zone in the last year: temperatures K, humidities 0-1, hours, air m3/s of 1.2 kg/m3.

    hours_below_0_degc of its air and the longest_below_0_degc in a row; hours below -6.7 degC of
    its air, and of the air outdoors; fog_max_kg: water in the air and what it left there, at most;
    air that came from outdoors and from the rooms, means; ice_dam: None where no roof is above it;
    pipes: those that the case names in it.
    Errors are of the run.
    """

    name: str
    volume_m3: float
    coldest: Extreme
    hottest: Extreme
    most_humid: Extreme
    mean_temperature_k: float
    mean_relative_humidity: float
    hours_below_0_degc: int
    longest_below_0_degc: int
    hours_below_minus_6_7_degc: int
    hours_outdoors_below_minus_6_7_degc: int
    hours_above_95_percent: int
    fog_max_kg: float
    outdoor_air_m3_s: float
    room_air_m3_s: float
    ways: tuple[ZoneWay, ...]
    ice_dam: IceDamSummary | None
    pipes: tuple[PipeSummary, ...]
    heat_balance_error: float
    moisture_balance_error: float
    air_balance_error: float


def zone_summaries(result: Result, heating: Hours) -> tuple[ZoneSummary, ...]:
    """Each zone of a run; heating: the hours of the run that heat is summed over, (hours,)."""
    if result.hours == 0:
        return ()
    return tuple(_zone(result, one, heating) for one in result.zones)


def _zone(result: Result, found: ZoneResult, heating: Hours) -> ZoneSummary:
    year = np.zeros(result.hours, dtype=bool)
    year[last_year(result)] = True
    name, air = found.zone.name, found.temperature
    damp = np.minimum(found.relative_humidity, 1.0)  # beyond it stands fog, which is told in kg
    frost = frost_hours(air[: result.hours][year])
    outdoors = temperatures(result)[OUTDOORS]

    def extreme(values: Array, largest: bool) -> Extreme:
        hour = hour_of(values[: result.hours], year, largest)
        return Extreme(float(values[hour]), moment_of(result, hour))

    def hours(where: Hours) -> int:
        return int(np.count_nonzero(where[: result.hours] & year))

    return ZoneSummary(
        name=name,
        volume_m3=found.zone.volume,
        coldest=extreme(air, False),
        hottest=extreme(air, True),
        most_humid=extreme(np.asarray(damp), True),
        mean_temperature_k=float(air[: result.hours][year].mean()),
        mean_relative_humidity=float(damp[: result.hours][year].mean()),
        hours_below_0_degc=frost.hours,
        longest_below_0_degc=frost.longest,
        hours_below_minus_6_7_degc=hours(air < ALERT_OUTDOORS),
        hours_outdoors_below_minus_6_7_degc=hours(outdoors < ALERT_OUTDOORS),
        hours_above_95_percent=hours(np.asarray(damp) > HUMID),
        fog_max_kg=float(found.free_water[: result.hours][year].max()),
        outdoor_air_m3_s=_from_outdoors(result, name, year),
        room_air_m3_s=room_air_into(result, name),
        ways=_ways(result, name, heating),
        ice_dam=_ice(result, found, outdoors, year),
        pipes=pipe_summaries(result, found, outdoors, year),
        heat_balance_error=found.heat_balance_error,
        moisture_balance_error=found.moisture_balance_error,
        air_balance_error=found.air_balance_error,
    )


def _ways(result: Result, zone: str, heating: Hours) -> tuple[ZoneWay, ...]:
    """What heat came by, the largest first."""
    ways = [
        ZoneWay(one.name, one.kind, KWH * float(one.heat[heating].sum()))
        for one in into_zone(result, zone)
    ]
    return tuple(sorted(ways, key=lambda way: -abs(way.heating_season_kwh)))


def _from_outdoors(result: Result, zone: str, hours: Hours) -> float:
    """Mean of the outdoor air that comes into a zone in some hours, m3/s."""
    some = inflows(result.streams, hours).get(zone, {})
    return some.get(OUTDOORS, 0.0) / REFERENCE_DENSITY


def _ice(result: Result, found: ZoneResult, outdoors: Array, year: Hours) -> IceDamSummary | None:
    """The criterion in the hours near its design temperature; None without a roof above."""
    roofs = _around(result.case, found.zone, OUTDOORS)
    if not any(is_roof(one) for one in roofs):
        return None
    air = found.temperature[: result.hours]
    melting = melting_hours(air[year], outdoors[year])
    near = year & (np.abs(outdoors - FAHRENHEIT_22) <= AROUND)
    if not near.any():
        return IceDamSummary(melting, 0, None, None, None)
    flow = _from_outdoors(result, found.zone.name, near)
    needed = _needed(result, found, roofs, near, flow)
    mean = float(air[near].mean())
    return IceDamSummary(melting, int(near.sum()), mean, flow, needed)


def _around(case: Case, zone: Zone, beyond: str) -> list[Assembly]:
    ends = {zone.name, beyond}
    return [one for one in case.assemblies if {one.inside, one.outside} == ends]


def _needed(
    result: Result, found: ZoneResult, roofs: list[Assembly], near: Hours, flow: float
) -> float:
    """Outdoor air for 30 degF by the hand formula, with what else brings heat as a steady gain."""
    rooms = [room.name for room in result.case.rooms]
    known = temperatures(result)
    ceilings = [(one, room) for room in rooms for one in _around(result.case, found.zone, room)]
    conductance = sum(u_value(one) * one.area for one, _ in ceilings)
    weighed = sum(u_value(a) * a.area * float(known[r][near].mean()) for a, r in ceilings)
    indoors = weighed / conductance if ceilings else FAHRENHEIT_30
    around = {one.name for one in roofs} | {one.name for one, _ in ceilings}
    outdoor = {s.name for s in result.streams if OUTDOORS in (s.inside, s.outside)}
    gain = sum(
        float(way.heat[near].mean())
        for way in into_zone(result, found.zone.name)
        if not (way.kind == "assembly" and way.name in around)
        and not (way.kind in ("leak", "opening", "given") and way.name in outdoor)
    )
    roof = sum(u_value(one) * one.area for one in roofs)
    return ice_dam(conductance, roof, flow, indoors, gain).flow_needed

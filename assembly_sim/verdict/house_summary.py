"""A house as one system: what leaves its rooms and by which way, its air, its balances.

Heat is summed as a heating delivers it: over the hours in which the rooms as a whole lose, each way
with its own sign, so that ways add up to the house (as in `studies/parts.py`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.house import estimated
from assembly_sim.boundary.network import Weather, wind_pressure, zone_flows
from assembly_sim.checks.energy import seasons_of
from assembly_sim.checks.house import Way, hourly, temperatures, ways_out
from assembly_sim.checks.planes import has_year, last_year
from assembly_sim.hand.ventilation import effective_ventilation, ventilation_needed
from assembly_sim.model import Case, MoistureBalance
from assembly_sim.model.assembly import OUTDOORS
from assembly_sim.physics.airflow import REFERENCE_DENSITY
from assembly_sim.solver.result import Result
from assembly_sim.verdict.evidence import within
from assembly_sim.verdict.moment import Moment, hour_of, moment_of
from assembly_sim.verdict.stream_summary import StreamSummary, stream_summaries
from assembly_sim.verdict.zone_summary import ZoneSummary, zone_summaries

Array = NDArray[np.float64]
Hours = NDArray[np.bool_]

KWH = 1e-3  # per W in an hour
STOREY = 2.5  # m, by which a volume is taken for a floor area
BEDROOMS = 3


@dataclass(frozen=True)
class WayHeat:
    """Heat out of the rooms by one way, kWh: total = conducted + carried by air."""

    total_kwh: float
    conducted_kwh: float
    carried_kwh: float


@dataclass(frozen=True)
class WaySummary:
    """One way by which heat leaves the rooms, in the heating season and in the year.

    kind: `assembly`, `opening`, `fan`, `ducts` or `ventilation`; beyond: where it leads, a room
    where it lies between two; area 0 of what has none; share of the season's heat, None where
    none leaves.
    """

    name: str
    kind: str
    room: str
    beyond: str
    area_m2: float
    heating_season: WayHeat
    year: WayHeat
    share: float | None


@dataclass(frozen=True)
class NeutralLevel:
    """Height above the ground at which no stack presses, median of the heating season, m."""

    space: str
    height_m: float


@dataclass(frozen=True)
class Ventilation:
    """Outdoor air that comes into the rooms, and what a standard asks for, m3/s.

    Means of the heating season and of the year; effective: as a steady flow would dilute;
    needed: for a floor of volume / 2.5 m and three bedrooms, which no case tells; fan: what is
    then left for one that brings and takes air. Without a volume of the rooms the last three are
    None.
    """

    heating_season_m3_s: float
    year_m3_s: float
    volume_m3: float | None
    floor_m2: float | None
    bedrooms: int
    effective_m3_s: float | None
    needed_m3_s: float | None
    fan_m3_s: float | None


@dataclass(frozen=True)
class Gain:
    """Heat that came into the rooms by one way in the cooling season, kWh."""

    name: str
    kwh: float


@dataclass(frozen=True)
class HouseSummary:
    """A house in the last year of its run, or in a window of weather that holds no year.

    has_year: which; heating_season_hours: hours of the season in which the rooms as a whole lose;
    kWh that left the rooms in these, and in all such hours of the year; peak_w at `peak`;
    cooling_season_kwh that came in by what the case describes in the hours of the cooling season
    in which they gain by it, gains: the ways that brought it, the largest first. Errors: the
    largest of its zones.
    """

    has_year: bool
    heating_season_hours: int
    heating_season_kwh: float
    year_kwh: float
    peak_w: float
    peak: Moment
    ways: tuple[WaySummary, ...]
    neutral_levels: tuple[NeutralLevel, ...]
    ventilation: Ventilation | None
    cooling_season_kwh: float
    gains: tuple[Gain, ...]
    heat_balance_error: float
    moisture_balance_error: float
    air_balance_error: float


@dataclass(frozen=True)
class Spaces:
    """All that is told of a house beside its assemblies; empty where a case is none."""

    house: HouseSummary | None = None
    zones: tuple[ZoneSummary, ...] = ()
    streams: tuple[StreamSummary, ...] = ()


def is_house(case: Case) -> bool:
    """Whether a case is more than assemblies in one room."""
    return bool(case.breathes or case.more_rooms or case.ducts)


def spaces_of(result: Result) -> Spaces:
    """House, zones and streams of a run."""
    if not is_house(result.case) or result.hours == 0:
        return Spaces()
    year = np.zeros(result.hours, dtype=bool)
    year[last_year(result)] = True
    heating, cooling = seasons_of(result, within(result, result.assemblies[0]))
    season = year & heating
    ways = ways_out(result)
    whole = np.sum([way.total for way in ways], axis=0) if ways else np.zeros(result.hours)
    losing = whole > 0.0
    heats = _summaries(ways, season & losing, year & losing)
    zones = zone_summaries(result, season & losing)
    gains = _gains(ways, year & cooling & (whole < 0.0))
    house = _house(result, whole, year, season, heats, gains, zones)
    carried = {
        key: (way.heating_season.carried_kwh, way.year.carried_kwh)
        for way in heats
        for key in _streams_of(way)
    }
    return Spaces(house, zones, stream_summaries(result, year, season, carried))


def _streams_of(way: WaySummary) -> tuple[tuple[str, str], ...]:
    """Name and kind of the stream that a way's air is: ducts and stated ventilation have none."""
    kind = {"assembly": "leak", "opening": "opening", "fan": "given"}.get(way.kind)
    return ((way.name, kind),) if kind else ()


def _summaries(ways: tuple[Way, ...], season: Hours, year: Hours) -> tuple[WaySummary, ...]:
    """Ways by name, the largest of the season first; what lies between two rooms is one."""
    by_name: dict[tuple[str, str], list[Way]] = {}
    for way in ways:
        by_name.setdefault((way.kind, way.name), []).append(way)
    whole = sum(_heat(some, season).total_kwh for some in by_name.values())
    found = []
    for (kind, name), some in by_name.items():
        heat, first = _heat(some, season), some[0]
        share = heat.total_kwh / whole if whole > 0.0 else None
        ends = (first.room, first.beyond, first.area)
        found.append(WaySummary(name, kind, *ends, heat, _heat(some, year), share))
    return tuple(sorted(found, key=lambda way: -way.heating_season.total_kwh))


def _heat(ways: list[Way], hours: Hours) -> WayHeat:
    conducted, carried = (
        KWH * sum(float(getattr(way, name)[hours].sum()) for way in ways)
        for name in ("conducted", "carried")
    )
    return WayHeat(conducted + carried, conducted, carried)


def _gains(ways: tuple[Way, ...], hours: Hours) -> tuple[Gain, ...]:
    """What came in by each way in some hours, with its sign; ways of one name are one."""
    found: dict[str, float] = {}
    for way in ways:
        came = -KWH * float(way.total[hours].sum())
        found[way.name] = found.get(way.name, 0.0) + came
    return tuple(Gain(*one) for one in sorted(found.items(), key=lambda one: -one[1]))


def _house(
    result: Result,
    whole: Array,
    year: Hours,
    season: Hours,
    ways: tuple[WaySummary, ...],
    gains: tuple[Gain, ...],
    zones: tuple[ZoneSummary, ...],
) -> HouseSummary:
    peak = hour_of(whole, year, True)

    def worst(name: str) -> float:
        return max((getattr(zone, name) for zone in zones), default=0.0)

    return HouseSummary(
        has_year=has_year(result),
        heating_season_hours=int(np.count_nonzero(season & (whole > 0.0))),
        heating_season_kwh=sum(way.heating_season.total_kwh for way in ways),
        year_kwh=sum(way.year.total_kwh for way in ways),
        peak_w=max(float(whole[peak]), 0.0),
        peak=moment_of(result, peak),
        ways=ways,
        neutral_levels=_neutral_levels(result, season),
        ventilation=_ventilation(result, year, season),
        cooling_season_kwh=sum(gain.kwh for gain in gains),
        gains=gains,
        heat_balance_error=worst("heat_balance_error"),
        moisture_balance_error=worst("moisture_balance_error"),
        air_balance_error=worst("air_balance_error"),
    )


def _neutral_levels(result: Result, season: Hours) -> tuple[NeutralLevel, ...]:
    """Of each space whose air finds its own pressure, with the zones as the run found them."""
    if not result.case.breathes or not season.any():
        return ()
    levels = neutral_levels(result, season)
    return tuple(
        NeutralLevel(space, float(np.nanmedian(level)))
        for space, level in levels.items()
        if np.isfinite(level).any()
    )


def neutral_levels(result: Result, hours: Hours) -> dict[str, Array]:
    """Height above the ground (m) at which no stack presses, by space, in some hours of the run.

    From the balance of the air at the temperatures of the run and its given flows, whose openings'
    flows are those of the run. NaN where a space is as warm as outdoors.
    """
    case, estimate = result.case, estimated(result.case)
    if estimate.flows is None:
        return {}

    def means(state: Array) -> Array:
        return hourly(case, state, result.hours)[hours]

    known, climate = temperatures(result), case.climate
    wind = [means(wind_pressure(one.side, one.height, climate)) for one in estimate.openings]
    weather = Weather(known[OUTDOORS][hours], means(climate.pressure), np.stack(wind, axis=1))
    air = np.column_stack([known[space][hours] for space in estimate.spaces])
    supply = np.zeros_like(air)
    for one in (each for each in result.streams if each.kind == "given"):
        for end, sign in ((one.inside, -1.0), (one.outside, 1.0)):
            if end in estimate.spaces:
                supply[:, estimate.spaces.index(end)] += sign * one.flow[: result.hours][hours]
    found = zone_flows(estimate.openings, estimate.spaces, air, weather, supply=supply)
    return dict(zip(estimate.spaces, found.neutral_level.T))


def _ventilation(result: Result, year: Hours, season: Hours) -> Ventilation | None:
    """Outdoor air of all rooms together; None where the case does not balance its air."""
    if not result.case.breathes:
        return None
    air = _outdoor_air(result)
    volume = _volume(result.case)
    means = _mean(air[season]), _mean(air[year])
    if volume is None:
        return Ventilation(*means, None, None, BEDROOMS, None, None, None)
    effective, floor = effective_ventilation(air[year], volume), volume / STOREY
    needed = ventilation_needed(floor, BEDROOMS, effective)
    return Ventilation(*means, volume, floor, BEDROOMS, effective, needed.whole, needed.fan)


def _mean(values: Array) -> float:
    return float(values.mean()) if len(values) else 0.0


def _volume(case: Case) -> float | None:
    """Volume of the rooms, where each tells its own."""
    rules = [room.humidity for room in case.rooms]
    known = [rule.volume for rule in rules if isinstance(rule, MoistureBalance)]
    return sum(known) if len(known) == len(rules) else None


def _outdoor_air(result: Result) -> Array:
    """Air from outdoors into the rooms, m3/s of 1.2 kg/m3 by hour: openings, fans, stated changes.

    Air that comes by way of a zone is not outdoor air.
    """
    rooms, found = {room.name for room in result.case.rooms}, np.zeros(result.hours)
    for one in result.streams:
        if OUTDOORS in (one.inside, one.outside) and rooms & {one.inside, one.outside}:
            sign = -1.0 if one.outside == OUTDOORS else 1.0
            found = found + np.maximum(sign * one.flow[: result.hours], 0.0) / REFERENCE_DENSITY
    for room in result.case.rooms:
        if isinstance(room.humidity, MoistureBalance):
            found = found + room.humidity.volume * room.humidity.air_changes / 3600.0
    return found

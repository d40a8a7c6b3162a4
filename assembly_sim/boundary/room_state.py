"""The room's temperature and vapour pressure, hour by hour, by the rules of the case."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.leakage import leak_mass_flow
from assembly_sim.boundary.schedule import schedule_values
from assembly_sim.boundary.stamps import running_mean
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import (
    Case,
    Climate,
    ColumnOfFile,
    Constant,
    ExcessVapour,
    MoistureBalance,
    OutdoorCurve,
    Schedule,
    SineOverYear,
)
from assembly_sim.model.climate import kept
from assembly_sim.physics import room_air
from assembly_sim.physics.airflow import air_density
from assembly_sim.physics.moist_air import saturation_pressure

Array = NDArray[np.float64]

DAY, MONTH = 24, 30 * 24  # hours over which standards take outdoor means


@dataclass(frozen=True)
class RoomYear:
    """The room through the climate, (hours,) at hours' ends, and what was held back.

    temperature K, vapour_pressure Pa; `notes` say in how many hours moisture was taken out at
    the limit of the balance or because the air would have been above saturation.
    """

    temperature: Array
    vapour_pressure: Array
    notes: tuple[str, ...] = ()


@lru_cache(maxsize=8)  # runs, hand methods and reports ask for the room of the same case
def room_year(case: Case) -> RoomYear:
    """Apply the case's rules; the vapour pressure never passes saturation. InputError if unfit."""
    temperature = room_temperature(case)
    saturation = saturation_pressure(temperature)
    pressure = _vapour_pressure(case, temperature, saturation)
    highest, limit = saturation, "saturation"
    if isinstance(case.room.humidity, MoistureBalance):
        highest = case.room.humidity.limit * saturation
        limit = f"its limit of {100 * case.room.humidity.limit:.0f} % relative humidity"
    over = int(np.count_nonzero(pressure > highest * (1.0 + 1e-12)))
    of = "of the year" if case.climate.wraps else "of the window"
    note = f"the room's air would pass {limit} in {over} hours {of} and is held there"
    held = np.minimum(pressure, highest)
    return RoomYear(kept(temperature), kept(held), (note,) if over else ())


def room_rows(case: Case) -> tuple[Array, Array]:
    """Temperature (K) and vapour pressure (Pa) of the room, (hours,) at the climate's stamps."""
    year = room_year(case)
    return year.temperature, year.vapour_pressure


def room_temperature(case: Case) -> Array:
    """The room's temperature (K), (hours,) at the climate's stamps."""
    rule, climate = case.room.temperature, case.climate
    if isinstance(rule, OutdoorCurve):
        daily = running_mean(climate.temperature, DAY, climate.wraps)
        return room_air.temperature_from_outdoors(daily)
    return _common_rule(case, rule, "room.temperature")


def _vapour_pressure(case: Case, temperature: Array, saturation: Array) -> Array:
    """Vapour pressure (Pa) by the humidity rule, before any limit."""
    rule, climate = case.room.humidity, case.climate
    if isinstance(rule, ExcessVapour):
        excess = room_air.excess_vapour_pressure(
            rule.excess, running_mean(climate.temperature, MONTH, climate.wraps)
        )
        return running_mean(climate.vapour_pressure, MONTH, climate.wraps) + excess
    if isinstance(rule, OutdoorCurve):
        daily = running_mean(climate.temperature, DAY, climate.wraps)
        return room_air.humidity_from_outdoors(daily, rule.offset) * saturation
    if isinstance(rule, MoistureBalance):
        return _balance(case, rule, temperature)
    return _common_rule(case, rule, "room.humidity") * saturation


def _common_rule(
    case: Case, rule: Constant | SineOverYear | ColumnOfFile | Schedule, field: str
) -> Array:
    """Values (hours,) of the rules that temperature and humidity share."""
    hours = case.climate.hours
    if isinstance(rule, Constant):
        return np.full(hours, rule.value)
    if isinstance(rule, ColumnOfFile):
        return _column(case, rule, field)
    if isinstance(rule, Schedule):
        return schedule_values(rule, case.climate)
    hour, year = _hours_of_years(case.climate)
    day = 1.0 + (hour + 1) / 24.0
    angle = 2.0 * np.pi * (day - rule.peak_day) / (year / 24.0)
    return rule.mean + rule.amplitude * np.cos(angle)


def _hours_of_years(climate: Climate) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Each row's hour of its own year, counted from 0, and that year's hours, (hours,) each."""
    if climate.wraps:
        return np.arange(climate.hours), np.full(climate.hours, climate.hours)
    years = climate.hour_starts.astype("datetime64[Y]")
    first, next_first = (each.astype("datetime64[h]") for each in (years, years + 1))
    return (climate.hour_starts - first).astype(int), (next_first - first).astype(int)


def _column(case: Case, rule: ColumnOfFile, field: str) -> Array:
    """The user's column, refused unless it has a finite value for every hour."""
    hours, values = case.climate.hours, np.array(rule.values, dtype=float)
    if len(values) != hours or not np.isfinite(values).all():
        bad = int(np.count_nonzero(~np.isfinite(values)))
        cause = f"{rule.source or 'the column'} holds {len(values)} values, {bad} of them missing"
        cure = f"give one value for each of the climate's {hours} hours"
        raise InputError(Problem(cause, cure, file=case.file, field=field))
    return values


def _balance(case: Case, rule: MoistureBalance, temperature: Array) -> Array:
    """Vapour pressure (Pa) of the room's balance over the day around each hour.

    Outdoor vapour and air change are means of that day, as in ANSI/ASHRAE 160 (from memory): the
    room's own storage, which the balance leaves out, evens out the hours within it.
    """
    air_change = rule.volume * rule.air_changes / 3600.0 + leak_air_change(case, temperature)
    daily = running_mean(air_change, DAY, case.climate.wraps)
    if (daily <= 0.0).any():
        cure = "give the room an air change above zero, or a fixed humidity"
        cause = "without air change the moisture balance has no answer"
        raise InputError(Problem(cause, cure, file=case.file, field="room.humidity"))
    outdoors = running_mean(case.climate.vapour_pressure, DAY, case.climate.wraps)
    return room_air.balance_vapour_pressure(outdoors, temperature, rule.generation, daily)


def leak_air_change(case: Case, temperature: Array) -> Array:
    """Outdoor air (m3/s at room temperature) that the case's leaks bring in, (hours,).

    What leaves must be replaced, through the case's leaks or those of the rest of the house, so
    the least flow that balances is the larger of the sums outward and inward.
    """
    out = into = np.zeros(case.climate.hours)
    for assembly in case.assemblies:
        flow = assembly.area * leak_mass_flow(case.climate, assembly, temperature)
        out, into = out + np.maximum(flow, 0.0), into + np.maximum(-flow, 0.0)
    return np.maximum(out, into) / air_density(temperature, case.climate.pressure)

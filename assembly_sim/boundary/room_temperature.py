"""The temperature of each room, hour by hour, by the rules of the case; humidity shares them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.schedule import schedule_values
from assembly_sim.boundary.stamps import running_mean
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import (
    Case,
    Climate,
    ColumnOfFile,
    Constant,
    OutdoorCurve,
    Schedule,
    SineOverYear,
)
from assembly_sim.physics import room_air

Array = NDArray[np.float64]

DAY = 24  # hours over which standards take outdoor means


def room_temperature(case: Case) -> Array:
    """The room's temperature (K), (hours,) at the climate's stamps."""
    rule, climate = case.room.temperature, case.climate
    if isinstance(rule, OutdoorCurve):
        daily = running_mean(climate.temperature, DAY, climate.wraps)
        return room_air.temperature_from_outdoors(daily)
    return common_rule(case, rule, "room.temperature")


def of_room(case: Case, name: str) -> Case:
    """The same case with the room of that name as its first."""
    others = tuple(one for one in case.rooms if one.name != name)
    (room,) = (one for one in case.rooms if one.name == name)
    return case if room is case.room else replace(case, room=room, more_rooms=others)


def rooms_temperature(case: Case) -> dict[str, Array]:
    """Temperature (K) of each room of the case by name, (hours,) at the climate's stamps."""
    return {one.name: room_temperature(of_room(case, one.name)) for one in case.rooms}


def common_rule(
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

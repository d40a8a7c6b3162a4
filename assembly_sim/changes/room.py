"""The room damper in winter, and its temperature and humidity hour by hour."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.room_state import room_rows
from assembly_sim.boundary.stamps import running_mean
from assembly_sim.changes.words import Words
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Case, ColumnOfFile
from assembly_sim.physics.moist_air import saturation_pressure

Array = NDArray[np.float64]

SEASON = 90 * 24  # hours
DRIEST_ROOM, DAMPEST_ROOM = 0.02, 0.98


@dataclass(frozen=True)
class WinterHumidity:
    """Room humidity higher by `points` (0-1) in the depth of winter, unchanged in high summer.

    The season is a cosine of the year about the middle of the 90 coldest days; the humidity ends
    up as hourly values, held between 2 and 98 %.
    """

    points: float

    def __post_init__(self) -> None:
        if not -1.0 <= self.points <= 1.0:
            cause, cure = (
                f"{self.points:g} is no share of points",
                "give -1 to 1, 0.05 for 5 points",
            )
            raise InputError(Problem(cause, cure, field="room.winter_humidity"))

    def apply(self, case: Case) -> Case:
        """The case with the room's humidity as hourly values."""
        hours = case.climate.hours
        middle = int(running_mean(case.climate.temperature, SEASON).argmin())
        season = 0.5 + 0.5 * np.cos(2.0 * np.pi * (np.arange(hours) - middle) / hours)
        humidity = room_columns(case)[1] + self.points * season
        held = np.clip(humidity, DRIEST_ROOM, DAMPEST_ROOM)
        rule = ColumnOfFile(tuple(held.tolist()), f"{100 * self.points:+.1f} points in winter")
        return replace(case, room=replace(case.room, humidity=rule))

    @property
    def words(self) -> Words:
        """`room damper in winter by {0}`."""
        way = "damper" if self.points >= 0.0 else "drier"
        return Words(f"room {way} in winter by {{0}}", ((abs(self.points), "fraction"),))


def room_columns(case: Case) -> tuple[Array, Array]:
    """Temperature (K) and relative humidity (0-1) of the room by the case's rules, (hours,)."""
    temperature, pressure = room_rows(case)
    return temperature, pressure / saturation_pressure(temperature)


def winter_humidity(case: Case) -> float:
    """Mean relative humidity (0-1) of the room in the 90 coldest days on end."""
    season = running_mean(case.climate.temperature, SEASON)
    return float(running_mean(room_columns(case)[1], SEASON)[season.argmin()])

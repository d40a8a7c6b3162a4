"""A year of one hole by hand: its flow at a fixed height above the neutral level, and its heat.

The neutral level is given, not solved for: a hole among many moves it little. Sealing one hole
saves no more than this, since the others then pass somewhat more.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.network import wind_pressure
from assembly_sim.boundary.openings import Law
from assembly_sim.checks.planes import hour_means
from assembly_sim.model.climate import Climate
from assembly_sim.model.opening import Side
from assembly_sim.model.ranges import refused
from assembly_sim.physics import airflow
from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY

Array = NDArray[np.float64]
Hours = NDArray[np.bool_]

NEAR_LEVEL = 0.5  # m from the neutral level, where stack alone tells nothing
HEATING_BELOW = 273.15 + 15.5  # K, daily mean outdoors: the heating season of a run
SECONDS = 3600.0


@dataclass(frozen=True)
class Situation:
    """Where a hole is: m above the neutral level, room in K, the side the wind blows on if any."""

    height: float
    room_temperature: float
    side: Side | None = None


@dataclass(frozen=True)
class HoleYear:
    """Air and heat of one hole in a year.

    Air in kg, out of the house and into it; `heat` (J) warms in the heating season from outdoors to
    the room what passes either way, over `degree_hours` (K h) of `heating_hours`; `mean_flow` and
    `peak_flow` in kg/s, of the season's hours and of the hardest.
    """

    air_out: float
    air_in: float
    heat: float
    mean_flow: float
    peak_flow: float
    degree_hours: float
    heating_hours: int


def heating_season(climate: Climate) -> Hours:
    """Hours of the days whose mean outdoors is below 15.5 degC, as in a run."""
    daily = hour_means(climate.temperature).reshape(-1, 24).mean(axis=1)
    return np.repeat(daily < HEATING_BELOW, 24)


def hourly_flow(law: Law, climate: Climate, where: Situation) -> Array:
    """Air through a hole (kg/s by hour, positive out) under stack and, on a side, wind.

    The room's own wind pressure is that of joints spread evenly over the house.
    """
    room = np.full(climate.hours, where.room_temperature)
    outdoors = climate.temperature
    stack = airflow.stack_pressure(room, outdoors, climate.pressure, where.height)
    inside = airflow.air_density(room, climate.pressure)
    outside = airflow.air_density(outdoors, climate.pressure)
    wind = wind_pressure(where.side, 0.0, climate)
    if where.side is not None:
        speed = airflow.local_wind_speed(climate.wind_speed, climate.wind_height, 0.0)
        wind = wind - airflow.wind_pressure(airflow.INTERNAL, speed, outside)
    flow, _ = airflow.mass_flow(law.coefficient, law.exponent, stack - wind, inside, outside)
    return flow


def hole_year(law: Law, climate: Climate, where: Situation) -> HoleYear:
    """A year of a hole in a climate: heat by m c_p (T_i - T_o), where that is a loss.

    Raises InputError for a hole near the neutral level without wind: stack alone would make it
    seem to cost nothing, while wind, left out, moves air there.
    """
    if where.side is None and abs(where.height) < NEAR_LEVEL:
        cause = "so near the neutral level stack alone moves hardly any air, wind does"
        cure = f"say which way the wall faces, or a height of {NEAR_LEVEL:g} m or more"
        raise refused("opening.height", cause, cure)
    flow, season = hourly_flow(law, climate, where), heating_season(climate)
    amount = np.abs(flow)
    colder = np.maximum(where.room_temperature - climate.temperature, 0.0)
    hours = int(season.sum())
    return HoleYear(
        air_out=SECONDS * float(amount[flow > 0.0].sum()),
        air_in=SECONDS * float(amount[flow < 0.0].sum()),
        heat=SECONDS * DRY_AIR_HEAT_CAPACITY * float((amount * colder)[season].sum()),
        mean_flow=float(amount[season].mean()) if hours else 0.0,
        peak_flow=float(amount.max()),
        degree_hours=float(colder[season].sum()),
        heating_hours=hours,
    )

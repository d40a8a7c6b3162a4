"""What an assembly faced, hour by hour: boundary rows as hourly arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.carried import streams
from assembly_sim.boundary.columns import (
    ABSORBED_SUN,
    ATMOSPHERIC_PRESSURE,
    LEAK,
    OUTDOOR_TEMPERATURE,
    OUTDOOR_VAPOUR_PRESSURE,
    RAIN_LEAKED,
    RAIN_ON_SURFACE,
    ROOM_TEMPERATURE,
    ROOM_VAPOUR_PRESSURE,
)

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Drivers:
    """Hourly air states and flows an assembly faced: (hours,) each.

    At the hour's end: temperatures K, vapour and atmospheric pressures Pa, leak kg/(m2 s) of dry
    air, positive outward. Means of the hour: sun absorbed W/m2, rain on the surface kg/(m2 s),
    incoming_heat W/m2, which warms the air that comes in here from outdoors to room temperature.
    """

    outdoor_temperature: Array
    outdoor_vapour_pressure: Array
    room_temperature: Array
    room_vapour_pressure: Array
    leak: Array
    sun: Array
    rain: Array
    atmospheric_pressure: Array
    incoming_heat: Array


def hourly_drivers(rows: Array, years: int, through: float = 0.0) -> Drivers:
    """Boundary rows as hourly arrays, (hours x years,): states at hours' ends, sun and rain means.

    Rain counts what leaks past the cladding too: it is all that strikes the surface. through: air
    through the layers, kg/(m2 s), positive outward.
    """

    def ends(column: int) -> Array:
        return np.tile(rows[2::2, column], years)

    sun = rows[:, ABSORBED_SUN]
    struck = rows[:-1:2, RAIN_ON_SURFACE] + rows[:-1:2, RAIN_LEAKED]
    return Drivers(
        outdoor_temperature=ends(OUTDOOR_TEMPERATURE),
        outdoor_vapour_pressure=ends(OUTDOOR_VAPOUR_PRESSURE),
        room_temperature=ends(ROOM_TEMPERATURE),
        room_vapour_pressure=ends(ROOM_VAPOUR_PRESSURE),
        leak=ends(LEAK),
        sun=np.tile(0.25 * (sun[:-1:2] + 2.0 * sun[1::2] + sun[2::2]), years),
        rain=np.tile(struck, years),
        atmospheric_pressure=ends(ATMOSPHERIC_PRESSURE),
        incoming_heat=np.tile(streams(rows, through).incoming_heat, years),
    )

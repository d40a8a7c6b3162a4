"""Air through an assembly's leak, hour by hour, under stack, wind and fans."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assembly_sim.model import AirLeak, Assembly, Climate
from assembly_sim.physics import airflow

Array = NDArray[np.float64]

TERRAIN = "suburb"  # a case names none


def local_wind(climate: Climate, assembly: Assembly) -> Array:
    """Wind (m/s) at the assembly's height in the suburb, (hours,)."""
    height = assembly.outer.height
    return airflow.local_wind_speed(climate.wind_speed, climate.wind_height, height, TERRAIN)


def leak_pressure(
    climate: Climate, assembly: Assembly, leak: AirLeak, room_temperature: Array
) -> Array:
    """Pressure (Pa) of the room over outdoors at the leak, (hours,), positive outward.

    Stack, fans and wind; a sheltered surface feels no wind. The room's own wind pressure is that
    of joints spread evenly over the house.
    """
    height = leak.height_above_neutral_level
    stack = airflow.stack_pressure(room_temperature, climate.temperature, climate.pressure, height)
    if assembly.outer.sheltered:
        return stack + leak.fan_pressure
    outer = assembly.outer
    angle = climate.wind_direction - outer.azimuth
    across = airflow.INTERNAL - airflow.pressure_coefficient(outer.tilt, angle)
    density = airflow.air_density(climate.temperature, climate.pressure)
    wind = airflow.wind_pressure(across, local_wind(climate, assembly), density)
    return stack + leak.fan_pressure + wind


def leak_mass_flow(climate: Climate, assembly: Assembly, room_temperature: Array) -> Array:
    """Dry air through the leak, kg/(m2 s), (hours,), positive outward; zero without a leak.

    The air has the density of where it comes from.
    """
    leak = assembly.leak
    if leak is None:
        return np.zeros(climate.hours)
    pressure = leak_pressure(climate, assembly, leak, room_temperature)
    flow = airflow.leak_flow(leak.flow, leak.reference_pressure, leak.exponent, pressure)
    source = np.where(flow > 0.0, room_temperature, climate.temperature)
    return flow * airflow.air_density(source, climate.pressure)

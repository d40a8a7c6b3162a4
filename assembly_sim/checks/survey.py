"""Hours in which a thermal camera shows how an assembly is built, and not how the day went.

Common practice, no source: a difference across the assembly of 10 K or more, weather that has been
steady for some hours, no sun on the surface in these, a surface that rain does not wet, little
wind. A sheltered surface knows neither sun nor rain nor wind.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.stamps import start_hour
from assembly_sim.checks.planes import hour_means
from assembly_sim.solver.result import AssemblyResult, Result

Array = NDArray[np.float64]
Hours = NDArray[np.bool_]

BEFORE = 6  # h that have to have been alike
DIFFERENCE = 10.0  # K across the assembly
STEADY = 3.0  # K that outdoors may move within these hours
LITTLE_SUN = 5.0  # W/m2 absorbed
LITTLE_WIND = 4.0  # m/s at the mast
LITTLE_RAIN = 1e-3 / 3600.0  # kg/(m2 s)


def survey_hours(result: Result, found: AssemblyResult) -> Hours:
    """Whether each hour of the run suits a survey, (hours,); the first hours never do."""
    drivers = found.drivers
    outdoors = hour_means(drivers.outdoor_temperature)
    across = np.abs(hour_means(drivers.room_temperature) - outdoors)
    suits = lowest(across) >= DIFFERENCE
    suits &= highest(outdoors) - lowest(outdoors) <= STEADY
    suits &= highest(drivers.sun) <= LITTLE_SUN
    suits &= highest(drivers.rain) <= LITTLE_RAIN
    if not found.assembly.outer.sheltered:
        suits &= highest(wind_of(result)) <= LITTLE_WIND
    suits[:BEFORE] = False
    return np.asarray(suits)


def wind_of(result: Result) -> Array:
    """Wind at the mast (m/s) at the end of each hour of the run, (hours,)."""
    climate = result.case.climate
    rows = (start_hour(result.case) + np.arange(result.hours)) % climate.hours
    return np.asarray(climate.wind_speed[rows])


def highest(values: Array) -> Array:
    """Highest of each hour and the `BEFORE` before it, (hours,)."""
    padded = np.concatenate((np.full(BEFORE, -np.inf), values))
    if not len(values):
        return values
    return np.lib.stride_tricks.sliding_window_view(padded, BEFORE + 1).max(axis=1)


def lowest(values: Array) -> Array:
    """Lowest of each hour and the `BEFORE` before it, (hours,)."""
    return -highest(-values)

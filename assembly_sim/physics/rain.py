"""Rain on tilted and upright surfaces, driven by wind."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

DRIVING_FACTOR = 0.2  # s/m, free wind-driven rain for each m/s of wind (Lacy)


def facing_wind(wind_direction: ArrayLike, azimuth: float) -> Array:
    """Cosine of the angle between where the wind comes from and a face's normal (rad)."""
    return np.cos(np.asarray(wind_direction, dtype=float) - azimuth)


def rain_on_surface(
    rain: ArrayLike,
    wind_speed: ArrayLike,
    wind_direction: ArrayLike,
    tilt: float,
    azimuth: float,
    exposure: float = 1.0,
    deposition: float = 0.35,
) -> Array:
    """Rain that strikes a surface, kg/(m2 s), of rain on level ground in the same unit.

    r (cos tilt + exposure deposition 0.2 U cos(angle) sin tilt), not below zero; U (m/s) is the
    hourly wind 10 m up in the open. On a wall this is ANSI/ASHRAE 160's design rain (from
    memory; the 0.2 s/m is Lacy's, ASHRAE Fundamentals 2021, ch. 25, eq. 1). On slopes the two
    shares are added as vectors (our derivation); splashing and run-off from above are left out.
    """
    driven = exposure * deposition * DRIVING_FACTOR * np.asarray(wind_speed, dtype=float)
    share = np.cos(tilt) + driven * facing_wind(wind_direction, azimuth) * np.sin(tilt)
    return np.asarray(rain, dtype=float) * np.maximum(share, 0.0)


def airfield_index(
    rain: ArrayLike,
    wind_speed: ArrayLike,
    wind_direction: ArrayLike,
    azimuth: float,
    years: float = 1.0,
) -> float:
    """Annual airfield index of a wall direction, L/m2 a year, of hourly rain (mm) and wind (m/s).

    I = 2/9 sum of v r^(8/9) cos(angle) over hours with the wind on the wall, divided by years
    (ISO 15927-3, from memory). To compare places and directions, not to drive a run.
    """
    cosine = np.maximum(facing_wind(wind_direction, azimuth), 0.0)
    hourly = np.asarray(wind_speed, dtype=float) * np.asarray(rain, dtype=float) ** (8 / 9) * cosine
    return float(2.0 / 9.0 * hourly.sum() / years)

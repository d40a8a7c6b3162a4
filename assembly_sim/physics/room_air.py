"""Rules of standards for the temperature and humidity of rooms."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics.constants import GAS_CONSTANT_VAPOUR, ICE_POINT

Array = NDArray[np.float64]


def excess_vapour_pressure(excess: float, monthly_temperature: ArrayLike) -> Array:
    """Vapour pressure (Pa) of a room above outdoors, by its humidity class.

    `excess` holds up to 0 degC outdoors (monthly mean, K), none from 20 degC, linear between:
    ISO 13788:2012 annex A, from memory (upper limits of classes 1 to 4: 270, 540, 810, 1080 Pa).
    """
    celsius = np.asarray(monthly_temperature, dtype=float) - ICE_POINT
    return excess * np.clip(1.0 - celsius / 20.0, 0.0, 1.0)


def temperature_from_outdoors(daily_temperature: ArrayLike) -> Array:
    """Room temperature (K): 20 degC up to a day of 10 degC, 25 from 20 degC, linear between.

    EN 15026:2007 annex C, from memory.
    """
    celsius = np.asarray(daily_temperature, dtype=float) - ICE_POINT
    return ICE_POINT + 20.0 + 0.5 * np.clip(celsius - 10.0, 0.0, 10.0)


def humidity_from_outdoors(daily_temperature: ArrayLike, offset: float = 0.0) -> Array:
    """Relative humidity (0-1): 30 % up to a day of -10 degC, 60 % from 20 degC, plus offset.

    EN 15026:2007 annex C, from memory: offset 0 for normal, 0.10 for high occupancy.
    """
    celsius = np.asarray(daily_temperature, dtype=float) - ICE_POINT
    return 0.30 + 0.01 * np.clip(celsius + 10.0, 0.0, 30.0) + offset


def balance_vapour_pressure(
    outdoor_vapour_pressure: ArrayLike,
    room_temperature: ArrayLike,
    generation: float,
    air_change: ArrayLike,
) -> Array:
    """Vapour pressure (Pa) of a room that stores none: p_o + R_v T G / Q.

    Generation G in kg/s, air change Q (m3/s, at room temperature T, K) with outdoor air. The
    form of ANSI/ASHRAE 160's intermediate method, whose 1.36e5 Pa m3/kg is R_v T (from memory).
    """
    supply = GAS_CONSTANT_VAPOUR * np.asarray(room_temperature, dtype=float) * generation
    return np.asarray(outdoor_vapour_pressure, dtype=float) + supply / np.asarray(air_change)

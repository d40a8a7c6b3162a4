"""Water vapour in air: saturation, dew point, humidity ratio."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics.constants import ICE_POINT, MOLAR_MASS_RATIO

Array = NDArray[np.float64]


def saturation_pressure(temperature: ArrayLike) -> Array:
    """Saturation vapour pressure over liquid water, Pa, of temperature in K (any shape).

    p = 610.5 exp(17.269 t / (237.3 + t)), t in degC (ISO 13788:2012 annex E, from memory).
    Within 0.2 % of the steam tables from -10 to 40 degC; below 0 degC it is that of supercooled
    water, to which humidities of weather files refer.
    """
    celsius = np.asarray(temperature, dtype=float) - ICE_POINT
    return 610.5 * np.exp(17.269 * celsius / (237.3 + celsius))


def saturation_pressure_over_ice(temperature: ArrayLike) -> Array:
    """Saturation vapour pressure over ice, Pa, of temperature in K at or below the ice point.

    p = 610.5 exp(21.875 t / (265.5 + t)), t in degC (ISO 13788:2012 annex E, from memory).
    """
    celsius = np.asarray(temperature, dtype=float) - ICE_POINT
    return 610.5 * np.exp(21.875 * celsius / (265.5 + celsius))


def saturation_pressure_over_stable_phase(temperature: ArrayLike) -> Array:
    """Saturation vapour pressure over liquid above 0 degC and over ice below, Pa, of K."""
    temperature = np.asarray(temperature, dtype=float)
    return np.where(
        temperature >= ICE_POINT,
        saturation_pressure(temperature),
        saturation_pressure_over_ice(np.minimum(temperature, ICE_POINT)),
    )


def dew_point(vapour_pressure: ArrayLike) -> Array:
    """Temperature (K) at which air of this vapour pressure (Pa, > 0) saturates over liquid.

    The inverse of `saturation_pressure` (ISO 13788:2012 annex E, from memory).
    """
    log_ratio = np.log(np.asarray(vapour_pressure, dtype=float) / 610.5)
    return ICE_POINT + 237.3 * log_ratio / (17.269 - log_ratio)


def frost_point(vapour_pressure: ArrayLike) -> Array:
    """Temperature (K) at which air of this vapour pressure (Pa, below 610.5) frosts over ice.

    The inverse of `saturation_pressure_over_ice` (ISO 13788:2012 annex E, from memory).
    """
    log_ratio = np.log(np.asarray(vapour_pressure, dtype=float) / 610.5)
    return ICE_POINT + 265.5 * log_ratio / (21.875 - log_ratio)


def dew_or_frost_point(vapour_pressure: ArrayLike) -> Array:
    """Temperature (K) at which air of this vapour pressure (Pa, > 0) leaves dew, or frost.

    The inverse of `saturation_pressure_over_stable_phase`.
    """
    pressure = np.asarray(vapour_pressure, dtype=float)
    at_ice_point = float(saturation_pressure(ICE_POINT))
    frost = frost_point(np.minimum(pressure, at_ice_point))
    return np.where(pressure < at_ice_point, frost, dew_point(pressure))


def humidity_ratio(vapour_pressure: ArrayLike, pressure: ArrayLike) -> Array:
    """Water per dry air, kg/kg, of vapour pressure and total pressure (Pa): an ideal mixture."""
    vapour = np.asarray(vapour_pressure, dtype=float)
    return MOLAR_MASS_RATIO * vapour / (np.asarray(pressure, dtype=float) - vapour)

"""Water held in pores: Kelvin's law and storage curves (liquid.py: how it moves).

Storage takes suction as its coordinate (as EN 15026), which fixes how sorption moves with
temperature: at one water content T ln(phi) is constant. The small descriptions below are the
parameters of these equations; a material carries one of each kind.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics.constants import GAS_CONSTANT_VAPOUR, WATER_DENSITY

Array = NDArray[np.float64]

REFERENCE_TEMPERATURE = 293.15  # K, at which humidities of sorption points are read as suction
SUCTION_OFFSET = 1000.0  # Pa; ln(suction + offset) is the coordinate of curves, regular at 0
DRIEST_HUMIDITY = 1e-3  # below this no curve is resolved


@dataclass(frozen=True)
class SorptionPoints:
    """Water content at equilibrium, measured points joined to capillary saturation.

    `relative_humidity` 0-1, rising, each below 1; `water_content` kg/m3, never falling;
    `saturation` kg/m3 is reached at 100 % humidity (capillary saturation; for a material that
    draws no water, what it holds in saturated air).
    """

    relative_humidity: tuple[float, ...]
    water_content: tuple[float, ...]
    saturation: float


@dataclass(frozen=True)
class TwoPointStorage:
    """Storage from the water content at 80 % humidity and at capillary saturation, kg/m3."""

    at_80_percent: float
    saturation: float


@dataclass(frozen=True)
class RetentionTerm:
    """One pore family: weight [1 + (alpha s)^n]^-m, with suction s in Pa and alpha in 1/Pa."""

    weight: float
    alpha: float
    n: float
    m: float


@dataclass(frozen=True)
class RetentionCurve:
    """Water content against suction: saturation (kg/m3) times a sum of pore families."""

    saturation: float
    terms: tuple[RetentionTerm, ...]


Storage = SorptionPoints | TwoPointStorage | RetentionCurve


def suction(relative_humidity: ArrayLike, temperature: ArrayLike) -> Array:
    """Suction (Pa) of pore water in equilibrium with air: s = -rho_w R_v T ln(phi) (Kelvin)."""
    log_humidity = np.log(np.asarray(relative_humidity, dtype=float))
    return -WATER_DENSITY * GAS_CONSTANT_VAPOUR * np.asarray(temperature) * log_humidity


def relative_humidity(suction: ArrayLike, temperature: ArrayLike) -> Array:
    """Humidity (0-1, over liquid) above pore water of this suction (Pa): the inverse."""
    scale = WATER_DENSITY * GAS_CONSTANT_VAPOUR * np.asarray(temperature, dtype=float)
    return np.exp(-np.asarray(suction, dtype=float) / scale)


def coordinate(suction: ArrayLike) -> Array:
    """u = ln(s + 1 kPa), s in Pa: logarithmic over the hygroscopic range, regular at s = 0."""
    return np.log(np.asarray(suction, dtype=float) + SUCTION_OFFSET)


def water_content(storage: Storage, suction: ArrayLike) -> Array:
    """Water content (kg/m3) that a storage curve holds at a suction (Pa, >= 0), any shape."""
    match storage:
        case SorptionPoints():
            return through_points(storage, suction)
        case TwoPointStorage():
            return two_point(storage, relative_humidity(suction, REFERENCE_TEMPERATURE))
        case RetentionCurve():
            return retention(storage, suction)
    raise TypeError(f"no storage curve: {storage!r}")


def through_points(storage: SorptionPoints, suction: ArrayLike) -> Array:
    """Monotone cubic through sorption points over u = ln(s + 1 kPa), w in kg/m3.

    Below the first point w is proportional to humidity; above the last it is joined to
    `saturation` at s = 0 over the logarithm of suction, as retention curves run: a straight
    line over humidity would put half of capillary saturation at 95 %
    (common practice, no source).
    """
    humidity, content = storage.relative_humidity, storage.water_content
    below = humidity[0] * np.array([0.02, 0.1, 0.3, 0.6])
    below = np.concatenate(([min(DRIEST_HUMIDITY, below[0] / 2)], below))
    phi = np.concatenate((below, humidity, [1.0]))
    w = np.concatenate((content[0] * below / humidity[0], content, [storage.saturation]))
    knots = coordinate(-WATER_DENSITY * GAS_CONSTANT_VAPOUR * REFERENCE_TEMPERATURE * np.log(phi))
    return monotone_cubic(knots[::-1], w[::-1], coordinate(suction))


def two_point(storage: TwoPointStorage, relative_humidity: ArrayLike) -> Array:
    """w = w_sat (b - 1) phi / (b - phi), b from the point at 80 % (Kuenzel 1995, from memory)."""
    w80, saturation = storage.at_80_percent, storage.saturation
    b = 0.8 * (saturation - w80) / (0.8 * saturation - w80)
    phi = np.asarray(relative_humidity, dtype=float)
    return saturation * (b - 1.0) * phi / (b - phi)


def retention(storage: RetentionCurve, suction: ArrayLike) -> Array:
    """w = w_sat sum of weight [1 + (alpha s)^n]^-m (van Genuchten 1980, several families)."""
    s = np.asarray(suction, dtype=float)
    total = sum(t.weight * (1.0 + (t.alpha * s) ** t.n) ** -t.m for t in storage.terms)
    return storage.saturation * np.asarray(total)


def suction_at_water_content(storage: Storage, content: float) -> float:
    """Suction (Pa) at which `storage` holds `content` kg/m3; ValueError outside its range."""
    driest = float(suction(DRIEST_HUMIDITY, REFERENCE_TEMPERATURE))
    low, high = np.log(SUCTION_OFFSET), float(coordinate(driest))
    wettest = float(water_content(storage, 0.0))
    if not float(water_content(storage, driest)) <= content <= wettest:
        raise ValueError(f"{content:g} kg/m3 is not between dry and saturated ({wettest:g} kg/m3)")
    for _ in range(80):  # bisection: the curve never falls, but may have flat parts
        middle = 0.5 * (low + high)
        held = float(water_content(storage, np.exp(middle) - SUCTION_OFFSET))
        low, high = (middle, high) if held > content else (low, middle)
    return float(np.exp(0.5 * (low + high)) - SUCTION_OFFSET)


def monotone_cubic(x: Array, y: Array, at: ArrayLike) -> Array:
    """Cubic through points (x rising) without over-swing (Fritsch and Carlson 1980), held flat."""
    slopes = monotone_slopes(x, y)
    held = np.clip(np.asarray(at, dtype=float), x[0], x[-1])
    i = np.clip(np.searchsorted(x, held, side="right") - 1, 0, len(x) - 2)
    step = x[i + 1] - x[i]
    t = (held - x[i]) / step
    rise = (y[i + 1] - y[i]) * t * t * (3.0 - 2.0 * t)
    bend = step * t * (1.0 - t) * ((1.0 - t) * slopes[i] - t * slopes[i + 1])
    return y[i] + rise + bend


def monotone_slopes(x: Array, y: Array) -> Array:
    """Slopes at the points of a monotone cubic: harmonic means of the neighbouring secants."""
    step, secant = np.diff(x), np.diff(y) / np.diff(x)
    left, right = secant[:-1], secant[1:]
    heavy, light = 2.0 * step[1:] + step[:-1], step[1:] + 2.0 * step[:-1]
    rising = left * right > 0.0
    safe_left, safe_right = np.where(rising, left, 1.0), np.where(rising, right, 1.0)
    inner = (heavy + light) / (heavy / safe_left + light / safe_right)
    inner = np.where(rising, inner, 0.0)
    return np.concatenate(([secant[0]], inner, [secant[-1]]))

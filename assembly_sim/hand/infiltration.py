"""Air change of a whole house by hand: correlations that a solved balance is held against.

Equations and coefficients: ASHRAE Handbook - Fundamentals 2021 (SI), ch. 16. For houses of one to
three storeys, by shelter class: 1 none, 2 light, 3 moderate, 4 heavy, 5 very heavy. They know the
leakage of the house but not where it is.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

# (L/s)2/(cm4 K) by storeys; (L/s)2/(cm4 (m/s)2) by storeys and shelter class
BASIC_STACK = {1: 0.000145, 2: 0.000290, 3: 0.000435}
BASIC_WIND = {
    1: (0.000319, 0.000246, 0.000174, 0.000104, 0.000032),
    2: (0.000420, 0.000325, 0.000231, 0.000137, 0.000042),
    3: (0.000494, 0.000382, 0.000271, 0.000161, 0.000049),
}
# by storeys: without a flue, with one; the wind's over a cellar or slab
ENHANCED_STACK = {1: (0.054, 0.069), 2: (0.078, 0.089), 3: (0.098, 0.107)}
ENHANCED_WIND = {1: (0.156, 0.142), 2: (0.170, 0.156), 3: (0.170, 0.167)}


def basic_infiltration(
    leakage_area: float, storeys: int, shelter: int, difference: ArrayLike, wind_speed: ArrayLike
) -> Array:
    """Infiltration (m3/s) by the basic model: Q = A sqrt(C_s dT + C_w U^2).

    Effective leakage area at 4 Pa in m2 (the handbook's A in cm2, its Q in L/s), difference of
    temperature in K, wind at the mast in m/s.
    """
    cm2 = 1e4 * leakage_area
    by_stack = BASIC_STACK[storeys] * np.abs(np.asarray(difference, dtype=float))
    by_wind = BASIC_WIND[storeys][shelter - 1] * np.asarray(wind_speed, dtype=float) ** 2
    return 1e-3 * cm2 * np.sqrt(by_stack + by_wind)


def enhanced_infiltration(
    coefficient: float,
    exponent: float,
    storeys: int,
    flue: bool,
    difference: ArrayLike,
    sheltered_wind: ArrayLike,
) -> Array:
    """Infiltration (m3/s) by the enhanced model: stack and wind flows added in quadrature.

    Q_s = c C_s dT^n, Q_w = c C_w (s U)^(2n), Q = sqrt(Q_s^2 + Q_w^2); c in m3/s Pa^-n;
    `sheltered_wind` is s U at the eaves, m/s. Over a cellar or slab.
    """
    by_stack, by_wind = enhanced_parts(
        coefficient, exponent, storeys, flue, difference, sheltered_wind
    )
    return np.hypot(by_stack, by_wind)


def enhanced_parts(
    coefficient: float,
    exponent: float,
    storeys: int,
    flue: bool,
    difference: ArrayLike,
    sheltered_wind: ArrayLike,
) -> tuple[Array, Array]:
    """The enhanced model's flows by stack alone and by wind alone, m3/s."""
    column = int(flue)
    stack = np.abs(np.asarray(difference, dtype=float)) ** exponent
    wind = np.asarray(sheltered_wind, dtype=float) ** (2.0 * exponent)
    return (
        coefficient * ENHANCED_STACK[storeys][column] * stack,
        coefficient * ENHANCED_WIND[storeys][column] * wind,
    )

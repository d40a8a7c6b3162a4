"""Steady thermal resistances as ISO 6946 adds them up: surfaces, air layers, paths side by side.

Arrays of layer resistances have the shape (paths, layers), m2K/W, without the surfaces; shares of
area have the shape (paths,) and sum to 1. Formulas and table values of ISO 6946:2017 from memory;
surface conductances 10, 7.7, 6 and 25 W/(m2 K) also in ASHRAE Fundamentals 2021, ch. 26, table 11.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics.constants import STEFAN_BOLTZMANN

Array = NDArray[np.float64]

INNER_SURFACE = {"up": 0.10, "horizontal": 0.13, "down": 0.17}  # m2K/W by direction of flow
OUTER_SURFACE = 0.04  # m2K/W
REFERENCE_TEMPERATURE = 283.15  # K, mean temperature of ISO 6946's air layers and ISO 10456
STILL_AIR_CONVECTION = {"up": 1.95, "horizontal": 1.25}  # W/(m2 K)


def heat_flow_direction(tilt: float) -> str:
    """Direction of a loss through an element of this tilt (rad): `up`, `horizontal` or `down`.

    A flow within 30 degrees of the horizontal plane counts as horizontal (ISO 6946).
    """
    rise = math.degrees(math.pi / 2 - tilt)
    if abs(rise) <= 30.0 + 1e-9:
        return "horizontal"
    return "up" if rise > 0 else "down"


def air_layer_resistance(
    thickness: float, emittance_outer: float, emittance_inner: float, direction: str
) -> float:
    """Resistance (m2K/W) of an unventilated air layer, thickness m, at 10 degC, dT up to 5 K.

    R = 1/(h_a + E h_ro), h_ro = 4 sigma T^3, E = 1/(1/e1 + 1/e2 - 1), h_a the larger of
    0.025/d and 1.95 (up), 1.25 (horizontal) or 0.12 d^-0.44 (down): ISO 6946 annex, from memory.
    For layers up to 0.3 m thick; leaves out convection loops and leaks.
    """
    still = STILL_AIR_CONVECTION.get(direction, 0.12 * thickness**-0.44)
    exchange = 1.0 / (1.0 / emittance_outer + 1.0 / emittance_inner - 1.0)
    radiation = 4.0 * STEFAN_BOLTZMANN * REFERENCE_TEMPERATURE**3
    return 1.0 / (max(0.025 / thickness, still) + exchange * radiation)


def parallel_paths(
    resistances: ArrayLike, shares: ArrayLike, inner_surface: float, outer_surface: float
) -> float:
    """Upper limit of total resistance, m2K/W: 1/R' = sum of share / path total (ISO 6946)."""
    totals = np.sum(np.asarray(resistances, float), axis=1) + inner_surface + outer_surface
    return float(1.0 / np.sum(np.asarray(shares, float) / totals))


def isothermal_planes(
    resistances: ArrayLike, shares: ArrayLike, inner_surface: float, outer_surface: float
) -> float:
    """Lower limit of total resistance, m2K/W: each layer mixed alone (ISO 6946).

    R'' = R_si + sum over layers of 1 / (sum of share / R) + R_se. A layer without resistance in
    every path (a membrane) adds nothing.
    """
    layers = np.asarray(resistances, float)
    layers = layers[:, layers.max(axis=0) > 0.0]
    mixed = 1.0 / (np.asarray(shares, float) @ (1.0 / layers))
    return float(inner_surface + mixed.sum() + outer_surface)


def combined_resistance(
    resistances: ArrayLike, shares: ArrayLike, inner_surface: float, outer_surface: float
) -> float:
    """Total resistance, m2K/W, by ISO 6946's combined method: the mean of both limits.

    The method holds where the upper limit is at most 1.5 times the lower one, and not where
    metal passes through insulation.
    """
    arguments = (resistances, shares, inner_surface, outer_surface)
    return 0.5 * (parallel_paths(*arguments) + isothermal_planes(*arguments))

"""Steady thermal resistances of paths side by side, as ISO 6946 adds them up.

Arrays of layer resistances have the shape (paths, layers), m2K/W, without the surfaces; shares of
area have the shape (paths,) and sum to 1. ISO 6946:2017 from memory.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike


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

"""Fibrous insulation pressed together: denser, so a better insulator a metre, but thinner."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics.constants import ICE_POINT

Array = NDArray[np.float64]

DENSEST = 60.0
"""kg/m3 up to which what the fibres themselves conduct may be left out."""


def still_air_conductivity(temperature: ArrayLike) -> Array:
    """Conductivity of still air, W/(m K), T in K: 0.0241 + 7.6e-5 (T - 273.15).

    Textbook values from memory, within 1 % from -40 to 60 degC.
    """
    return 0.0241 + 7.6e-5 * (np.asarray(temperature, dtype=float) - ICE_POINT)


def compressed_conductivity(conductivity: ArrayLike, temperature: ArrayLike, ratio: float) -> Array:
    """Conductivity (W/(m K)) of fibres pressed to `ratio` (0-1) of their thickness.

    k' = k_air + (k - k_air) ratio: still air conducts as before, and what goes through by radiation
    (and by the air's motion) falls as the density rises. The law k = k_air + C / density holds the
    glass-fibre batts of ASHRAE Fundamentals 2021, ch. 26, table 1, within 4 % from 8 to 22 kg/m3,
    and makers' charts of compressed batts (from memory) within R-0.7. For fibres up to `DENSEST`
    once pressed; leaves out the fibres' own conduction, and what a crease lets past.
    """
    air = still_air_conductivity(temperature)
    return air + (np.asarray(conductivity, dtype=float) - air) * ratio

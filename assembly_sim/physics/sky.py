"""Long-wave radiation of the sky, for weather files that hold none."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.physics.surface import black_body_radiation

Array = NDArray[np.float64]

CLOUD_HEIGHT = 1500.0  # m, base of the clouds that count: low and middle ones (our choice)
CLOUD_SCALE_HEIGHT = 8200.0  # m, Martin & Berdahl 1984, from memory


def clear_sky_emissivity(dew_point: ArrayLike, solar_hour: ArrayLike, pressure: ArrayLike) -> Array:
    """Emissivity of the clear sky from dew point (K), hours from midnight, and pressure (Pa).

    e = 0.711 + 0.56 t + 0.73 t^2 + 0.013 cos(2 pi hour / 24) + 0.00012 (p_mbar - 1000),
    t = dew point / 100 degC: Berdahl & Martin 1984 (secondary). Fitted to dew points of about
    -20 to 25 degC; by day it tends to overestimate (secondary).
    """
    hundreds = (np.asarray(dew_point, dtype=float) - ICE_POINT) / 100.0
    daily = 0.013 * np.cos(2.0 * np.pi * np.asarray(solar_hour, dtype=float) / 24.0)
    height = 0.00012 * (np.asarray(pressure, dtype=float) / 100.0 - 1000.0)
    return 0.711 + 0.56 * hundreds + 0.73 * hundreds**2 + daily + height


def cloudy_sky_emissivity(clear: ArrayLike, cloud_cover: ArrayLike) -> Array:
    """Emissivity under clouds that cover 0-1 of the sky, black and 1500 m up.

    e = e0 + (1 - e0) n exp(-h / 8.2 km): Martin & Berdahl 1984, from memory.
    """
    clear = np.asarray(clear, dtype=float)
    weight = np.exp(-CLOUD_HEIGHT / CLOUD_SCALE_HEIGHT)
    return clear + (1.0 - clear) * np.asarray(cloud_cover, dtype=float) * weight


def sky_longwave(temperature: ArrayLike, emissivity: ArrayLike) -> Array:
    """Radiation (W/m2) on a level surface from a sky of this emissivity, air at T in K."""
    return np.asarray(emissivity, dtype=float) * black_body_radiation(temperature)

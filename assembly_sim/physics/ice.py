"""Freezing of pore water: the suction at which pore ice and pore water are in equilibrium."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics.constants import (
    GAS_CONSTANT_VAPOUR,
    ICE_POINT,
    WATER_DENSITY,
)
from assembly_sim.physics.moist_air import saturation_pressure, saturation_pressure_over_ice


def freezing_suction(temperature: ArrayLike) -> NDArray[np.float64]:
    """Suction (Pa) of liquid water that is in equilibrium with ice at `temperature` (K).

    Both phases share one vapour pressure, so by Kelvin's law
    s = rho_w R_v T ln(p_liquid / p_ice), zero at and above the ice point. Near it the slope is
    rho_w L / T0, 1.2 MPa a kelvin (Clausius and Clapeyron). Pore water held by more suction
    than this stays liquid. Leaves out solutes and the curvature of the ice surface.
    """
    below = np.minimum(np.asarray(temperature, dtype=float), ICE_POINT)
    ratio = saturation_pressure(below) / saturation_pressure_over_ice(below)
    return WATER_DENSITY * GAS_CONSTANT_VAPOUR * below * np.log(ratio)

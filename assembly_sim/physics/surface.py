"""Heat and vapour between a surface and the air, and across still air layers.

Tilt is the angle (rad) between the outward normal of an assembly and the zenith: 0 a level roof,
pi/2 a wall, pi a floor over outdoor air.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics.constants import (
    DRY_AIR_HEAT_CAPACITY,
    GAS_CONSTANT_DRY_AIR,
    GAS_CONSTANT_VAPOUR,
    ICE_POINT,
    STANDARD_PRESSURE,
    STEFAN_BOLTZMANN,
)

Array = NDArray[np.float64]

LEWIS_FACTOR = 0.91  # Le^(2/3) of vapour in air (from memory)
INNER_RESISTANCE = {"up": 0.10, "horizontal": 0.13, "down": 0.17}  # m2 K/W, ISO 6946
INNER_CONVECTION = {"up": 5.0, "horizontal": 2.5, "down": 0.7}  # W/(m2 K), ISO 6946 annex
OUTER_RESISTANCE = 0.04  # m2 K/W, ISO 6946
AIR_LAYER_TEMPERATURE = ICE_POINT + 10.0  # K, mean temperature of ISO 6946's table


def heat_flow_direction(tilt: float, outward: bool = True) -> str:
    """`up`, `horizontal` or `down`: where heat goes through a plane of this tilt (rad).

    Horizontal holds within 30 degrees of the horizontal (ISO 6946:2017, from memory), so for
    tilts of 60 to 120 degrees. Outward flow through a roof is up, through a floor down.
    """
    if abs(tilt - np.pi / 2) <= np.pi / 6 + 1e-9:
        return "horizontal"
    return "up" if (tilt < np.pi / 2) == outward else "down"


def inner_surface_resistance(tilt: float, outward: bool = True) -> float:
    """Combined resistance Rsi (m2 K/W) of the room's surface: ISO 6946, from memory.

    0.10 up, 0.13 horizontal, 0.17 down (h = 10, 7.7, 6: ASHRAE Fundamentals 2021, ch. 26,
    table 11). For emittances near 0.9 and still air.
    """
    return INNER_RESISTANCE[heat_flow_direction(tilt, outward)]


def still_air_convection(tilt: float, outward: bool = True) -> float:
    """Convection (W/(m2 K)) at a surface in still air, ISO 6946 annex, from memory."""
    return INNER_CONVECTION[heat_flow_direction(tilt, outward)]


def wind_convection(wind_speed: ArrayLike) -> Array:
    """Convection at an outer surface, h = 4 + 4 v W/(m2 K), v (m/s) beside it.

    ISO 6946 annex, from memory. Leaves out whether the face is windward, its size and roughness.
    """
    return 4.0 + 4.0 * np.asarray(wind_speed, dtype=float)


def black_body_radiation(temperature: ArrayLike) -> Array:
    """sigma T^4, W/m2, of a temperature in K (Stefan and Boltzmann)."""
    return STEFAN_BOLTZMANN * np.asarray(temperature, dtype=float) ** 4


def radiative_coefficient(emittance: float, temperature: float) -> float:
    """h_r = emittance 4 sigma T^3, W/(m2 K), at the mean temperature T in K (ISO 6946 annex)."""
    return emittance * 4.0 * STEFAN_BOLTZMANN * temperature**3


def vapour_film_coefficient(
    convection: ArrayLike, pressure: ArrayLike = STANDARD_PRESSURE
) -> Array:
    """Vapour transfer coefficient (kg/(m2 s Pa)) of a film with this convection (W/(m2 K)).

    The Lewis relation, beta = h_c / (rho c_p Le^(2/3) R_v T): with rho = p / (R_a T) the
    temperature cancels. About 6.7e-9 h_c at sea level.
    """
    heat = np.asarray(pressure, dtype=float) / GAS_CONSTANT_DRY_AIR * DRY_AIR_HEAT_CAPACITY
    return np.asarray(convection, dtype=float) / (heat * LEWIS_FACTOR * GAS_CONSTANT_VAPOUR)


def sky_view_factor(tilt: float) -> float:
    """Share of an unobstructed surface's view that is sky: (1 + cos tilt) / 2, tilt in rad."""
    return 0.5 * (1.0 + np.cos(tilt))


def absorbed_longwave(
    emittance: float, tilt: float, sky: ArrayLike, surroundings_temperature: ArrayLike
) -> Array:
    """Long-wave radiation absorbed, W/m2: emittance (F_sky sky + (1 - F_sky) sigma T^4).

    `sky` is what a level surface receives from the sky, W/m2; ground and neighbours are black
    at `surroundings_temperature` (K). What the surface itself emits is not taken off.
    """
    view = sky_view_factor(tilt)
    ground = black_body_radiation(surroundings_temperature)
    return emittance * (view * np.asarray(sky, dtype=float) + (1.0 - view) * ground)


def air_layer_convection(thickness: float, direction: str) -> float:
    """h_a (W/(m2 K)) of a still air layer (m), temperature difference up to 5 K.

    The larger of conduction 0.025 / d and, up, 1.95; horizontal, 1.25; down, 0.12 d^-0.44
    (ISO 6946 annex, from memory). For layers up to 0.3 m, far wider than thick.
    """
    free = {"up": 1.95, "horizontal": 1.25, "down": 0.12 * thickness**-0.44}[direction]
    return max(0.025 / thickness, free)


def air_layer_resistance(
    thickness: float,
    emittance_outer: float,
    emittance_inner: float,
    tilt: float,
    outward: bool = True,
) -> float:
    """Resistance (m2 K/W) of an unventilated air layer, its faces' emittances 0-1, tilt rad.

    R = 1 / (h_a + h_r), h_r = 4 sigma T^3 / (1/e1 + 1/e2 - 1) at 10 degC (ISO 6946 annex, from
    memory). `outward` False: heat flows in, which is down through a roof. Leaves out edges and
    the dependence on the temperature difference above 5 K. A face of emittance 0 sends nothing.
    """
    both = emittance_outer * emittance_inner
    effective = both / (emittance_outer + emittance_inner - both) if both > 0.0 else 0.0
    convection = air_layer_convection(thickness, heat_flow_direction(tilt, outward))
    return 1.0 / (convection + radiative_coefficient(effective, AIR_LAYER_TEMPERATURE))

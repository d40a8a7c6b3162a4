"""Air through openings and joints: what drives it and how much goes."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics.constants import GAS_CONSTANT_DRY_AIR, GRAVITY

Array = NDArray[np.float64]

SHARP_EDGED = 0.6  # discharge coefficient (ASHRAE Fundamentals 2021, ch. 16)
WINDWARD, LEEWARD, SIDE = 0.6, -0.3, -0.65  # low-rise walls (ASHRAE Fundamentals 2021, ch. 16)
LEVEL_ROOF = -0.5  # from memory, between the -0.4 and -0.6 of tables for low roofs
INTERNAL = -0.2  # joints spread evenly over the envelope (from memory)

# factor, roughness length (m), lowest height (m): ISO 15927-3 and EN 1991-1-4, from memory
TERRAIN = {
    "sea": (0.17, 0.01, 2.0),
    "open country": (0.19, 0.05, 4.0),
    "suburb": (0.22, 0.3, 8.0),
    "town": (0.24, 1.0, 16.0),
}


def air_density(temperature: ArrayLike, pressure: ArrayLike) -> Array:
    """Density of dry air, kg/m3: p / (R_a T). Moisture (below 1 % of it) is left out."""
    return np.asarray(pressure, dtype=float) / (
        GAS_CONSTANT_DRY_AIR * np.asarray(temperature, dtype=float)
    )


def roughness_coefficient(height: float, terrain: str) -> float:
    """Wind at a height (m) over that 10 m up in open country: C_R = K_R ln(z / z0).

    Held at its value of the terrain's lowest height below that (ISO 15927-3, from memory).
    """
    factor, length, lowest = TERRAIN[terrain]
    return factor * float(np.log(max(height, lowest) / length))


def local_wind_speed(
    wind_speed: ArrayLike, measured_height: float, height: float, terrain: str = "suburb"
) -> Array:
    """Wind (m/s) at a height (m) in a terrain, from the mast's in open country."""
    mast = roughness_coefficient(measured_height, "open country")
    return np.asarray(wind_speed, dtype=float) * (roughness_coefficient(height, terrain) / mast)


def stack_pressure(
    room_temperature: ArrayLike,
    outdoor_temperature: ArrayLike,
    pressure: ArrayLike,
    height: float,
) -> Array:
    """Pressure (Pa) of room over outdoor air, `height` m above the neutral level.

    dp = rho_o g h (T_i - T_o) / T_i (ASHRAE Fundamentals 2021, ch. 16): positive, so outward,
    above the level in a warm room. Pressures in Pa, temperatures in K.
    """
    inside, outside = np.asarray(room_temperature), np.asarray(outdoor_temperature)
    return air_density(outside, pressure) * GRAVITY * height * (inside - outside) / inside


def wall_pressure_coefficient(angle: ArrayLike) -> Array:
    """Mean pressure coefficient of a low-rise wall, angle (rad) from its normal to the wind.

    0.6 windward, -0.3 leeward, -0.65 at the sides (ASHRAE Fundamentals 2021, ch. 16), joined by
    the interpolation of Walker & Wilson 1994 (from memory). For free-standing houses.
    """
    cosine, sine = np.cos(angle), np.sin(angle)
    along = np.abs(cosine)
    front_back = (WINDWARD + LEEWARD) * np.sqrt(along)
    difference = (WINDWARD - LEEWARD) * np.sign(cosine) * along**0.75
    return 0.5 * (front_back + difference + 2.0 * SIDE * sine**4)


def pressure_coefficient(tilt: float, angle: ArrayLike) -> Array:
    """Mean pressure coefficient of a plane of this tilt (rad), angle as for a wall.

    A level roof's suction and a wall's coefficient, weighed by sin tilt: our own joining of the
    two, which gives 0.28 windward at 45 degrees where tables of low houses give 0.3 (from memory).
    Undersides (tilt above pi/2) are treated like roofs of the same slope, which overstates suction.
    """
    wall = np.sin(tilt)
    return (1.0 - wall) * LEVEL_ROOF + wall * wall_pressure_coefficient(angle)


def wind_pressure(coefficient: ArrayLike, wind_speed: ArrayLike, density: ArrayLike) -> Array:
    """C_p rho U^2 / 2, Pa: positive presses on the surface (ASHRAE Fundamentals 2021, ch. 16)."""
    return np.asarray(coefficient) * np.asarray(density) * np.asarray(wind_speed) ** 2 / 2.0


def orifice_flow(
    area: float, pressure: ArrayLike, density: float = 1.2, discharge: float = SHARP_EDGED
) -> Array:
    """Flow (m3/s) through an opening (m2), with the pressure's sign: C A sqrt(2 dp / rho)."""
    pressure = np.asarray(pressure, dtype=float)
    return discharge * area * np.sign(pressure) * np.sqrt(2.0 * np.abs(pressure) / density)


def power_law_flow(coefficient: float, pressure: ArrayLike, exponent: float) -> Array:
    """Flow c |dp|^n with the pressure's sign; the unit is that of c (m3/s Pa^-n, or a m2)."""
    pressure = np.asarray(pressure, dtype=float)
    return coefficient * np.sign(pressure) * np.abs(pressure) ** exponent


def leak_flow(
    flow: float, reference_pressure: float, exponent: float, pressure: ArrayLike
) -> Array:
    """Flow at a pressure (Pa) of joints that pass `flow` at a reference pressure, same unit."""
    return power_law_flow(flow / reference_pressure**exponent, pressure, exponent)


def flow_coefficient(
    leakage_area: float,
    exponent: float,
    reference_pressure: float = 4.0,
    discharge: float = 1.0,
    density: float = 1.2,
) -> float:
    """c (m3/s Pa^-n) of a leakage area (m2): C A sqrt(2 / rho) dp_r^(0.5 - n).

    ASHRAE Fundamentals 2021, ch. 16. Effective leakage area: 4 Pa and C = 1; equivalent leakage
    area: 10 Pa and C = 0.611.
    """
    root = (2.0 / density) ** 0.5
    return discharge * leakage_area * root * reference_pressure ** (0.5 - exponent)


def leakage_area(
    flow: float, reference_pressure: float = 4.0, discharge: float = 1.0, density: float = 1.2
) -> float:
    """Opening (m2) that passes `flow` (m3/s) at the reference pressure (Pa): the inverse."""
    return flow / discharge * (density / (2.0 * reference_pressure)) ** 0.5


def basic_infiltration(
    leakage_area: float, stack: float, wind: float, difference: ArrayLike, wind_speed: ArrayLike
) -> Array:
    """Infiltration (m3/s) of a house by the basic model: A sqrt(C_s dT + C_w U^2).

    Leakage area at 4 Pa in m2, difference in K, wind at the mast in m/s; coefficients per
    storey and shelter from the handbook's tables, which take cm2 and give L/s (ASHRAE
    Fundamentals 2021, ch. 16). For a whole low house, mean over hours.
    """
    cm2 = 1e4 * leakage_area
    drive = stack * np.abs(np.asarray(difference)) + wind * np.asarray(wind_speed) ** 2
    return cm2 / 1000.0 * np.sqrt(drive)


def enhanced_infiltration(
    coefficient: float,
    exponent: float,
    stack: float,
    wind: float,
    difference: ArrayLike,
    sheltered_wind: ArrayLike,
) -> Array:
    """Infiltration (m3/s) by the enhanced model: stack and wind flows added in quadrature.

    Q_s = c C_s dT^n, Q_w = c C_w (s U)^(2n), Q = sqrt(Q_s^2 + Q_w^2); `sheltered_wind` is s U at
    the eaves, m/s (ASHRAE Fundamentals 2021, ch. 16).
    """
    by_stack = coefficient * stack * np.abs(np.asarray(difference)) ** exponent
    by_wind = coefficient * wind * np.asarray(sheltered_wind) ** (2.0 * exponent)
    return np.hypot(by_stack, by_wind)

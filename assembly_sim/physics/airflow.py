"""Air through openings and joints: what drives it and how much goes."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics.constants import GAS_CONSTANT_DRY_AIR, GRAVITY

Array = NDArray[np.float64]

SHARP_EDGED = 0.6  # discharge coefficient (ASHRAE Fundamentals 2021, ch. 16)
EQUIVALENT = 0.611  # discharge coefficient of equivalent leakage areas, at 10 Pa (same chapter)
REFERENCE_DENSITY = 1.2  # kg/m3, of air that flow coefficients and leakage areas are stated for
LINEAR_BELOW = 1e-3  # Pa
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
    density: float = REFERENCE_DENSITY,
) -> float:
    """c (m3/s Pa^-n) of a leakage area (m2): C A sqrt(2 / rho) dp_r^(0.5 - n).

    ASHRAE Fundamentals 2021, ch. 16. Effective leakage area: 4 Pa and C = 1; equivalent leakage
    area: 10 Pa and C = 0.611; an orifice: n = 0.5 and C = 0.6, whatever the pressure.
    """
    root = (2.0 / density) ** 0.5
    return discharge * leakage_area * root * reference_pressure ** (0.5 - exponent)


def leakage_area(
    flow: float,
    reference_pressure: float = 4.0,
    discharge: float = 1.0,
    density: float = REFERENCE_DENSITY,
) -> float:
    """Opening (m2) that passes `flow` (m3/s) at the reference pressure (Pa): the inverse."""
    return flow / discharge * (density / (2.0 * reference_pressure)) ** 0.5


def mass_flow(
    coefficient: ArrayLike, exponent: ArrayLike, pressure: ArrayLike, here: Array, there: Array
) -> tuple[Array, Array]:
    """Air through openings (kg/s) from here to there, and its slope by pressure (kg/(s Pa)).

    An opening that passes c |dp|^n (m3/s) of air of the reference density rho_r passes, of air of
    density rho, by the similarity of flows (the correction of ASTM E779, from memory; that of
    viscosity, some 3 % from -20 to 20 degC, is left out)

        m = c rho_r^(1 - n) rho^n |dp|^n,        for n = 0.5 the orifice, C A sqrt(2 rho dp).

    rho is that of the air that enters the opening: `here` where dp > 0, `there` where dp < 0.
    Near zero the flow is laminar, so linear, and power laws have no slope there. With
    s = sqrt(dp^2 + e^2), e = 1 mPa, and the densities' powers A (here) and B (there),

        m = k dp s^(n-1) [ (A + B) + (A - B) dp / s ] / 2,        k = c rho_r^(1 - n)

    is smooth, within (1 - n) / 2 (e / dp)^2 of the law (5e-7 at 1 Pa), and rises strictly as long
    as A and B differ by less than three times:

        dm/ddp = k s^(n-3) [ (A + B)(n dp^2 + e^2) + (A - B)(dp / s)(n dp^2 + 2 e^2) ] / 2.

    Arrays of any shapes that go together; densities in kg/m3, exponents 0.5 to 1.
    """
    n, dp = np.asarray(exponent, dtype=float), np.asarray(pressure, dtype=float)
    half = 0.5 * np.asarray(coefficient) * REFERENCE_DENSITY ** (1.0 - n)
    both, more = here**n + there**n, here**n - there**n
    s = np.hypot(dp, LINEAR_BELOW)
    flow = half * dp * s ** (n - 1.0) * (both + more * dp / s)
    bent, linear = n * dp**2, LINEAR_BELOW**2
    slope = both * (bent + linear) + more * (dp / s) * (bent + 2.0 * linear)
    return flow, half * s ** (n - 3.0) * slope


def hole_area(diameter: float) -> float:
    """Area (m2) of a round hole by its diameter (m)."""
    return 0.25 * float(np.pi) * diameter**2


def round_hole(area: float) -> float:
    """Diameter (m) of the round hole of an area (m2)."""
    return 2.0 * float(np.sqrt(area / np.pi))


def square_hole(area: float) -> float:
    """Side (m) of the square hole of an area (m2)."""
    return float(np.sqrt(area))

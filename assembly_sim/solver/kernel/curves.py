"""The tables of materials, saturation and freezing, read: values and slopes.

This package holds no formula of a material, of saturation or of freezing: `curve_tables.py` fills
the tables.
"""

from __future__ import annotations

import math

from assembly_sim.physics.pore_water import SUCTION_OFFSET
from assembly_sim.solver.kernel.compiled import inlined
from assembly_sim.solver.kernel.grids import (
    COARSE_NODES,
    COARSE_STEP,
    COLDEST,
    DRIEST,
    SATURATED,
    SUCTION_NODES,
    SUCTION_STEP,
    TEMPERATURE_NODES,
    TEMPERATURE_STEP,
)

PER_SUCTION_STEP = 1.0 / SUCTION_STEP
PER_TEMPERATURE_STEP = 1.0 / TEMPERATURE_STEP
DRY_OF_ICE = 10.0  # times the freezing suction: beyond it there is no ice to speak of
MEETS = 1.0 - DRY_OF_ICE**-4  # makes the suction beside ice s itself there


@inlined
def material_state(curves, m, u):
    """Value and slope over u of (water, potential, permeability, suction) of material m."""
    x = (u - SATURATED) * PER_SUCTION_STEP
    k = min(max(int(x), 0), SUCTION_NODES - 2)
    t = min(x - k, 1.0)
    w, f, d, s = curves[m, k, 0], curves[m, k, 1], curves[m, k, 2], curves[m, k, 3]
    w1, f1, d1, s1 = curves[m, k, 4], curves[m, k, 5], curves[m, k, 6], curves[m, k, 7]
    w2, f2, d2, s2 = curves[m, k, 8], curves[m, k, 9], curves[m, k, 10], curves[m, k, 11]
    w3, f3, d3, s3 = curves[m, k, 12], curves[m, k, 13], curves[m, k, 14], curves[m, k, 15]
    r = PER_SUCTION_STEP
    if x <= 0.0:  # past saturation: storage stays, potential and suction go on straight
        return w, 0.0, f + f1 * t, f1 * r, d, 0.0, s1 * t, s1 * r
    w_u = (w1 + t * (2.0 * w2 + t * 3.0 * w3)) * r
    f_u = (f1 + t * (2.0 * f2 + t * 3.0 * f3)) * r
    d_u = (d1 + t * (2.0 * d2 + t * 3.0 * d3)) * r
    s_u = (s1 + t * (2.0 * s2 + t * 3.0 * s3)) * r
    w += t * (w1 + t * (w2 + t * w3))
    f += t * (f1 + t * (f2 + t * f3))
    d += t * (d1 + t * (d2 + t * d3))
    s += t * (s1 + t * (s2 + t * s3))
    if x > SUCTION_NODES - 1:  # drier than the table: only suction goes on
        return w, 0.0, f, 0.0, d, 0.0, s + s_u * (u - DRIEST), s_u
    return w, w_u, f, f_u, d, d_u, s, s_u


@inlined
def saturation_state(state, temperature):
    """Saturation pressure and freezing suction with their slopes over T."""
    x = (temperature - COLDEST) * PER_TEMPERATURE_STEP
    k = min(max(int(x), 0), TEMPERATURE_NODES - 2)
    t = x - k
    p, f, p1, f1 = state[k, 0], state[k, 1], state[k, 2], state[k, 3]
    p2, f2, p3, f3 = state[k, 4], state[k, 5], state[k, 6], state[k, 7]
    return (
        p + t * (p1 + t * (p2 + t * p3)),
        (p1 + t * (2.0 * p2 + t * 3.0 * p3)) * PER_TEMPERATURE_STEP,
        f + t * (f1 + t * (f2 + t * f3)),
        (f1 + t * (2.0 * f2 + t * 3.0 * f3)) * PER_TEMPERATURE_STEP,
    )


@inlined
def thermal_state(thermal, varies, m, temperature):
    """Conductivity (dry) and the factor of permeability, with slopes over T."""
    if varies == 0.0:
        return thermal[m, 0, 0], 0.0, thermal[m, 0, 1], 0.0
    x = (temperature - COLDEST) / COARSE_STEP
    k = min(max(int(x), 0), COARSE_NODES - 2)
    conductivity, factor = thermal[m, k, 0], thermal[m, k, 1]
    c_T = (thermal[m, k + 1, 0] - conductivity) / COARSE_STEP
    f_T = (thermal[m, k + 1, 1] - factor) / COARSE_STEP
    t = (x - k) * COARSE_STEP
    return conductivity + c_T * t, c_T, factor + f_T * t, f_T


@inlined
def coordinate(s):
    """u of a suction with its slope, straight past saturation as in the tables."""
    if s <= 0.0:
        return SATURATED + s / SUCTION_OFFSET, 1.0 / SUCTION_OFFSET
    return math.log(s + SUCTION_OFFSET), 1.0 / (s + SUCTION_OFFSET)


@inlined
def effective_suction(s, freezing, freezing_T):
    """Suction that liquid and vapour see beside ice, with its slopes over T and s.

    Smaller than (s^4 + s_f^4)^(1/4) by 2.5e-5 at most, so that it meets s where ice is left out.
    """
    if s <= 0.0:
        return s + freezing, freezing_T, 1.0
    squares = s * s
    ice_squares = freezing * freezing
    effective = math.sqrt(math.sqrt(MEETS * squares * squares + ice_squares * ice_squares))
    inverse = 1.0 / effective
    ice_share = freezing * inverse
    liquid_share = s * inverse
    slope = MEETS * liquid_share * liquid_share * liquid_share
    return effective, freezing_T * ice_share * ice_share * ice_share, slope


@inlined
def unfrozen(m, w, s, temperature, theta, curves, state, freezes):
    """Liquid water (kg/m3) of material m that holds w at suction s, with its slope over T."""
    if theta >= 0.0 or freezes == 0.0:
        return w, 0.0
    _, _, freezing, freezing_T = saturation_state(state, temperature)
    if s >= DRY_OF_ICE * freezing:
        return w, 0.0
    effective, s_t, _ = effective_suction(s, freezing, freezing_T)
    u_eff, slope = coordinate(effective)
    liquid, l_e, _, _, _, _, _, _ = material_state(curves, m, u_eff)
    return liquid, l_e * s_t * slope

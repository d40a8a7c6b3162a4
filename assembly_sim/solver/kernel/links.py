"""Fluxes of water and enthalpy from a node to the next, with their slopes."""

from __future__ import annotations

import math

from assembly_sim.solver.kernel.compiled import inlined
from assembly_sim.solver.kernel.grids import HUMIDITY_NODES
from assembly_sim.solver.kernel.numbers import (
    AIR_HEAT,
    AIR_THROUGH,
    ATMOSPHERIC_PRESSURE,
    ICE_POINT_K,
    INNER_MATERIAL,
    INNER_SIDE,
    LATENT_EVAPORATION,
    LINK,
    LINK_SHEET,
    MASS_RATIO,
    OUTER_MATERIAL,
    OUTER_SIDE,
    P_T,
    P_U,
    PHI,
    PHI_T,
    PHI_U,
    SURFACE,
    VAPOUR_HEAT,
    WATER_HEAT,
    P,
)


@inlined
def bernoulli(x):
    """x / (exp(x) - 1), the exponentially fitted weight of the upwind node."""
    if abs(x) < 1e-3:
        return 1.0 - 0.5 * x + x * x / 12.0
    return x / math.expm1(x) if x < 500.0 else 0.0


@inlined
def material_link(work, i, a, j, b, inverse, t_i, t_j, air, ratio, const):
    """Water and enthalpy flux from node i (side a) to node j (side b) inside one material.

    Air through the layers is fitted exponentially: exact for constant properties, no ringing. The
    slopes of its Peclet numbers are left out: Newton then takes an iteration more.
    Returns (J_w, J_h) and their slopes over T_i, u_i, T_j, u_j.
    """
    zero = const[ICE_POINT_K]
    conductance = 0.5 * (work[i, a + 6] + work[j, b + 6]) * inverse
    vapour = 0.5 * (work[i, a + 3] + work[j, b + 3]) * inverse
    up_t, down_t, up_p, down_p = conductance, conductance, vapour, vapour
    if air != 0.0:
        peclet = air * const[AIR_HEAT] / conductance
        up_t *= bernoulli(-peclet)
        down_t *= bernoulli(peclet)
        peclet = air * ratio / vapour
        up_p *= bernoulli(-peclet)
        down_p *= bernoulli(peclet)
    dt = t_i - t_j
    dp = work[i, P] - work[j, P]
    q = up_t * (t_i - zero) - down_t * (t_j - zero)
    g_v = up_p * work[i, P] - down_p * work[j, P]
    g_l = (work[i, a] - work[j, b]) * inverse
    mean = 0.5 * (t_i + t_j) - zero
    latent = const[LATENT_EVAPORATION] + const[VAPOUR_HEAT] * mean
    liquid = const[WATER_HEAT] * mean
    carried = 0.5 * (const[VAPOUR_HEAT] * g_v + const[WATER_HEAT] * g_l)
    half_t = 0.5 * inverse * dt
    half_p = 0.5 * inverse * dp
    v_it = up_p * work[i, P_T] + half_p * work[i, a + 4]
    v_iu = up_p * work[i, P_U] + half_p * work[i, a + 5]
    v_jt = -down_p * work[j, P_T] + half_p * work[j, b + 4]
    v_ju = -down_p * work[j, P_U] + half_p * work[j, b + 5]
    l_it = work[i, a + 1] * inverse
    l_iu = work[i, a + 2] * inverse
    l_jt = -work[j, b + 1] * inverse
    l_ju = -work[j, b + 2] * inverse
    return (
        g_v + g_l,
        q + latent * g_v + liquid * g_l,
        v_it + l_it,
        v_iu + l_iu,
        v_jt + l_jt,
        v_ju + l_ju,
        up_t + half_t * work[i, a + 7] + latent * v_it + liquid * l_it + carried,
        half_t * work[i, a + 8] + latent * v_iu + liquid * l_iu,
        -down_t + half_t * work[j, b + 7] + latent * v_jt + liquid * l_jt + carried,
        half_t * work[j, b + 8] + latent * v_ju + liquid * l_ju,
    )


@inlined
def sheet_link(work, i, j, conductance, sheets, sheet, t_i, t_j, air, ratio, const):
    """The same across a resistance: a sheet (permeance by mean humidity) or half an air layer."""
    x = min(max(0.5 * (work[i, PHI] + work[j, PHI]), 0.0), 1.0) * (HUMIDITY_NODES - 1)
    k = min(int(x), HUMIDITY_NODES - 2)
    slope = sheets[sheet, k + 1] - sheets[sheet, k]
    permeance = sheets[sheet, k] + slope * (x - k)
    slope *= 0.5 * (HUMIDITY_NODES - 1)
    up_t, down_t, up, down = conductance, conductance, permeance, permeance
    if air != 0.0:
        peclet = air * const[AIR_HEAT] / conductance
        up_t *= bernoulli(-peclet)
        down_t *= bernoulli(peclet)
        peclet = air * ratio / permeance
        up *= bernoulli(-peclet)
        down *= bernoulli(peclet)
    dp = work[i, P] - work[j, P]
    zero = const[ICE_POINT_K]
    g = up * work[i, P] - down * work[j, P]
    q = up_t * (t_i - zero) - down_t * (t_j - zero)
    latent = const[LATENT_EVAPORATION] + const[VAPOUR_HEAT] * (0.5 * (t_i + t_j) - zero)
    carried = 0.5 * const[VAPOUR_HEAT] * g
    g_it = up * work[i, P_T] + slope * dp * work[i, PHI_T]
    g_iu = up * work[i, P_U] + slope * dp * work[i, PHI_U]
    g_jt = -down * work[j, P_T] + slope * dp * work[j, PHI_T]
    g_ju = -down * work[j, P_U] + slope * dp * work[j, PHI_U]
    return (
        g,
        q + latent * g,
        g_it,
        g_iu,
        g_jt,
        g_ju,
        up_t + latent * g_it + carried,
        latent * g_iu,
        -down_t + latent * g_jt + carried,
        latent * g_ju,
    )


@inlined
def air_inwards(i, materials, surfaces, row, const):
    """Air through the path of node i, kg/(m2 s) inwards, and its humidity ratio per Pa of vapour.

    Once a path: a division at each link would be seen.
    """
    surface = materials[i, SURFACE]
    ratio = const[MASS_RATIO] / row[surface, ATMOSPHERIC_PRESSURE]
    return -surfaces[surface, AIR_THROUGH], ratio


@inlined
def link(work, i, temperature, nodes, materials, sheets, air, ratio, const):
    """Flux and slopes of the link from node i to node i + 1."""
    j = i + 1
    t_i = temperature[i]
    t_j = temperature[j]
    inverse = nodes[i, LINK]
    sheet = materials[i, LINK_SHEET]
    if sheet >= 0:
        return sheet_link(work, i, j, inverse, sheets, sheet, t_i, t_j, air, ratio, const)
    one = materials[i, INNER_MATERIAL] == materials[i, OUTER_MATERIAL]
    a = OUTER_SIDE if one else INNER_SIDE
    return material_link(work, i, a, j, OUTER_SIDE, inverse, t_i, t_j, air, ratio, const)

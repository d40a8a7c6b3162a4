"""A node's scratch row from its unknowns: pressures, storage, transport, with slopes.

A node that has hardly moved since its row was looked up is moved along its slopes instead.
"""

from __future__ import annotations

import math

from assembly_sim.solver.kernel.compiled import inlined, inner
from assembly_sim.solver.kernel.curves import (
    DRY_OF_ICE,
    coordinate,
    effective_suction,
    material_state,
    saturation_state,
    thermal_state,
    unfrozen,
)
from assembly_sim.solver.kernel.grids import DRIEST, SATURATED
from assembly_sim.solver.kernel.numbers import (
    ADSORBED,
    AT_T,
    AT_U,
    CAPACITY,
    FREEZING,
    FROZEN,
    ICE_HEAT,
    ICE_POINT_K,
    INNER_MATERIAL,
    INNER_SIDE,
    LATENT_FUSION,
    MH,
    MH_T,
    MH_U,
    MW,
    MW_U,
    OUTER_MATERIAL,
    OUTER_SIDE,
    OVERFLOW,
    P_T,
    P_U,
    PHI,
    PHI_T,
    PHI_U,
    ROW_T,
    ROW_U,
    VAPOUR_GAS,
    WATER_HEAT,
    WIDTH,
    P,
)

FILM_FREEZES_OVER = 0.5  # K below the ice point
NEAR_T, NEAR_U = 4e-4, 2e-5  # K and u per second of g h: near enough to go by slopes
CLEAR_T, CLEAR_U = 1.0, 0.02  # K from the ice point and u from saturation: not clear of a kink


@inlined
def side(work, i, at, thermal, wet, m, temperature, w, w_u, f, f_e, d, d_e, e_t, e_u):
    """Fill one side of node i: transport of material m, its slopes turned from s_eff to T and u."""
    conductivity, c_T, factor, f_T = thermal_state(thermal, wet[m, 1], m, temperature)
    work[i, at] = f
    work[i, at + 1] = f_e * e_t
    work[i, at + 2] = f_e * e_u
    work[i, at + 3] = d * factor
    work[i, at + 4] = d_e * e_t * factor + d * f_T
    work[i, at + 5] = d_e * e_u * factor
    work[i, at + 6] = conductivity + wet[m, 0] * w
    work[i, at + 7] = c_T
    work[i, at + 8] = wet[m, 0] * w_u


@inlined
def frost_share(theta, freezing):
    """Share of a film that is frost, with its slope over T: smooth over FILM_FREEZES_OVER."""
    x = min(max(-theta / FILM_FREEZES_OVER, 0.0), 1.0)
    return freezing * x * x * (3.0 - 2.0 * x), -6.0 * freezing * x * (1.0 - x) / FILM_FREEZES_OVER


@inlined
def pore_enthalpy(dx, capacity, theta, liquid, liquid_T, ice, const):
    """Enthalpy (J/m2) of a cell with what its pores hold, kg/m3, and its slope over T."""
    water_heat, ice_heat = const[WATER_HEAT], const[ICE_HEAT]
    ice_enthalpy = ice_heat * theta - const[LATENT_FUSION]
    slope = liquid * water_heat + ice * ice_heat + liquid_T * (water_heat * theta - ice_enthalpy)
    return (
        capacity * theta + dx * (liquid * water_heat * theta + ice * ice_enthalpy),
        capacity + dx * slope,
    )


@inlined
def film_enthalpy(theta, const):
    """Enthalpy (J/kg) of film and adsorbed water: liquid above the ice point, frost below."""
    share, share_t = frost_share(theta, const[FREEZING])
    water_heat, ice_heat = const[WATER_HEAT], const[ICE_HEAT]
    ice_enthalpy = ice_heat * theta - const[LATENT_FUSION]
    return (
        (1.0 - share) * water_heat * theta + share * ice_enthalpy,
        (1.0 - share) * water_heat
        + share * ice_heat
        + share_t * (ice_enthalpy - water_heat * theta),
    )


@inlined
def node_state(work, i, temperature, u, nodes, materials, curves, thermal, wet, state, const):
    """Fill the scratch row of node i from its unknowns: pressures, storage, transport."""
    zero, freezes, vapour_gas = const[ICE_POINT_K], const[FREEZING], const[VAPOUR_GAS]
    water_heat = const[WATER_HEAT]
    dx, capacity, spring = nodes[i, WIDTH], nodes[i, CAPACITY], nodes[i, OVERFLOW]
    outer = materials[i, OUTER_MATERIAL]
    inner = materials[i, INNER_MATERIAL]
    saturation, saturation_T, freezing, freezing_T = saturation_state(state, temperature)
    w, w_u, f, f_u, d, d_u, s, s_u = material_state(curves, outer, u)
    theta = temperature - zero
    frozen = theta < 0.0 and freezes > 0.0 and s < DRY_OF_ICE * freezing
    liquid = w
    liquid_T = 0.0
    liquid_u = w_u
    e_t = 0.0  # slopes of the effective coordinate u_eff over T and u
    e_u = 1.0
    u_eff = u
    if frozen:
        effective, s_t, slope = effective_suction(s, freezing, freezing_T)
        s_u *= slope
        s = effective
        u_eff, slope = coordinate(s)
        e_t = s_t * slope
        e_u = s_u * slope
        liquid, l_e, f, f_u, d, d_u, _, _ = material_state(curves, outer, u_eff)
        liquid_T = l_e * e_t
        liquid_u = l_e * e_u
    else:
        s_t = 0.0
    per_kelvin = 1.0 / temperature
    scale = per_kelvin / vapour_gas
    humidity = math.exp(-s * scale)
    humidity_t = humidity * (s * per_kelvin - s_t) * scale
    humidity_u = -humidity * s_u * scale
    work[i, PHI] = humidity
    work[i, PHI_T] = humidity_t
    work[i, PHI_U] = humidity_u
    work[i, P] = saturation * humidity
    work[i, P_T] = saturation_T * humidity + saturation * humidity_t
    work[i, P_U] = saturation * humidity_u
    side(work, i, OUTER_SIDE, thermal, wet, outer, temperature, w, w_u, f, f_u, d, d_u, e_t, e_u)
    if inner != outer:
        v, v_u, _, _, _, _, _, _ = material_state(curves, inner, u)
        _, _, f, f_u, d, d_u, _, _ = material_state(curves, inner, u_eff)
        side(
            work, i, INNER_SIDE, thermal, wet, inner, temperature, v, v_u, f, f_u, d, d_u, e_t, e_u
        )
    ice_enthalpy = const[ICE_HEAT] * theta - const[LATENT_FUSION]
    ice = w - liquid
    work[i, MW] = dx * w
    work[i, MW_U] = dx * w_u
    work[i, MH], work[i, MH_T] = pore_enthalpy(dx, capacity, theta, liquid, liquid_T, ice, const)
    work[i, MH_U] = dx * (liquid_u * water_heat * theta + (w_u - liquid_u) * ice_enthalpy)
    film, film_u = nodes[i, ADSORBED] * (DRIEST - u), -nodes[i, ADSORBED]
    if u < SATURATED:
        film += spring * (SATURATED - u)
        film_u -= spring
    enthalpy, enthalpy_t = film_enthalpy(theta, const)
    work[i, MW] += film
    work[i, MW_U] += film_u
    work[i, MH] += film * enthalpy
    work[i, MH_T] += film * enthalpy_t
    work[i, MH_U] += film_u * enthalpy
    work[i, AT_T] = temperature
    work[i, AT_U] = u
    work[i, ROW_T] = temperature
    work[i, ROW_U] = u
    work[i, FROZEN] = 1.0 if frozen else 0.0


@inlined
def clear_of_kinks(work, i, temperature, u, zero):
    """Whether slopes of node i hold for a way: no film, no ice, and not near the ice point."""
    return u > SATURATED + CLEAR_U and abs(temperature - zero) > CLEAR_T and work[i, FROZEN] == 0.0


@inlined
def near_row(work, i, temperature, u, gh, zero):
    """Whether node i is still so near to where its row was looked up that slopes will do.

    What they miss is of second order, 1e-4 of the vapour pressure and of the water.
    """
    return (
        abs(temperature - work[i, AT_T]) < NEAR_T * gh
        and abs(u - work[i, AT_U]) < NEAR_U * gh
        and clear_of_kinks(work, i, temperature, u, zero)
    )


@inlined
def move_side(work, i, at, x_t, x_u):
    """Move the transport of one side along its slopes."""
    work[i, at] += work[i, at + 1] * x_t + work[i, at + 2] * x_u
    work[i, at + 3] += work[i, at + 4] * x_t + work[i, at + 5] * x_u
    work[i, at + 6] += work[i, at + 7] * x_t + work[i, at + 8] * x_u


@inlined
def move_row(work, i, temperature, u, two_sides):
    """Move the row of node i along its slopes to new unknowns."""
    x_t = temperature - work[i, ROW_T]
    x_u = u - work[i, ROW_U]
    work[i, ROW_T] = temperature
    work[i, ROW_U] = u
    work[i, P] += work[i, P_T] * x_t + work[i, P_U] * x_u
    work[i, PHI] += work[i, PHI_T] * x_t + work[i, PHI_U] * x_u
    work[i, MW] += work[i, MW_U] * x_u
    work[i, MH] += work[i, MH_T] * x_t + work[i, MH_U] * x_u
    move_side(work, i, OUTER_SIDE, x_t, x_u)
    if two_sides:
        move_side(work, i, INNER_SIDE, x_t, x_u)


@inner
def refresh(work, i, temperature, u, chain, tables, const):
    """`node_state` once more, compiled once for all that call it outside `assemble`."""
    node_state(
        work, i, temperature, u, chain.nodes, chain.materials, tables.curves,
        tables.thermal, tables.wet, tables.state, const,
    )  # fmt: skip


@inner
def plane_states(states, temperature, u, planes, tables, const):
    """Fill temperature, vapour pressure and humidity over water of the planes, (3, planes)."""
    for k in range(len(planes)):
        t = temperature[planes[k]]
        saturation, _, freezing, freezing_T = saturation_state(tables.state, t)
        _, _, _, _, _, _, s, _ = material_state(tables.curves, 0, u[planes[k]])
        if t < const[ICE_POINT_K] and const[FREEZING] > 0.0 and s < DRY_OF_ICE * freezing:
            s, _, _ = effective_suction(s, freezing, freezing_T)
        phi = math.exp(-s / (const[VAPOUR_GAS] * t))
        states[0, k] = t
        states[1, k] = saturation * phi
        states[2, k] = phi


@inner
def ice_in_cell(work, i, temperature, u, chain, tables, const):
    """Ice (kg/m2) in cell i: what the curve holds at s beyond what it holds at s_eff."""
    material = chain.materials[i, OUTER_MATERIAL]
    theta = temperature - const[ICE_POINT_K]
    if theta >= 0.0 or const[FREEZING] == 0.0:
        return 0.0
    w, _, _, _, _, _, s, _ = material_state(tables.curves, material, u)
    liquid, _ = unfrozen(
        material, w, s, temperature, theta, tables.curves, tables.state, const[FREEZING]
    )
    return chain.nodes[i, WIDTH] * max(w - liquid, 0.0)

r"""The compiled march: heat, vapour and liquid through one chain of nodes, implicit in time.

Equations. Over a cell of width dx, with fluxes J counted from outside to inside here (reports
turn the sign), water W = w dx and enthalpy H obey

    dW/dt = J_w(in) - J_w(out) + sources      J_w = g_v + g_l
    dH/dt = J_h(in) - J_h(out) + sources      J_h = q + h_v g_v + h_l g_l
    g_v = -delta dp/dx     g_l = -dPhi/dx     q = -lambda dT/dx
    H = [rho c + w_l c_w] (T - T0) dx + w_i [c_i (T - T0) - L_f] dx
    h_v = L + c_v (T - T0)     h_l = c_w (T - T0)

Phi is the Kirchhoff potential of liquid conductivity, the integral of K ds from dry: liquid flow
between two nodes of one material is then exact for any K, where averages of K miss most of a
front. Unknowns are T and u = ln(s + 1 kPa). Where there is ice the liquid and the vapour see
s_eff, the smooth larger one of s and the freezing suction s_f(T): s_eff^4 = s^4 + s_f^4 (s^4 less
1e-4 of itself, so that it meets s where ice is left out), so w_l = w(s_eff), w_i = w(s) - w_l and
p = p_sat exp(-s_eff/(rho R T)) is the pressure over ice without being told so.

Plane nodes store nothing but a film C max(0, u_sat - u), and the few nanometres of water that any
surface adsorbs, which give u an equation where p does not depend on it (over ice). Without a
film two layers that hold no liquid have no solution when vapour condenses between them. C makes
the film a stiff spring: 0.1 kg/m2 lowers u by 0.01, a suction of -10 Pa. Cells past saturation
overflow into the same kind of film. At the outer surface what the wall cannot take runs off by
k max(0, u_sat - u), stiff and monotone, so that rain needs no switching.

Time. SDIRK2 with g = 1 - 1/sqrt 2 (Alexander 1977): two stages that look like implicit Euler,
L-stable, nothing to restart after a jump, at home with rows that store nothing:

    M1 = M + g h F1,             F1 = F(t + g h)
    M+ = M + (1 - g) h F1 + g h F2,   F2 = F(t + h)

The state that is carried is M = (W, H), not (T, u). Each stage takes the storage and the fluxes
linearised at its last iterate, M + dM x and F + dF x: they satisfy the linear system exactly, so
balances close to round-off whatever the tolerance. What that hides is reported apart, as the
state defect: M carried against M recomputed from (T, u).

The 2 x 2 block tridiagonal matrix is eliminated from outside towards the room while it is being
assembled. A node that has hardly moved since its row was looked up is moved along its slopes
instead; as what counts as near shrinks with the step, the march stays of second order.
Several paths stand in one matrix one after the other, and floating zones border it: a zone is a
node of its own, linked to faces of paths by film and area. A run has no zone yet, so each of its
paths marches alone.
`curves`, `state` and the rest are the tables of `tables.py`; this file holds no curve of a
material, of saturation or of freezing.
Everything is plain functions under `jit` (called from Python), `inner` or `inlined`, without
allocation, exceptions or text inside.
"""

from __future__ import annotations

import math

import numba

from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.solver import cache
from assembly_sim.solver.layout import (
    ABSORBED_LONG_WAVE,
    ABSORBED_SUN,
    AIR_AT_OUTER,
    AIR_AT_ROOM,
    AIR_HEAT,
    AIR_THROUGH,
    ATMOSPHERIC_PRESSURE,
    COLUMNS,
    COMPLETED,
    DRAIN,
    EULER,
    FAILED,
    FREEZING,
    HELD,
    ICE_HEAT,
    ICE_POINT_K,
    ITERATIONS,
    LATENT_EVAPORATION,
    LATENT_FUSION,
    LEAK,
    LEAK_INWARD,
    LEAK_OUTWARD,
    LEAKED_RAIN,
    MASS_RATIO,
    NEWTON,
    NO_STEP,
    NOT_FINITE,
    OUT_OF_RANGE,
    OUTDOOR_CONVECTION,
    OUTDOOR_TEMPERATURE,
    OUTDOOR_VAPOUR_FILM,
    OUTDOOR_VAPOUR_PRESSURE,
    OUTER_SURFACE,
    RADIATION,
    RAIN,
    RAIN_LEAKED,
    RAIN_ON_SURFACE,
    REJECTED,
    ROOM_HEAT_COEFFICIENT,
    ROOM_SURFACE,
    ROOM_TEMPERATURE,
    ROOM_VAPOUR_FILM,
    ROOM_VAPOUR_PRESSURE,
    STEPS,
    SURFACE_EMITTANCE,
    VAPOUR_GAS,
    VAPOUR_HEAT,
    VENT,
    WATER_HEAT,
    WORST_DEFECT,
)
from assembly_sim.solver.tables import (
    COARSE_NODES,
    COARSE_STEP,
    COLDEST,
    DRIEST,
    HUMIDITY_NODES,
    SATURATED,
    SUCTION_NODES,
    SUCTION_OFFSET,
    SUCTION_STEP,
    TEMPERATURE_NODES,
    TEMPERATURE_STEP,
)

# No function here allocates, so none needs to count references, which would cost half the time.
_FOUND = numba.config.CACHE_DIR  # put back below: other packages compile in this process too
numba.config.CACHE_DIR = str(cache.folder() or "")
OPTIONS = {"nogil": True, "error_model": "numpy", "fastmath": {"contract"}, "_nrt": False}
KEPT = {"cache": cache.folder() is not None}
jit = numba.njit(**KEPT, **OPTIONS)
# What Python does not call needs no wrapper for it: an eighth of the compiling.
inner = numba.njit(no_cpython_wrapper=True, no_cfunc_wrapper=True, **KEPT, **OPTIONS)
# LLVM inlines these. numba's own inlining does the same work at a quarter more compiling.
inlined = numba.njit(forceinline=True, no_cpython_wrapper=True, no_cfunc_wrapper=True, **OPTIONS)

GAMMA = 1.0 - 1.0 / math.sqrt(2.0)
PER_SUCTION_STEP = 1.0 / SUCTION_STEP
PER_TEMPERATURE_STEP = 1.0 / TEMPERATURE_STEP
WARMEST = COLDEST + TEMPERATURE_STEP * (TEMPERATURE_NODES - 1)  # K
INTERVAL = 1800.0  # s between rows of weather
SHORTEST_STEP = 0.1  # s
SHORTEST_CUT = 1.0  # s, as far as an error estimate cuts: a hard rain brings 1 g/m2 in it
MIXED_CHANGE = 1e-3  # kg K/m2, water gained times warming: what is bilinear in the enthalpy
KINK_WATER = 5e-5  # kg/m2, scale of film that an update across saturation gets wrong
KINK_HEAT = 50.0  # J/m2, scale of latent heat that an update across the ice point leaves out
FROST_HEAT = 10.0  # J/m2, the same for the smooth freezing of a film
STEP_ERROR_T, STEP_ERROR_W = 1.0, 0.04  # K and share of a cell's water and 5 kg/m3
LEAST_WATER = 1e-2  # kg/m2 in place of those 5 kg/m3 in a thin cell: 0.4 g/m2 decide nothing
MOST_ITERATIONS = 70
PLAIN_ITERATIONS = 10  # after these, half steps: an end to going back and forth across a kink
HALVED_ITERATIONS = 25  # after these, planes are damped
LENT = 1e-3  # kg/m2 per unit of u, the damping
EMPTIED = -1.0  # two stages are no use: a film dries out within the step
DRYER_THAN_DRY = DRIEST + 80.0  # u of a face that owes 0.16 g/m2 after its film went
LITTLE_WATER = 0.1  # kg/m2: the defect of an almost waterless wall is held against this
EULER_STEP = 150.0  # s, the longest step of implicit Euler
RUN_OFF = 0.1  # kg/(m2 s) per unit of u past saturation
DRAIN_TIME = 1800.0  # s in which water above what a face holds runs away
FILM_FREEZES_OVER = 0.5  # K below the ice point
WET_PORES = SATURATED + 5.0  # u below which a face in contact with pores freezes like them
PORES_FREEZE_OVER = 0.02  # K, the steep part of it in a saturated cell
NEAR_T, NEAR_U = 4e-4, 2e-5  # K and u per second of g h: near enough to go by slopes
CLEAR_T, CLEAR_U = 1.0, 0.02  # K from the ice point and u from saturation: not clear of a kink
DRY_OF_ICE = 10.0  # times the freezing suction: beyond it there is no ice to speak of
MEETS = 1.0 - DRY_OF_ICE**-4  # makes the suction beside ice s itself there

# Columns of the scratch array, one row a node: first what is looked up, then the march's own
P, P_T, P_U, MW, MW_U, MH, MH_T, MH_U = 0, 1, 2, 3, 4, 5, 6, 7
PHI, PHI_T, PHI_U = 8, 9, 10
OUTER_SIDE, INNER_SIDE = 11, 20  # nine each: Phi, delta, lambda and their slopes over T and u
AT_T, AT_U, ROW_T, ROW_U, FROZEN = 29, 30, 31, 32, 33  # where looked up, where moved to since
BASE_W, BASE_H, X_T, X_U, Y_T, Y_U, U_TT, U_TU, U_UT, U_UU = 34, 35, 36, 37, 38, 39, 40, 41, 42, 43
F_W, F_H, NEW_W, NEW_H, OLD_T, OLD_U, STEP_T, STEP_U = 44, 45, 46, 47, 48, 49, 50, 51
SCRATCH = 52

# Columns of a node's own row, and of its row of numbers
WIDTH, CAPACITY, OVERFLOW, LINK, ADSORBED = 0, 1, 2, 3, 4
OUTER_MATERIAL, INNER_MATERIAL, LAYER, LINK_SHEET = 0, 1, 2, 3

# Columns of a flow's row: water, enthalpy and sensible heat into the node, with slopes
G, G_T, G_U, E, E_T, E_U, Q, Q_T = 0, 1, 2, 3, 4, 5, 6, 7
FLOW_FIELDS = 8

# Columns of a link's row: water and enthalpy from node i to node j, with slopes
J_W, J_H, W_IT, W_IU, W_JT, W_JU, H_IT, H_IU, H_JT, H_JU = 0, 1, 2, 3, 4, 5, 6, 7, 8, 9
LINK_FIELDS = 10

# Columns of a link to a zone: numbers, and sizes
NODE, ZONE, SHEET = 0, 1, 2
CONDUCTANCE, AREA = 0, 1


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
def near_row(work, i, temperature, u, gh, zero):
    """Whether node i is still so near to where its row was looked up that slopes will do.

    What they miss is of second order, 1e-4 of the vapour pressure and of the water. Films, ice and
    the neighbourhood of the ice point bend too much.
    """
    return (
        abs(temperature - work[i, AT_T]) < NEAR_T * gh
        and abs(u - work[i, AT_U]) < NEAR_U * gh
        and u > SATURATED + CLEAR_U
        and abs(temperature - zero) > CLEAR_T
        and work[i, FROZEN] == 0.0
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
def air_exchange(row, work, i, air, source_temperature, source_pressure, theta, const):
    """Air (kg/(m2 s)) comes at the source's state, mixes fully and leaves at the node's."""
    ratio = const[MASS_RATIO]
    pressure = row[ATMOSPHERIC_PRESSURE]
    brought = ratio * source_pressure / (pressure - source_pressure)
    dry = pressure - work[i, P]
    held = ratio * work[i, P] / dry
    held_p = ratio * pressure / (dry * dry)
    vapour_heat = const[VAPOUR_HEAT]
    air_heat = const[AIR_HEAT]
    latent = const[LATENT_EVAPORATION] + vapour_heat * theta
    source_theta = source_temperature - const[ICE_POINT_K]
    source_latent = const[LATENT_EVAPORATION] + vapour_heat * source_theta
    g_p = -air * held_p
    q = air * air_heat * (source_theta - theta)
    return (
        air * (brought - held),
        g_p * work[i, P_T],
        g_p * work[i, P_U],
        q + air * (brought * source_latent - held * latent),
        -air * (air_heat + held * vapour_heat) + g_p * work[i, P_T] * latent,
        g_p * work[i, P_U] * latent,
        q,
        -air * air_heat,
    )


@inner
def surface_film(work, i, q, q_t, film, air_pressure, theta, air_theta, const):
    """Heat q into the surface node with its slope, and vapour through its air film."""
    g = film * (air_pressure - work[i, P])
    g_t = -film * work[i, P_T]
    g_u = -film * work[i, P_U]
    latent = const[LATENT_EVAPORATION] + const[VAPOUR_HEAT] * 0.5 * (theta + air_theta)
    return (
        g,
        g_t,
        g_u,
        q + latent * g,
        q_t + latent * g_t + 0.5 * const[VAPOUR_HEAT] * g,
        latent * g_u,
        q,
        q_t,
    )


@inner
def air_through_end(row, work, i, air, source_temperature, source_pressure, theta, const):
    """Air through the layers enters (air > 0) at the source's state or leaves at the node's."""
    ratio = const[MASS_RATIO] / row[ATMOSPHERIC_PRESSURE]
    if air > 0.0:
        source_theta = source_temperature - const[ICE_POINT_K]
        x = ratio * source_pressure
        latent = const[LATENT_EVAPORATION] + const[VAPOUR_HEAT] * source_theta
        q = air * const[AIR_HEAT] * source_theta
        return air * x, 0.0, 0.0, q + air * x * latent, 0.0, 0.0, q, 0.0
    x = ratio * work[i, P]
    latent = const[LATENT_EVAPORATION] + const[VAPOUR_HEAT] * theta
    q_t = air * const[AIR_HEAT]
    g_t = air * ratio * work[i, P_T]
    g_u = air * ratio * work[i, P_U]
    e_t = q_t + g_t * latent + air * x * const[VAPOUR_HEAT]
    return air * x, g_t, g_u, q_t * theta + air * x * latent, e_t, g_u * latent, q_t * theta, q_t


@inner
def no_flow():
    """Nothing, in the shape of a flow."""
    return 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0


@inner
def flow(kind, value, row, work, i, temperature, u, spring, const):
    """One flow into node i from outside the chain: (water, enthalpy, sensible heat), slopes."""
    zero = const[ICE_POINT_K]
    theta = temperature - zero
    outdoors, outdoor_p = row[OUTDOOR_TEMPERATURE], row[OUTDOOR_VAPOUR_PRESSURE]
    room, room_p = row[ROOM_TEMPERATURE], row[ROOM_VAPOUR_PRESSURE]
    if kind == ROOM_SURFACE:
        h = row[ROOM_HEAT_COEFFICIENT]
        q = h * (room - temperature)
        return surface_film(
            work, i, q, -h, row[ROOM_VAPOUR_FILM], room_p, theta, room - zero, const
        )
    if kind == OUTER_SURFACE:
        h = row[OUTDOOR_CONVECTION]
        radiance = const[RADIATION] * const[SURFACE_EMITTANCE] * temperature**3
        q = h * (outdoors - temperature) + row[ABSORBED_SUN] + row[ABSORBED_LONG_WAVE]
        q -= radiance * temperature
        q_t = -h - 4.0 * radiance
        film = row[OUTDOOR_VAPOUR_FILM]
        return surface_film(work, i, q, q_t, film, outdoor_p, theta, outdoors - zero, const)
    if kind == RAIN:
        rain = row[RAIN_ON_SURFACE]
        past = max(0.0, SATURATED - u)
        slope = RUN_OFF if past > 0.0 else 0.0
        heat = const[WATER_HEAT]
        off = RUN_OFF * past
        e = heat * ((outdoors - zero) * rain - theta * off)
        return rain - off, 0.0, slope, e, -heat * off, heat * theta * slope, 0.0, 0.0
    if kind == LEAK_OUTWARD and row[LEAK] > 0.0:
        return air_exchange(row, work, i, row[LEAK], room, room_p, theta, const)
    if kind == LEAK_INWARD and row[LEAK] < 0.0:
        return air_exchange(row, work, i, -row[LEAK], outdoors, outdoor_p, theta, const)
    if kind == LEAKED_RAIN:
        rain = row[RAIN_LEAKED]
        e = const[WATER_HEAT] * (outdoors - zero) * rain
        return rain, 0.0, 0.0, e, 0.0, 0.0, 0.0, 0.0
    if kind == VENT:
        return air_exchange(row, work, i, value, outdoors, outdoor_p, theta, const)
    if kind == DRAIN:
        over = spring * (SATURATED - u) - const[HELD]
        if over > 0.0:
            frost, frost_t = frost_share(theta, const[FREEZING])
            g = -over * (1.0 - frost) / DRAIN_TIME
            g_t = over * frost_t / DRAIN_TIME
            g_u = spring * (1.0 - frost) / DRAIN_TIME
            heat = const[WATER_HEAT]
            e_t = heat * (g + theta * g_t)
            return g, g_t, g_u, heat * theta * g, e_t, heat * theta * g_u, 0.0, 0.0
    if kind == AIR_AT_OUTER:
        air = -const[AIR_THROUGH]
        return air_through_end(row, work, i, air, outdoors, outdoor_p, theta, const)
    if kind == AIR_AT_ROOM:
        air = const[AIR_THROUGH]
        return air_through_end(row, work, i, air, room, room_p, theta, const)
    return no_flow()


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


@inner
def assemble(work, flows, temperature, u, row, gh, chain, tables, const):
    """Fill the nodes' rows and the flows from outside the chain; False outside the tables."""
    n = len(temperature)
    nodes, materials = chain.nodes, chain.materials
    kinds, at, values = chain.flow_kind, chain.flow_node, chain.flow_value
    curves, thermal, wet, state = tables.curves, tables.thermal, tables.wet, tables.state
    for i in range(n):
        if not (COLDEST < temperature[i] < WARMEST):
            return False
        if near_row(work, i, temperature[i], u[i], gh, const[ICE_POINT_K]):
            two_sides = materials[i, OUTER_MATERIAL] != materials[i, INNER_MATERIAL]
            move_row(work, i, temperature[i], u[i], two_sides)
        else:
            node_state(
                work, i, temperature[i], u[i], nodes, materials, curves, thermal, wet, state, const
            )
    for k in range(len(flows)):
        i = at[k]
        if kinds[k] == DRAIN and u[i] >= SATURATED:
            for field in range(FLOW_FIELDS):
                flows[k, field] = 0.0
            continue
        f = flow(kinds[k], values[k], row, work, i, temperature[i], u[i], nodes[i, OVERFLOW], const)
        for field in range(FLOW_FIELDS):
            flows[k, field] = f[field]
    return True


@inlined
def link(work, i, temperature, nodes, materials, sheets, row, const):
    """Flux and slopes of the link from node i to node i + 1."""
    j = i + 1
    air = -const[AIR_THROUGH]
    ratio = const[MASS_RATIO] / row[ATMOSPHERIC_PRESSURE]
    t_i = temperature[i]
    t_j = temperature[j]
    inverse = nodes[i, LINK]
    sheet = materials[i, LINK_SHEET]
    if sheet >= 0:
        return sheet_link(work, i, j, inverse, sheets, sheet, t_i, t_j, air, ratio, const)
    one = materials[i, INNER_MATERIAL] == materials[i, OUTER_MATERIAL]
    a = OUTER_SIDE if one else INNER_SIDE
    return material_link(work, i, a, j, OUTER_SIDE, inverse, t_i, t_j, air, ratio, const)


@inner
def border_links(work, temperature, border, sheets, row, const):
    """Fluxes and slopes of the links from paths to zones; the zones' columns made empty."""
    columns = border.columns
    for i in range(columns.shape[0]):
        for z in range(columns.shape[1]):
            for c in range(4):
                columns[i, z, c] = 0.0
    first = len(temperature) - columns.shape[1]
    ratio = const[MASS_RATIO] / row[ATMOSPHERIC_PRESSURE]
    for e in range(len(border.links)):
        i = border.links[e, NODE]
        j = first + border.links[e, ZONE]
        found = sheet_link(
            work, i, j, border.sizes[e, CONDUCTANCE], sheets, border.links[e, SHEET],
            temperature[i], temperature[j], 0.0, ratio, const,
        )  # fmt: skip
        for field in range(LINK_FIELDS):
            border.flux[e, field] = found[field]


@inner
def border_columns(border, i, gh, r, a, b, c, d, h_it, h_iu, w_it, w_iu):
    """Eliminate row i's columns of the zones and carry them into row i + 1.

    x(i) = y - U x(i+1) - V x(zone) with V = D^-1 B, and -A V goes into the next row's B.
    """
    columns = border.columns
    for e in range(len(border.links)):
        if border.links[e, NODE] == i:
            z = border.links[e, ZONE]
            columns[i, z, 0] += gh * border.flux[e, H_JT]
            columns[i, z, 1] += gh * border.flux[e, H_JU]
            columns[i, z, 2] += gh * border.flux[e, W_JT]
            columns[i, z, 3] += gh * border.flux[e, W_JU]
    for z in range(columns.shape[1]):
        for k in range(2):
            h = columns[i, z, k]
            w = columns[i, z, 2 + k]
            v_t = r * (d * h - b * w)
            v_u = r * (a * w - c * h)
            columns[i, z, k] = v_t
            columns[i, z, 2 + k] = v_u
            columns[i + 1, z, k] += gh * (h_it * v_t + h_iu * v_u)
            columns[i + 1, z, 2 + k] += gh * (w_it * v_t + w_iu * v_u)


@inner
def zone_rows(work, flows, k, gh, chain):
    """Fill the rows of the zones, the paths eliminated: matrix and, last, right-hand side."""
    border, at = chain.border, chain.flow_node
    columns, dense = border.columns, border.dense
    zones = columns.shape[1]
    n = work.shape[0] - zones
    last = 2 * zones
    for p in range(last):
        for c in range(last + 1):
            dense[p, c] = 0.0
    for z in range(zones):
        h = 2 * z
        w = 2 * z + 1
        dense[h, last] = work[n + z, BASE_H] - work[n + z, MH]
        dense[w, last] = work[n + z, BASE_W] - work[n + z, MW]
        dense[h, h] = work[n + z, MH_T]
        dense[h, w] = work[n + z, MH_U]
        dense[w, w] = work[n + z, MW_U]
    for f in range(k, len(at)):
        h = 2 * (at[f] - n)
        w = h + 1
        dense[h, last] += gh * flows[f, E]
        dense[w, last] += gh * flows[f, G]
        dense[h, h] -= gh * flows[f, E_T]
        dense[h, w] -= gh * flows[f, E_U]
        dense[w, h] -= gh * flows[f, G_T]
        dense[w, w] -= gh * flows[f, G_U]
    for e in range(len(border.links)):
        i = border.links[e, NODE]
        h = 2 * border.links[e, ZONE]
        w = h + 1
        share = gh * border.sizes[e, AREA]
        j_w, j_h = border.flux[e, J_W], border.flux[e, J_H]
        h_t, h_u = border.flux[e, H_IT], border.flux[e, H_IU]
        w_t, w_u = border.flux[e, W_IT], border.flux[e, W_IU]
        dense[h, last] += share * (j_h + h_t * work[i, X_T] + h_u * work[i, X_U])
        dense[w, last] += share * (j_w + w_t * work[i, X_T] + w_u * work[i, X_U])
        dense[h, h] -= share * border.flux[e, H_JT]
        dense[h, w] -= share * border.flux[e, H_JU]
        dense[w, h] -= share * border.flux[e, W_JT]
        dense[w, w] -= share * border.flux[e, W_JU]
        for z in range(zones):
            for c in range(2):
                t = columns[i, z, c]
                u = columns[i, z, 2 + c]
                dense[h, 2 * z + c] += share * (h_t * t + h_u * u)
                dense[w, 2 * z + c] += share * (w_t * t + w_u * u)


@inner
def solve_dense(dense):
    """Solve by Gauss, the answer in the last column; without pivoting, as storage and flows of a
    zone outweigh what couples it to others.
    """
    last = dense.shape[0]
    for p in range(last):
        for q in range(p + 1, last):
            factor = dense[q, p] / dense[p, p]
            for c in range(p, last + 1):
                dense[q, c] -= factor * dense[p, c]
    for p in range(last - 1, -1, -1):
        for c in range(p + 1, last):
            dense[p, last] -= dense[p, c] * dense[c, last]
        dense[p, last] /= dense[p, p]


@inner
def solve_zones(work, flows, k, gh, chain):
    """Solve for the zones, then for all nodes with the zones known.

    Flows from the k-th on go into zones. A zone's row is of all its area, a path's of 1 m2.
    """
    columns, dense = chain.border.columns, chain.border.dense
    zones = columns.shape[1]
    n = work.shape[0] - zones
    for i in range(n - 2, -1, -1):
        for z in range(zones):
            for c in range(2):
                t = columns[i + 1, z, c]
                u = columns[i + 1, z, 2 + c]
                columns[i, z, c] -= work[i, U_TT] * t + work[i, U_TU] * u
                columns[i, z, 2 + c] -= work[i, U_UT] * t + work[i, U_UU] * u
    zone_rows(work, flows, k, gh, chain)
    solve_dense(dense)
    for z in range(zones):
        x_t = dense[2 * z, 2 * zones]
        x_u = dense[2 * z + 1, 2 * zones]
        work[n + z, X_T] = x_t
        work[n + z, X_U] = x_u
        for i in range(n):
            work[i, X_T] -= columns[i, z, 0] * x_t + columns[i, z, 1] * x_u
            work[i, X_U] -= columns[i, z, 2] * x_t + columns[i, z, 3] * x_u


@inner
def solve(work, flows, temperature, gh, chain, border, tables, row, const):
    """Eliminate M - base - gh F = 0 from outside towards the room; x in columns X_T, X_U.

    Block row i reads A x(i-1) + D x(i) + C x(i+1) = -R. Forward: D and R are complete once the
    flows into node i and link i are known, so D^-1 C and D^-1 (-R) are kept and carried into
    row i + 1. Flows are in the order of their nodes. A node without a link inwards ends its path
    and the next begins another. Floating zones border the matrix: where border is None, numba
    leaves out, and does not compile, what only they need.
    """
    n = len(temperature)
    if border is not None:
        n -= border.columns.shape[1]
    at = chain.flow_node
    k = 0
    nodes, materials, sheets = chain.nodes, chain.materials, tables.sheets
    if border is not None:
        border_links(work, temperature, border, sheets, row, const)
    r_w, r_h, a, b, c, d = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0  # what row i - 1 brings into row i
    for i in range(n):
        r_w += work[i, MW] - work[i, BASE_W]
        r_h += work[i, MH] - work[i, BASE_H]
        a += work[i, MH_T]
        b += work[i, MH_U]
        d += work[i, MW_U]
        while k < len(at) and at[k] == i:
            r_w -= gh * flows[k, G]
            r_h -= gh * flows[k, E]
            a -= gh * flows[k, E_T]
            b -= gh * flows[k, E_U]
            c -= gh * flows[k, G_T]
            d -= gh * flows[k, G_U]
            k += 1
        if border is not None:
            for e in range(len(border.links)):
                if border.links[e, NODE] == i:
                    r_w += gh * border.flux[e, J_W]
                    r_h += gh * border.flux[e, J_H]
                    a += gh * border.flux[e, H_IT]
                    b += gh * border.flux[e, H_IU]
                    c += gh * border.flux[e, W_IT]
                    d += gh * border.flux[e, W_IU]
        if nodes[i, LINK] == 0.0:  # the end of a path
            r = 1.0 / (a * d - b * c)
            work[i, Y_T] = -r * (d * r_h - b * r_w)
            work[i, Y_U] = -r * (a * r_w - c * r_h)
            for column in (U_TT, U_TU, U_UT, U_UU):
                work[i, column] = 0.0
            if border is not None:
                border_columns(border, i, gh, r, a, b, c, d, 0.0, 0.0, 0.0, 0.0)
            r_w, r_h, a, b, c, d = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
            continue
        (
            j_w, j_h, w_it, w_iu, w_jt, w_ju, h_it, h_iu, h_jt, h_ju,
        ) = link(work, i, temperature, nodes, materials, sheets, row, const)  # fmt: skip
        r_w += gh * j_w
        r_h += gh * j_h
        a += gh * h_it
        b += gh * h_iu
        c += gh * w_it
        d += gh * w_iu
        r = 1.0 / (a * d - b * c)
        y_t = -r * (d * r_h - b * r_w)
        y_u = -r * (a * r_w - c * r_h)
        if border is not None:
            border_columns(border, i, gh, r, a, b, c, d, h_it, h_iu, w_it, w_iu)
        r *= gh
        u_tt = r * (d * h_jt - b * w_jt)
        u_tu = r * (d * h_ju - b * w_ju)
        u_ut = r * (a * w_jt - c * h_jt)
        u_uu = r * (a * w_ju - c * h_ju)
        work[i, Y_T] = y_t
        work[i, Y_U] = y_u
        work[i, U_TT] = u_tt
        work[i, U_TU] = u_tu
        work[i, U_UT] = u_ut
        work[i, U_UU] = u_uu
        r_w = -gh * (j_w + w_it * y_t + w_iu * y_u)
        r_h = -gh * (j_h + h_it * y_t + h_iu * y_u)
        a = -gh * (h_jt - h_it * u_tt - h_iu * u_ut)
        b = -gh * (h_ju - h_it * u_tu - h_iu * u_uu)
        c = -gh * (w_jt - w_it * u_tt - w_iu * u_ut)
        d = -gh * (w_ju - w_it * u_tu - w_iu * u_uu)
    x_t = 0.0
    x_u = 0.0
    for i in range(n - 1, -1, -1):
        y_t = work[i, Y_T] - work[i, U_TT] * x_t - work[i, U_TU] * x_u
        x_u = work[i, Y_U] - work[i, U_UT] * x_t - work[i, U_UU] * x_u
        x_t = y_t
        work[i, X_T] = x_t
        work[i, X_U] = x_u
    if border is not None:
        solve_zones(work, flows, k, gh, chain)


@inlined
def freezing_missed(theta, x_t, latent, film):
    """Latent heat that the slope at theta misses on the way to theta + x_t, over its limit.

    Pores freeze steeply from the ice point down, a film by a smooth step.
    """
    if film:
        if min(theta, theta + x_t) > 0.0 or max(theta, theta + x_t) < -FILM_FREEZES_OVER:
            return 0.0
        bend = x_t / FILM_FREEZES_OVER
        return latent * min(3.0 * bend * bend, 1.0) / FROST_HEAT
    if (theta > 0.0) == (theta + x_t > 0.0):
        return 0.0
    return latent * min(abs(theta + x_t) / PORES_FREEZE_OVER, 1.0) / KINK_HEAT


@inner
def update_size(work, temperature, u, nodes, const):
    """Largest scaled Newton update; not finite where any update is not."""
    worst = 0.0
    total = 0.0
    for i in range(len(u)):
        x_t = work[i, X_T]
        x_u = work[i, X_U]
        total += x_t + x_u
        size = max(abs(x_t) / 20.0, abs(x_u) / 100.0)
        size = max(size, abs(work[i, PHI_T] * x_t + work[i, PHI_U] * x_u))
        dx = nodes[i, WIDTH]
        past = SATURATED - u[i]
        floor = 0.02 if past > 0.0 else max(0.05 * dx, 1e-4)
        gained = abs(work[i, MW_U] * x_u)
        size = max(size, gained / (abs(work[i, MW]) + floor))
        size = max(size, gained * abs(x_t) / MIXED_CHANGE)
        if (past > 0.0) != (past > x_u):  # the slope changed on the way
            size = max(size, nodes[i, OVERFLOW] * abs(past - x_u) / KINK_WATER)
        latent = (work[i, MW] - nodes[i, ADSORBED] * (DRIEST - u[i])) * const[LATENT_FUSION]
        heat = abs(work[i, MH_T] * x_t + work[i, MH_U] * x_u)
        if work[i, MH] < 0.0 and latent > 0.1 * nodes[i, CAPACITY]:  # what freezes bends most
            heat *= 20.0
        size = max(size, heat / (20.0 * nodes[i, CAPACITY] + (1.0 if dx > 0.0 else 1e5)))
        theta = temperature[i] - const[ICE_POINT_K]
        size = max(size, const[FREEZING] * freezing_missed(theta, x_t, latent, dx == 0.0))
        worst = max(worst, size)
    if not math.isfinite(total):
        return math.inf
    return worst


@inner
def coordinate_of_water(curves, m, target):
    """u at which material m holds `target` kg/m3, by bisection of its table."""
    low = 0
    high = SUCTION_NODES - 2
    while high - low > 1:
        k = (low + high) // 2
        if curves[m, k, 0] > target:
            low = k
        else:
            high = k
    a = curves[m, low, 0]
    b = curves[m, high, 0]
    t = (a - target) / (a - b) if a > b else 0.5
    return SATURATED + SUCTION_STEP * (low + min(max(t, 0.0), 1.0))


@inner
def plane_step(work, i, u, step, scale, spring):
    """Step in u of a node that stores nothing: straight in vapour pressure, as its balance is.

    phi changes by phi' step, at most to a tenth; s follows by Kelvin's law, s = -scale ln(phi).
    Near saturation that is straight in suction. A step that would pass saturation stops just
    behind it, where the film takes over. Where phi hardly moves (over ice) Newton's own serves.
    """
    if u > DRIEST:  # no vapour pressure to speak of: storage alone is straight in u
        return max(step, DRIEST - 3.0 - u)
    if u < SATURATED:  # a film: straight in u until it is gone
        over = u + step - SATURATED
        return step if over <= 0.0 else SATURATED - u + min(math.log1p(over), 4.0)
    film = SATURATED - min(max(work[i, MW_U] * step / spring, 1e-6), 0.01)  # that holds it
    wetter = max(step, film - u)
    ratio = max(1.0 + work[i, PHI_U] / work[i, PHI] * step, 0.1)
    if 0.999 < ratio < 1.001:
        return min(wetter, 8.0)
    s = math.exp(u) - SUCTION_OFFSET - scale * math.log(ratio)
    if s <= 0.0:
        return max(wetter, -2.0)
    return math.log(s + SUCTION_OFFSET) - u


@inner
def cell_step(work, i, u, step, curves, m, width, spring, adsorbed):
    """Step in u of a cell that stores water: a long one straight in water content.

    At most 90 % of the way to saturation or to dryness: dp/du vanishes at saturation, so a long
    step in u is wild.
    """
    if abs(step) <= 0.2 or u <= SATURATED:
        return min(max(step, -2.0), 2.0)
    now = (work[i, MW] - adsorbed * (DRIEST - u)) / width
    if step < 0.0 and now > 0.9999 * curves[m, 0, 0]:  # full: over into the film
        film = min(max(work[i, MW_U] * step / spring, 1e-6), 0.01)
        return max(step, SATURATED - film - u)
    target = now + (work[i, MW_U] + adsorbed) / width * step
    target = min(target, now + 0.9 * (curves[m, 0, 0] - now))
    target = max(target, 0.1 * now)
    return min(max(coordinate_of_water(curves, m, target) - u, -4.0), 4.0)


@inner
def within_freezing(theta, x, over):
    """Step in T of a wet node, kept from jumping across its freezing range `over` (K).

    Enthalpy falls steeply just below the ice point and ever less steeply further down. From above
    a step ends inside the range; from below pores come to the ice point by nine tenths of the way
    at a time, and pass it only from so near that the slope is known.
    """
    after = theta + x
    if theta >= 0.0 and after < 0.0:
        return max(x, (-0.25 * over if theta > 1e-3 else -2e-5) - theta)
    if theta < -over and after > -0.75 * over:
        return -0.75 * over - theta
    if -over <= theta < -1e-4 and after > 0.0 and over == PORES_FREEZE_OVER:
        return -0.9 * theta
    if -1e-4 <= theta < 0.0 and after > 1e-9:
        return min(x, 1e-9 - theta)
    return x


@inner
def apply_update(work, temperature, u, chain, tables, const):
    """Take the Newton direction in the coordinate that behaves.

    Temperature moves at most 10 K and does not jump across the freezing range of a wet cell.
    """
    nodes, materials, curves = chain.nodes, chain.materials, tables.curves
    zero = const[ICE_POINT_K]
    for i in range(len(u)):
        step = work[i, X_U]
        m = materials[i, OUTER_MATERIAL]
        if nodes[i, WIDTH] * curves[m, 0, 0] > 1e-4:
            taken = cell_step(
                work, i, u[i], step, curves, m,
                nodes[i, WIDTH], nodes[i, OVERFLOW], nodes[i, ADSORBED],
            )  # fmt: skip
        else:
            taken = plane_step(
                work, i, u[i], step, const[VAPOUR_GAS] * temperature[i], nodes[i, OVERFLOW]
            )
        x = work[i, X_T]
        if abs(step) > 2.0:  # heat that a step not taken would have brought is not taken either
            x *= min(abs(taken / step), 1.0)
        x = min(max(x, -10.0), 10.0)
        theta = temperature[i] - zero
        if nodes[i, WIDTH] > 0.0:
            frost = work[i, MW] * const[LATENT_FUSION] * const[FREEZING]
            if frost > 0.5 * nodes[i, CAPACITY] + 100.0:
                x = within_freezing(theta, x, PORES_FREEZE_OVER)
        elif u[i] < SATURATED:
            x = within_freezing(theta, x, FILM_FREEZES_OVER)
        elif u[i] < WET_PORES and work[i, OUTER_SIDE + 2] + work[i, INNER_SIDE + 2] < 0.0:
            x = within_freezing(theta, x, PORES_FREEZE_OVER)
        temperature[i] += x
        u[i] = min(u[i] + taken, DRYER_THAN_DRY)


@inner
def temperature_of_heat(i, target, temperature, u, nodes, m, tables, const):
    """Temperature at which node i, of water known by u, holds the enthalpy `target` (J/m2)."""
    dx, capacity = nodes[i, WIDTH], nodes[i, CAPACITY]
    w, _, _, _, _, _, s, _ = material_state(tables.curves, m, u)
    film = nodes[i, ADSORBED] * (DRIEST - u)
    if u < SATURATED:
        film += nodes[i, OVERFLOW] * (SATURATED - u)
    most = 0.05 if dx > 0.0 else FILM_FREEZES_OVER
    for _ in range(8):
        theta = temperature - const[ICE_POINT_K]
        liquid, liquid_T = unfrozen(
            m, w, s, temperature, theta, tables.curves, tables.state, const[FREEZING]
        )
        heat, heat_t = pore_enthalpy(dx, capacity, theta, liquid, liquid_T, w - liquid, const)
        enthalpy, enthalpy_t = film_enthalpy(theta, const)
        left = target - heat - film * enthalpy
        x = left / max(heat_t + film * enthalpy_t, 1.0)
        temperature += max(min(x, most), -most)
        if abs(left) < 0.05 or (dx > 0.0 and abs(x) < 1e-4):
            break
    return temperature


@inner
def accept_update(work, temperature, u, chain, tables, const):
    """Take a converged Newton update so that T and u hold what is carried.

    Where storage is straight in u, past saturation and on faces that hold adsorbed water alone,
    u follows from the linearised water; in a cell it is corrected on the cell's own curve.
    T follows from the linearised enthalpy above the ice point, and of frost on a face.
    """
    nodes, materials, curves = chain.nodes, chain.materials, tables.curves
    zero = const[ICE_POINT_K]
    for i in range(len(u)):
        m = materials[i, OUTER_MATERIAL]
        dx, adsorbed = nodes[i, WIDTH], nodes[i, ADSORBED]
        new = work[i, NEW_W]
        temperature[i] += work[i, X_T]
        past = new - dx * curves[m, 0, 0] - adsorbed * (DRIEST - SATURATED)
        if past >= 0.0:
            u[i] = SATURATED - past / (nodes[i, OVERFLOW] + adsorbed)
        elif dx * curves[m, 0, 0] == 0.0:
            u[i] = min(DRIEST - new / adsorbed, DRYER_THAN_DRY)
        else:
            moved = max(u[i] + work[i, X_U], SATURATED)
            for turn in range(8):
                w, w_u, _, _, _, _, _, _ = material_state(curves, m, moved)
                short = new - dx * w - adsorbed * (DRIEST - moved)
                step = short / (dx * w_u - adsorbed)
                if turn == 0 and abs(step) > SUCTION_STEP:
                    moved = coordinate_of_water(curves, m, w + short / dx)
                    continue
                moved = max(moved + max(min(step, SUCTION_STEP), -SUCTION_STEP), SATURATED)
                if abs(short) < 1e-9 or abs(step) < 1e-4:
                    break
            u[i] = moved
        theta = temperature[i] - zero
        freezable = (new - adsorbed * (DRIEST - u[i])) * const[LATENT_FUSION]
        wet = freezable > 0.1 * nodes[i, CAPACITY] + 1.0 and theta < 0.5
        if wet or (dx > 0.0 and abs(theta) < FILM_FREEZES_OVER):
            temperature[i] = temperature_of_heat(
                i, work[i, NEW_H], temperature[i], u[i], nodes, m, tables, const
            )
            work[i, X_T] = temperature[i] - work[i, ROW_T]
            work[i, X_U] = u[i] - work[i, ROW_U]
        elif work[i, NEW_H] > 0.0 and (dx > 0.0 or past >= 0.0):
            held = work[i, NEW_H] / (nodes[i, CAPACITY] + new * const[WATER_HEAT])
            if abs(held - theta) < 0.05:
                temperature[i] = zero + held


@inner
def damp_planes(work, nodes):
    """Lend every plane some storage, so that a film does not come and go with each iteration.

    What is lent is multiplied by an update that goes to nothing; the rows are looked up again.
    """
    for i in range(len(nodes)):
        if nodes[i, WIDTH] == 0.0:
            work[i, MW_U] -= LENT
            work[i, AT_T] = 0.0


@inner
def stage(work, flows, temperature, u, row, gh, chain, tables, const, stats):
    """Solve M(T, u) = base + gh F(T, u); True when it converged.

    Leaves the linearised M in NEW_W, NEW_H and the flows linearised at the last iterate.
    """
    for iteration in range(MOST_ITERATIONS):
        if not assemble(work, flows, temperature, u, row, gh, chain, tables, const):
            return False
        if iteration >= HALVED_ITERATIONS:
            damp_planes(work, chain.nodes)
        solve(work, flows, temperature, gh, chain, chain.border, tables, row, const)
        stats[ITERATIONS] += 1
        size = update_size(work, temperature, u, chain.nodes, const)
        if not math.isfinite(size):
            return False
        if size < const[NEWTON]:
            for i in range(len(u)):
                x_t = work[i, X_T]
                x_u = work[i, X_U]
                work[i, NEW_W] = work[i, MW] + work[i, MW_U] * x_u
                work[i, NEW_H] = work[i, MH] + work[i, MH_T] * x_t + work[i, MH_U] * x_u
            for k in range(len(flows)):
                i = chain.flow_node[k]
                x_t = work[i, X_T]
                x_u = work[i, X_U]
                flows[k, G] += flows[k, G_T] * x_t + flows[k, G_U] * x_u
                flows[k, E] += flows[k, E_T] * x_t + flows[k, E_U] * x_u
                flows[k, Q] += flows[k, Q_T] * x_t
            accept_update(work, temperature, u, chain, tables, const)
            return True
        if PLAIN_ITERATIONS <= iteration < HALVED_ITERATIONS:
            for i in range(len(u)):
                work[i, X_T] *= 0.5
                work[i, X_U] *= 0.5
        apply_update(work, temperature, u, chain, tables, const)
    return False


@inner
def weather(rows, j, t, row):
    """Row of boundary values t seconds into interval j: linear, rain constant."""
    part = t / INTERVAL
    for c in range(RAIN_ON_SURFACE):
        row[c] = rows[j, c] + (rows[j + 1, c] - rows[j, c]) * part
    for c in range(RAIN_ON_SURFACE, COLUMNS):
        row[c] = rows[j, c]


@inner
def step_error(work, gh, nodes):
    """Local error estimate g h |F2 - F1| over its limits, in K and in a cell's water.

    Water counts as if there were 5 kg/m3 more, so that a dry batt does not rule the step, and
    10 g/m2 at least: rain fills a cell of some micrometres within a second.
    """
    worst = 0.0
    for i in range(work.shape[0]):
        dx = nodes[i, WIDTH]
        if nodes[i, CAPACITY] > 0.0:
            f_h = (work[i, NEW_H] - work[i, BASE_H]) / gh
            worst = max(worst, gh * abs(f_h - work[i, F_H]) / nodes[i, CAPACITY] / STEP_ERROR_T)
        if dx > 0.0 and nodes[i, CAPACITY] > 0.0:
            f_w = (work[i, NEW_W] - work[i, BASE_W]) / gh
            water = abs(work[i, MW]) + max(5.0 * dx, LEAST_WATER)
            worst = max(worst, gh * abs(f_w - work[i, F_W]) / water / STEP_ERROR_W)
    return worst


@inner
def two_stages(work, first, flows, early, temperature, u, water, heat, rows, j, t, h, row, *rest):
    """One SDIRK2 step; its error over the limit, or infinity where a stage did not converge.

    The second stage starts from M + (1 - g) h F1, which is M - 2.41 (M - M1): where a film dries
    out in the first stage that is less than nothing, and no state answers to it. EMPTIED then.
    """
    chain, tables, const, stats = rest
    gh = GAMMA * h
    for i in range(len(u)):
        work[i, BASE_W] = water[i]
        work[i, BASE_H] = heat[i]
    weather(rows, j, t + gh, row)
    predict(work, temperature, u, gh)
    if not stage(work, first, temperature, u, row, gh, chain, tables, const, stats):
        return math.inf
    plane_states(early, temperature, u, chain.plane_node, tables, const)
    for i in range(len(u)):
        work[i, F_W] = (work[i, NEW_W] - water[i]) / gh
        work[i, F_H] = (work[i, NEW_H] - heat[i]) / gh
        work[i, BASE_W] = water[i] + (1.0 - GAMMA) * h * work[i, F_W]
        work[i, BASE_H] = heat[i] + (1.0 - GAMMA) * h * work[i, F_H]
        work[i, STEP_T] = (temperature[i] - work[i, OLD_T]) / gh
        work[i, STEP_U] = (u[i] - work[i, OLD_U]) / gh
        if work[i, BASE_W] < -1e-4:
            return EMPTIED
    predict(work, temperature, u, (1.0 - GAMMA) * h)
    weather(rows, j, t + h, row)
    if not stage(work, flows, temperature, u, row, gh, chain, tables, const, stats):
        return math.inf
    return step_error(work, gh, chain.nodes)


@inner
def one_stage(work, flows, temperature, u, water, heat, rows, j, t, h, row, *rest):
    """One implicit Euler step, for where two stages were cut three times."""
    chain, tables, const, stats = rest
    for i in range(len(u)):
        work[i, BASE_W] = water[i]
        work[i, BASE_H] = heat[i]
    weather(rows, j, t + h, row)
    return stage(work, flows, temperature, u, row, h, chain, tables, const, stats)


@inner
def refresh(work, i, temperature, u, chain, tables, const):
    """`node_state` once more, compiled once for all that call it outside `assemble`."""
    node_state(
        work, i, temperature, u, chain.nodes, chain.materials, tables.curves,
        tables.thermal, tables.wet, tables.state, const,
    )  # fmt: skip


@inner
def state_defect(work, temperature, u, water, heat, chain, tables, const):
    """Carried state against the state recomputed from (T, u), the worse of water and heat.

    A face without a film has no heat of its own that T would have to answer for: the few
    nanometres on it hold some 10 J/m2, and are left out.
    """
    lost_w = 0.0
    lost_h = 0.0
    all_w = LITTLE_WATER
    all_h = LITTLE_WATER * const[LATENT_EVAPORATION] + 1e-9
    for i in range(len(u)):
        refresh(work, i, temperature[i], u[i], chain, tables, const)
        lost_w += abs(work[i, MW] - water[i])
        if chain.nodes[i, CAPACITY] > 0.0 or u[i] < SATURATED:
            lost_h += abs(work[i, MH] - heat[i])
        all_w += abs(water[i])
        all_h += 20.0 * chain.nodes[i, CAPACITY] + abs(heat[i])
    return max(lost_w / all_w, lost_h / all_h)


@inner
def worst_node(work):
    """The node whose last Newton update was largest, or not finite."""
    worst = 0
    size = -1.0
    for i in range(work.shape[0]):
        s = abs(work[i, X_T]) / 20.0 + abs(work[i, X_U])
        if not math.isfinite(s):
            return i
        if s > size:
            size = s
            worst = i
    return worst


@inner
def node_at_table_end(temperature):
    """A node within 1 K of where the tables of temperature end, or -1."""
    for i in range(len(temperature)):
        if not (COLDEST + 1.0 < temperature[i] < WARMEST - 1.0):
            return i
    return -1


@inner
def predict(work, temperature, u, factor):
    """Start Newton where the last step (or stage) points, `factor` times its change further on.

    Left out: long moves, films, and temperatures that would cross the ice point.
    """
    for i in range(len(u)):
        x = factor * work[i, STEP_T]
        now = temperature[i] - ICE_POINT
        if abs(x) < 3.0 and now * (now + x) > 0.0:
            temperature[i] += x
        x = factor * work[i, STEP_U]
        if abs(x) < 0.5 and u[i] > SATURATED and u[i] + x > SATURATED:
            u[i] += x


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
def accept_step(
    work, first, flows, sums, means, early, late, temperature, u, water, heat, h, euler,
):  # fmt: skip
    """Take a step: carried state, boundary sums (kg, J) and means of the reported planes.

    Sums and means are weighted as the scheme weighs its stages: (1 - g) of `early` states, g of
    `late` ones, so what begins at once, as rain does, counts from its beginning.
    """
    before = 0.0 if euler else (1.0 - GAMMA) * h
    for field in range(means.shape[0]):
        for k in range(means.shape[1]):
            mean = (h - before) * late[field, k]
            if not euler:
                mean += before * early[field, k]
            means[field, k] += mean / (2.0 * INTERVAL)
    for i in range(len(u)):
        water[i] = work[i, NEW_W]
        heat[i] = work[i, NEW_H]
        work[i, STEP_T] = (temperature[i] - work[i, OLD_T]) / h
        work[i, STEP_U] = (u[i] - work[i, OLD_U]) / h
    for k in range(len(flows)):
        sums[k, 0] += (h - before) * flows[k, G]
        sums[k, 1] += (h - before) * flows[k, E]
        sums[k, 2] += (h - before) * flows[k, Q]
        if not euler:
            sums[k, 0] += before * first[k, G]
            sums[k, 1] += before * first[k, E]
            sums[k, 2] += before * first[k, Q]


@inner
def interval(
    work, first, flows, sums, means, early, late, temperature, u, water, heat, rows, j, clock, row,
    chain, tables, const, stats,
):  # fmt: skip
    """March one half hour; outcome code.

    `clock` holds the step to try next and the longest, s, and the limit of a step's error.

    A step is cut where Newton fails (to a quarter) or where the error estimate passes its limit.
    Three cuts, or a film that dries out within the step, call for implicit Euler. So does an error
    that no cut mends, as of a face that rain saturates: its inflow jumps however short the step.
    Only where Newton fails does a march stop.
    Without a limit of the error steps are fixed, at the longest: for tests of order.
    """
    t = 0.0
    cuts = 0
    emptied = False
    while True:
        left = INTERVAL - t
        h = min(clock[0], clock[1], left)
        if h > 0.5 * left and h < left:  # two equal steps rather than one and a crumb
            h = 0.5 * left
        for i in range(len(u)):
            work[i, OLD_T] = temperature[i]
            work[i, OLD_U] = u[i]
        euler = emptied or cuts >= 3
        if euler:
            h = min(h, EULER_STEP * clock[1] / INTERVAL)
            ok = one_stage(
                work, flows, temperature, u, water, heat, rows, j, t, h, row,
                chain, tables, const, stats,
            )  # fmt: skip
            error = 0.5 if ok else math.inf
        else:
            error = two_stages(
                work, first, flows, early, temperature, u, water, heat, rows, j, t, h, row,
                chain, tables, const, stats,
            )  # fmt: skip
            if 0.0 < error < math.inf:
                error /= clock[2]
        if error > 1.0 or error == EMPTIED:
            for i in range(len(u)):
                temperature[i] = work[i, OLD_T]
                u[i] = work[i, OLD_U]
                work[i, STEP_T] = 0.0
                work[i, STEP_U] = 0.0
            if error == EMPTIED:
                emptied = True
                continue
            cuts += 1
            stats[FAILED if error == math.inf else REJECTED] += 1
            if error < math.inf:
                clock[0] = h * max(0.2, 0.9 / math.sqrt(error))
                if clock[0] < SHORTEST_CUT:
                    clock[0] = SHORTEST_CUT
                    cuts = 3
                continue
            clock[0] = 0.25 * h
            if clock[0] < SHORTEST_STEP:
                return NO_STEP
            continue
        stats[STEPS] += 1
        stats[EULER] += 1 if cuts >= 3 else 0
        plane_states(late, temperature, u, chain.plane_node, tables, const)
        accept_step(
            work, first, flows, sums, means, early, late, temperature, u, water, heat, h, euler
        )
        t += h
        if left - h < 1e-6:
            clock[0] = max(clock[0], min(INTERVAL, 4.0 * h))
            return COMPLETED
        clock[0] = h * min(4.0, 0.9 / math.sqrt(max(error, 0.05)))
        emptied = False
        cuts = 0


@jit
def march(
    work, first, flows, sums, means, early, late, temperature, u, water, heat, rows, start, hours,
    clock, row, chain, tables, const, stats, out_planes, out_film, out_layers, out_ice, out_flows,
    out_profile,
):  # fmt: skip
    """March `hours` hours from hour `start`, filling the hourly arrays; (outcome, hour, node)."""
    year = len(rows) - 1
    for hour in range(start, start + hours):
        sums[:] = 0.0
        means[:] = 0.0
        for half in range(2):
            code = interval(
                work, first, flows, sums, means, early, late, temperature, u, water, heat, rows,
                (2 * hour + half) % year, clock, row, chain, tables, const, stats,
            )  # fmt: skip
            if code != COMPLETED:
                at_end = node_at_table_end(temperature)
                if at_end >= 0:
                    return OUT_OF_RANGE, hour, at_end
                return code, hour, worst_node(work)
        total = 0.0
        for i in range(len(u)):
            total += temperature[i] + u[i] + water[i] + heat[i]
        if not math.isfinite(total):
            return NOT_FINITE, hour, worst_node(work)
        for k in range(len(chain.plane_node)):
            for field in range(3):
                out_planes[field, k, hour] = means[field, k]
            i = chain.plane_node[k]
            if u[i] < SATURATED:  # memory that is never written takes no room
                out_film[k, hour] = chain.nodes[i, OVERFLOW] * (SATURATED - u[i])
        for i in range(len(u)):
            layer = chain.materials[i, LAYER]
            if layer >= 0:
                out_layers[layer, hour] += water[i]
                ice = ice_in_cell(work, i, temperature[i], u[i], chain, tables, const)
                if ice > 0.0:
                    out_ice[layer, hour] += ice
        for k in range(len(flows)):
            for field in range(3):
                out_flows[chain.flow_number[k], field, hour] += sums[k, field] / 3600.0
        if len(out_profile) > 0:
            for i in range(len(u)):
                out_profile[hour, 0, i] = temperature[i]
                out_profile[hour, 1, i] = u[i]
                out_profile[hour, 2, i] = water[i]
        if hour % 24 == 23 or hour == start + hours - 1:
            defect = state_defect(work, temperature, u, water, heat, chain, tables, const)
            stats[WORST_DEFECT] = max(stats[WORST_DEFECT], defect)
    return COMPLETED, start + hours, 0


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


@jit
def initial_state(work, temperature, u, water, heat, chain, tables, const):
    """Fill the carried state from the unknowns."""
    for i in range(len(u)):
        refresh(work, i, temperature[i], u[i], chain, tables, const)
        water[i] = work[i, MW]
        heat[i] = work[i, MH]


def keep_nothing():
    """Neither read nor write kept code from now on: for where that fails."""
    from numba.core.caching import NullCache

    for function in globals().values():
        if hasattr(function, "enable_caching"):
            function._cache = NullCache()


numba.config.CACHE_DIR = _FOUND

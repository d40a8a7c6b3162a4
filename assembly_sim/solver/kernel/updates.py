"""A Newton update taken in the coordinate that behaves, and put onto what is carried."""

from __future__ import annotations

import math

from assembly_sim.physics.pore_water import SUCTION_OFFSET
from assembly_sim.solver.kernel.compiled import inner
from assembly_sim.solver.kernel.curves import material_state, unfrozen
from assembly_sim.solver.kernel.grids import DRIEST, SATURATED, SUCTION_NODES, SUCTION_STEP
from assembly_sim.solver.kernel.nodes import FILM_FREEZES_OVER, film_enthalpy, pore_enthalpy
from assembly_sim.solver.kernel.numbers import (
    ADSORBED,
    CAPACITY,
    FREEZING,
    ICE_POINT_K,
    INNER_SIDE,
    LATENT_FUSION,
    MW,
    MW_U,
    NEW_H,
    NEW_W,
    OUTER_MATERIAL,
    OUTER_SIDE,
    OVERFLOW,
    PHI,
    PHI_U,
    ROW_T,
    ROW_U,
    STILL,
    VAPOUR_GAS,
    WATER_HEAT,
    WIDTH,
    X_T,
    X_U,
)

WET_PORES = SATURATED + 5.0  # u below which a face in contact with pores freezes like them
PORES_FREEZE_OVER = 0.02  # K, the steep part of it in a saturated cell
MOST_HALVINGS = 40
HEAT_MET = 1e-3  # J/m2 that may be left over: one more step would bend more than it mends
BARELY_WET = DRIEST - 2.0 * SUCTION_STEP  # u up to which a curve is looked up by its content
DRYER_THAN_DRY = DRIEST + 80.0  # u of a face that owes 0.16 g/m2 after its film went


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
    step in u is wild. At the dry end of the curve no content tells u from another.
    """
    if abs(step) <= 0.2 or u <= SATURATED or max(u, u + step) > BARELY_WET:
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
        if work[i, STILL] > 0.0:
            continue
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
    """Temperature at which node i, of water known by u, holds the enthalpy `target` (J/m2).

    Newton between bounds: enthalpy rises with T, steeply just below the ice point and hardly above
    it, where a step alone would go to and fro across.
    """
    dx, capacity = nodes[i, WIDTH], nodes[i, CAPACITY]
    w, _, _, _, _, _, s, _ = material_state(tables.curves, m, u)
    film = nodes[i, ADSORBED] * (DRIEST - u)
    if u < SATURATED:
        film += nodes[i, OVERFLOW] * (SATURATED - u)
    most = 0.05 if dx > 0.0 else FILM_FREEZES_OVER
    low, high = -math.inf, math.inf
    for _ in range(MOST_HALVINGS):
        theta = temperature - const[ICE_POINT_K]
        liquid, liquid_T = unfrozen(
            m, w, s, temperature, theta, tables.curves, tables.state, const[FREEZING]
        )
        heat, heat_t = pore_enthalpy(dx, capacity, theta, liquid, liquid_T, w - liquid, const)
        enthalpy, enthalpy_t = film_enthalpy(theta, const)
        left = target - heat - film * enthalpy
        if abs(left) < HEAT_MET:
            break
        x = left / max(heat_t + film * enthalpy_t, 1.0)
        if left > 0.0:
            low = temperature
        else:
            high = temperature
        moved = temperature + max(min(x, most), -most)
        across = high - low < math.inf and not low < moved < high
        temperature = 0.5 * (low + high) if across else moved
        if not across and abs(x) < 1e-8:
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
        before = theta - work[i, X_T]
        freezes = min(theta, before) < FILM_FREEZES_OVER and max(theta, before) > -FILM_FREEZES_OVER
        if wet or (dx > 0.0 and freezes):
            temperature[i] = temperature_of_heat(
                i, work[i, NEW_H], temperature[i], u[i], nodes, m, tables, const
            )
            work[i, X_T] = temperature[i] - work[i, ROW_T]
            work[i, X_U] = u[i] - work[i, ROW_U]
        elif work[i, NEW_H] > 0.0 and (dx > 0.0 or past >= 0.0):
            held = work[i, NEW_H] / (nodes[i, CAPACITY] + new * const[WATER_HEAT])
            if abs(held - theta) < 0.05:
                temperature[i] = zero + held

"""One implicit stage by Newton: rows and flows, solve, size of the update, take it or go on."""

from __future__ import annotations

import math

from assembly_sim.solver.kernel.border import report_border
from assembly_sim.solver.kernel.compiled import inlined, inner
from assembly_sim.solver.kernel.elimination import solve
from assembly_sim.solver.kernel.flows import flow
from assembly_sim.solver.kernel.grids import COLDEST, DRIEST, SATURATED, WARMEST
from assembly_sim.solver.kernel.nodes import (
    FILM_FREEZES_OVER,
    clear_of_kinks,
    move_row,
    near_row,
    node_state,
)
from assembly_sim.solver.kernel.numbers import (
    ADSORBED,
    AT_T,
    CAPACITY,
    DRAIN,
    E_T,
    E_U,
    FLOW_FIELDS,
    FREEZING,
    G_T,
    G_U,
    ICE_POINT_K,
    INNER_MATERIAL,
    ITERATIONS,
    LATENT_FUSION,
    MH,
    MH_T,
    MH_U,
    MW,
    MW_U,
    NEW_H,
    NEW_W,
    NEWTON,
    OUTER_MATERIAL,
    OVERFLOW,
    PHI_T,
    PHI_U,
    Q_T,
    STILL,
    WIDTH,
    X_T,
    X_U,
    E,
    G,
    Q,
)
from assembly_sim.solver.kernel.updates import (
    DRYER_THAN_DRY,
    PORES_FREEZE_OVER,
    accept_update,
    apply_update,
)

MIXED_CHANGE = 1e-3  # kg K/m2, water gained times warming: what is bilinear in the enthalpy
KINK_WATER = 5e-5  # kg/m2, scale of film that an update across saturation gets wrong
KINK_HEAT = 50.0  # J/m2, scale of latent heat that an update across the ice point leaves out
FROST_HEAT = 10.0  # J/m2, the same for the smooth freezing of a film
STANDS_STILL = 0.2  # share of a converged update up to which a node's row stays as it is
MOST_ITERATIONS = 70
PLAIN_ITERATIONS = 10  # after these, half steps: an end to going back and forth across a kink
HALVED_ITERATIONS = 25  # after these, planes are damped
LENT, LESS = 1e-3, 0.93  # kg/m2 per unit of u, the damping, and its share at the next iteration


@inner
def assemble(work, flows, temperature, u, row, gh, chain, tables, const, first):
    """Fill the rows of nodes that do not stand, and the flows into them; False outside the tables.

    first: all of them, as at the first turn of a stage.
    """
    n = len(temperature)
    nodes, materials = chain.nodes, chain.materials
    kinds, at, values = chain.flow_kind, chain.flow_node, chain.flow_value
    curves, thermal, wet, state = tables.curves, tables.thermal, tables.wet, tables.state
    for i in range(n):
        if first:
            work[i, STILL] = 0.0
        elif work[i, STILL] > 0.0:
            continue
        if not (COLDEST < temperature[i] < WARMEST):
            return False
        if near_row(work, i, temperature[i], u[i], gh, const[ICE_POINT_K]):
            two_sides = materials[i, OUTER_MATERIAL] != materials[i, INNER_MATERIAL]
            move_row(work, i, temperature[i], u[i], two_sides)
        else:
            node_state(
                work, i, temperature[i], u[i], nodes, materials, curves, thermal, wet, state, const
            )
    for k in range(len(at)):
        i = at[k]
        if work[i, STILL] > 0.0:
            continue
        if kinds[k] == DRAIN and u[i] >= SATURATED:
            for field in range(FLOW_FIELDS):
                flows[k, field] = 0.0
            continue
        s = chain.flow_surface[k]
        f = flow(
            kinds[k], values[k], row[s], chain.surfaces[s],
            work, i, temperature[i], u[i], nodes[i, OVERFLOW], const,
        )  # fmt: skip
        for field in range(FLOW_FIELDS):
            flows[k, field] = f[field]
    return True


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
def zones_of(border):
    """How many floating zones there are, the last nodes."""
    if border is not None:
        return border.columns.shape[1]
    return 0


@inner
def update_size(work, temperature, u, nodes, in_paths, const):
    """Largest scaled Newton update; not finite where any update is not.

    Nodes of small updates stand still, but near kinks and for zones, whose air turns too easily.
    """
    worst = 0.0
    total = 0.0
    for i in range(len(u)):
        x_t = work[i, X_T]
        x_u = work[i, X_U]
        total += x_t + x_u
        size = abs(x_t) / 20.0
        if x_u < 0.0 or u[i] < DRYER_THAN_DRY:  # one that owes all it can gets no drier
            size = max(size, abs(x_u) / 100.0)
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
        small = i < in_paths and size < STANDS_STILL * const[NEWTON]
        clear = clear_of_kinks(work, i, temperature[i], u[i], const[ICE_POINT_K])
        work[i, STILL] = 1.0 if small and clear else 0.0
    if not math.isfinite(total):
        return math.inf
    return worst


@inner
def damp_planes(work, nodes, in_paths, lent):
    """Lend every plane some storage, so that a film does not come and go with each iteration.

    What is lent is multiplied by an update that goes to nothing; the rows are looked up again. A
    face on which the first frost settles holds micrograms: much lent keeps it from moving at all.
    A zone is lent nothing: it holds less than what would be left over of that.
    """
    for i in range(in_paths):
        if nodes[i, WIDTH] == 0.0:
            work[i, MW_U] -= lent
            work[i, AT_T] = 0.0


@inner
def keep_border(work, flows, temperature, at, border, const):
    """What passes to zones, behind the flows; nothing, and not compiled, where there is none."""
    if border is not None:
        report_border(work, flows, temperature, at, border, const)


@inner
def stage(work, flows, temperature, u, row, gh, chain, tables, const, stats):
    """Solve M(T, u) = base + gh F(T, u); True when it converged.

    Leaves the linearised M in NEW_W, NEW_H and the flows linearised at the last iterate.
    """
    in_paths = len(u) - zones_of(chain.border)
    for iteration in range(MOST_ITERATIONS):
        first = iteration == 0 or iteration >= PLAIN_ITERATIONS
        if not assemble(work, flows, temperature, u, row, gh, chain, tables, const, first):
            return False
        if iteration >= HALVED_ITERATIONS:
            damp_planes(work, chain.nodes, in_paths, LENT * LESS ** (iteration - HALVED_ITERATIONS))
        if not solve(work, flows, temperature, gh, chain, chain.border, tables, row, const):
            return False
        stats[ITERATIONS] += 1
        size = update_size(work, temperature, u, chain.nodes, in_paths, const)
        if not math.isfinite(size):
            return False
        if size < const[NEWTON]:
            for i in range(len(u)):
                x_t = work[i, X_T]
                x_u = work[i, X_U]
                work[i, NEW_W] = work[i, MW] + work[i, MW_U] * x_u
                work[i, NEW_H] = work[i, MH] + work[i, MH_T] * x_t + work[i, MH_U] * x_u
            for k in range(len(chain.flow_node)):
                i = chain.flow_node[k]
                x_t = work[i, X_T]
                x_u = work[i, X_U]
                flows[k, G] += flows[k, G_T] * x_t + flows[k, G_U] * x_u
                flows[k, E] += flows[k, E_T] * x_t + flows[k, E_U] * x_u
                flows[k, Q] += flows[k, Q_T] * x_t
            keep_border(work, flows, temperature, len(chain.flow_node), chain.border, const)
            accept_update(work, temperature, u, chain, tables, const)
            return True
        if PLAIN_ITERATIONS <= iteration < HALVED_ITERATIONS:
            for i in range(len(u)):
                work[i, X_T] *= 0.5
                work[i, X_U] *= 0.5
        apply_update(work, temperature, u, chain, tables, const)
    return False

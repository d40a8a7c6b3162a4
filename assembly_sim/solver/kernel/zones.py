"""The rows of floating zones, the paths eliminated, and the way back from them to all nodes."""

from __future__ import annotations

from assembly_sim.solver.kernel.compiled import inner
from assembly_sim.solver.kernel.numbers import (
    AREA,
    BASE_H,
    BASE_W,
    E_T,
    E_U,
    G_T,
    G_U,
    H_IT,
    H_IU,
    H_JT,
    H_JU,
    J_H,
    J_W,
    LINK,
    MH,
    MH_T,
    MH_U,
    MW,
    MW_U,
    NODE,
    PER_E,
    PER_G,
    STATE,
    STREAM,
    TARGET,
    U_TT,
    U_TU,
    U_UT,
    U_UU,
    W_IT,
    W_IU,
    W_JT,
    W_JU,
    X_T,
    X_U,
    Y_T,
    Y_U,
    ZONE,
    E,
    G,
)
from assembly_sim.solver.kernel.streams import gain


@inner
def by_path(dense, columns, row, i, last, h_t, h_u, w_t, w_u, work):
    """Slopes (by g h and area) of zone `row` by node i of a path, which is known by the zones."""
    dense[row, last] += h_t * work[i, X_T] + h_u * work[i, X_U]
    dense[row + 1, last] += w_t * work[i, X_T] + w_u * work[i, X_U]
    for z in range(columns.shape[1]):
        for c in range(2):
            t, u = columns[i, z, c], columns[i, z, 2 + c]
            dense[row, 2 * z + c] += h_t * t + h_u * u
            dense[row + 1, 2 * z + c] += w_t * t + w_u * u


@inner
def zone_rows(work, flows, temperature, k, gh, chain, const):
    """Fill the rows of the zones, the paths eliminated: matrix and, last, right-hand side."""
    border, at = chain.border, chain.flow_node
    known, dense, air = border.known, border.dense, border.air
    zones = known.shape[1]
    n = work.shape[0] - zones
    last = 2 * zones
    for p in range(last):
        for c in range(last + 1):
            dense[p, c] = 0.0
    for z in range(zones):
        h = 2 * z
        w = h + 1
        dense[h, last] = work[n + z, BASE_H] - work[n + z, MH]
        dense[w, last] = work[n + z, BASE_W] - work[n + z, MW]
        dense[h, h] = work[n + z, MH_T]
        dense[h, w] = work[n + z, MH_U]
        dense[w, w] = work[n + z, MW_U]
    for z in range(air.by_temperature.shape[1]):
        heat, water, latent, slope, ducts, ducts_t = gain(air, z, temperature[n + z], const)
        dense[2 * z, last] += gh * (heat + latent + ducts)
        dense[2 * z + 1, last] += gh * water
        dense[2 * z, 2 * z] -= gh * (slope + ducts_t)
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
        flux = border.flux[e]
        h = 2 * border.links[e, ZONE]
        w = h + 1
        share = gh * border.sizes[e, AREA]
        dense[h, last] += share * flux[J_H]
        dense[w, last] += share * flux[J_W]
        dense[h, h] -= share * flux[H_JT]
        dense[h, w] -= share * flux[H_JU]
        dense[w, h] -= share * flux[W_JT]
        dense[w, w] -= share * flux[W_JU]
        by_path(
            dense, known, h, border.links[e, NODE], last,
            share * flux[H_IT], share * flux[H_IU], share * flux[W_IT], share * flux[W_IU], work,
        )  # fmt: skip
    for f in range(len(air.items)):
        h = 2 * (air.items[f, TARGET] - n)
        if h < 0:
            continue
        w = h + 1
        flux, state = air.brought[f], air.items[f, STATE]
        dense[h, last] += gh * flux[E]
        dense[w, last] += gh * flux[G]
        if state >= n:
            s = 2 * (state - n)
            dense[h, s] -= gh * flux[E_T]
            dense[h, s + 1] -= gh * flux[E_U]
            dense[w, s] -= gh * flux[G_T]
            dense[w, s + 1] -= gh * flux[G_U]
        elif state >= 0:
            by_path(
                dense, known, h, state, last,
                gh * flux[E_T], gh * flux[E_U], gh * flux[G_T], gh * flux[G_U], work,
            )  # fmt: skip
        for z in range(air.by_temperature.shape[1]):
            moved = gh * air.by_temperature[air.items[f, STREAM], z]
            dense[h, 2 * z] -= moved * flux[PER_E]
            dense[w, 2 * z] -= moved * flux[PER_G]


@inner
def solve_dense(dense):
    """Solve by Gauss with row pivoting, the answer in the last column."""
    last = dense.shape[0]
    for p in range(last):
        best = p
        for q in range(p + 1, last):
            if abs(dense[q, p]) > abs(dense[best, p]):
                best = q
        if best != p:
            for c in range(p, last + 1):
                dense[p, c], dense[best, c] = dense[best, c], dense[p, c]
        for q in range(p + 1, last):
            factor = dense[q, p] / dense[p, p]
            for c in range(p, last + 1):
                dense[q, c] -= factor * dense[p, c]
    for p in range(last - 1, -1, -1):
        for c in range(p + 1, last):
            dense[p, last] -= dense[p, c] * dense[c, last]
        dense[p, last] /= dense[p, p]


@inner
def solve_zones(work, flows, temperature, k, gh, chain, const):
    """Solve for the zones, then for all nodes with the zones known.

    Flows from the k-th on go into zones. A zone's row is of all its area, a path's of 1 m2.
    """
    columns, known = chain.border.columns, chain.border.known
    dense, touched = chain.border.dense, chain.border.touched
    zones = columns.shape[1]
    n = work.shape[0] - zones
    for i in range(n - 1, -1, -1):
        if touched[i] < 2:
            continue
        ends = chain.nodes[i, LINK] == 0.0
        for z in range(zones):
            for c in range(2):
                t, u = columns[i, z, c], columns[i, z, 2 + c]
                if not ends:
                    t_in, u_in = known[i + 1, z, c], known[i + 1, z, 2 + c]
                    t -= work[i, U_TT] * t_in + work[i, U_TU] * u_in
                    u -= work[i, U_UT] * t_in + work[i, U_UU] * u_in
                known[i, z, c] = t
                known[i, z, 2 + c] = u
    zone_rows(work, flows, temperature, k, gh, chain, const)
    solve_dense(dense)
    for z in range(zones):
        work[n + z, X_T] = dense[2 * z, 2 * zones]
        work[n + z, X_U] = dense[2 * z + 1, 2 * zones]
    x_t, x_u = 0.0, 0.0
    for i in range(n - 1, -1, -1):
        y_t = work[i, Y_T] - work[i, U_TT] * x_t - work[i, U_TU] * x_u
        x_u = work[i, Y_U] - work[i, U_UT] * x_t - work[i, U_UU] * x_u
        x_t = y_t
        if touched[i] > 0:
            for z in range(zones):
                t, u = work[n + z, X_T], work[n + z, X_U]
                x_t -= columns[i, z, 0] * t + columns[i, z, 1] * u
                x_u -= columns[i, z, 2] * t + columns[i, z, 3] * u
        work[i, X_T] = x_t
        work[i, X_U] = x_u

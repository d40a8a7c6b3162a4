"""Floating zones that border the matrix: their links to paths, their columns, their rows."""

from __future__ import annotations

from assembly_sim.solver.kernel.compiled import inner
from assembly_sim.solver.kernel.links import sheet_link
from assembly_sim.solver.kernel.numbers import (
    AREA,
    BASE_H,
    BASE_W,
    CONDUCTANCE,
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
    LINK_FIELDS,
    MH,
    MH_T,
    MH_U,
    MW,
    MW_U,
    NODE,
    SHEET,
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
    ZONE,
    E,
    G,
)


@inner
def border_links(work, temperature, border, sheets, const):
    """Fluxes and slopes of the links from paths to zones; the zones' columns made empty.

    No air passes them.
    """
    columns = border.columns
    for i in range(columns.shape[0]):
        for z in range(columns.shape[1]):
            for c in range(4):
                columns[i, z, c] = 0.0
    first = len(temperature) - columns.shape[1]
    for e in range(len(border.links)):
        i = border.links[e, NODE]
        j = first + border.links[e, ZONE]
        found = sheet_link(
            work, i, j, border.sizes[e, CONDUCTANCE], sheets, border.links[e, SHEET],
            temperature[i], temperature[j], 0.0, 0.0, const,
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

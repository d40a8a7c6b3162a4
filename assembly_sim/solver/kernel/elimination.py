"""The 2 x 2 block tridiagonal matrix, eliminated while it is being assembled."""

from __future__ import annotations

from assembly_sim.solver.kernel.border import border_columns, border_terms, into_row
from assembly_sim.solver.kernel.compiled import inlined, inner
from assembly_sim.solver.kernel.links import air_inwards, link
from assembly_sim.solver.kernel.numbers import (
    BASE_H,
    BASE_W,
    E_T,
    E_U,
    G_T,
    G_U,
    LINK,
    LINK_FIELDS,
    LINK_KEPT,
    MH,
    MH_T,
    MH_U,
    MW,
    MW_U,
    STILL,
    U_TT,
    U_TU,
    U_UT,
    U_UU,
    X_T,
    X_U,
    Y_T,
    Y_U,
    E,
    G,
)
from assembly_sim.solver.kernel.zones import solve_zones


@inlined
def keep_link(work, i, kept):
    """Keep the flux and slopes of the link inwards of node i."""
    for field in range(LINK_FIELDS):
        work[i, LINK_KEPT + field] = kept[field]


@inlined
def kept_link(work, i):
    """The link inwards of node i as it was, between two nodes that stand still."""
    k = LINK_KEPT
    return (
        work[i, k], work[i, k + 1], work[i, k + 2], work[i, k + 3], work[i, k + 4],
        work[i, k + 5], work[i, k + 6], work[i, k + 7], work[i, k + 8], work[i, k + 9],
    )  # fmt: skip


@inner
def solve(work, flows, temperature, gh, chain, border, tables, row, const):
    """Eliminate M - base - gh F = 0 from outside towards the room; x in columns X_T, X_U.

    Block row i reads A x(i-1) + D x(i) + C x(i+1) = -R. Forward: D and R are complete once the
    flows into node i and link i are known, so D^-1 C and D^-1 (-R) are kept and carried into
    row i + 1. Flows are in the order of their nodes. A node without a link inwards ends its path
    and the next begins another. Floating zones border the matrix: where border is None, numba
    leaves out, and does not compile, what only they need. False where their air has no balance.
    """
    n = len(temperature)
    if border is not None:
        n -= border.columns.shape[1]
    at = chain.flow_node
    k = 0
    nodes, materials, sheets = chain.nodes, chain.materials, tables.sheets
    air, ratio = air_inwards(0, materials, chain.surfaces, row, const)
    e, f = 0, 0
    if border is not None and not border_terms(work, temperature, border, sheets, const):
        return False
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
        if border is not None and border.touched[i] > 0:
            more_w, more_h, more_a, more_b, more_c, more_d, e, f = into_row(border, i, gh, e, f)
            r_w += more_w
            r_h += more_h
            a += more_a
            b += more_b
            c += more_c
            d += more_d
        if nodes[i, LINK] == 0.0:  # the end of a path
            r = 1.0 / (a * d - b * c)
            work[i, Y_T] = -r * (d * r_h - b * r_w)
            work[i, Y_U] = -r * (a * r_w - c * r_h)
            for column in (U_TT, U_TU, U_UT, U_UU):
                work[i, column] = 0.0
            if border is not None and border.touched[i] > 0:
                border_columns(border, i, gh, r, a, b, c, d, 0.0, 0.0, 0.0, 0.0)
            r_w, r_h, a, b, c, d = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
            if i + 1 < n:
                air, ratio = air_inwards(i + 1, materials, chain.surfaces, row, const)
            continue
        if work[i, STILL] == 0.0 or work[i + 1, STILL] == 0.0:
            kept = link(work, i, temperature, nodes, materials, sheets, air, ratio, const)
            keep_link(work, i, kept)
        else:
            kept = kept_link(work, i)
        j_w, j_h, w_it, w_iu, w_jt, w_ju, h_it, h_iu, h_jt, h_ju = kept
        r_w += gh * j_w
        r_h += gh * j_h
        a += gh * h_it
        b += gh * h_iu
        c += gh * w_it
        d += gh * w_iu
        r = 1.0 / (a * d - b * c)
        y_t = -r * (d * r_h - b * r_w)
        y_u = -r * (a * r_w - c * r_h)
        if border is not None and border.touched[i] > 0:
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
        solve_zones(work, flows, temperature, k, gh, chain, const)
    return True

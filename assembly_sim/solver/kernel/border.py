"""What passes between paths and the floating zones that border the matrix.

A zone is a node for its air and, where its faces radiate at each other, a second one for the
temperature at which they do: each face exchanges E sigma (T^4 - T_r^4) with it, and that node,
which stores next to nothing, spreads the sum over all. Film coefficients depend on which way heat
flows, blended over half a kelvin so that there is no kink.
"""

from __future__ import annotations

import math

from assembly_sim.solver.kernel.air import balance_air
from assembly_sim.solver.kernel.compiled import inner
from assembly_sim.solver.kernel.links import sheet_link
from assembly_sim.solver.kernel.numbers import (
    BORDER_FIELDS,
    E_T,
    E_U,
    FILM,
    FROM_FACE,
    G_T,
    G_U,
    H_IT,
    H_IU,
    H_JT,
    H_JU,
    J_H,
    J_Q,
    J_W,
    KIND,
    LINK_FIELDS,
    NODE,
    PER_E,
    PER_G,
    PER_Q,
    Q_IT,
    Q_JT,
    Q_T,
    RADIATION,
    SHEET,
    STATE,
    STREAM,
    TARGET,
    TO_FACE,
    W_IT,
    W_IU,
    W_JT,
    W_JU,
    X_T,
    X_U,
    ZONE,
    E,
    G,
    Q,
)
from assembly_sim.solver.kernel.streams import bring, gain

BLEND = 0.5  # K over which a film's coefficient turns with the flow of heat


@inner
def film_link(work, i, j, e, border, sheets, t_i, t_j, const):
    """Heat and vapour from a face to a zone's air through its film, with all slopes."""
    away, back = border.sizes[e, FROM_FACE], border.sizes[e, TO_FACE]
    turned = math.tanh((t_i - t_j) / BLEND)
    h = 0.5 * (away + back) + 0.5 * (away - back) * turned
    bend = 0.5 * (away - back) * (1.0 - turned * turned) / BLEND * (t_i - t_j)
    found = sheet_link(
        work, i, j, h, sheets, border.links[e, SHEET], t_i, t_j, 0.0, 0.0, const
    )  # fmt: skip
    for field in range(LINK_FIELDS):
        border.flux[e, field] = found[field]
    border.flux[e, H_IT] += bend
    border.flux[e, H_JT] -= bend
    border.flux[e, J_Q] = h * (t_i - t_j)
    border.flux[e, Q_IT] = h + bend
    border.flux[e, Q_JT] = -h - bend


@inner
def border_terms(work, temperature, border, sheets, const):
    """All that passes the border at this iterate; the zones' columns made empty.

    False where the air found no balance.
    """
    columns = border.columns
    for i in range(len(border.touched)):
        if border.touched[i] > 0:
            for z in range(columns.shape[1]):
                for c in range(4):
                    columns[i, z, c] = 0.0
    first = len(temperature) - columns.shape[1]
    for e in range(len(border.links)):
        i, j = border.links[e, NODE], first + border.links[e, ZONE]
        t_i, t_j = temperature[i], temperature[j]
        if border.links[e, KIND] == FILM:
            film_link(work, i, j, e, border, sheets, t_i, t_j, const)
            continue
        for field in range(BORDER_FIELDS):
            border.flux[e, field] = 0.0
        sigma = const[RADIATION] * border.sizes[e, FROM_FACE]
        border.flux[e, J_H] = border.flux[e, J_Q] = sigma * (t_i**4 - t_j**4)
        border.flux[e, H_IT] = border.flux[e, Q_IT] = 4.0 * sigma * t_i**3
        border.flux[e, H_JT] = border.flux[e, Q_JT] = -4.0 * sigma * t_j**3
    if not balance_air(border.air, temperature, first):
        return False
    bring(border.air, work, temperature, const)
    return True


@inner
def into_row(border, i, gh, e, f):
    """What links from the e-th and streams from the f-th on add to row i, and to its columns.

    (residual of water and of heat, the four slopes of the row by its own unknowns, next e and f)
    """
    r_w, r_h, a, b, c, d = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    columns, air = border.columns, border.air
    while e < len(border.links) and border.links[e, NODE] == i:
        flux, z = border.flux[e], border.links[e, ZONE]
        r_w += gh * flux[J_W]
        r_h += gh * flux[J_H]
        a += gh * flux[H_IT]
        b += gh * flux[H_IU]
        c += gh * flux[W_IT]
        d += gh * flux[W_IU]
        columns[i, z, 0] += gh * flux[H_JT]
        columns[i, z, 1] += gh * flux[H_JU]
        columns[i, z, 2] += gh * flux[W_JT]
        columns[i, z, 3] += gh * flux[W_JU]
        e += 1
    first = columns.shape[0] - columns.shape[1]
    while f < len(air.items) and air.items[f, TARGET] == i:
        flux, state = air.brought[f], air.items[f, STATE]
        r_w -= gh * flux[G]
        r_h -= gh * flux[E]
        if state == i:
            a -= gh * flux[E_T]
            b -= gh * flux[E_U]
            c -= gh * flux[G_T]
            d -= gh * flux[G_U]
        elif state >= first:
            z = state - first
            columns[i, z, 0] -= gh * flux[E_T]
            columns[i, z, 1] -= gh * flux[E_U]
            columns[i, z, 2] -= gh * flux[G_T]
            columns[i, z, 3] -= gh * flux[G_U]
        if flux[PER_E] != 0.0:
            k = air.items[f, STREAM]
            for z in range(air.by_temperature.shape[1]):
                columns[i, z, 0] -= gh * flux[PER_E] * air.by_temperature[k, z]
                columns[i, z, 2] -= gh * flux[PER_G] * air.by_temperature[k, z]
        f += 1
    return r_w, r_h, a, b, c, d, e, f


@inner
def border_columns(border, i, gh, r, a, b, c, d, h_it, h_iu, w_it, w_iu):
    """Eliminate row i's columns of the zones and carry them into row i + 1.

    x(i) = y - U x(i+1) - V x(zone) with V = D^-1 B, and -A V goes into the next row's B.
    """
    columns = border.columns
    more = h_it != 0.0 or w_iu != 0.0
    for z in range(columns.shape[1]):
        for k in range(2):
            h = columns[i, z, k]
            w = columns[i, z, 2 + k]
            v_t = r * (d * h - b * w)
            v_u = r * (a * w - c * h)
            columns[i, z, k] = v_t
            columns[i, z, 2 + k] = v_u
            if more:
                columns[i + 1, z, k] += gh * (h_it * v_t + h_iu * v_u)
                columns[i + 1, z, 2 + k] += gh * (w_it * v_t + w_iu * v_u)


@inner
def report_border(work, flows, temperature, at, border, const):
    """Put what passes the border, linearised at the last iterate, behind the flows from outside.

    Links (from the face, per m2), what streams bring (into its target), streams (kg/s), gains of
    the zones and heat of ducts.
    """
    air = border.air
    n = len(temperature) - border.columns.shape[1]
    for e in range(len(border.links)):
        i, j = border.links[e, NODE], n + border.links[e, ZONE]
        flux = border.flux[e]
        i_t, i_u, j_t, j_u = work[i, X_T], work[i, X_U], work[j, X_T], work[j, X_U]
        flows[at, G] = flux[J_W] + flux[W_IT] * i_t + flux[W_IU] * i_u
        flows[at, G] += flux[W_JT] * j_t + flux[W_JU] * j_u
        flows[at, E] = flux[J_H] + flux[H_IT] * i_t + flux[H_IU] * i_u
        flows[at, E] += flux[H_JT] * j_t + flux[H_JU] * j_u
        flows[at, Q] = flux[J_Q] + flux[Q_IT] * i_t + flux[Q_JT] * j_t
        at += 1
    zones = air.by_temperature.shape[1]
    for k in range(len(air.ends)):
        moved = 0.0
        for z in range(zones):
            moved += air.by_temperature[k, z] * work[n + z, X_T]
        air.moved[k] = moved
    for f in range(len(air.items)):
        flux, state, moved = air.brought[f], air.items[f, STATE], air.moved[air.items[f, STREAM]]
        x_t, x_u = 0.0, 0.0
        if state >= 0:
            x_t, x_u = work[state, X_T], work[state, X_U]
        flows[at, G] = flux[G] + flux[G_T] * x_t + flux[G_U] * x_u + flux[PER_G] * moved
        flows[at, E] = flux[E] + flux[E_T] * x_t + flux[E_U] * x_u + flux[PER_E] * moved
        flows[at, Q] = flux[Q] + flux[Q_T] * x_t + flux[PER_Q] * moved
        at += 1
    for k in range(len(air.ends)):
        flows[at, G] = air.flow[k] + air.moved[k]
        at += 1
    for z in range(zones):
        heat, water, latent, slope, ducts, ducts_t = gain(air, z, temperature[n + z], const)
        x_t = work[n + z, X_T]
        flows[at, G] = water
        flows[at, E] = heat + latent + slope * x_t
        flows[at, Q] = heat
        flows[at + 1, E] = flows[at + 1, Q] = ducts + ducts_t * x_t
        at += 2

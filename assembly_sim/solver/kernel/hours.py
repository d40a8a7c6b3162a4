"""The march hour by hour: what Python calls, and what it is given back."""

from __future__ import annotations

import math

from assembly_sim.solver.kernel.compiled import FOUND, inner, jit, settings
from assembly_sim.solver.kernel.grids import COLDEST, SATURATED, WARMEST
from assembly_sim.solver.kernel.growth import grow  # noqa: F401, kept with the march
from assembly_sim.solver.kernel.nodes import ice_in_cell, refresh
from assembly_sim.solver.kernel.numbers import (
    CAPACITY,
    COMPLETED,
    LATENT_EVAPORATION,
    LAYER,
    LINK,
    MH,
    MW,
    NOT_FINITE,
    OUT_OF_RANGE,
    OVERFLOW,
    WORST_DEFECT,
    X_T,
    X_U,
)
from assembly_sim.solver.kernel.steps import interval
from assembly_sim.solver.kernel.weather import INTERVAL, span

LITTLE_WATER = 0.1  # kg/m2: the defect of an almost waterless wall is held against this


@inner
def state_defect(work, temperature, u, water, heat, chain, tables, const):
    """Carried state against the state recomputed from (T, u): the worst path, of water and heat.

    Each path, and each zone, is held against its own inventory: a zone's is that of a whole attic.
    A face without a film has no heat of its own that T would have to answer for: the few
    nanometres on it hold some 10 J/m2, and are left out.
    """
    worst = 0.0
    least_h = LITTLE_WATER * const[LATENT_EVAPORATION] + 1e-9
    lost_w, lost_h, all_w, all_h = 0.0, 0.0, LITTLE_WATER, least_h
    for i in range(len(u)):
        refresh(work, i, temperature[i], u[i], chain, tables, const)
        lost_w += abs(work[i, MW] - water[i])
        if chain.nodes[i, CAPACITY] > 0.0 or u[i] < SATURATED:
            lost_h += abs(work[i, MH] - heat[i])
        all_w += abs(water[i])
        all_h += 20.0 * chain.nodes[i, CAPACITY] + abs(heat[i])
        if chain.nodes[i, LINK] == 0.0:  # the end of a path
            worst = max(worst, lost_w / all_w, lost_h / all_h)
            lost_w, lost_h, all_w, all_h = 0.0, 0.0, LITTLE_WATER, least_h
    return worst


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


@jit
def march(
    work, first, flows, sums, means, early, late, temperature, u, water, heat, rows, start, hours,
    clock, row, chain, tables, const, stats, out_planes, out_humidity, out_film, out_layers,
    out_ice, out_flows, out_profile,
):  # fmt: skip
    """March `hours` hours from hour `start`, filling the hourly arrays; (outcome, hour, node)."""
    year = len(rows) - 1
    for hour in range(start, start + hours):
        sums[:] = 0.0
        means[:] = 0.0
        half = 0
        while half < 2:
            j = (2 * hour + half) % year
            length = span(rows, j, clock, chain.border) if half == 0 else INTERVAL
            code = interval(
                work, first, flows, sums, means, early, late, temperature, u, water, heat, rows,
                j, length, clock, row, chain, tables, const, stats,
            )  # fmt: skip
            half += 2 if length > INTERVAL else 1
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
            out_planes[0, k, hour] = means[0, k]
            out_planes[1, k, hour] = means[1, k]
            out_humidity[k, hour] = means[2, k]
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


@jit
def initial_state(work, temperature, u, water, heat, chain, tables, const):
    """Fill the carried state from the unknowns."""
    for i in range(len(u)):
        refresh(work, i, temperature[i], u[i], chain, tables, const)
        water[i] = work[i, MW]
        heat[i] = work[i, MH]


settings.CACHE_DIR = FOUND

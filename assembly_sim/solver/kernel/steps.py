"""Steps in time through one half hour of weather: SDIRK2, implicit Euler where that fails."""

from __future__ import annotations

import math

from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.solver.kernel.compiled import inner
from assembly_sim.solver.kernel.grids import SATURATED
from assembly_sim.solver.kernel.newton import stage
from assembly_sim.solver.kernel.nodes import plane_states
from assembly_sim.solver.kernel.numbers import (
    BASE_H,
    BASE_W,
    CAPACITY,
    COMPLETED,
    EULER,
    F_H,
    F_W,
    FAILED,
    MW,
    NEW_H,
    NEW_W,
    NO_STEP,
    OLD_T,
    OLD_U,
    P_T,
    P_U,
    REJECTED,
    STEP_T,
    STEP_U,
    STEPS,
    WIDTH,
    X_T,
    X_U,
    E,
    G,
    P,
    Q,
)
from assembly_sim.solver.kernel.weather import HOUR, INTERVAL, weather

GAMMA = 1.0 - 1.0 / math.sqrt(2.0)
CALM = 0.3  # share of the limit of error that a step of an hour may take
BEND_T, BEND_P = 0.3, 0.01  # K, and share of the vapour pressure, that a plane may bend in it
SHORTEST_STEP = 0.1  # s
SHORTEST_CUT = 1.0  # s, as far as an error estimate cuts: a hard rain brings 1 g/m2 in it
STEP_ERROR_T, STEP_ERROR_W = 1.5, 0.04  # K and share of a cell's water and 5 kg/m3
LEAST_WATER = 1e-2  # kg/m2 in place of those 5 kg/m3 in a thin cell: 0.4 g/m2 decide nothing
OWED = 1e-5  # kg/m2 less than nothing from which a second stage is not begun
EMPTIED = -1.0  # two stages are no use: a film dries out within the step
EULER_STEP = 150.0  # s, the longest step of implicit Euler


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
def step_error(work, gh, nodes):
    """Local error estimate g h |F2 - F1| over its limits, in K and in a cell's water.

    Water counts as if there were 5 kg/m3 more, so that a dry batt does not rule the step, and
    10 g/m2 at least: rain fills a cell of some micrometres within a second.
    """
    worst = 0.0
    for i in range(work.shape[0]):
        dx = nodes[i, WIDTH]
        if nodes[i, CAPACITY] > 0.0 and dx > 0.0:
            f_h = (work[i, NEW_H] - work[i, BASE_H]) / gh
            worst = max(worst, gh * abs(f_h - work[i, F_H]) / nodes[i, CAPACITY] / STEP_ERROR_T)
        if dx > 0.0 and nodes[i, CAPACITY] > 0.0:
            f_w = (work[i, NEW_W] - work[i, BASE_W]) / gh
            water = abs(work[i, MW]) + max(5.0 * dx, LEAST_WATER)
            worst = max(worst, gh * abs(f_w - work[i, F_W]) / water / STEP_ERROR_W)
    return worst


@inner
def plane_bend(work, early, late, temperature, planes):
    """How far temperature and vapour pressure of planes bend off a straight course, over limits.

    Planes store next to nothing, so `step_error` does not see them; their hourly means rest on the
    first stage, which a film that freezes there puts off by far. `late` still holds how the last
    step ended.
    """
    worst = 0.0
    for k in range(len(planes)):
        i = planes[k]
        straight = late[0, k] + GAMMA * (temperature[i] - late[0, k])
        worst = max(worst, abs(early[0, k] - straight) / BEND_T)
        now = work[i, P] + work[i, P_T] * work[i, X_T] + work[i, P_U] * work[i, X_U]
        straight = late[1, k] + GAMMA * (now - late[1, k])
        worst = max(worst, abs(early[1, k] - straight) / (BEND_P * late[1, k]))
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
    weather(rows, j, t + gh, row, chain.border)
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
        if work[i, BASE_W] < -OWED:
            return EMPTIED
    predict(work, temperature, u, (1.0 - GAMMA) * h)
    weather(rows, j, t + h, row, chain.border)
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
    weather(rows, j, t + h, row, chain.border)
    return stage(work, flows, temperature, u, row, h, chain, tables, const, stats)


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
    work, first, flows, sums, means, early, late, temperature, u, water, heat, rows, j, length,
    clock, row, chain, tables, const, stats,
):  # fmt: skip
    """March `length` seconds, a half hour or an hour, from row j; outcome code.

    `clock` holds the step to try next and the longest, s, the limit of a step's error, and the
    error that a step of an hour is expected to make, over the share of that limit left to it.

    A step is cut where Newton fails (to a quarter) or where the error estimate passes its limit.
    Three cuts, or a film that dries out within the step, call for implicit Euler. So does an error
    that no cut mends, as of a face that rain saturates: its inflow jumps however short the step.
    Only where Newton fails does a march stop.
    Without a limit of the error steps are fixed, at the longest: for tests of order.
    """
    t = 0.0
    cuts = 0
    emptied = False
    longest = clock[1]
    if length > INTERVAL:
        clock[0] = longest = length
    while True:
        left = length - t
        h = min(clock[0], longest, left)
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
                if h > INTERVAL:
                    bend = plane_bend(work, early, late, temperature, chain.plane_node)
                    error = max(error / CALM, bend)
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
                clock[0] = min(h * max(0.2, 0.9 / math.sqrt(error)), INTERVAL)
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
            clock[0] = min(INTERVAL, max(clock[0], 4.0 * h))
            expected = error if h > INTERVAL else error / CALM * (HOUR / h) ** 2
            clock[3] = 1.4 * expected if not euler else math.inf
            return COMPLETED
        clock[0] = h * min(4.0, 0.9 / math.sqrt(max(error, 0.05)))
        emptied = False
        cuts = 0

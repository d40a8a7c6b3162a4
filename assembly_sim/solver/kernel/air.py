"""Air between the spaces of a house, balanced at each Newton iterate of the zones' temperatures.

The balance is that of `boundary/network.py`, which derives it and why its damped Newton steps
end: of every space of unknown pressure P the flows sum to nothing, with

    dp = P_in - P_out + (b_in - b_out) h - wind,        b = g (rho_outdoors - rho)

at an opening h above the ground. Here the flows also need their slopes by the temperature of each
zone, since they stand in the zones' own balances. With F(P, T) = 0 at hand, dP/dT = -J^-1 dF/dT.

Spaces are numbered zones first, then rooms, then outdoors.
"""

from __future__ import annotations

import math

from assembly_sim.physics.airflow import LINEAR_BELOW, REFERENCE_DENSITY
from assembly_sim.physics.constants import GAS_CONSTANT_DRY_AIR, GRAVITY
from assembly_sim.solver.kernel.compiled import inner
from assembly_sim.solver.kernel.numbers import (
    AIR_PRESSURE,
    AIR_ROOMS,
    AIR_TEMPERATURE,
    COEFFICIENT,
    EXPONENT,
    HEIGHT,
)

BALANCED = 1e-12  # kg/s, what a space's balance may miss
ROUND_OFF = 1e-12  # of its flows, on top
LAST_DIGITS = 1e-15  # of all pressures at an opening, which its slope turns into flow
MOST_ITERATIONS = 100
SURE = 0.25  # of what was missed: a whole step that leaves no more is taken as it is
ENOUGH = 0.25  # of the slope along a step; see `boundary/network.py`
SHORTEST_STEP = 2.0**-40


@inner
def space_temperatures(air, temperature, first):
    """Fill temperature, density and lift of all spaces, and what drives the streams.

    sides: coefficients by the sum and by the difference of both ends' densities to the n-th.
    """
    row, zones, spaces = air.row, air.by_temperature.shape[1], len(air.excess)
    for s in range(spaces + 1):
        if s < zones:
            t = temperature[first + s]
        elif s < spaces:
            t = row[AIR_ROOMS + s - zones]
        else:
            t = row[AIR_TEMPERATURE]
        air.space[0, s] = t
        air.space[1, s] = row[AIR_PRESSURE] / (GAS_CONSTANT_DRY_AIR * t)
    for s in range(spaces + 1):
        air.space[2, s] = GRAVITY * (air.space[1, spaces] - air.space[1, s])
    wind = AIR_ROOMS + 2 * (spaces - zones)
    for k in range(len(air.ends)):
        lift = air.space[2, air.ends[k, 0]] - air.space[2, air.ends[k, 1]]
        air.drive[k] = lift * air.laws[k, HEIGHT] - row[wind + k]
        if air.laws[k, COEFFICIENT] > 0.0:
            n = air.laws[k, EXPONENT]
            here, there = air.space[1, air.ends[k, 0]] ** n, air.space[1, air.ends[k, 1]] ** n
            half = 0.5 * air.laws[k, COEFFICIENT] * REFERENCE_DENSITY ** (1.0 - n)
            air.sides[0, k] = half * (here + there)
            air.sides[1, k] = half * (here - there)


@inner
def blow(air, size):
    """Streams (kg/s), their slopes by pressure and what each balance misses, `size` of a step on.

    Returns the largest miss over what it may be.
    """
    row, zones, spaces = air.row, air.by_temperature.shape[1], len(air.excess)
    given = AIR_ROOMS + 2 * (spaces - zones) + len(air.ends)
    for s in range(spaces):
        air.miss[0, s] = 0.0
        air.miss[1, s] = BALANCED
    for k in range(len(air.ends)):
        a, b = air.ends[k, 0], air.ends[k, 1]
        flow, slope, sizes = row[given + k], 0.0, 0.0
        if air.laws[k, COEFFICIENT] > 0.0:
            dp = air.drive[k]
            sizes = abs(dp)
            if a < spaces:
                dp += air.excess[a] + size * air.step[a]
                sizes += abs(air.excess[a])
            if b < spaces:
                dp -= air.excess[b] + size * air.step[b]
                sizes += abs(air.excess[b])
            n = air.laws[k, EXPONENT]
            both, more = air.sides[0, k], air.sides[1, k]
            s2 = dp * dp + LINEAR_BELOW * LINEAR_BELOW
            s = math.sqrt(s2)
            power = s ** (n - 1.0)
            flow = dp * power * (both + more * dp / s)
            bent, linear = n * dp * dp, LINEAR_BELOW * LINEAR_BELOW
            slope = both * (bent + linear) + more * (dp / s) * (bent + 2.0 * linear)
            slope *= power / s2
        air.flow[k] = flow
        air.slope[k] = slope
        loose = ROUND_OFF * abs(flow) + LAST_DIGITS * slope * sizes
        if a < spaces:
            air.miss[0, a] += flow
            air.miss[1, a] += loose
        if b < spaces:
            air.miss[0, b] -= flow
            air.miss[1, b] += loose
    worst = 0.0
    for s in range(spaces):
        if air.free[s] > 0:
            worst = max(worst, abs(air.miss[0, s]) / air.miss[1, s])
        else:
            air.miss[0, s] = 0.0
    return worst


@inner
def fill_matrix(air):
    """The slopes of the balances by the pressures, (spaces, spaces); of a space not solved, 1."""
    spaces = len(air.excess)
    matrix = air.matrix
    for p in range(spaces):
        for q in range(matrix.shape[1]):
            matrix[p, q] = 0.0
    for k in range(len(air.ends)):
        a, b = air.ends[k, 0], air.ends[k, 1]
        if a < spaces:
            matrix[a, a] += air.slope[k]
        if b < spaces:
            matrix[b, b] += air.slope[k]
        if a < spaces and b < spaces:
            matrix[a, b] -= air.slope[k]
            matrix[b, a] -= air.slope[k]
    for s in range(spaces):
        if air.free[s] == 0:
            matrix[s, s] = 1.0


@inner
def eliminate(matrix, right):
    """Solve for `right` right-hand sides behind a symmetric, positive definite matrix."""
    n = matrix.shape[0]
    for p in range(n):
        for q in range(p + 1, n):
            factor = matrix[q, p] / matrix[p, p]
            if factor != 0.0:
                for c in range(p, n + right):
                    matrix[q, c] -= factor * matrix[p, c]
    for p in range(n - 1, -1, -1):
        for r in range(n, n + right):
            for c in range(p + 1, n):
                matrix[p, r] -= matrix[p, c] * matrix[c, r]
            matrix[p, r] /= matrix[p, p]


@inner
def along(air):
    """Slope of the potential along the step: what is missed, by how far each pressure goes."""
    total = 0.0
    for s in range(len(air.excess)):
        total += air.miss[0, s] * air.step[s]
    return total


@inner
def balance_air(air, temperature, first):
    """Find the pressures at which every balance closes, and the streams' slopes by temperature.

    False where none was found, which no network is known for.
    """
    spaces = len(air.excess)
    space_temperatures(air, temperature, first)
    for s in range(spaces):
        air.step[s] = 0.0
    worst = blow(air, 0.0)
    for _ in range(MOST_ITERATIONS):
        if worst <= 1.0:
            by_temperature(air)
            return True
        fill_matrix(air)
        for s in range(spaces):
            air.matrix[s, spaces] = -air.miss[0, s]
        eliminate(air.matrix, 1)
        for s in range(spaces):
            air.step[s] = air.matrix[s, spaces]
        start = along(air)
        size = 1.0
        after = blow(air, 1.0)
        if not after <= SURE * worst:
            whole = along(air)
            blow(air, 0.5)
            half = along(air)
            while half + whole > ENOUGH * start and size > SHORTEST_STEP:
                size *= 0.5
                whole = half
                blow(air, 0.5 * size)
                half = along(air)
        for s in range(spaces):
            air.excess[s] += size * air.step[s]
            air.step[s] = 0.0
        worst = blow(air, 0.0) if size < 1.0 or not after <= SURE * worst else after
        if not math.isfinite(worst):
            return False
    return False


@inner
def at_pressure(air, k, z):
    """Slope of stream k by the temperature of zone z, pressures as they are, kg/(s K)."""
    a, b = air.ends[k, 0], air.ends[k, 1]
    if air.laws[k, COEFFICIENT] == 0.0 or (a != z and b != z):
        return 0.0
    t, density = air.space[0, z], air.space[1, z]
    side = 1.0 if a == z else -1.0
    found = side * air.slope[k] * air.laws[k, HEIGHT] * GRAVITY * density / t
    if side * air.flow[k] > 0.0:  # it is the zone's own air that flows
        found -= air.laws[k, EXPONENT] * air.flow[k] / t
    return found


@inner
def by_temperature(air):
    """Slopes of all streams by the temperature of each zone, pressures following, kg/(s K)."""
    zones, spaces = air.by_temperature.shape[1], len(air.excess)
    fill_matrix(air)
    for k in range(len(air.ends)):
        a, b = air.ends[k, 0], air.ends[k, 1]
        for z in range(zones):
            moved = at_pressure(air, k, z)
            air.by_temperature[k, z] = moved
            if a < spaces and air.free[a] > 0:
                air.matrix[a, spaces + z] -= moved
            if b < spaces and air.free[b] > 0:
                air.matrix[b, spaces + z] += moved
    eliminate(air.matrix, zones)
    for k in range(len(air.ends)):
        a, b = air.ends[k, 0], air.ends[k, 1]
        for z in range(zones):
            pressed = 0.0
            if a < spaces:
                pressed += air.matrix[a, spaces + z]
            if b < spaces:
                pressed -= air.matrix[b, spaces + z]
            air.by_temperature[k, z] += air.slope[k] * pressed

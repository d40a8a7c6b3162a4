"""The weather of a moment between two of its rows, and whether an hour of it is even."""

from __future__ import annotations

from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY
from assembly_sim.solver.kernel.compiled import inner
from assembly_sim.solver.kernel.numbers import (
    ABSORBED_LONG_WAVE,
    ABSORBED_SUN,
    COLUMNS,
    LEAK,
    OUTDOOR_CONVECTION,
    OUTDOOR_TEMPERATURE,
    OUTDOOR_VAPOUR_PRESSURE,
    RAIN_ON_SURFACE,
    ROOM_HEAT_COEFFICIENT,
    ROOM_TEMPERATURE,
    ROOM_VAPOUR_PRESSURE,
)

INTERVAL = 1800.0  # s between rows
HOUR = 2.0 * INTERVAL  # a step's length where nothing much happens
EVEN_HEAT, EVEN_PRESSURE = 10.0, 20.0  # W/m2 and Pa off a straight line over an hour


@inner
def off_line(row, next_row, last_row, c):
    """How far the value of column c lies off the line between those before and after it."""
    return abs(next_row[c] - 0.5 * (row[c] + last_row[c]))


@inner
def even(rows, j):
    """Whether the hour from row j is dry, and its middle row on the line between its ends.

    A step over it takes 0.71 of the weather at 0.29 and 0.29 at the end. That is right to the last
    digit where weather is straight; of a middle row off the line it misses 0.09 of the distance.
    """
    for s in range(rows.shape[1]):
        first, middle, last = rows[j, s], rows[j + 1, s], rows[j + 2, s]
        for c in range(RAIN_ON_SURFACE, COLUMNS):
            if first[c] > 0.0 or middle[c] > 0.0:
                return False
        heat = off_line(first, middle, last, ABSORBED_SUN)
        heat += off_line(first, middle, last, ABSORBED_LONG_WAVE)
        heat += middle[OUTDOOR_CONVECTION] * off_line(first, middle, last, OUTDOOR_TEMPERATURE)
        heat += middle[ROOM_HEAT_COEFFICIENT] * off_line(first, middle, last, ROOM_TEMPERATURE)
        apart = abs(middle[ROOM_TEMPERATURE] - middle[OUTDOOR_TEMPERATURE])
        heat += DRY_AIR_HEAT_CAPACITY * apart * off_line(first, middle, last, LEAK)
        pressure = off_line(first, middle, last, OUTDOOR_VAPOUR_PRESSURE)
        pressure += off_line(first, middle, last, ROOM_VAPOUR_PRESSURE)
        if heat > EVEN_HEAT or pressure > EVEN_PRESSURE:
            return False
    return True


@inner
def span(rows, j, clock, border):
    """Seconds to take in one from row j: an hour where weather and error allow it, else a half.

    Never in a house: air that turns round within the hour is seen by none of the limits.
    """
    if border is None and clock[1] >= INTERVAL and clock[3] < 1.0 and even(rows, j):
        return HOUR
    return INTERVAL


@inner
def weather(rows, j, t, row, border):
    """Rows of boundary values t seconds after row j, by surface: linear, rain constant."""
    if t > INTERVAL:
        j += 1
        t -= INTERVAL
    part = t / INTERVAL
    if border is not None:
        air = border.air
        for c in range(len(air.row)):
            air.row[c] = air.rows[j, c] + (air.rows[j + 1, c] - air.rows[j, c]) * part
    for s in range(row.shape[0]):
        for c in range(RAIN_ON_SURFACE):
            row[s, c] = rows[j, s, c] + (rows[j + 1, s, c] - rows[j, s, c]) * part
        for c in range(RAIN_ON_SURFACE, COLUMNS):
            row[s, c] = rows[j, s, c]

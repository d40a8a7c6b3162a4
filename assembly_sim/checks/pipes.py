"""Pipes in air of any course: hours of frost, and standing water that cools hour by hour.

Arrays in, so that a depth in a wall, a zone's air or a logger serve alike. What freezes bursts by
pressure in a blocked section, after some degrees of supercooling: none of it is a time to burst.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics.constants import ICE_POINT, WATER_DENSITY

Array = NDArray[np.float64]

PIPE_WATER_HEAT_CAPACITY = 4200.0
"""J/(kg K), the value of the handbook's formula (ASHRAE Fundamentals 2021, ch. 23)."""
ALERT_OUTDOORS = ICE_POINT + (20.0 - 32.0) / 1.8
"""K outdoors at which ice began to form in bare pipes of an unheated, insulated attic (Gordon 1996,
Building Research Council, University of Illinois; secondary)."""


@dataclass(frozen=True)
class FrostHours:
    """Hours below 0 degC of a course, the longest of them in a row, and the coldest (K)."""

    hours: int
    longest: int
    coldest: float


def frost_hours(temperature: ArrayLike) -> FrostHours:
    """Count the hours of a course of temperature (K, (hours,)) below 0 degC."""
    course = np.asarray(temperature, dtype=float)
    cold = course < ICE_POINT
    edges = np.flatnonzero(np.diff(np.concatenate(([0], cold.astype(int), [0]))))
    longest = int((edges[1::2] - edges[::2]).max()) if len(edges) else 0
    return FrostHours(int(cold.sum()), longest, float(course.min()))


def pipe_time_constant(
    inner_diameter: float, outer_diameter: float, insulation: float, conductivity: float
) -> float:
    """Hours in which water in a full pipe comes to 1/e of its difference to the air around.

    rho c pi (D1/2)^2 R / 3600, R = ln(D3/D2) / (2 pi k) m K/W; lengths m, k W/(m K). Pipe wall and
    film are left out (ASHRAE Fundamentals 2021, ch. 23). Raises ValueError without insulation.
    """
    if not (insulation > 0.0 and conductivity > 0.0):
        raise ValueError("needs insulation on the pipe: bare pipes follow the air within an hour")
    outside = outer_diameter + 2.0 * insulation
    resistance = math.log(outside / outer_diameter) / (2.0 * math.pi * conductivity)
    heat = WATER_DENSITY * PIPE_WATER_HEAT_CAPACITY * math.pi * (inner_diameter / 2.0) ** 2
    return heat * resistance / 3600.0


def standing_water(air: ArrayLike, time_constant: float, start: float) -> Array:
    """Temperature (K) at hours' ends of water that stands in air of hourly means (K, (hours,)).

    Within an hour T_a + (T - T_a) exp(-1 h / tau), exact for air that holds its mean; tau in h.
    What freezing would hold at 0 degC is left out: below it the figure tells only that it is past.
    """
    course, left = np.asarray(air, dtype=float), math.exp(-1.0 / time_constant)
    found, water = np.empty(len(course)), start
    for hour, around in enumerate(course):
        water = around + (water - around) * left
        found[hour] = water
    return found


def hours_until_freezing(air: ArrayLike, time_constant: float, start: float) -> float | None:
    """Hours from the course's beginning until standing water is at 0 degC, None: it never is.

    Within the hour by the exponential of that hour. For water above 0 degC to begin with.
    """
    course = np.asarray(air, dtype=float)
    water = standing_water(course, time_constant, start)
    below = np.flatnonzero(water < ICE_POINT)
    if not len(below):
        return None
    hour = int(below[0])
    before = start if hour == 0 else float(water[hour - 1])
    around = float(course[hour])
    return hour + time_constant * math.log((before - around) / (ICE_POINT - around))


LONGEST = 240  # h after which a space without heating is followed no further


@dataclass(frozen=True)
class HeatingFails:
    """The shortest time (h) in which water comes to 0 degC when all heating fails, and the hour.

    hours None: it does not within `LONGEST` hours, whenever the heating fails.
    """

    hours: float | None
    hour: int


def heating_fails(
    space: ArrayLike,
    outdoors: ArrayLike,
    water: ArrayLike,
    space_constant: float,
    pipe_constant: float,
) -> HeatingFails:
    """The hour of a course at which failing heat freezes standing water soonest.

    From each hour on its space falls towards outdoors, T_o + (T - T_o) exp(-t / tau), as one
    capacity (`hand/zone.py`), and the water follows that by its own constant; 0: at once. Courses
    K, (hours,), of air, of hourly means outdoors and of the water that stands there; constants h.
    """
    sky = np.asarray(outdoors, dtype=float)
    air, standing = np.array(space, dtype=float), np.array(water, dtype=float)
    found = np.where(standing <= ICE_POINT, 0.0, np.inf)
    left, held = math.exp(-1.0 / space_constant), 0.0
    if pipe_constant > 0.0:
        held = math.exp(-1.0 / pipe_constant)
    for hour in range(min(LONGEST, len(sky))):
        around = sky[np.minimum(np.arange(len(sky)) + hour, len(sky) - 1)]
        mean = around + (air - around) * space_constant * (1.0 - left)
        colder, constant = (mean, pipe_constant) if held else (around, space_constant)
        after = colder + (standing - colder) * (held or left)
        now = (after < ICE_POINT) & np.isinf(found)
        over = (standing[now] - colder[now]) / (ICE_POINT - colder[now])
        found[now] = hour + constant * np.log(over)
        air, standing = around + (air - around) * left, after
    soonest = int(found.argmin())
    least = float(found[soonest])
    return HeatingFails(least if math.isfinite(least) else None, soonest)

"""Outdoor air that a dwelling needs, and what its own leaks are credited with.

ANSI/ASHRAE 62.2 in its form since 2013 (from memory), for detached houses of no more than usual
density of people. Codes differ in edition and ask for local exhaust besides: check the local code.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

REFERENCE_HEIGHT = 2.5  # m
HEIGHT_EXPONENT = 0.4
PER_AREA = 0.15e-3  # m3/(s m2) of floor
PER_PERSON = 3.5e-3  # m3/s; bedrooms and one more
CREDIT_OF_50_PA = 0.052  # of the flow at 50 Pa, at a weather factor of 1


@dataclass(frozen=True)
class VentilationNeeded:
    """m3/s: whole: what the house needs; leaks: what they bring in a year's mean; fan: the rest."""

    whole: float
    leaks: float
    fan: float


def whole_house_rate(floor: float, bedrooms: int) -> float:
    """Outdoor air (m3/s) of a dwelling: 0.15 L/s a m2 of floor and 3.5 L/s a person.

    Persons are bedrooms and one more (0.03 cfm/ft2 and 7.5 cfm).
    """
    return PER_AREA * floor + PER_PERSON * (bedrooms + 1)


def effective_infiltration(flow_at_50: float, weather: float, height: float = 2.5) -> float:
    """Yearly effective infiltration (m3/s) by a blower door: 0.052 Q_50 wsf (H / 2.5)^0.4.

    flow_at_50 m3/s; weather: the standard's weather and shielding factor of the place, 0.3 in calm
    to 1.1 on windy plains, some 0.5 to 0.7 in most; height (m) of the pressure boundary. A mean
    that dilutes as well as what comes and goes: in mild calm weather there is next to none.
    """
    return CREDIT_OF_50_PA * flow_at_50 * weather * (height / REFERENCE_HEIGHT) ** HEIGHT_EXPONENT


def effective_ventilation(flow: ArrayLike, volume: float) -> float:
    """The steady flow (m3/s) that would dilute as well as hourly means `flow`, (hours,), do.

    Of a steady source of one unit a second the concentration follows V dc/dt = 1 - Q c, exact
    at the ends of hours of steady flow; the effective flow is one over its mean, of the second time
    through. Volume in m3. Idea of ASHRAE 136 and of Sherman and Wilson 1986 (from memory): it is
    less than the mean flow, since calm hours let more gather than windy ones carry off.
    """
    hourly = np.asarray(flow, dtype=float)
    changes = 3600.0 * hourly / volume
    small = changes < 1e-9
    filled = np.where(small, 1.0, -np.expm1(-changes) / np.where(small, 1.0, changes))
    kept, added = np.exp(-changes), 3600.0 / volume * filled
    concentration, total = 0.0, 0.0
    for _ in range(2):
        total = 0.0
        for left, more in zip(kept.tolist(), added.tolist()):
            ends = concentration * left + more
            total += 0.5 * (concentration + ends)
            concentration = ends
    return len(hourly) / total


def ventilation_needed(
    floor: float, bedrooms: int, infiltration: float, balanced: bool = True, new: bool = False
) -> VentilationNeeded:
    """What a fan must bring, m3/s: the whole rate less a credit for infiltration (m3/s).

    A balanced fan adds to infiltration, so all of it is credited; one that blows one way stops
    half or more of it, so its share of the whole rate alone (62.2-2019, Q_inf^2 / Q). New houses
    are credited with two thirds of the rate at most.
    """
    whole = whole_house_rate(floor, bedrooms)
    credit = infiltration if balanced else infiltration * min(infiltration / whole, 1.0)
    most = 2.0 / 3.0 * whole if new else whole
    return VentilationNeeded(whole, infiltration, max(whole - min(credit, most), 0.0))

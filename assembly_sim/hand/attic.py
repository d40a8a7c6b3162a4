"""Attics and roofs by hand: what a run's attic should look like, and the vents codes ask for.

Orders of magnitude to hold results against, never a pass by themselves.
"""

from __future__ import annotations

from assembly_sim.physics.constants import ICE_POINT

PEAK_ABOVE_OUTDOORS = (10.0, 45.0)
"""K by which attic air exceeds outdoors on a hot sunny day (ASHRAE Fundamentals 2021, ch. 27)."""
COOLING_DESIGN = (ICE_POINT + 35.0, ICE_POINT + 49.0)
"""Outdoors and attic air, K, that design loads of ducts assume (the same, ch. 17, table 6)."""


def peak_is_usual(attic: float, outdoors: float) -> bool:
    """Whether attic air (K) on the hottest sunny hour lies where attics do, above outdoors (K)."""
    low, high = PEAK_ABOVE_OUTDOORS
    return low <= attic - outdoors <= high


def ceiling_cooling_load(u: float, difference: float, absorptance: float, swing: float) -> float:
    """Design heat flux (W/m2) through a ceiling below a vented attic.

    U (0.62 dT + 14.3 alpha - 4.5 - 0.19 DR): design outdoors less indoors and daily range in K,
    solar absorptance of the roof (ASHRAE Fundamentals 2021, ch. 17).
    """
    return u * (0.62 * difference + 14.3 * absorptance - 4.5 - 0.19 * swing)


def cathedral_cooling_load(u: float, difference: float, absorptance: float, swing: float) -> float:
    """The same of a roof without an attic: U (dT + 38.3 alpha - 7.0 - 0.36 DR) (ibid.)."""
    return u * (difference + 38.3 * absorptance - 7.0 - 0.36 * swing)


def vent_area(area: float, upper_share: float, retarder: bool, zone: int | None = None) -> float:
    """Net free area (m2) of vents that the IRC's R806.2 asks for, an indication: check locally.

    1/150 of the vented area; 1/300 where 40 to 50 % of it lies near the ridge and, in zones 6 to 8,
    a class I or II retarder is on the warm side (secondary). zone None counts as cold. The 1/300
    goes back to a number of 1942 that nobody derived (Rose, history of attic ventilation).
    """
    cold = zone is None or zone >= 6
    halved = 0.4 <= upper_share <= 0.5 and (retarder or not cold)
    return area / (300.0 if halved else 150.0)

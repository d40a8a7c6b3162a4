"""Wind through the outer part of insulation, at eaves and open edges: what is left of it.

The washed part is taken as one mixed air between its two halves, as the solver has a vented air
layer: outdoor air passes it at so many changes an hour. Fields measure up to 2.5 times the heat
flow where wind gets into light fibres (ASHRAE Fundamentals 2021, ch. 25); a dense fill or a
baffle at the eaves stops it. Leaves out air that circulates deeper in.
"""

from __future__ import annotations

from assembly_sim.hand.zone import ventilation_conductance

WASHED = {"open eave": (0.75, 100.0), "loose baffle": (0.25, 30.0)}
"""Presets: the share of the thickness that wind gets into, and air changes there, 1/h, as a yearly
mean (common practice, no source): nobody measures them. Fields found up to 2.5 times the heat flow
(ASHRAE Fundamentals 2021, ch. 25), more than an open eave has here."""


def washed_resistance(resistance: float, depth: float, air_changes: float) -> float:
    """R (m2 K/W) that the outer part of insulation, depth m, still has when washed (1/h).

    Of what reaches the mixed air from inside through R/2, part leaves with the air, rho c n d, and
    part through the outer R/2: R / 2 + 1 / (2 / R + rho c n d). Between R and R / 2 (derived).
    """
    half = 0.5 * resistance
    carried = float(ventilation_conductance(air_changes / 3600.0 * depth))
    return half + 1.0 / (1.0 / half + carried)


def washed_thickness(
    thickness: float, conductivity: float, depth: float, air_changes: float
) -> float:
    """Thickness (m) of sound insulation as good as this with its outer `depth` (m) washed.

    What a case's defect may give as `left`, over the share of the area that the wind reaches.
    """
    kept = washed_resistance(depth / conductivity, depth, air_changes)
    return thickness - depth + conductivity * kept

"""A little outdoor air in a gap does not dry cold sheathing.

Common practice, no source: in a damp, leaky house sheathing before batts rots, and a gap that
hardly any air comes into changes nothing of it. It was once 'dry with margin' there, at 46 % by
mass: what lies before a vented gap counted as cladding, and as outdoors to the leak.
"""

import pytest

from assembly_sim.model import AirLeak
from assembly_sim.verdict.rules import PAST
from assembly_sim.verdict.verdict import verdict
from tests.outcomes.built import (
    PAINTED_BOARD,
    climate,
    gap,
    layer,
    moisture,
    sheet,
    solved,
    wall,
)

OUTER = (
    layer("western red cedar", 19),
    sheet("asphalt felt no. 15"),
    layer("osb", 11, "sheathing"),
)
BATT = layer("glass-fibre batt", 90)
POLY = sheet("polyethylene film 0.15 mm")
LEAKY = AirLeak(1e-3, 75.0)


@pytest.mark.parametrize(
    "inner",
    [(BATT, gap(0.05)), (BATT, POLY, gap(0.05)), (gap(0.2), BATT, POLY)],
    ids=["service gap", "service gap behind a retarder", "gap behind the sheathing"],
)
def test_sheathing_that_rots_is_past_a_limit_whatever_little_air_a_gap_gets(inner):
    layers = (*OUTER, *inner, *PAINTED_BOARD)
    found = solved(wall(layers, climate("cold_inland"), 0.60, leak=LEAKY))
    judged = verdict(found, found.assemblies[0])
    assert moisture(found, "sheathing").max() > 0.28  # not recommended by any source
    assert judged.rank >= PAST
    assert judged.plane == "sheathing"

"""A little outdoor air in a gap behind the lining does not dry cold sheathing.

Common practice, no source: in a damp, leaky house sheathing before batts rots, and a gap for wires
on the warm side changes nothing of it. It was once 'dry with margin' there, at 46 % by mass: what
lies before a vented gap counted as cladding, and as outdoors to the leak.
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
LEAKY = AirLeak(1e-3, 75.0)


@pytest.mark.parametrize("inner", [(BATT,), (BATT, sheet("polyethylene film 0.15 mm"))])
def test_sheathing_that_rots_is_past_a_limit_whatever_air_a_service_gap_gets(inner):
    layers = (*OUTER, *inner, gap(0.05), *PAINTED_BOARD)
    found = solved(wall(layers, climate("cold_inland"), 0.60, leak=LEAKY))
    judged = verdict(found, found.assemblies[0])
    assert moisture(found, "sheathing").max() > 0.28  # not recommended by any source
    assert judged.rank >= PAST
    assert judged.plane == "sheathing"

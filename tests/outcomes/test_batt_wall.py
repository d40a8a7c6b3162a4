"""A batt wall without vapour control in a cold climate, by diffusion alone.

Common practice, no source: its sheathing takes up vapour all winter and gives it off by summer
through open cladding, year after year alike; behind tight cladding it gets wetter and dries later.
"""

import functools

from assembly_sim.checks.trend import trend_findings
from tests.outcomes.built import (
    PAINTED_BOARD,
    climate,
    gap,
    layer,
    level,
    moisture,
    month_mean,
    sheet,
    solved,
    wall,
)

OPEN, TIGHT = "spun-bonded polyolefin wrap", "polyethylene film 0.15 mm"


@functools.cache
def batt_wall(cover):
    layers = (
        layer("western red cedar", 19),
        gap(30.0),
        sheet(cover),
        layer("plywood, exterior grade", 12.7, "sheathing"),
        layer("glass-fibre batt", 140),
        *PAINTED_BOARD,
    )
    return solved(wall(layers, climate("cold_inland"), 0.40, leak=None))


def test_it_wets_in_winter_and_dries_by_summer_without_a_trend():
    found = batt_wall(OPEN)
    board = moisture(found, "sheathing")
    assert month_mean(found, board, 2) > 2.0 * month_mean(found, board, 7)
    assert month_mean(found, board, 7) < 0.10
    assert level(found) == "gets wet, within limits"
    (assembly,) = found.assemblies
    trends = trend_findings(found, assembly.assembly, assembly.paths[0])
    assert not any("rises" in trend.note for trend in trends if trend.decides)


def test_behind_tight_cladding_it_is_wetter_and_dries_far_less_by_may():
    open_wall, tight_wall = batt_wall(OPEN), batt_wall(TIGHT)
    dry, wet = moisture(open_wall, "sheathing"), moisture(tight_wall, "sheathing")
    assert month_mean(tight_wall, wet, 5) > 1.8 * month_mean(open_wall, dry, 5)
    assert (wet > 0.20).sum() > 60 * 24
    assert (dry > 0.20).sum() == 0

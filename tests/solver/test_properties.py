"""Promises kept by any wall: 300 random ones, a week of a shipped climate each (`random_walls.py`).

`python tests/bench/properties.py --count 5000` does the same at length.
"""

from __future__ import annotations

from hypothesis import HealthCheck, Phase, given, settings

from tests.solver.random_walls import Wall, judge, judge_heat, walls

EXAMPLES = 300
ordinary = settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.generate],  # a wall prints in one line: shrinking takes minutes and adds little
    suppress_health_check=list(HealthCheck),
)


@ordinary
@given(walls())
def test_any_wall_completes_its_week_with_its_balances_closed(wall: Wall):
    assert judge(wall) == []


@settings(ordinary, max_examples=60)
@given(walls())
def test_heat_alone_stays_between_air_sky_and_sun(wall: Wall):
    assert judge_heat(wall) == []

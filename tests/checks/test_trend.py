"""Trends of water whose course over the years is written down."""

import numpy as np
import pytest

from assembly_sim.checks.trend import path_trends, trend_findings
from assembly_sim.solver.settling import by_year
from tests.checks import made


def sheathing(levels, humidity=0.9):
    """A run whose sheathing swings about one level (kg/m2) a year."""
    swing = 0.1 * np.sin(np.linspace(0.0, 2.0 * np.pi, made.YEAR))
    water = np.zeros((len(levels) * made.YEAR, 3))
    water[:, 0] = np.concatenate([level + swing for level in levels])
    return made.run(humidity=humidity, years=len(levels), layer_water=water)


@pytest.mark.parametrize(
    ("levels", "direction"),
    [
        ((1.0, 1.2, 1.4), "rises"),
        ((1.0, 1.2, 1.21), "settles"),  # 10 g/m2, within 2 % of 1.3 kg/m2
        ((1.4, 1.2, 1.0), "falls"),
        ((1.4, 1.0, 1.2), "rises"),
    ],
)
def test_the_last_year_decides(levels, direction):
    result = sheathing(levels)
    found, path = made.only(result)
    (trend,) = path_trends(result, found.assembly, path)
    assert trend.direction == direction
    assert trend.last.step == pytest.approx(levels[-1] - levels[-2])
    assert trend.last.peaks == pytest.approx(np.array(levels) + 0.1, abs=1e-4)


def test_a_dry_layer_that_rises_does_not_decide():
    for humidity, decides in ((0.9, True), (0.5, False)):
        result = sheathing((1.0, 1.2, 1.4), humidity)
        found, path = made.only(result)
        (finding,) = trend_findings(result, found.assembly, path)
        assert finding.decides is decides


def test_a_year_more_than_whole_years_is_left_out_at_the_start():
    years = by_year(np.arange(25.0), 10)
    assert years.tolist() == [list(np.arange(5.0, 15.0)), list(np.arange(15.0, 25.0))]


def test_one_year_shows_no_trend_and_says_what_it_needs():
    result = sheathing((1.0,))
    found, path = made.only(result)
    (finding,) = trend_findings(result, found.assembly, path)
    assert finding.value is None
    assert "two computed years" in finding.note

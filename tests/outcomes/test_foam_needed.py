"""How much foam the cold side of a batt needs, with a leak, a fixed humidity and a painted board.

Common practice, no source: it goes by the coldness of the three coldest months, which set the
temperature of the plane where room air arrives; degree days across places say little of them.
The same invented year is shifted in its mean.
"""

import functools

import numpy as np
import pytest

from tests.outcomes.built import (
    PAINTED_BOARD,
    climate,
    gap,
    layer,
    moisture,
    sheet,
    shifted,
    solved,
    wall,
)

TOO_WET = 0.18  # highest moisture of the sheathing in a year, where the margin gets thin
COAST_SHIFT = -5.34  # K, gives the coast the degree days of the inland year


def degree_days(weather):
    daily = weather.temperature.reshape(-1, 24).mean(axis=1) - 273.15
    return float(np.maximum(18.0 - daily, 0.0).sum())


def coldest_season(weather):
    """Mean (degC) of the 90 coldest days on end."""
    daily = weather.temperature.reshape(-1, 24).mean(axis=1) - 273.15
    around = np.concatenate((daily, daily[:89]))
    return float(np.convolve(around, np.full(90, 1 / 90), mode="valid").min())


@functools.cache
def peak(name, kelvin, millimetres):
    layers = (
        layer("fibre cement", 8),
        gap(20.0),
        sheet("spun-bonded polyolefin wrap"),
        layer("xps", millimetres),
        layer("osb", 11, "sheathing"),
        layer("glass-fibre batt", 140),
        *PAINTED_BOARD,
    )
    asked = wall(layers, shifted(name, kelvin), 0.40, years=2)
    return float(moisture(solved(asked), "sheathing").max())


@pytest.mark.parametrize(
    ("kelvin", "too_thin", "enough"), [(6.0, 5, 20), (0.0, 20, 60), (-6.0, 60, 100)]
)
def test_the_colder_the_three_coldest_months_the_more_foam(kelvin, too_thin, enough):
    assert peak("cold_inland", kelvin, enough) < TOO_WET < peak("cold_inland", kelvin, too_thin)


def test_equal_degree_days_do_not_need_equal_foam():
    coast, inland = shifted("wet_mild_coast", COAST_SHIFT), climate("cold_inland")
    assert degree_days(coast) == pytest.approx(degree_days(inland), rel=0.01)
    assert coldest_season(coast) > coldest_season(inland) + 5.0
    assert peak("wet_mild_coast", COAST_SHIFT, 20) < TOO_WET < peak("cold_inland", 0.0, 20)

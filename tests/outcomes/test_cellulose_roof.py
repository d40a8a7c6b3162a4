"""A roof slope packed with cellulose: what wets its deck more.

Common practice, no source: a damper room and a higher place bring more vapour with the leak; less
sun, by orientation or colour, leaves the deck colder and dries it less.
"""

import dataclasses
import functools

import pytest

from tests.outcomes.built import (
    DARK,
    LEAK,
    LIGHT,
    NORTH,
    PAINTED_BOARD,
    SOUTH,
    case,
    climate,
    layer,
    moisture,
    sheet,
    solved,
)

LAYERS = (
    layer("asphalt shingles, dark", 5),
    sheet("asphalt felt no. 15"),
    layer("plywood, exterior grade", 12.7, "deck"),
    layer("cellulose, dense-packed", 235),
    *PAINTED_BOARD,
)


@functools.cache
def wettest_deck(humidity=0.4, height=2.5, azimuth=NORTH, absorptance=DARK):
    leak = dataclasses.replace(LEAK, height_above_neutral_level=height)
    slope = {"azimuth": azimuth, "absorptance": absorptance, "leak": leak, "years": 2}
    return moisture(solved(case(LAYERS, climate("cold_inland"), humidity, **slope)), "deck").max()


@pytest.mark.parametrize(
    ("wetter", "drier", "points"),
    [
        ({"humidity": 0.5}, {"humidity": 0.3}, 0.08),
        ({"height": 5.0}, {"height": 1.0}, 0.03),
        ({"azimuth": NORTH}, {"azimuth": SOUTH}, 0.05),
        ({"absorptance": LIGHT}, {"absorptance": DARK}, 0.01),
    ],
)
def test_the_deck_is_wetter_where_the_trade_says_so(wetter, drier, points):
    assert wettest_deck(**wetter) > wettest_deck(**drier) + points

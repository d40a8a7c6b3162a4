"""An air-conditioned wall in a hot humid climate: where the tight layer lies decides.

Common practice, no source: outdoor vapour drives inward and condenses on the first cold tight
layer it meets. Polyethylene behind the board keeps the board dry and gets wet itself; a tight
covering on the room side wets the back of the board. A warmer room ends it.

The shipped year is taken 1.5 K cooler, so that its dew point passes 26 degC in 1 % of the hours,
as at humid coasts (from memory); as shipped some of it stays at 25 degC indoors, since the dew
point of 700 hours is above that.
"""

import functools

import numpy as np

from assembly_sim.physics.moist_air import dew_point
from tests.outcomes.built import (
    PAINTED_BOARD,
    gap,
    last_year,
    layer,
    level,
    month_mean,
    sheet,
    shifted,
    solved,
    wall,
)

OUTSIDE = (
    layer("vinyl siding, hollow-backed", 1.1),
    gap(100.0),
    sheet("spun-bonded polyolefin wrap"),
    layer("gypsum sheathing, glass-mat faced", 12.7),
    layer("glass-fibre batt", 90),
)
RETARDED, COVERED = "polyethylene behind the board", "a tight covering on the board"
LINING = {
    RETARDED: (sheet("polyethylene film 0.15 mm"), *PAINTED_BOARD),
    COVERED: (layer("gypsum board", 12.5), sheet("aluminium foil facing")),
}
WEATHER = shifted("hot_humid", -1.5)


@functools.cache
def cooled(lining, celsius):
    return solved(wall((*OUTSIDE, *LINING[lining]), WEATHER, 0.5, celsius=celsius))


def test_the_weather_is_that_of_a_humid_coast():
    dew = dew_point(WEATHER.vapour_pressure) - 273.15
    assert 25.5 < np.percentile(dew, 99) < 26.5


def test_polyethylene_gets_wet_and_the_board_behind_it_stays_dry():
    found = cooled(RETARDED, 23.0)
    film = last_year(found, "polyethylene film 0.15 mm")
    assert film["free_water"].max() > 0.05
    assert (film["humidity"] > 0.995).sum() > 1000
    board = last_year(found, "gypsum board")
    assert board["humidity"].max() < 0.85


def test_under_a_tight_covering_the_back_of_the_board_gets_wet():
    found = cooled(COVERED, 23.0)
    back = last_year(found, "gypsum board")["humidity"]
    assert month_mean(found, back, 7) > 0.90
    assert level(found) == "past a limit"


def test_a_room_at_25_degrees_ends_it():
    assert level(cooled(RETARDED, 25.0)).startswith("dry")
    assert level(cooled(COVERED, 25.0)).startswith("dry")
    warm, cool = (
        last_year(cooled(RETARDED, celsius), "polyethylene film 0.15 mm")["free_water"].max()
        for celsius in (25.0, 23.0)
    )
    assert warm < 0.5 * cool

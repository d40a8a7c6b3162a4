"""Hours that suit a thermal camera: each condition broken alone (common practice, no source)."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from assembly_sim.checks.survey import BEFORE, highest, lowest, survey_hours, wind_of
from tests import synthetic
from tests.checks import made

HOURS = made.YEAR
QUIET = {
    "outdoor_temperature": 273.15,
    "room_temperature": 293.15,
    "sun": 0.0,
    "rain": 0.0,
}
AT = 100  # an hour in which something happens


def still(**changes):
    weather = dataclasses.replace(synthetic.climate(), wind_speed=np.ones(HOURS))
    return made.run(years=1, case={"climate": weather}, drivers={**QUIET, **changes})


def suits(result):
    return survey_hours(result, result.assemblies[0])


def once(usual, value):
    values = np.full(HOURS, float(usual))
    values[AT] = value
    return values


def test_a_steady_night_suits_but_for_the_first_hours():
    found = suits(still())
    assert not found[:BEFORE].any()
    assert found[BEFORE:].all()


@pytest.mark.parametrize(
    ("name", "values"),
    [("sun", once(0.0, 30.0)), ("rain", once(0.0, 1e-4))],
)
def test_sun_or_rain_spoils_its_hour_and_those_after_it(name, values):
    found = suits(still(**{name: values}))
    assert (~found[BEFORE:]).nonzero()[0].tolist() == list(range(AT - BEFORE, AT + 1))


def test_a_jump_of_the_weather_spoils_the_hours_that_see_it():
    values = np.where(np.arange(HOURS) < AT, 273.15, 278.15)
    found = suits(still(outdoor_temperature=values))
    assert not found[AT + 1 : AT + BEFORE].any()  # the mean of AT is half way
    assert found[AT + BEFORE]
    assert found[AT - 1]


@pytest.mark.parametrize(
    ("outdoors", "any_hour"), [(283.15, True), (283.25, False), (304.15, True)]
)
def test_a_difference_of_ten_kelvin_either_way(outdoors, any_hour):
    assert suits(still(outdoor_temperature=outdoors))[BEFORE:].any() == any_hour


def test_wind_counts_where_the_surface_is_out_in_it():
    weather = dataclasses.replace(synthetic.climate(), wind_speed=np.full(HOURS, 4.1))
    open_air = made.run(years=1, case={"climate": weather}, drivers=QUIET)
    assert not suits(open_air).any()
    outer = dataclasses.replace(made.wall().outer, sheltered=True)
    shut = dataclasses.replace(made.wall(), outer=outer)
    under = made.run(years=1, case={"climate": weather}, drivers=QUIET, assembly=shut)
    assert suits(under)[BEFORE:].all()


def test_wind_is_that_of_the_hour_of_the_run():
    """A run from 1 October begins with the 6552nd hour of the file (273 days)."""
    result = synthetic.result(hours=48)
    assert wind_of(result).tolist() == result.case.climate.wind_speed[6552:6600].tolist()


def test_windows_of_hours_look_back_only():
    values = np.array([5.0, 1.0, 2.0, 9.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0])
    assert highest(values).tolist() == [5, 5, 5, 9, 9, 9, 9, 9, 9, 9, 0]
    assert lowest(values)[:5].tolist() == [5, 1, 1, 1, 0]

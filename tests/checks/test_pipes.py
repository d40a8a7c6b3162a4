"""Standing water in air of any course: closed form, the handbook's formula, counts by hand."""

import numpy as np
import pytest

from assembly_sim.checks.frost import hours_to_freezing
from assembly_sim.checks.pipes import (
    ALERT_OUTDOORS,
    frost_hours,
    heating_fails,
    hours_until_freezing,
    pipe_time_constant,
    standing_water,
)
from assembly_sim.hand.zone import hours_until

PIPE = (0.0525, 0.0603, 0.025, 0.0432)


def test_hours_below_freezing_and_the_longest_of_them():
    found = frost_hours(np.array([1.0, -1.0, -2.0, 0.0, -3.0, 2.0]) + 273.15)
    assert (found.hours, found.longest, found.coldest) == (3, 2, pytest.approx(270.15))
    assert frost_hours(np.full(4, 280.0)).longest == 0
    assert frost_hours(np.full(4, 260.0)).longest == 4


def test_in_steady_air_it_is_the_handbook_formula():
    # ASHRAE Fundamentals 2021, ch. 23: 5.5 degC water, -28 degC air, 25 mm on a DN50: 1.1 h
    constant = pipe_time_constant(*PIPE)
    air = np.full(48, 245.15)
    by_hand = hours_to_freezing(*PIPE, 278.65, 245.15)
    assert hours_until_freezing(air, constant, 278.65) == pytest.approx(by_hand, rel=1e-12)
    assert by_hand == pytest.approx(1.1, abs=0.15)


def test_water_follows_air_that_swings():
    """The hourly scheme against its closed form for a cosine, damped by 1 / sqrt(1 + (w tau)^2)."""
    hours, constant = 24 * 60, 12.0
    angle = 2.0 * np.pi / 24.0
    edges = np.sin(angle * np.arange(hours + 1))
    air = 270.0 + 10.0 * np.diff(edges) / angle  # true means of the hours
    water = standing_water(air, constant, 270.0)[-24:]
    assert np.ptp(water) / 2.0 == pytest.approx(10.0 / np.hypot(1.0, angle * constant), rel=0.005)


def test_time_within_the_hour_and_never():
    air = np.array([275.15, 275.15, 253.15])
    found = hours_until_freezing(air, 5.0, 276.15)
    assert 2.0 < found < 3.0
    before = standing_water(air, 5.0, 276.15)[1]
    assert found == pytest.approx(2.0 + 5.0 * np.log((before - 253.15) / (273.15 - 253.15)))
    assert hours_until_freezing(air[:2], 5.0, 276.15) is None
    with pytest.raises(ValueError, match="insulation"):
        pipe_time_constant(0.05, 0.06, 0.0, 0.04)
    assert pytest.approx(266.48, abs=0.01) == ALERT_OUTDOORS


def test_a_zone_whose_heating_fails_is_the_exponential_of_its_time_constant():
    """tau ln((T - T_o) / (0 degC - T_o)) of bare pipes, the textbook's; insulation holds longer."""
    air, outdoors = np.full(400, 281.15), np.full(400, 263.15)
    found = heating_fails(air, outdoors, air, 9.0, 0.0)
    assert found.hours == pytest.approx(hours_until(281.15, 263.15, 273.15, 9.0), rel=1e-12)
    slow = heating_fails(air, outdoors, air, 9.0, 2.0).hours
    # two constants in a row: T_o + dT (9 e^-t/9 - 2 e^-t/2) / (9 - 2), solved by substitution
    left = 18.0 * (9.0 * np.exp(-slow / 9.0) - 2.0 * np.exp(-slow / 2.0)) / 7.0
    assert left == pytest.approx(10.0, abs=0.05)
    assert slow > found.hours + 1.0


def test_the_soonest_hour_is_that_of_the_cold_and_warm_years_have_none():
    outdoors = np.full(600, 278.15)
    outdoors[300:340] = 258.15
    air = np.full(600, 283.15)
    found = heating_fails(air, outdoors, air, 12.0, 0.0)
    by_hand = hours_until(283.15, 258.15, 273.15, 12.0)
    assert 0.0 < found.hours <= by_hand + 1e-9
    assert 270 <= found.hour <= 340
    assert heating_fails(air[:250], outdoors[:250], air[:250], 12.0, 0.0).hours is None
    frozen = np.where(np.arange(600) == 50, 270.0, air)
    assert heating_fails(air, outdoors, frozen, 12.0, 0.0) == type(found)(0.0, 50)

"""The dew-point method on example 8 of ASHRAE Fundamentals 2021, ch. 27."""

import numpy as np
import pytest

from assembly_sim.hand.dew_point_method import dew_point_profile

# Example 8, inside to outside: film, gypsum board, mineral fibre, plywood, siding, film
RESISTANCES = [0.12, 0.08, 1.90, 0.11, 0.18, 0.03]
PERMEANCES = np.array([9200, 290, 1700, 29, 2010, 57000]) * 1e-12
INSIDE, OUTSIDE = (294.15, 995.0), (266.55, 175.0)


@pytest.fixture(scope="module")
def profile():
    return dew_point_profile(RESISTANCES, PERMEANCES, INSIDE, OUTSIDE)


def test_temperatures_of_the_example(profile):
    expected = [21.0, 19.6, 18.7, -2.9, -4.2, -6.3, -6.6]
    assert profile.temperature - 273.15 == pytest.approx(expected, abs=0.06)


def test_saturation_of_the_example(profile):
    # within the 0.2 % by which ISO 13788's formula and the book's differ, and rounding to 0.1 K
    assert profile.saturation == pytest.approx([2488, 2286, 2161, 478, 430, 361, 350], rel=8e-3)


def test_uncorrected_pressures_of_the_example(profile):
    assert profile.uncorrected == pytest.approx([995, 993, 921, 908, 186, 175, 175], abs=1.0)


def test_condensation_of_the_example(profile):
    assert np.flatnonzero(profile.condensation > 1e-15).tolist() == [2]  # inner face of sheathing
    assert profile.condensation[2] == pytest.approx(116e-9, rel=0.005)
    assert profile.condensation[2] * 30 * 86400 == pytest.approx(0.30, abs=0.005)


def test_flows_to_and_from_that_plane(profile):
    inward = (profile.pressure[0] - profile.pressure[3]) / np.sum(1 / PERMEANCES[:3])
    outward = (profile.pressure[3] - profile.pressure[-1]) / np.sum(1 / PERMEANCES[3:])
    assert inward == pytest.approx(124_746e-12, rel=0.005)
    assert outward == pytest.approx(8_661e-12, rel=0.01)


def test_no_condensation_where_the_line_stays_below():
    dry = dew_point_profile(RESISTANCES, PERMEANCES, (294.15, 400.0), OUTSIDE)
    assert dry.pressure == pytest.approx(dry.uncorrected)
    assert np.abs(dry.condensation).max() < 1e-15

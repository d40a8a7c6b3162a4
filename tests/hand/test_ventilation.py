"""Ventilation that a dwelling needs: the standard's two systems of units against each other."""

import pytest

from assembly_sim.hand.ventilation import (
    effective_infiltration,
    ventilation_needed,
    whole_house_rate,
)
from assembly_sim.physics.airflow import leakage_area

CFM = 4.71947e-4
FOOT = 0.3048


@pytest.mark.parametrize(("square_feet", "bedrooms"), [(1000, 2), (2000, 3), (3500, 5)])
def test_rate_in_cubic_feet(square_feet, bedrooms):
    # ANSI/ASHRAE 62.2 (from memory): 0.03 cfm/ft2 and 7.5 cfm a person; both systems are rounded
    by_feet = (0.03 * square_feet + 7.5 * (bedrooms + 1)) * CFM
    assert whole_house_rate(square_feet * FOOT**2, bedrooms) == pytest.approx(by_feet, rel=0.02)


def test_table_of_the_standard():
    # Table 4.1 of 62.2 (from memory): 1501 to 2000 ft2 and three bedrooms, 90 cfm at the top
    assert whole_house_rate(2000 * FOOT**2, 3) / CFM == pytest.approx(90.0, abs=1.5)


def test_infiltration_is_that_of_the_normalised_leakage():
    """Q = NL wsf A / 1.44 L/s, NL = 1000 (ELA / A) (H / 2.5)^0.4 (62.2, from memory), with the
    leakage area at 4 Pa by its definition and the exponent 0.65: the factor 0.052 follows."""
    flow, floor, height, weather = 0.6, 150.0, 5.0, 0.6
    at_4 = flow * (4.0 / 50.0) ** 0.65
    area = leakage_area(at_4, 4.0, 1.0, 1.2)
    normalised = 1000.0 * area / floor * (height / 2.5) ** 0.4
    assert effective_infiltration(flow, weather, height) == pytest.approx(
        1e-3 * normalised * weather * floor / 1.44, rel=0.01
    )


def test_what_a_fan_must_bring():
    whole = whole_house_rate(150.0, 3)
    assert whole == pytest.approx(0.0365)
    assert ventilation_needed(150.0, 3, 0.0).fan == whole
    balanced, one_way = (ventilation_needed(150.0, 3, 0.02, b).fan for b in (True, False))
    assert balanced == pytest.approx(whole - 0.02)
    assert one_way == pytest.approx(whole - 0.02**2 / whole)
    assert ventilation_needed(150.0, 3, 0.2).fan == 0.0  # a leaky house needs none on paper
    assert ventilation_needed(150.0, 3, 0.2, new=True).fan == pytest.approx(whole / 3.0)
    # sealing never lowers what is needed of a fan
    fans = [ventilation_needed(150.0, 3, q, False).fan for q in (0.06, 0.03, 0.01, 0.0)]
    assert fans == sorted(fans)

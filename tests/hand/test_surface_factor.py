"""The monthly surface temperature factor of ISO 13788 (from memory)."""

import numpy as np
import pytest

from assembly_sim.hand.monthly_air import MonthlyAir, monthly_means, three_coldest_months
from assembly_sim.hand.surface_factor import (
    element_factor,
    needed_factor,
)
from assembly_sim.physics.moist_air import saturation_pressure

# months often used with the standard's examples, October to May (from memory)
OUTDOORS = np.array([10, 5, 1, -1, 0, 4, 9, 14.0]) + 273.15
PRESSURE = np.array([1018.7, 767.2, 577.6, 477.7, 512.8, 634.0, 826.2, 1086.5])
EXCESS = np.array([405.0, 607.5, 769.5, 810.0, 810.0, 648.0, 445.5, 243.0])


def air(inside, pressure, outside):
    return MonthlyAir(inside, pressure, outside, np.zeros_like(outside))


def test_german_design_case():
    # DIN 4108-2: 20 degC, 50 %, -5 degC: 12.6 degC and 0.70 (published, from memory)
    pressure = float(0.5 * saturation_pressure(293.15))
    design = air(np.array([293.15]), np.array([pressure]), np.array([268.15]))
    assert needed_factor(design)[0] == pytest.approx(0.705, abs=1e-3)
    surface = 268.15 + 25.0 * needed_factor(design)[0]
    assert surface - 273.15 == pytest.approx(12.6, abs=0.05)
    assert needed_factor(design, 1.0)[0] == pytest.approx(0.571, abs=1e-3)  # computed: dew point


@pytest.mark.parametrize(
    ("margin", "expected"),
    [  # regression values, computed from the standard's formulas
        (1.0, [0.567, 0.675, 0.727, 0.720, 0.727, 0.628, 0.447, 0.101]),
        (1.1, [0.611, 0.720, 0.772, 0.765, 0.773, 0.676, 0.496, 0.148]),
    ],
)
def test_months_of_humidity_class_three(margin, expected):
    months = air(np.full(8, 293.15), PRESSURE + margin * EXCESS, OUTDOORS)
    assert needed_factor(months) == pytest.approx(expected, abs=6e-4)


def test_a_month_warmer_than_the_room_says_nothing():
    hot = air(np.array([293.15]), np.array([1500.0]), np.array([303.15]))
    assert np.isnan(needed_factor(hot)).all()


def test_element_with_quarter_resistance():
    assert element_factor(2.0, 0.04) == pytest.approx(2.04 / 2.29)


def test_monthly_means_by_the_calendar():
    days = np.repeat(np.arange(365.0), 24)
    means = monthly_means(days)
    assert means[[0, 1, 11]] == pytest.approx([15.0, 44.5, 349.0])
    assert monthly_means(np.repeat(np.arange(366.0), 24))[11] == pytest.approx(350.0)


def test_three_coldest_months_need_not_adjoin():
    outside = np.array([1, 9, 2, 9, 9, 9, 9, 9, 9, 9, 9, 3.0]) + 273.15
    assert three_coldest_months(air(outside, outside, outside)) == pytest.approx(275.15)

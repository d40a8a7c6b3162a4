"""Indoor climates of standards, at the corners of their curves."""

import numpy as np
import pytest

from assembly_sim.physics import room_air


def celsius(*values: float) -> np.ndarray:
    return np.array(values) + 273.15


def test_humidity_class_against_a_monthly_example() -> None:
    """ISO 13788 class 3 upper limit, 810 Pa, at 10, 5, 1, -1, 4, 9, 14 degC.

    Excess 405.0, 607.5, 769.5, 810.0, 648.0, 445.5, 243.0 Pa: values computed from the curve
    (from memory), and none from 20 degC.
    """
    computed = room_air.excess_vapour_pressure(810.0, celsius(10, 5, 1, -1, 4, 9, 14, 20, 27))
    expected = [405.0, 607.5, 769.5, 810.0, 648.0, 445.5, 243.0, 0.0, 0.0]
    assert computed == pytest.approx(expected, abs=1e-6)


def test_curve_of_temperature() -> None:
    """EN 15026 annex C (from memory): 20 degC to 10 degC outdoors, 25 from 20 degC."""
    computed = room_air.temperature_from_outdoors(celsius(-20, 10, 15, 20, 35)) - 273.15
    assert computed == pytest.approx([20.0, 20.0, 22.5, 25.0, 25.0])


def test_curve_of_humidity() -> None:
    """EN 15026 annex C (from memory): 30 to 60 % between -10 and 20 degC; high is 40 to 70."""
    outdoors = celsius(-25, -10, 5, 20, 30)
    normal, high = (room_air.humidity_from_outdoors(outdoors, o) for o in (0.0, 0.10))
    assert normal == pytest.approx([0.30, 0.30, 0.45, 0.60, 0.60])
    assert high == pytest.approx([0.40, 0.40, 0.55, 0.70, 0.70])


def test_balance_constant() -> None:
    """ANSI/ASHRAE 160's c = 1.36e5 Pa m3/kg (from memory) at 21.1 degC: p_i - p_o = c G / Q."""
    computed = room_air.balance_vapour_pressure(500.0, 294.25, 1.6e-4, 0.02)
    assert computed - 500.0 == pytest.approx(1.36e5 * 1.6e-4 / 0.02, rel=2e-3)


def test_balance_conserves_vapour() -> None:
    """What air carries off, Q (p_i - p_o) / (R_v T), is what the room gives (gas law)."""
    inside = room_air.balance_vapour_pressure(800.0, 293.15, 1.0e-4, 0.015)
    carried = 0.015 * (inside - 800.0) / (461.52 * 293.15)
    assert carried == pytest.approx(1.0e-4, rel=1e-4)

"""Whole-house models against worked examples of ASHRAE Fundamentals 2021, ch. 16."""

import pytest

from assembly_sim.hand.infiltration import (
    basic_infiltration,
    enhanced_infiltration,
    enhanced_parts,
)


@pytest.mark.parametrize(
    ("area_cm2", "difference", "wind", "printed", "volume", "changes"),
    [(500, 39, 6.7, 0.0736, 340, 0.78), (848, 20, 3.2, 0.077, 310, 0.89)],
)
def test_basic_model(
    area_cm2: float, difference: float, wind: float, printed: float, volume: float, changes: float
) -> None:
    """Examples 2 and 4: two storeys, shelter class 3; m3/s and air changes an hour."""
    computed = basic_infiltration(area_cm2 / 1e4, 2, 3, difference, wind)
    assert computed == pytest.approx(printed, rel=0.007)
    assert 3600.0 * computed / volume == pytest.approx(changes, abs=0.006)


def test_enhanced_model() -> None:
    """Example 5: c 0.051, n 0.67, 39 K, 6.7 m/s, two storeys with a flue: 0.059 m3/s.

    Wind factor 0.59 and shelter 0.64 of its tables; 0.053 by stack, 0.027 by wind.
    """
    sheltered = 0.64 * 0.59 * 6.7
    by_stack, by_wind = enhanced_parts(0.051, 0.67, 2, True, 39.0, sheltered)
    assert by_stack == pytest.approx(0.053, abs=5e-4)
    assert by_wind == pytest.approx(0.027, abs=1e-3)
    computed = enhanced_infiltration(0.051, 0.67, 2, True, 39.0, sheltered)
    assert computed == pytest.approx(0.059, abs=1e-3)


def test_models_grow_with_height_and_exposure() -> None:
    """Taller houses draw more, sheltered ones less (the order of the handbook's tables)."""
    by_storeys = [float(basic_infiltration(0.05, each, 3, 20.0, 4.0)) for each in (1, 2, 3)]
    by_shelter = [float(basic_infiltration(0.05, 2, each, 20.0, 4.0)) for each in (1, 2, 3, 4, 5)]
    assert by_storeys == sorted(by_storeys)
    assert by_shelter == sorted(by_shelter, reverse=True)

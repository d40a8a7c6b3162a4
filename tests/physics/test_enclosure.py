"""Radiation between the faces of a space: plates, boxes, hoods, and a gable roof's prism."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assembly_sim.physics.enclosure import radiant_emissivities, view_of_rest

areas = st.lists(st.floats(0.1, 100.0), min_size=3, max_size=8)


def between(areas, emittances) -> float:
    """Exchange of two faces by the node where they meet, per m2 of the first, over black plates."""
    first, second = np.asarray(areas) * radiant_emissivities(areas, emittances)
    return float(first * second / (first + second) / areas[0])


@pytest.mark.parametrize("emittances", [(0.9, 0.9), (0.9, 0.05), (0.2, 0.6)])
def test_two_plates(emittances):
    """1 / (1 / e1 + 1 / e2 - 1), any textbook's."""
    one, other = emittances
    assert between((5.0, 5.0), emittances) == pytest.approx(1.0 / (1.0 / one + 1.0 / other - 1.0))


def test_a_plate_under_a_hood():
    """A large hood sees itself; the plate under it sends as if it were alone: e1 of A1 << A2,
    1 / (1 / e1 + A1 / A2 (1 / e2 - 1)) of convex bodies, any textbook's."""
    found = between((1.0, 4.0), (0.8, 0.5))
    assert found == pytest.approx(1.0 / (1.0 / 0.8 + 0.25 * (1.0 / 0.5 - 1.0)), rel=1e-4)


def test_a_cube():
    """Six equal faces, each of which sees five sixths of what all send to the node."""
    assert view_of_rest(np.full(6, 3.0)) == pytest.approx(np.full(6, 1.2))


def pairs(areas) -> np.ndarray:
    """m2 by which black faces exchange, two by two, with the node taken out of the star."""
    strength = np.asarray(areas) * view_of_rest(areas)
    return np.outer(strength, strength) / strength.sum()


@pytest.mark.parametrize("pitch", [20.0, 30.0, 45.0, 60.0])
def test_a_long_gable_roof(pitch):
    """A_i F_ij = (L_i + L_j - L_k) / 2 of a triangle (Hottel's crossed strings).

    By areas alone the floor's view of the slopes is right within some hundredths.
    """
    slope = 0.5 / np.cos(np.radians(pitch))
    lengths = np.array([1.0, slope, slope])
    found = pairs(lengths)
    exact = 0.5 * (lengths[:, None] + lengths - (lengths.sum() - lengths[:, None] - lengths))
    assert found[0, 1:] == pytest.approx(exact[0, 1:], rel=0.05)
    assert found[1, 2] == pytest.approx(exact[1, 2], abs=0.03)


@given(areas)
def test_factors_answer_their_own_equation(sizes):
    """F (1 - A F / sum A F) = 1, unless one face is larger than all others together."""
    size = np.array(sizes)
    if size.max() > 0.9 * (size.sum() - size.max()):
        return
    factor = view_of_rest(size)
    share = size * factor / (size * factor).sum()
    assert factor * (1.0 - share) == pytest.approx(np.ones(len(size)), rel=1e-6)
    assert (factor >= 1.0).all()
    turned = view_of_rest(size[::-1])
    assert turned[::-1] == pytest.approx(factor, rel=1e-9)


def test_what_sends_nothing_gets_nothing():
    found = radiant_emissivities([10.0, 10.0, 10.0], [0.0, 0.5, 0.9])
    assert found[0] == 0.0
    assert 0.0 < found[1] < 0.5 * view_of_rest([10.0, 10.0, 10.0])[1] < found[2] * 1.5
    assert radiant_emissivities([10.0], [0.9]) == pytest.approx([9.0], rel=1e-4)

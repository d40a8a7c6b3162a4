"""How the bench reads a ratio at equal error: on lines of logarithms, and none where none is."""

import pytest

from tests.bench.solver import ratio


def tried(*told):
    return [{"seconds": s, "temperature_rms": t, "water_rms": w} for s, t, w in told]


BOTH = ["temperature_rms", "water_rms"]


def test_a_method_whose_error_falls_as_the_square_of_its_time():
    """error = (4 / seconds)^2 passes 1 at 4 s, whatever was tried about it."""
    found = tried(*((s, (4.0 / s) ** 2, 0.1) for s in (1.0, 3.0, 5.0)))
    assert ratio(found, BOTH, 0.5) == pytest.approx(8.0)


def test_the_worse_of_two_errors_decides_and_each_may_be_asked_for():
    found = tried((1.0, 0.5, 16.0), (2.0, 0.4, 4.0), (8.0, 0.1, 0.25))
    assert ratio(found, ["temperature_rms"], 1.0) == pytest.approx(1.0)
    assert ratio(found, BOTH, 1.0) == ratio(found, ["water_rms"], 1.0) == pytest.approx(4.0)


def test_no_ratio_where_no_tolerance_was_good_enough():
    assert ratio(tried((1.0, 2.0, 2.0), (2.0, 1.1, 0.5)), BOTH, 1.0) is None
    assert ratio([], BOTH, 1.0) is None

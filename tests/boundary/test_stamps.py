"""Stamps between hours, and the calendar of a run."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from invented_weather import case, invented_climate

from assembly_sim.boundary.stamps import (
    calendar,
    from_means,
    from_states,
    month_days,
    running_mean,
    start_hour,
)
from assembly_sim.errors import InputError


@given(st.lists(st.floats(0.0, 1e4), min_size=2, max_size=60))
def test_means_are_kept_and_never_negative(values: list[float]) -> None:
    """The integral of the straight lines over each hour is that hour's mean."""
    mean = np.array(values)
    stamps = from_means(mean)
    closed = np.append(stamps, stamps[0])
    hourly = 0.25 * (closed[:-1:2] + 2.0 * closed[1::2] + closed[2::2])
    np.testing.assert_allclose(hourly, mean, atol=1e-9)
    assert stamps.min() >= -1e-9


def test_a_steady_mean_stays_steady_and_a_dark_hour_dark() -> None:
    assert from_means(np.full(5, 7.0)) == pytest.approx(np.full(10, 7.0))
    stamps = from_means(np.array([0.0, 0.0, 300.0, 0.0]))
    assert stamps[[0, 1, 2, 3, 4, 6, 7]] == pytest.approx(0.0)
    assert stamps[5] == pytest.approx(600.0)


def test_states_hold_at_the_ends_of_their_hours() -> None:
    """Row 0 is midnight: the year's last state; half hours lie halfway."""
    state = np.array([10.0, 20.0, 40.0])
    assert from_states(state) == pytest.approx([40.0, 25.0, 10.0, 15.0, 20.0, 30.0])


def test_running_mean_at_noon_is_that_of_the_calendar_day() -> None:
    """Noon is row 11; the day's 24 hours from midnight to midnight, ends halved."""
    values = np.random.default_rng(1).normal(size=8760)
    smooth = running_mean(values, 24)
    midnight_to_midnight = np.concatenate([[values[-1]], values[:24]])
    trapezoid = 0.5 * (midnight_to_midnight[:-1] + midnight_to_midnight[1:])
    assert smooth[11] == pytest.approx(trapezoid.mean())
    assert smooth.mean() == pytest.approx(values.mean())


def test_calendar_of_a_run_from_october() -> None:
    month, day = calendar(case(invented_climate()), 2 * 8760)
    assert len(month) == len(day) == 2 * 8760
    assert (month[0], month[31 * 24 - 1], month[31 * 24]) == (10, 10, 11)
    assert (month[8759], month[8760]) == (9, 10)
    assert (day[0], day[23], day[24], day[-1]) == (0, 0, 1, 729)
    assert [int((month[:8760] == m).sum()) for m in (2, 4, 12)] == [672, 720, 744]


def test_leap_years_start_a_day_later_after_february() -> None:
    assert start_hour(case(invented_climate(), start_month=3)) == 59 * 24
    assert start_hour(case(invented_climate(8784), start_month=3)) == 60 * 24
    assert (calendar(case(invented_climate(8784)), 8784)[0] == 2).sum() == 29 * 24


def test_a_year_cut_short_is_refused() -> None:
    with pytest.raises(InputError, match="8000 hours"):
        month_days(8000)

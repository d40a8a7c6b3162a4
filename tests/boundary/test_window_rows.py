"""Boundary rows of a window of weather: those of the year it was cut from, in order, once."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest
from invented_weather import assembly, case, greensboro, invented_climate

from assembly_sim.boundary.columns import ABSORBED_SUN, OUTDOOR_TEMPERATURE, ROOM_VAPOUR_PRESSURE
from assembly_sim.boundary.forcing import boundary_rows, sun_position
from assembly_sim.boundary.period import length_in_words, whole_years, year_number
from assembly_sim.boundary.stamps import calendar, running_mean
from assembly_sim.errors import InputError
from assembly_sim.model import Case, Climate, ExcessVapour, MoistureBalance, SineOverYear
from assembly_sim.physics import sun
from tests.windows import joined, window

AUTUMN = (31 + 28 + 31 + 30 + 31 + 30 + 31 + 31 + 30 + 11) * 24 + 14  # 12 October 14:00
WINTER = AUTUMN + 31 * 24  # 12 November 14:00
ROOM = {
    "temperature": SineOverYear(294.15, 2.0),
    "humidity": SineOverYear(0.45, 0.15, 220.0),
}


@pytest.mark.parametrize("weather", [invented_climate, greensboro])
def test_rows_are_those_of_the_year_it_was_cut_from(weather) -> None:
    """But for the hour at either end, whose neighbours a window does not know."""
    climate, part = weather(), assembly(35.0, 200.0)
    whole = boundary_rows(case(climate, part, start_month=1, **ROOM), part)
    rows = boundary_rows(case(window(climate, AUTUMN, 1300), part, **ROOM), part)
    assert rows.shape == (2 * 1300 + 1, whole.shape[1])
    there = whole[2 * AUTUMN : 2 * (AUTUMN + 1300) + 1]
    np.testing.assert_allclose(rows[2:-2], there[2:-2], rtol=1e-12, atol=1e-6)  # sun: 2e-7 W/m2
    assert rows[0, OUTDOOR_TEMPERATURE] == climate.temperature[AUTUMN]  # the first value is held
    assert rows[-1, OUTDOOR_TEMPERATURE] == climate.temperature[AUTUMN + 1299]


def test_a_window_goes_on_after_new_year() -> None:
    """54 days from 12 November 14:00: the sun of two real years differs by parts of a degree."""
    climate, part = greensboro(), assembly(90.0, 180.0)
    whole = boundary_rows(case(climate, part, start_month=1, **ROOM), part)[:-1]
    rows = boundary_rows(case(window(climate, WINTER, 1300), part, **ROOM), part)
    there = np.take(whole, np.arange(2 * WINTER, 2 * (WINTER + 1300) + 1), axis=0, mode="wrap")
    others = [column for column in range(whole.shape[1]) if column != ABSORBED_SUN]
    np.testing.assert_allclose(rows[2:-2, others], there[2:-2, others], rtol=1e-9)
    np.testing.assert_allclose(rows[2:-2, ABSORBED_SUN], there[2:-2, ABSORBED_SUN], atol=6.0)
    assert there[:, ABSORBED_SUN].max() > 500.0


def test_real_years_in_a_row_are_their_rows_in_order() -> None:
    """An ordinary year and a leap year: 17,544 hours, each at its own date."""
    part = assembly(90.0, 180.0)
    first = window(invented_climate(), 0, 8760, "2023-01-01T00:00")
    second = window(invented_climate(8784), 0, 8784, "2024-01-01T00:00")
    each = [boundary_rows(case(one, part, **ROOM), part) for one in (first, second)]
    both = boundary_rows(case(joined(first, second), part, **ROOM), part)
    assert len(both) == 2 * 17544 + 1
    near = {"rtol": 1e-12, "atol": 1e-6}
    np.testing.assert_allclose(both[: 2 * 8760 - 2], each[0][:-3], **near)
    np.testing.assert_allclose(both[2 * 8760 + 2 :], each[1][2:], **near)


def test_a_window_does_not_wrap() -> None:
    """What happens at its end is not felt at its start, in rows and in means of days and months."""
    plain = window(invented_climate(), 2000, 1300)
    late = np.arange(1300) >= 1276
    other = replace(
        plain,
        temperature=plain.temperature + 15.0 * late,
        vapour_pressure=plain.vapour_pressure * (1.0 + 0.2 * late),
    )
    rules = ExcessVapour(500.0), MoistureBalance(300.0, 0.5, 1e-4)
    for rule in rules:
        before, after = (
            boundary_rows(case(climate, humidity=rule), assembly()) for climate in (plain, other)
        )
        np.testing.assert_array_equal(before[: 2 * 500], after[: 2 * 500])
        assert (before[-40:, ROOM_VAPOUR_PRESSURE] != after[-40:, ROOM_VAPOUR_PRESSURE]).any()


def test_running_means_hold_the_ends_of_a_window() -> None:
    values = np.array([4.0, 0.0, 0.0, 0.0, 0.0, 8.0])
    assert running_mean(values, 4, wraps=False)[0] == pytest.approx((4.0 * 2.5 + 0.0) / 4.0)
    assert running_mean(values, 4, wraps=False)[-1] == pytest.approx(8.0 * 2.5 / 4.0)
    assert running_mean(values, 4)[0] == pytest.approx((0.5 * 0 + 8 + 4) / 4.0)


@pytest.mark.parametrize("begins", ["2023-12-30T14:00", "2024-02-27T14:00", "2023-02-27T05:00"])
def test_calendar_is_that_of_its_dates(begins: str) -> None:
    """Across New Year and 29 February, against the standard library's dates hour by hour."""
    climate = window(invented_climate(), 0, 1500, begins)
    month, day = calendar(case(climate), 1400)
    start = datetime.fromisoformat(begins)
    true = [start + timedelta(hours=hour) for hour in range(1400)]
    assert month.tolist() == [moment.month for moment in true]
    assert day.tolist() == [(moment.date() - start.date()).days for moment in true]


@pytest.mark.parametrize("begins", ["2024-02-28T00:00", "2023-12-31T14:00", "2021-06-01T00:00"])
def test_sun_stands_where_it_does_on_the_true_date(begins: str) -> None:
    """pvlib's positions against those of `physics.sun`, counted from New Year of the first year."""
    climate = window(invented_climate(), 0, 1300, begins)
    middle = climate.since_new_year + 0.5 - climate.time_zone
    zenith, _ = sun.sun_position(climate.year, middle, climate.latitude, climate.longitude)
    found = sun_position(climate)
    assert str(found.index[0])[:16] == begins.replace("T", " ").replace(":00", ":30")
    np.testing.assert_allclose(found["zenith"].to_numpy(), np.degrees(zenith), atol=0.02)


def climate_of(begins: str, hours: int) -> Climate:
    return window(invented_climate(), 0, hours, begins)


@pytest.mark.parametrize(
    ("begins", "hours", "lengths", "words"),
    [
        ("2021-01-01T00:00", 26280, [8760, 8760, 8760], "3 years"),
        ("2022-01-01T00:00", 26304, [8760, 8760, 8784], "3 years"),
        ("2023-07-01T09:00", 8784, [8784], "1 year"),
        ("2023-07-01T09:00", 8783, [], "366 days"),
        ("2020-02-29T00:00", 8784, [8784 - 24], "1.0 years"),
        ("2021-11-12T14:00", 1300, [], "54 days"),
        ("2021-11-12T14:00", 30, [], "30 hours"),
        ("2021-01-01T00:00", 13140, [8760], "1.5 years"),
    ],
)
def test_whole_years_of_a_window_are_those_of_the_calendar(
    begins: str, hours: int, lengths: list[int], words: str
) -> None:
    climate = climate_of(begins, hours)
    years = whole_years(climate, hours)
    assert [year.stop - year.start for year in years] == lengths
    assert not years or years[-1].stop == hours
    assert length_in_words(climate, hours) == words


def test_years_are_numbered_from_the_first_hour() -> None:
    climate = climate_of("2023-07-01T09:00", 20000)
    assert [year_number(climate, h) for h in (0, 8783, 8784, 17543, 17544)] == [1, 1, 2, 2, 3]


@pytest.mark.parametrize(
    ("changes", "words"),
    [({"years": 2}, "years"), ({"start_month": 3}, "start_month")],
)
def test_years_and_start_month_are_refused_with_a_window(changes, words: str) -> None:
    with pytest.raises(InputError, match=f"{words}: .*2021-11-12T14:00, which runs once"):
        case(climate_of("2021-11-12T14:00", 1300), **changes)


@pytest.mark.parametrize("begins", ["2021-11-12T14:30", "autumn", "2021-11-12T14:00+01:00"])
def test_a_window_begins_at_a_full_hour(begins: str) -> None:
    with pytest.raises(InputError, match="no full hour"):
        climate_of(begins, 48)


def test_a_window_keeps_what_a_case_keeps() -> None:
    """It compares, hashes and shows its first hour."""
    one, other = climate_of("2021-11-12T14", 48), climate_of("2021-11-12T14:00", 48)
    assert one == other
    assert hash(case(one)) == hash(case(other))
    assert one != climate_of("2021-11-12T15:00", 48)
    assert "begins='2021-11-12T14:00'" in repr(one)
    assert isinstance(case(one), Case)

"""Schedules as people write them: what they mean, written back, and refused with line and cure."""

import pytest
from case_texts import SOUND, line_of, problems

import assembly_sim as sim
from assembly_sim.model import ScheduleEntry

STEADY = 'temperature = "20 degC"'


def with_schedule(*entries: str, otherwise: str = "20 degC", more: str = "") -> str:
    listed = ",\n".join(entries)
    rule = f'temperature = {{ otherwise = "{otherwise}", {more}at = [\n{listed}\n] }}'
    return SOUND.replace(STEADY, rule, 1)


def read(text, folder):
    path = folder / "case.toml"
    path.write_text(text)
    return sim.read_case(path)


NIGHT = '{ hours = "22-6", weekdays = "Mon-Fri", value = "61 degF" }'
WEEKEND = '{ weekdays = "Saturday, Sun", months = "Nov-Mar, 7", value = "12 degC" }'


def test_it_means_what_it_says(tmp_path):
    rule = read(
        with_schedule(NIGHT, WEEKEND, more='first_day = "Thu", '), tmp_path
    ).room.temperature
    night, weekend = rule.entries
    assert night.hours == (0, 1, 2, 3, 4, 5, 22, 23)
    assert night.weekdays == (0, 1, 2, 3, 4)
    assert night.months == tuple(range(1, 13))
    assert night.value == pytest.approx((61 - 32) / 1.8 + 273.15)
    assert (weekend.weekdays, weekend.months) == ((5, 6), (1, 2, 3, 7, 11, 12))
    assert (rule.otherwise, rule.first_weekday) == (pytest.approx(293.15), 3)


def test_it_is_written_back_equal(tmp_path):
    case = read(with_schedule(NIGHT, WEEKEND), tmp_path)
    sim.write_case(case, tmp_path / "again.toml")
    assert sim.read_case(tmp_path / "again.toml") == case
    assert any("Monday" in note for note in case.unstated)


def test_humidity_has_schedules_too(tmp_path):
    rule = '{ otherwise = "35 %", at = [{ hours = "6:00-8:00", value = "60 %" }] }'
    case = read(SOUND.replace('humidity = "40 %"', f"humidity = {rule}"), tmp_path)
    assert case.room.temperature.value == pytest.approx(293.15)
    assert case.room.humidity.entries == (ScheduleEntry(0.6, hours=(6, 7)),)


def test_a_case_with_a_base_turns_its_room_down(tmp_path):
    (tmp_path / "base.toml").write_text(SOUND)
    room = with_schedule(NIGHT).split("[room]")[1].split("humidity")[0]
    option = f'base = "base.toml"\n[room]\n{room}'
    assert read(option, tmp_path).room.temperature.entries[0].hours[-1] == 23


@pytest.mark.parametrize(
    ("entries", "why"),
    [
        (['{ hours = "22-22", value = "16 degC" }'], "goes round to where it begins"),
        (['{ hours = "22-6:30", value = "16 degC" }'], "whole hours"),
        (['{ hours = "22-25", value = "16 degC" }'], "whole hours"),
        (['{ hours = "6-9, 8-10", value = "16 degC" }'], "name each time once"),
        (['{ hours = "night", value = "16 degC" }'], "22-6"),
        (['{ hours = 22, value = "16 degC" }'], "tells no time"),
        (['{ weekdays = "Mon-Freitag", value = "16 degC" }'], "Mon-Fri"),
        (['{ months = "13", value = "16 degC" }'], "Nov-Mar"),
        (['{ hours = "22-6" }'], "'value' is missing"),
        (['{ hours = "22-6", value = "16" }'], "unit"),
        (['{ hours = "22-6", value = "160 degC" }'], "out of range"),
        ([NIGHT, '{ months = "Jan", value = "5 degC" }'], "entry 1 holds too"),
        ([], "write one at least|there is no at"),
    ],
)
def test_what_cannot_be_is_refused_with_line_and_cure(entries, why, tmp_path):
    import re

    text = with_schedule(*entries)
    found = problems(text, tmp_path)
    assert any(re.search(why, f"{one.cause}; {one.cure}") for one in found)
    begin = line_of(text, "otherwise")
    assert all(one.cure and begin <= (one.line or 0) <= begin + 3 for one in found)


def test_a_first_day_is_one_day(tmp_path):
    (found,) = problems(with_schedule(NIGHT, more='first_day = "Mon-Tue", '), tmp_path)
    assert "more than one day" in found.cause

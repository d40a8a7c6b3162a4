"""Rooms by the clock: hours counted by the standard library's calendar."""

from __future__ import annotations

import dataclasses
from datetime import datetime, timedelta

import numpy as np
import pytest

from assembly_sim.boundary.room_state import room_temperature
from assembly_sim.boundary.schedule import clock, schedule_values
from assembly_sim.errors import InputError
from assembly_sim.model import Constant, Room, Schedule, ScheduleEntry
from tests import synthetic

NIGHT = (22, 23, 0, 1, 2, 3, 4, 5)
SETBACK = Schedule(
    293.15,
    (
        ScheduleEntry(289.15, hours=NIGHT, weekdays=(0, 1, 2, 3, 4)),
        ScheduleEntry(285.15, weekdays=(5, 6), months=(1, 2, 12)),
    ),
)


def by_calendar(begins: datetime, hours: int) -> np.ndarray:
    """The same schedule as a person reads it, hour by hour."""
    found = []
    for hour in range(hours):
        now = begins + timedelta(hours=hour)
        weekend = now.weekday() >= 5
        if weekend and now.month in (12, 1, 2):
            found.append(285.15)
        elif not weekend and (now.hour >= 22 or now.hour < 6):
            found.append(289.15)
        else:
            found.append(293.15)
    return np.array(found)


def test_a_year_that_wraps_begins_on_the_day_that_is_said():
    # 2018 began on a Monday, 2022 on a Saturday
    climate = synthetic.climate()
    assert np.array_equal(
        schedule_values(SETBACK, climate), by_calendar(datetime(2018, 1, 1), 8760)
    )
    saturday = dataclasses.replace(SETBACK, first_weekday=5)
    expected = by_calendar(datetime(2022, 1, 1), 8760)
    assert np.array_equal(schedule_values(saturday, climate), expected)


def test_a_window_has_its_own_dates():
    begins = datetime(2023, 12, 29, 15)
    climate = dataclasses.replace(synthetic.climate(2000), begins=begins.isoformat())
    assert np.array_equal(schedule_values(SETBACK, climate), by_calendar(begins, 2000))
    hour, weekday, month = clock(climate)
    assert (hour[0], weekday[0], month[0]) == (15, 4, 12)


def test_a_room_follows_it():
    case = synthetic.case(room=Room(SETBACK, Constant(0.4)))
    assert np.array_equal(room_temperature(case), schedule_values(SETBACK, case.climate))


@pytest.mark.parametrize(
    ("make", "why"),
    [
        (lambda: ScheduleEntry(290.0, hours=(24,)), "no such hours"),
        (lambda: ScheduleEntry(290.0, months=()), "no such months"),
        (lambda: ScheduleEntry(290.0, weekdays=(7,)), "no such weekdays"),
        (
            lambda: Schedule(290.0, (ScheduleEntry(1.0), ScheduleEntry(2.0, months=(3,)))),
            "entries 1 and 2 hold in the same hours",
        ),
        (lambda: Schedule(290.0, (), first_weekday=9), "no such day"),
        (lambda: Room(Schedule(290.0, (ScheduleEntry(16.0),)), Constant(0.4)), "out of range"),
        (lambda: Room(Constant(290.0), Schedule(40.0, ())), "out of range"),
    ],
)
def test_what_cannot_be_is_refused(make, why):
    with pytest.raises(InputError, match=why):
        make()

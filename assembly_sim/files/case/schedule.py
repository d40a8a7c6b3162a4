"""Schedules of a case file: hours, weekdays and months as people write them, and back."""

from __future__ import annotations

import re
from calendar import day_name, month_name
from collections.abc import Sequence
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from assembly_sim.files.case import fields as of
from assembly_sim.files.case.fields import EntryError, Table
from assembly_sim.model.schedule import (
    HOURS,
    MONTHS,
    WEEKDAY_NAMES,
    WEEKDAYS,
    Schedule,
    ScheduleEntry,
    overlap,
)

MOST_ENTRIES = 50
_HOUR = re.compile(r"([0-9]{1,2})(?::00)?")


def _spans(text: Any, cure: str) -> list[tuple[str, str]]:
    """`Nov-Mar, Jul` as pairs of words, first and last."""
    if not isinstance(text, str) or not text.strip():
        raise EntryError("this tells no time", cure)
    parts = [part.strip() for part in text.split(",")]
    words = [[word.strip() for word in re.split(r"-|\u2013| to ", part)] for part in parts]
    if any(len(pair) > 2 or not all(pair) for pair in words):
        raise EntryError(f"'{text[:40]}' is no span of time", cure)
    return [(pair[0], pair[-1]) for pair in words]


def _hours(text: Any) -> tuple[int, ...]:
    cure = 'write whole hours from and to, such as "22-6" or "6-9, 17-22"'
    found: list[int] = []
    for first, last in _spans(text, cure):
        ends = [_HOUR.fullmatch(word) for word in (first, last)]
        begin, end = (int(one[1]) if one else 25 for one in ends)
        if begin > 23 or end > 24:
            raise EntryError(f"'{text[:40]}' is no span of whole hours", cure)
        if begin == end % 24 and not (begin == 0 and end == 24):
            cause = f"'{first}-{last}' goes round to where it begins: that is all day, or never"
            raise EntryError(cause, "leave hours out for all day, or give another end")
        found += _around(begin, (end - 1) % 24, HOURS)
    return _once(found, text)


def _named(names: Sequence[str], every: Sequence[int], what: str, cure: str) -> Any:
    """Reader of weekdays or months: names in full or by three letters; months also by number."""
    known = {name.lower(): number for number, name in zip(every, names)}
    known |= {name[:3].lower(): number for number, name in zip(every, names)}
    if what == "months":
        known |= {str(number): number for number in every}

    def read(text: Any) -> tuple[int, ...]:
        found: list[int] = []
        for first, last in _spans(text, cure):
            if not {first.lower(), last.lower()} <= known.keys():
                raise EntryError(f"'{text[:40]}' names no {what}", cure)
            found += _around(known[first.lower()], known[last.lower()], every)
        return _once(found, text)

    return read


def _around(first: int, last: int, every: Sequence[int]) -> list[int]:
    """From first to last, both in, on round the end where last comes before first."""
    length = (last - first) % len(every) + 1
    return [every[(first - every[0] + k) % len(every)] for k in range(length)]


def _once(found: list[int], text: str) -> tuple[int, ...]:
    if len(set(found)) < len(found):
        raise EntryError(f"spans of '{text[:40]}' overlap", "name each time once")
    return tuple(sorted(found))


_TEXT = WithJsonSchema({"type": "string"})
_DAYS = _named(tuple(day_name), WEEKDAYS, "weekdays", 'write days such as "Mon-Fri" or "Sat, Sun"')
_MONTHS = _named(month_name[1:], MONTHS, "months", 'write months such as "Nov-Mar" or "7, 8"')
Hours = Annotated[tuple[int, ...], BeforeValidator(_hours), _TEXT]
Weekdays = Annotated[tuple[int, ...], BeforeValidator(_DAYS), _TEXT]
Months = Annotated[tuple[int, ...], BeforeValidator(_MONTHS), _TEXT]


def _weekday(text: Any) -> int:
    days = _DAYS(text)
    if len(days) != 1:
        raise EntryError("this is more than one day", 'write one day, such as "Mon"')
    return int(days[0])


class _EntryText(Table):
    """When a value holds: what is not said is every hour, day or month."""

    hours: Hours = HOURS
    weekdays: Weekdays = WEEKDAYS
    months: Months = MONTHS


class TemperatureEntry(_EntryText):
    """A temperature in some hours."""

    value: of.RoomTemperature


class HumidityEntry(_EntryText):
    """A humidity in some hours."""

    value: of.RoomHumidity


class _ScheduleText(Table):
    first_day: Annotated[int, BeforeValidator(_weekday), _TEXT] = 0

    def schedule(self) -> Schedule:
        """The schedule in the words of the model."""
        said: Any = self
        return Schedule(said.otherwise, self.entries(), self.first_day)

    def entries(self) -> tuple[ScheduleEntry, ...]:
        """Its entries."""
        said: Any = self
        return tuple(ScheduleEntry(a.value, a.hours, a.weekdays, a.months) for a in said.at)

    @model_validator(mode="after")
    def _each_hour_has_one_value(self) -> _ScheduleText:
        both = overlap(self.entries())
        if both is not None:
            cause = f"this holds in hours in which entry {both[0] + 1} holds too"
            raise EntryError(cause, "part them by hours, weekdays or months", "at", both[1])
        return self


class TemperatureSchedule(_ScheduleText):
    """A temperature by the clock: `otherwise`, but at some hours another."""

    otherwise: of.RoomTemperature
    at: list[TemperatureEntry] = Field(min_length=1, max_length=MOST_ENTRIES)


class HumiditySchedule(_ScheduleText):
    """A humidity by the clock: `otherwise`, but at some hours another."""

    otherwise: of.RoomHumidity
    at: list[HumidityEntry] = Field(min_length=1, max_length=MOST_ENTRIES)


def entry_table(entry: ScheduleEntry, value: Any) -> dict[str, Any]:
    """An entry as its table, with `value` as written."""
    table = {"value": value}
    if entry.hours != HOURS:
        table["hours"] = ", ".join(f"{a}-{b + 1}" for a, b in _runs(entry.hours))
    if entry.weekdays != WEEKDAYS:
        table["weekdays"] = ", ".join(WEEKDAY_NAMES[day] for day in entry.weekdays)
    if entry.months != MONTHS:
        table["months"] = ", ".join(month_name[month][:3] for month in entry.months)
    return table


def _runs(numbers: Sequence[int]) -> list[tuple[int, int]]:
    """First and last of each run of numbers that follow one another."""
    starts = [n for n in numbers if n - 1 not in numbers]
    return list(zip(starts, [n for n in numbers if n + 1 not in numbers]))

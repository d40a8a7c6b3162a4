"""A room that follows the clock: set back at night, unheated for a season, warm on Sundays."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

from assembly_sim.model.kinds import check_fields
from assembly_sim.model.ranges import refused

HOURS, WEEKDAYS, MONTHS = tuple(range(24)), tuple(range(7)), tuple(range(1, 13))
WEEKDAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True)
class ScheduleEntry:
    """A value in some hours of some days: K or 0-1.

    hours: those that it holds in, each by its beginning, 0 to 23; weekdays: from 0, Monday; months:
    1 to 12. All three go together; what is not said is every one.
    """

    value: float
    hours: tuple[int, ...] = HOURS
    weekdays: tuple[int, ...] = WEEKDAYS
    months: tuple[int, ...] = MONTHS

    def __post_init__(self) -> None:
        check_fields(self)
        for name, every in (("hours", HOURS), ("weekdays", WEEKDAYS), ("months", MONTHS)):
            given = tuple(sorted(set(getattr(self, name))))
            if not given or not set(given) <= set(every):
                cure = f"give some of {every[0]} to {every[-1]}"
                raise refused(f"schedule.{name}", f"there are no such {name}", cure)
            object.__setattr__(self, name, given)

    def meets(self, other: ScheduleEntry) -> bool:
        """Whether there is an hour in which both hold."""
        return all(
            set(getattr(self, name)) & set(getattr(other, name))
            for name in ("hours", "weekdays", "months")
        )


@dataclass(frozen=True)
class Schedule:
    """Entries that hold in their hours, and `otherwise` in all that are left; K or 0-1.

    first_weekday: that of 1 January in weather without dates, 0 for Monday. The room follows at
    once: how slowly a heavy house cools is not in it.
    """

    otherwise: float
    entries: tuple[ScheduleEntry, ...]
    first_weekday: int = 0

    def __post_init__(self) -> None:
        check_fields(self)
        if self.first_weekday not in WEEKDAYS:
            raise refused("schedule.first_weekday", "there is no such day", "give 0 to 6")
        both = overlap(self.entries)
        if both is not None:
            cause = f"entries {both[0] + 1} and {both[1] + 1} hold in the same hours"
            raise refused("schedule", cause, "part them by hours, weekdays or months")

    @property
    def values(self) -> tuple[float, ...]:
        """All values that it can have."""
        return (self.otherwise, *(entry.value for entry in self.entries))


def overlap(entries: Iterable[ScheduleEntry]) -> tuple[int, int] | None:
    """Numbers, from 0, of the first two entries that share an hour; None: each hour has one."""
    pairs = combinations(enumerate(entries), 2)
    return next(((i, j) for (i, one), (j, other) in pairs if one.meets(other)), None)

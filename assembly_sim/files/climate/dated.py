"""Rows with their year: a window of measured hours, or several real years, in their true order."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.climate.rows import (
    HOUR_CURE,
    LONGEST_GAP,
    Array,
    dated_stamp,
    gap_before,
    placed,
)

SHORTEST, LONGEST = 24, 50 * 8784  # hours
IN_ORDER = (
    "hours must rise, none twice, in standard time all year; a typical year, whose months come "
    "from several years, has no column year"
)
SPLIT = f"gaps up to {LONGEST_GAP} h are filled; mend the file or give what lies between gaps"


def dated_rows(
    columns: Mapping[str, Array], stamps: Mapping[str, Array], first: int, file: str
) -> tuple[dict[str, Array], NDArray[np.int64], np.datetime64]:
    """Columns with each row at its hour, the line of each hour, and when the first begins.

    `stamps`: year, month, day and hour (1 to 24) of each row; `first`: index of row one. Raises
    `InputError` for hours that are none, that overlap, that lack more than 6 h, or are too few.
    """
    starts = _starts(stamps, first, file)
    back = np.flatnonzero(np.diff(starts) <= np.timedelta64(0))
    if back.size:
        row = int(back[0]) + 1
        again = "stands twice" if starts[row] == starts[row - 1] else "lies before the row above"
        cause = f"this hour ({dated_stamp(starts[row])}) {again}"
        raise InputError(Problem(cause, IN_ORDER, file, first + row + 1))
    index = (starts - starts[0]).astype(int)
    resumes = gap_before(index)
    if resumes is not None:
        after = dated_stamp(starts[resumes - 1] + np.timedelta64(1, "h"))
        cause = f"{index[resumes] - index[resumes - 1] - 1} rows missing from {after}"
        raise InputError(Problem(cause, SPLIT, file, first + resumes + 1))
    if not SHORTEST <= index[-1] + 1 <= LONGEST:
        cause = f"the file holds {index[-1] + 1} hours, to {dated_stamp(starts[-1])}"
        cure = f"give {SHORTEST} hours to {LONGEST // 8784} years"
        raise InputError(Problem(cause, cure, file, first + len(index)))
    return *placed(columns, index, int(index[-1]) + 1, first), starts[0]


def _starts(stamps: Mapping[str, Array], first: int, file: str) -> NDArray[np.datetime64]:
    """When each row's hour begins, (rows,)."""
    year, month, day, hour = (stamps[name] for name in ("year", "month", "day", "hour"))
    good = np.isin(month, np.arange(1, 13)) & np.isin(hour, np.arange(1, 25))
    good &= np.isin(day, np.arange(1, 32)) & np.isin(year, np.arange(1900, 2101))
    months = np.where(good, 12 * (year - 1970) + month - 1, 0).astype(int)
    in_month = months.astype("datetime64[M]")
    days = in_month.astype("datetime64[D]") + np.where(good, day - 1, 0).astype(int)
    good &= days.astype("datetime64[M]") == in_month  # no 31 April, no 29 February 2023
    if not good.all():
        row = int(np.argmin(good))
        stamp = f"{year[row]:g}-{month[row]:g}-{day[row]:g} hour {hour[row]:g}"
        raise InputError(Problem(f"{stamp} is no hour of a year", HOUR_CURE, file, first + row + 1))
    return days.astype("datetime64[h]") + hour.astype(int) - 1

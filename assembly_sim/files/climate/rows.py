"""Text of a weather file to columns of numbers: what every format shares."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import NoReturn

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem

Array = NDArray[np.float64]

MIXED_HOURS = "rain is not usable: it mixes sums over different numbers of hours"
HOUR_CURE = "months run from 1 to 12, hours of a day from 1 to 24 (each names its end)"
LONGEST_GAP = 6  # hours that are filled between neighbours
LONGEST_QUOTE = 20  # characters of a file that a message shows: a case may name any file
LONGEST_NAME = 80  # characters of a place's name that are kept


@dataclass(frozen=True)
class Reading:
    """A weather file as read: units of the trade, NaN where a value is missing.

    `begins` None: a whole year, from 1 January; else a window, whose first row begins then.
    `columns` holds arrays of hourly values in the hour's place, interval ending:
    `temperature` and `dew_point` (degC), `relative_humidity` (%), `pressure` (Pa), `wind_speed`
    (m/s), `wind_direction` (degree), `global_horizontal`, `direct_normal`, `diffuse_horizontal`
    and `sky_longwave` (W/m2), `cloud_cover` (0-1), `rain` (mm), `snow_depth` (m). A column that
    is not there is not in the file. `lines` gives the line of each hour, 0 for a missing row.
    """

    file: str
    kind: str
    name: str
    latitude: float
    longitude: float
    time_zone: float
    elevation: float
    year: int
    columns: Mapping[str, Array]
    lines: NDArray[np.int64]
    wind_height: float = 10.0
    ground_albedo: float | None = None
    notes: tuple[str, ...] = field(default_factory=tuple)
    begins: np.datetime64 | None = None

    @property
    def wraps(self) -> bool:
        """Whether the last hour runs into the first: a whole year, not a window."""
        return self.begins is None

    def stamp(self, index: int) -> str:
        """The end of an hour as people write it, with the year where the file has years."""
        if self.begins is None:
            return stamp_of(index, len(self.lines) == 8784)
        return dated_stamp(self.begins + np.timedelta64(index, "h"))


def decode(data: bytes, file: str) -> tuple[list[str], tuple[str, ...]]:
    """Lines of a weather file and notes on its encoding; UTF-8 or, failing that, Latin-1.

    Only the header can hold letters beyond ASCII, so that Latin-1 at worst misspells a name.
    """
    if not data.strip():
        raise InputError(Problem("the file is empty", "give a TMY3, EPW or CSV file", file))
    if b"\0" in data:
        cure = "save it as plain text in UTF-8"
        raise InputError(Problem("the file is not plain text (it holds NUL bytes)", cure, file))
    notes: tuple[str, ...] = ()
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text, notes = data.decode("latin-1"), ("file is not UTF-8; its header is read as Latin-1",)
    lines = text.replace("\r\n", "\n").replace("\r", "\n").rstrip().split("\n")
    return lines, notes


def quoted(text: str) -> str:
    """The first few characters of what a file holds, for a message."""
    short = text[:LONGEST_QUOTE]
    return f"'{short}'" if short == text else f"'{short}...'"


def separators_cure(line: str, otherwise: str) -> str:
    """What to do where a line's fields are not separated by commas, else the other cure."""
    if sum(line.count(mark) for mark in ";\t") <= line.count(","):
        return otherwise
    return "its fields are not separated by commas: save it with commas and decimal points"


def fields_of(line: str) -> list[str]:
    """Fields of one header line; a quoted field may hold commas."""
    try:
        return [cell.strip() for cell in next(csv.reader([line]), [])]
    except csv.Error:  # a field beyond the reader's limit: no header that anyone wrote
        return [line]


def number(text: str, file: str, line: int, name: str) -> float:
    """One finite number of a header, or an `InputError` that names its line and field."""
    try:
        value = float(text) if "_" not in text else np.nan
    except ValueError:
        value = np.nan
    if not np.isfinite(value):
        cause = f"{quoted(text)} is not a number" if text else "no number is given"
        raise InputError(Problem(cause, f"write {name} as a number", file, line, name))
    return value


def number_in(text: str, limits: tuple[float, float], file: str, line: int, name: str) -> float:
    """One number of a header that lies within limits, or an `InputError`."""
    value = number(text, file, line, name)
    if not limits[0] <= value <= limits[1]:
        cure = f"it must lie between {limits[0]:g} and {limits[1]:g}"
        raise InputError(Problem(f"{value:g} is out of range", cure, file, line, name))
    return value


PLACE_LIMITS = {
    "latitude": (-90.0, 90.0),
    "longitude": (-180.0, 180.0),
    "time zone": (-12.0, 14.0),
    "elevation": (-500.0, 9000.0),
}


def place(cells: Sequence[str], file: str, line: int) -> tuple[float, float, float, float]:
    """Latitude, longitude, time zone and elevation from four header cells in that order."""
    values = [
        number_in(cell, limits, file, line, name)
        for cell, (name, limits) in zip(cells, PLACE_LIMITS.items(), strict=True)
    ]
    return values[0], values[1], values[2], values[3]


def check_widths(lines: Sequence[str], first: int, width: int, file: str) -> None:
    """Refuse a row with more or fewer fields than `width`; `first` is the index of row one."""
    for index in range(first, len(lines)):
        found = lines[index].count(",") + 1
        if found != width:
            cause = f"the row has {found} fields, not {width}"
            if index == len(lines) - 1:
                cause += "; the file seems cut short"
            cure = "give every row all its fields"
            start = lines[index][:LONGEST_QUOTE]
            raise InputError(Problem(cause, cure, file, index + 1, source_line=start))


def parse(
    lines: Sequence[str], first: int, wanted: Mapping[str, int], file: str
) -> dict[str, Array]:
    """Columns of numbers by name from comma-separated rows, blank cells NaN."""
    import pandas

    if first >= len(lines):
        raise InputError(Problem("the file ends before its first hour", "", file, len(lines)))
    frame = pandas.read_csv(
        io.StringIO("\n".join(lines[first:])),
        header=None,
        usecols=sorted(set(wanted.values())),
        skip_blank_lines=False,
        quoting=csv.QUOTE_NONE,
        low_memory=False,
    )
    return {
        name: _numbers(frame[index], name, lines, first, file) for name, index in wanted.items()
    }


def _numbers(series, name: str, lines: Sequence[str], first: int, file: str) -> Array:  # type: ignore[no-untyped-def]
    """One column as floats; the first cell that is not a number is named."""
    import pandas

    try:
        values = pandas.to_numeric(series, errors="coerce").to_numpy(dtype=float)
    except OverflowError:  # whole numbers of hundreds of digits
        endless = series.astype(str).str.len().to_numpy()
        row = int(np.argmax(endless))
        _refuse_cell(row, str(series.iloc[row]), name, first, file)
    bad = np.isnan(values) & ~series.isna().to_numpy()
    if bad.any():
        _refuse_cell(int(np.argmax(bad)), str(series.iloc[np.argmax(bad)]), name, first, file)
    if np.isinf(values).any():
        row = int(np.argmax(np.isinf(values)))
        _refuse_cell(row, str(series.iloc[row]), name, first, file)
    return values


def _refuse_cell(row: int, text: str, name: str, first: int, file: str) -> NoReturn:
    raise InputError(
        Problem(
            f"{quoted(text)} is not a number",
            "give a number, or leave the cell blank where the value is missing",
            file,
            first + row + 1,
            name.replace("_", " "),
        )
    )


def hour_of_year(
    month: Array, day: Array, hour: Array, first: int, file: str
) -> tuple[NDArray[np.int64], bool, tuple[str, ...]]:
    """Index of each row's hour in its year (hour 1 of 1 January is 0), whether it is leap, notes.

    A year is leap here when 29 February is in the file: a typical year never has that day.
    Midnight may stand as hour 0 of the next day where no hour is called 24 and the file starts
    with hour 1, so that hours that *begin* at their stamp, 0 to 23, are not taken for it.
    """
    leap = bool(np.any((month == 2) & (day == 29)))
    days = np.array([0, 31, 28 + leap, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    notes: tuple[str, ...] = ()
    if hour[0] == 1 and (hour == 0).any() and not (hour == 24).any():
        month, day, hour = _midnight_closes(month, day, hour, days)
        notes = ("midnight, written as 00:00 of the next day, is read as 24:00",)
    good = np.isin(month, np.arange(1, 13)) & np.isin(hour, np.arange(1, 25)) & (day % 1 == 0)
    length = days[np.where(good, month, 0).astype(int)]
    good &= (day >= 1) & (day <= length)
    if not good.all():
        row = int(np.argmin(good))
        stamp = f"{month[row]:g}/{day[row]:g} hour {hour[row]:g}"
        cure = HOUR_CURE
        if hour[row] == 0:
            cure += "; where rows are 0 to 23, each names the start of its hour: add one hour"
        raise InputError(Problem(f"{stamp} is no hour of a year", cure, file, first + row + 1))
    start = np.cumsum(days)[month.astype(int) - 1]
    return ((start + day - 1) * 24 + hour - 1).astype(int), leap, notes


def _midnight_closes(
    month: Array, day: Array, hour: Array, days: NDArray[np.int64]
) -> tuple[Array, Array, Array]:
    """Stamps with each hour 0 as hour 24 of the day before; `days` are the months' lengths."""
    midnight = hour == 0
    first = midnight & (day == 1) & np.isin(month, np.arange(1, 13))
    before = np.where(month == 1, 12, month - 1)
    last = days[np.where(first, before, 0).astype(int)]
    return (
        np.where(first, before, month),
        np.where(first, last, np.where(midnight, day - 1, day)),
        np.where(midnight, 24, hour),
    )


def in_place(
    columns: Mapping[str, Array], index: NDArray[np.int64], leap: bool, first: int, file: str
) -> tuple[dict[str, Array], NDArray[np.int64]]:
    """Columns with each row at its hour, NaN where a row is missing; and the line of each hour.

    Rows that run backwards, stand twice, lack more than 6 h or end before the year are refused.
    """
    hours = 8784 if leap else 8760
    back = np.flatnonzero(np.diff(index) <= 0)
    if back.size:
        row = int(back[0]) + 1
        cause = f"this hour ({stamp_of(int(index[row]), leap)}) does not follow the row before"
        cure = "hours must rise from 1 January hour 1 to 31 December hour 24, none twice"
        raise InputError(Problem(cause, cure, file, first + row + 1))
    if index[-1] != hours - 1 or index[0] != 0:
        cause = (
            f"the file holds {len(index)} hours, from {stamp_of(int(index[0]), leap)} "
            f"to {stamp_of(int(index[-1]), leap)}: it is cut short"
        )
        cure = f"give a whole year, {hours} rows"
        raise InputError(Problem(cause, cure, file, first + len(index)))
    row_after = gap_before(index)
    if row_after is not None:
        before = int(index[row_after - 1])
        after = stamp_of(before + 1, leap)
        cause = f"{index[row_after] - before - 1} rows missing from {after}"
        cure = f"gaps up to {LONGEST_GAP} h are filled; mend the file or take another year"
        raise InputError(Problem(cause, cure, file, first + row_after + 1))
    return placed(columns, index, hours, first)


def gap_before(index: NDArray[np.int64]) -> int | None:
    """The row before which the most hours are missing, where those are more than are filled."""
    if len(index) < 2:
        return None
    row = int(np.argmax(np.diff(index))) + 1
    return row if index[row] - index[row - 1] - 1 > LONGEST_GAP else None


def placed(
    columns: Mapping[str, Array], index: NDArray[np.int64], hours: int, first: int
) -> tuple[dict[str, Array], NDArray[np.int64]]:
    """Columns of `hours` with each row at its index, NaN where there is none; lines of hours."""
    at_hours = {name: np.full(hours, np.nan) for name in columns}
    lines = np.zeros(hours, dtype=np.int64)
    lines[index] = first + 1 + np.arange(len(index))
    for name, values in columns.items():
        at_hours[name][index] = values
    return at_hours, lines


def stamp_of(index: int, leap: bool = False) -> str:
    """An hour of the year as people write it: `14 March 24:00`."""
    day = date.fromordinal(date(2004 if leap else 2001, 1, 1).toordinal() + index // 24)
    return f"{day.day} {day:%B} {index % 24 + 1:02d}:00"


def dated_stamp(start: np.datetime64) -> str:
    """The hour that begins then, named by its end, with its year: `14 March 2021 24:00`."""
    moment: datetime = start.astype("datetime64[s]").item()
    return f"{moment.day} {moment:%B %Y} {moment.hour + 1:02d}:00"


def calendar_year(years: Iterable[float], leap: bool) -> int:
    """The year that fixes the calendar: the file's own if it has one, else 2001 (2004 if leap)."""
    found = {int(year) for year in set(years) if np.isfinite(year)}
    if len(found) == 1:
        year = found.pop()
        if 1900 <= year <= 2100 and (year % 4 == 0 and year != 1900 and year != 2100) == leap:
            return year
    return 2004 if leap else 2001


def mixes_hours(rain: Array, hours: Array | None) -> bool:
    """Whether some rain is a sum over more than one hour (`hours` NaN: not said)."""
    return hours is not None and bool(np.any((rain > 0) & (hours > 1)))


def missing_at_or_above(values: Array, code: float) -> Array:
    """Values with the format's missing code, and all above it, as NaN.

    Longer codes than the format's own are all nines too; beyond ten million it is a mistake.
    """
    return np.where((values >= code) & (values < 1e7), np.nan, values)

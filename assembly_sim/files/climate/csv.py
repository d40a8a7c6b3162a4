"""The canonical climate file: commented header, one row an hour (see climates/README.md)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.climate.dated import dated_rows
from assembly_sim.files.climate.rows import (
    LONGEST_NAME,
    PLACE_LIMITS,
    Array,
    Reading,
    calendar_year,
    check_widths,
    fields_of,
    hour_of_year,
    in_place,
    number_in,
    parse,
    quoted,
    separators_cure,
)
from assembly_sim.files.climate.titles import trimmed
from assembly_sim.files.output import whole_file
from assembly_sim.files.words import nearest
from assembly_sim.model.climate import Climate
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.physics.moist_air import dew_point

Lines = NDArray[np.int64]

FIRST_LINE = "# assembly_sim climate 1"
NEEDED_KEYS = ("name", "latitude", "longitude", "time zone", "elevation")
KEYS = (*NEEDED_KEYS, "wind height", "ground albedo", "year", "note")

# title in the file, digits written; the order is that of the file
TITLES = {
    "temperature": ("temperature degC", 2),
    "dew_point": ("dew point degC", 2),
    "relative_humidity": ("relative humidity %", 1),
    "pressure": ("pressure Pa", 0),
    "wind_speed": ("wind speed m/s", 1),
    "wind_direction": ("wind direction degree", 0),
    "global_horizontal": ("global horizontal W/m2", 0),
    "direct_normal": ("direct normal W/m2", 0),
    "diffuse_horizontal": ("diffuse horizontal W/m2", 0),
    "cloud_cover": ("cloud cover 0-1", 2),
    "sky_longwave": ("sky longwave W/m2", 0),
    "rain": ("rain mm", 2),
    "snow_depth": ("snow depth m", 2),
}
STAMP = ("month", "day", "hour")
YEAR = "year"  # a column of windows alone
OPTIONAL = (
    *("dew_point", "relative_humidity", "pressure", "wind_direction", "cloud_cover"),
    *("sky_longwave", "rain", "snow_depth"),
)
MOST_NOTES, LONGEST_NOTE = 50, 300  # of a file's own that are kept; characters


def is_canonical(lines: Sequence[str]) -> bool:
    """Whether the first line says that the file is a canonical climate."""
    return lines[0].startswith("# assembly_sim climate")


def read_canonical(lines: Sequence[str], file: str) -> Reading:
    """A canonical climate file as a `Reading`; raises `InputError` naming line and field."""
    if lines[0].strip(", ") != FIRST_LINE:
        cause = f"format '{lines[0][: len(FIRST_LINE) + 5].strip()}' is not known"
        raise InputError(Problem(cause, f"this version reads '{FIRST_LINE}'", file, 1))
    header, notes, first = _header(lines, file)
    wanted, width = _titles(lines, first, file)
    check_widths(lines, first + 1, width, file)
    columns = parse(lines, first + 1, wanted, file)
    columns, line_of, begins, year, midnight = _at_hours(columns, header, first + 1, file)
    columns = {name: v for name, v in columns.items() if not np.isnan(v).all()}
    latitude, longitude, time_zone, elevation = (
        number_in(header[key][0], limits, file, header[key][1], key)
        for key, limits in PLACE_LIMITS.items()
    )
    return Reading(
        file=file,
        kind="canonical",
        name=header["name"][0][:LONGEST_NAME],
        latitude=latitude,
        longitude=longitude,
        time_zone=time_zone,
        elevation=elevation,
        year=year,
        begins=begins,
        columns=columns,
        lines=line_of,
        wind_height=_optional(header, "wind height", (1.0, 200.0), file) or 10.0,
        ground_albedo=_optional(header, "ground albedo", (0.0, 1.0), file),
        notes=(*notes, *midnight),
    )


def _at_hours(
    columns: dict[str, Array], header: Mapping[str, tuple[str, int]], first: int, file: str
) -> tuple[dict[str, Array], Lines, np.datetime64 | None, int, tuple[str, ...]]:
    """Columns at their hours, their lines, when a window begins, the year, and notes.

    Rows with a year are a window, those without a whole year.
    """
    stamps = {name: columns.pop(name) for name in (YEAR, *STAMP) if name in columns}
    if YEAR in stamps:
        if "year" in header:
            cause, line = "the column year tells it already", header["year"][1]
            raise InputError(Problem(cause, "leave the header's entry out", file, line, "year"))
        columns, line_of, begins = dated_rows(columns, stamps, first, file)
        return columns, line_of, begins, int(stamps[YEAR][0]), ()
    month, day, hour = (stamps[name] for name in STAMP)
    index, leap, midnight = hour_of_year(month, day, hour, first, file)
    columns, line_of = in_place(columns, index, leap, first, file)
    return columns, line_of, None, _year(header, leap, file), midnight


def _header(
    lines: Sequence[str], file: str
) -> tuple[dict[str, tuple[str, int]], tuple[str, ...], int]:
    """Values of the commented header with their line, its notes, and the index after it."""
    header: dict[str, tuple[str, int]] = {}
    notes: list[str] = []
    row = 1
    while row < len(lines) and lines[row].startswith("#"):
        key, colon, value = lines[row][1:].partition(":")
        key, value = key.strip(), value.strip(", \t")  # spreadsheets pad short lines with commas
        if not colon or key not in KEYS:
            cure = nearest(key[:40], KEYS) or f"known are {', '.join(KEYS)}"
            raise InputError(Problem(f"unknown header entry {quoted(key)}", cure, file, row + 1))
        if key == "note":
            notes += [value[:LONGEST_NOTE]] if len(notes) < MOST_NOTES else []
        elif key in header:
            raise InputError(Problem("the entry stands twice", "keep one", file, row + 1, key))
        else:
            header[key] = (value, row + 1)
        row += 1
    missing = [key for key in NEEDED_KEYS if not header.get(key, ("", 0))[0]]
    if missing:
        problems = [
            Problem("not in the header", f"add a line '# {key}: ...'", file, 1, key)
            for key in missing
        ]
        raise InputError(*problems)
    return header, tuple(notes), row


def _titles(lines: Sequence[str], row: int, file: str) -> tuple[dict[str, int], int]:
    """Position of each column by our name, and the number of columns."""
    cells = fields_of(lines[row]) if row < len(lines) else []
    titles = trimmed(cells, 0)
    known = {
        **{name: name for name in (YEAR, *STAMP)},
        **{t: name for name, (t, _) in TITLES.items()},
    }
    strange = [title for title in titles if title not in known]
    needed = [*STAMP, *(t for name, (t, _) in TITLES.items() if name not in OPTIONAL)]
    missing = [title for title in needed if title not in titles]
    if strange:
        cure = nearest(strange[0][:40], known) or f"known are {', '.join(known)}"
        cure = separators_cure(lines[row], cure)
        raise InputError(Problem(f"unknown column {quoted(strange[0])}", cure, file, row + 1))
    if missing or len(set(titles)) != len(titles):
        cause = f"no column '{missing[0]}'" if missing else "a column stands twice"
        raise InputError(Problem(cause, f"needed are {', '.join(needed)}", file, row + 1))
    return {known[title]: position for position, title in enumerate(titles)}, len(cells)


def _optional(
    header: Mapping[str, tuple[str, int]], key: str, limits: tuple[float, float], file: str
) -> float | None:
    if key not in header:
        return None
    value, line = header[key]
    return number_in(value, limits, file, line, key)


def _year(header: Mapping[str, tuple[str, int]], leap: bool, file: str) -> int:
    year = _optional(header, "year", (1900, 2100), file)
    if year is None:
        return calendar_year((), leap)
    if calendar_year((year,), leap) != year:
        cause = f"{year:g} does not fit a file {'with' if leap else 'without'} 29 February"
        line = header["year"][1]
        raise InputError(Problem(cause, "correct it or leave it out", file, line, "year"))
    return int(year)


def write_canonical(climate: Climate, path: Path) -> None:
    """Write a climate as a canonical file, whole or not at all. Raises `InputError` if it cannot.

    Values are rounded as `TITLES` says (0.01 K, 1 Pa, 0.1 m/s, 1 W/m2, 0.01 mm).
    """
    try:
        with whole_file(path) as part:
            part.write_text(canonical_text(climate), encoding="utf-8", newline="\n")
    except OSError as error:
        cause = f"cannot be written ({error.strerror})"
        raise InputError(Problem(cause, "name a place that can", str(path))) from None


def canonical_text(climate: Climate) -> str:
    """The canonical file as text; columns that the climate has not are left out."""
    columns = _practical(climate)
    head = [FIRST_LINE, *(f"# {key}: {value}" for key, value in _head(climate))]
    head += [f"# note: {note}" for note in climate.notes]
    stamps = STAMP if climate.wraps else (YEAR, *STAMP)
    head.append(",".join([*stamps, *(TITLES[name][0] for name in columns)]))
    hours = climate.hour_starts
    month = hours.astype("datetime64[M]").astype(int) % 12 + 1
    day = (hours.astype("datetime64[D]") - hours.astype("datetime64[M]")).astype(int) + 1
    hour = (hours - hours.astype("datetime64[D]").astype("datetime64[h]")).astype(int) + 1
    year = hours.astype("datetime64[Y]").astype(int) + 1970
    counted = (month, day, hour) if climate.wraps else (year, month, day, hour)
    cells = [[str(v) for v in stamp] for stamp in counted]
    cells += [_cells(values, TITLES[name][1]) for name, values in columns.items()]
    return "\n".join([*head, *(",".join(row) for row in zip(*cells))]) + "\n"


def _head(climate: Climate) -> list[tuple[str, str]]:
    head = [
        ("name", climate.name.replace("\n", " ")),
        ("latitude", f"{climate.latitude:g}"),
        ("longitude", f"{climate.longitude:g}"),
        ("time zone", f"{climate.time_zone:g}"),
        ("elevation", f"{climate.elevation:g}"),
        ("wind height", f"{climate.wind_height:g}"),
        ("ground albedo", f"{climate.ground_albedo:.3g}"),
    ]
    undated = not climate.wraps or climate.year in (2001, 2004)
    return head if undated else [*head, ("year", str(climate.year))]


def _practical(climate: Climate) -> dict[str, Array]:
    """Columns in the units of the file, those that are there."""
    columns = {
        "temperature": climate.temperature - ICE_POINT,
        "dew_point": dew_point(climate.vapour_pressure) - ICE_POINT,
        "pressure": climate.pressure,
        "wind_speed": climate.wind_speed,
        "wind_direction": np.degrees(climate.wind_direction),
        "global_horizontal": climate.global_horizontal,
        "direct_normal": climate.direct_normal,
        "diffuse_horizontal": climate.diffuse_horizontal,
        "cloud_cover": climate.cloud_cover,
        "sky_longwave": climate.sky_longwave,
        "rain": climate.rain,
        "snow_depth": climate.snow_depth,
    }
    return {name: values for name, values in columns.items() if values is not None}


def _cells(values: Array, digits: int) -> list[str]:
    """Numbers as short as they can be: `0`, `3.4`, never `-0` or `3.40`."""
    rounded = np.round(values, digits) + 0.0
    return [
        f"{value:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{value:.0f}"
        for value in rounded.tolist()
    ]

"""EPW weather files: eight header lines, then rows of 35 fields without titles.

Field order, units and missing codes after the published format definition (from memory). Rows end
their hour: hour 1 covers 00:01 to 01:00. A value at or above its missing code is missing.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.climate.rows import (
    LONGEST_NAME,
    MIXED_HOURS,
    Array,
    Reading,
    calendar_year,
    check_widths,
    fields_of,
    hour_of_year,
    in_place,
    missing_at_or_above,
    mixes_hours,
    parse,
    place,
    quoted,
)
from assembly_sim.files.climate.titles import is_nearly, trimmed

HEADER = (
    "LOCATION",
    "DESIGN CONDITIONS",
    "TYPICAL/EXTREME PERIODS",
    "GROUND TEMPERATURES",
    "HOLIDAYS/DAYLIGHT SAVING",
    "COMMENTS 1",
    "COMMENTS 2",
    "DATA PERIODS",
)
WIDTHS = (35, 34, 32)  # older files leave out the last fields

# name: (position, missing code, factor to our unit)
FIELDS = {
    "temperature": (6, 99.9, 1.0),
    "dew_point": (7, 99.9, 1.0),
    "relative_humidity": (8, 999.0, 1.0),
    "pressure": (9, 999999.0, 1.0),
    "sky_longwave": (12, 9999.0, 1.0),
    "global_horizontal": (13, 9999.0, 1.0),
    "direct_normal": (14, 9999.0, 1.0),
    "diffuse_horizontal": (15, 9999.0, 1.0),
    "wind_direction": (20, 999.0, 1.0),
    "wind_speed": (21, 999.0, 1.0),
    "cloud_cover": (23, 99.0, 0.1),
    "snow_depth": (30, 999.0, 0.01),
    "albedo": (32, 999.0, 1.0),
    "rain": (33, 999.0, 1.0),
    "rain_hours": (34, 99.0, 1.0),
}
NOT_FOR_CHECK = ("albedo", "rain_hours")
ZERO_MEANS_ABSENT = ("rain", "snow_depth", "sky_longwave")


def is_epw(lines: Sequence[str]) -> bool:
    """Whether the first line is the location line of an EPW file, also with a slip of the keys."""
    return "," in lines[0] and is_nearly(lines[0].partition(",")[0], "LOCATION")


def read_epw(lines: Sequence[str], file: str) -> Reading:
    """An EPW file as a `Reading`; raises `InputError` naming line and field."""
    station, typed = _check_header(lines, file)
    latitude, longitude, time_zone, elevation = place(station[6:10], file, 1)
    first = len(HEADER)
    if len(lines) == first:
        raise InputError(Problem("the file ends before its first hour", "", file, first))
    width = lines[first].count(",") + 1
    if width not in WIDTHS:
        cure = f"an EPW row has {WIDTHS[0]} fields"
        raise InputError(Problem(f"the row has {width} fields", cure, file, first + 1))
    check_widths(lines, first, width, file)
    check_shift(lines, first, file)
    stamps, columns = _columns(lines, first, width, file)
    index, leap, midnight = hour_of_year(
        stamps["month"], stamps["day"], stamps["hour"], first, file
    )
    columns, line_of = in_place(columns, index, leap, first, file)
    columns = {
        name: missing_at_or_above(values, FIELDS[name][1]) * FIELDS[name][2]
        for name, values in columns.items()
    }
    kept, notes = _drop_absent(columns)
    albedo, surface = _albedo(columns)
    return Reading(
        file=file,
        kind="EPW",
        name=", ".join(part for part in station[1:4] if part not in ("", "-"))[:LONGEST_NAME],
        latitude=latitude,
        longitude=longitude,
        time_zone=time_zone,
        elevation=elevation,
        year=calendar_year(stamps["year"], leap),
        columns=kept,
        lines=line_of,
        ground_albedo=albedo,
        notes=(*typed, *midnight, *notes, *surface, *ground_temperature_notes(lines[3])),
    )


def _check_header(lines: Sequence[str], file: str) -> tuple[list[str], list[str]]:
    """The location line's ten fields and notes, after a look at all eight header lines."""
    notes = []
    for row, key in enumerate(HEADER):
        start = lines[row].partition(",")[0] if row < len(lines) else ""
        if start.upper().startswith(key):
            continue
        if not is_nearly(start, key):
            cause = f"the header line '{key}' is not here"
            raise InputError(Problem(cause, "give all eight header lines", file, row + 1))
        notes.append(f"header line {quoted(start)} is read as '{key}'")
    station = trimmed(fields_of(lines[0]), 10)
    if len(station) != 10:
        cause = f"the location line has {len(station)} fields, not 10"
        raise InputError(Problem(cause, "put a name with a comma in quotes", file, 1))
    periods = fields_of(lines[7])
    if periods[1:3] != ["1", "1"]:
        cause = "the file has more than one period or more than one record an hour"
        raise InputError(Problem(cause, "give one year of hourly rows", file, 8))
    return station, notes


FLAGS, CODES = 5, 27  # fields that hold letters, and nine digits of weather codes


def check_shift(lines: Sequence[str], first: int, file: str) -> None:
    """Refuse rows that lack a field in their middle, so that all after it would be misread.

    Told by the two fields that look like no other: where most rows have letters in field 6, one
    with a number there is shifted, and nine digits in field 27 belong into field 28.
    """
    rows = [line.split(",", CODES + 1) for line in lines[first:]]
    numeric = np.array([row[FLAGS].replace(".", "").strip("- ").isdigit() for row in rows])
    early = np.array([_nine_digits(row[CODES - 1]) for row in rows])
    shifted = early | (numeric & (numeric.mean() < 0.5))
    if shifted.any():
        row = int(np.argmax(shifted))
        more = f" ({shifted.sum()} rows in all)" if shifted.sum() > 1 else ""
        cause = f"a field is missing in the middle of the row: those after it are shifted{more}"
        raise InputError(Problem(cause, "give the row all its fields", file, first + row + 1))


def _nine_digits(cell: str) -> bool:
    text = cell.strip().strip("'")
    return len(text) == 9 and text.isdigit()


def _columns(
    lines: Sequence[str], first: int, width: int, file: str
) -> tuple[dict[str, Array], dict[str, Array]]:
    stamps = {"year": 0, "month": 1, "day": 2, "hour": 3}
    wanted = {name: place for name, (place, _, _) in FIELDS.items() if place < width}
    both = parse(lines, first, {**stamps, **wanted}, file)
    return {name: both[name] for name in stamps}, {name: both[name] for name in wanted}


def _drop_absent(columns: dict[str, Array]) -> tuple[dict[str, Array], tuple[str, ...]]:
    """Columns without those that hold only zeros for want of data, and a note on each."""
    kept, notes = {}, []
    for name, values in columns.items():
        filled = np.nan_to_num(values)
        if name in NOT_FOR_CHECK:
            continue
        if name == "rain" and mixes_hours(values, columns.get("rain_hours")):
            notes.append(MIXED_HOURS)
        elif name == "rain" and set(np.unique(filled)) == {0.0, 1.0}:
            notes.append(
                "rain is not usable: it holds 0 and 1 only, as the field of hours after it"
            )
        elif np.isnan(values).all() or (name in ZERO_MEANS_ABSENT and not filled.any()):
            notes.append(f"{name.replace('_', ' ')} is not in the file (0 or missing in every row)")
        else:
            kept[name] = values
    return kept, tuple(notes)


def _albedo(columns: dict[str, Array]) -> tuple[float | None, tuple[str, ...]]:
    """Mean albedo of the ground, None where the file has none that can be; a note."""
    albedo = columns.get("albedo", np.array([np.nan]))
    if not np.isfinite(albedo).any():
        return None, ()
    if np.nanmax(albedo) > 1.0 or np.nanmin(albedo) < 0.0:
        return None, (f"ground albedo is not usable: it reaches {np.nanmax(albedo):g}",)
    return float(np.nanmean(albedo)), ()


def ground_temperature_notes(line: str) -> tuple[str, ...]:
    """One note for each depth of the header's ground temperatures, twelve monthly means each."""
    cells = fields_of(line)
    try:
        blocks = [cells[2 + 16 * k : 18 + 16 * k] for k in range(min(int(cells[1]), 12))]
    except (IndexError, ValueError):
        return ()
    return tuple(
        f"ground temperature at {block[0]} m, January to December, degC: {' '.join(block[4:])}"
        for block in blocks
        if len(block) == 16
    )

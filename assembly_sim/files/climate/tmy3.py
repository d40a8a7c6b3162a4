"""Typical meteorological years in the TMY3 format (NREL/TP-581-43156, from memory).

Rows end their hour (24:00 closes a day), local standard time. The two issues of the format differ
in the unit of illuminance (not read) and in their last columns, so columns are found by name.
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
    mixes_hours,
    parse,
    place,
    quoted,
)
from assembly_sim.files.climate.titles import find_titles, is_nearly, trimmed
from assembly_sim.words.figures import percent

MISSING = -9900.0

COLUMNS = {
    "global_horizontal": "GHI (W/m^2)",
    "direct_normal": "DNI (W/m^2)",
    "diffuse_horizontal": "DHI (W/m^2)",
    "temperature": "Dry-bulb (C)",
    "dew_point": "Dew-point (C)",
    "relative_humidity": "RHum (%)",
    "pressure": "Pressure (mbar)",
    "wind_direction": "Wdir (degrees)",
    "wind_speed": "Wspd (m/s)",
}
OPTIONAL = {
    "cloud_cover": "OpqCld (tenths)",
    "albedo": "Alb (unitless)",
    "rain": "Lprecip depth (mm)",
    "rain_hours": "Lprecip quantity (hr)",
}
TO_UNIT = {"pressure": 100.0, "cloud_cover": 0.1}


def is_tmy3(lines: Sequence[str]) -> bool:
    """Whether the second line is the column header of a TMY3 file."""
    return len(lines) > 1 and is_nearly(lines[1].partition(",")[0], "Date (MM/DD/YYYY)")


def read_tmy3(lines: Sequence[str], file: str) -> Reading:
    """A TMY3 file as a `Reading`; raises `InputError` naming line and field."""
    station = trimmed(fields_of(lines[0]), 7)
    if len(station) != 7:
        cause = f"the station line has {len(station)} fields, not 7"
        cure = "write code, name, state, time zone, latitude, longitude, elevation"
        raise InputError(Problem(cause, cure, file, 1))
    latitude, longitude, time_zone, elevation = place(
        (station[4], station[5], station[3], station[6]), file, 1
    )
    header = fields_of(lines[1])
    wanted, typed = _positions(header, file)
    check_widths(lines, 2, len(header), file)
    columns = parse(lines, 2, wanted, file)
    month, day, hour, years = _stamps(lines, file)
    index, leap, midnight = hour_of_year(month, day, hour, 2, file)
    columns, line_of = in_place(columns, index, leap, 2, file)
    columns = {
        name: np.where(values <= MISSING, np.nan, values) * TO_UNIT.get(name, 1.0)
        for name, values in columns.items()
    }
    rain, notes = _rain_in_mm(columns)
    albedo = columns.pop("albedo", np.array([np.nan]))
    columns.pop("rain_hours", None)
    columns.pop("rain", None)
    return Reading(
        file=file,
        kind="TMY3",
        name=f"{station[1].title()} {station[2]}".strip()[:LONGEST_NAME],
        latitude=latitude,
        longitude=longitude,
        time_zone=time_zone,
        elevation=elevation,
        year=calendar_year(years, leap),
        columns=columns if rain is None else {**columns, "rain": rain},
        lines=line_of,
        ground_albedo=float(np.nanmean(albedo)) if np.isfinite(albedo).any() else None,
        notes=(*typed, *midnight, *notes),
    )


def _positions(header: Sequence[str], file: str) -> tuple[dict[str, int], tuple[str, ...]]:
    found, notes = find_titles(header, COLUMNS, OPTIONAL.values(), file, 2)
    more = {name: header.index(title) for name, title in OPTIONAL.items() if title in header}
    return {**found, **more}, notes


def _stamps(lines: Sequence[str], file: str) -> tuple[Array, Array, Array, Array]:
    """Month, day, hour and year of each row from `MM/DD/YYYY,HH:MM`."""
    rows = []
    for number, line in enumerate(lines[2:], 3):
        date, time = line.split(",", 2)[:2]
        try:
            month, day, year = (int(part) for part in date.split("/"))
            hour, minute = (int(part) for part in time.split(":"))
        except ValueError:
            minute = -1
        if minute != 0 or len(date) > 10 or len(time) > 5:
            cure = "write MM/DD/YYYY,HH:00"
            cause = f"{quoted(f'{date},{time}')} is no full hour"
            raise InputError(Problem(cause, cure, file, number))
        rows.append((month, day, hour, year))
    return tuple(np.array(rows, dtype=float).T)


def _rain_in_mm(columns: dict[str, Array]) -> tuple[Array | None, tuple[str, ...]]:
    """Rain in mm, or None with the reason why the file's rain cannot be used."""
    rain, hours = columns.get("rain"), columns.get("rain_hours")
    if rain is None or np.isnan(rain).all():
        return None, ("rain is not in the file",)
    missing = np.isnan(rain).mean()
    if missing > 0.01:
        return None, (f"rain is not usable: {percent(missing)} of its hours are missing",)
    if mixes_hours(rain, hours):
        return None, (MIXED_HOURS,)
    return rain_unit(rain)


def rain_unit(rain: Array) -> tuple[Array | None, tuple[str, ...]]:
    """Rain in mm and a note on its unit, from a column that calls itself mm.

    Revised TMY3 files write hundredths of an inch rounded to tenths of a millimetre (3, 5, 8,
    10, 13 ...) under a header of mm. Told by the set of values (nine in ten wet hours hold such a
    number, which four in ten whole numbers are) and by the annual sum; neither alone decides.
    """
    wet = rain[rain > 0]
    inches = np.round(2.54 * np.arange(1, 4000))
    share = float(np.isin(wet, inches).mean()) if wet.size else 0.0
    total = float(np.nansum(rain))
    if share >= 0.9 and np.unique(wet).size >= 5 and 20 <= total / 10 <= 6000:
        note = f"rain is in tenths of a millimetre, not mm as its header says ({total / 10:.0f} mm)"
        return rain / 10.0, (note,)
    if total > 4000:
        return None, (f"rain is not usable: its sum of {total:.0f} mm fits no unit",)
    return rain, ()

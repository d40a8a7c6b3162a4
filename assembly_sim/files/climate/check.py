"""The ingest check: what a weather file says, held against physics before anything is computed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.climate.doubt import MONTH, doubts, other_unit, rain_doubt
from assembly_sim.files.climate.gaps import (
    combine_humidity,
    fill_gaps,
    with_direction,
    with_pressure,
)
from assembly_sim.files.climate.rows import Array, Reading, stamp_of
from assembly_sim.files.climate.sky import check_sky, with_filled_sun
from assembly_sim.files.climate.sun import check_sun
from assembly_sim.model.climate import Climate
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.physics.moist_air import saturation_pressure

# lowest and highest value that a sound file can hold, in the file's unit
LIMITS = {
    "temperature": (-89.0, 60.0, "degC"),  # where the solver's tables begin; -89.2 is the record
    "dew_point": (-100.0, 50.0, "degC"),
    "relative_humidity": (0.0, 110.0, "%"),
    "pressure": (30e3, 110e3, "Pa"),
    "wind_speed": (0.0, 100.0, "m/s"),
    "wind_direction": (0.0, 360.0, "degree"),
    "global_horizontal": (-20.0, 1600.0, "W/m2"),
    "direct_normal": (-20.0, 1500.0, "W/m2"),
    "diffuse_horizontal": (-20.0, 1200.0, "W/m2"),
    "cloud_cover": (0.0, 1.0, "(share)"),
    "sky_longwave": (50.0, 700.0, "W/m2"),
    "rain": (0.0, 300.0, "mm"),
    "snow_depth": (0.0, 20.0, "m"),
}
OPTIONAL = frozenset({"cloud_cover", "sky_longwave", "rain", "snow_depth"})
CAN_BE_SUPPLIED = ("pressure", "wind_direction")  # `climate_gaps` says by what
HUMIDITY = ("dew_point", "relative_humidity")
SUN = ("global_horizontal", "direct_normal", "diffuse_horizontal")
DEFAULT_ALBEDO = 0.2


def climate_of(reading: Reading, sha256: str = "") -> Climate:
    """The canonical climate of a weather file, with notes on all that was found and filled.

    Raises `InputError` for values no weather has, gaps over 6 h, dew points far above the
    temperature, and sun that does not stand where the file says it is.
    """
    check_needed(reading)
    check_limits(reading)
    reading = with_direction(with_pressure(reading))
    checked = humidity_notes(reading.columns) + constant_notes(reading.columns) + doubts(reading)
    reading, even = drop_even_rain(reading)
    dew = combine_humidity(reading.columns)
    columns = {k: v for k, v in reading.columns.items() if k != "relative_humidity"}
    columns, flags, filled = fill_gaps(
        replace(reading, columns={**columns, "dew_point": dew}), OPTIONAL
    )
    columns, flags["vapour_pressure"], dry = limit_dew_point(columns, flags, reading)
    columns, dark = drop_negative_sun(columns)
    albedo, surface = albedo_of(reading)
    climate = with_filled_sun(assemble(reading, columns, albedo, sha256), flags)
    climate, sun = check_sun(climate, reading.file)
    sky = check_sky(climate, reading.lines, reading.file)
    notes = [*reading.notes, *checked, *even, *filled, *dry, *dark, *surface, *sun, *sky]
    notes += [*jump_notes(climate), *not_in_file(columns, notes)]
    flags = {name: flag for name, flag in flags.items() if flag.any()}
    return replace(climate, notes=tuple(dict.fromkeys(notes)), flags=flags)


def drop_even_rain(reading: Reading) -> tuple[Reading, list[str]]:
    """A reading without rain that was dealt out evenly: it would never drive into a wall."""
    long = len(reading.lines) >= MONTH and "rain" in reading.columns
    doubt = rain_doubt(reading.columns["rain"]) if long else ""
    if not doubt:
        return reading, []
    columns = {name: values for name, values in reading.columns.items() if name != "rain"}
    return replace(reading, columns=columns), [f"rain is not usable: {doubt}"]


def assemble(reading: Reading, columns: Mapping[str, Array], albedo: float, sha: str) -> Climate:
    """Checked columns in SI as a `Climate`."""
    return Climate(
        name=reading.name,
        latitude=reading.latitude,
        longitude=reading.longitude,
        time_zone=reading.time_zone,
        elevation=reading.elevation,
        temperature=columns["temperature"] + ICE_POINT,
        vapour_pressure=saturation_pressure(columns["dew_point"] + ICE_POINT),
        pressure=columns["pressure"],
        wind_speed=columns["wind_speed"],
        wind_direction=np.radians(columns["wind_direction"]),
        global_horizontal=columns["global_horizontal"],
        direct_normal=columns["direct_normal"],
        diffuse_horizontal=columns["diffuse_horizontal"],
        cloud_cover=columns.get("cloud_cover"),
        sky_longwave=columns.get("sky_longwave"),
        rain=columns.get("rain"),
        snow_depth=columns.get("snow_depth"),
        ground_albedo=albedo,
        wind_height=reading.wind_height,
        year=reading.year,
        begins=None if reading.begins is None else str(reading.begins),
        source_sha256=sha,
    )


def check_needed(reading: Reading) -> None:
    """Refuse a file that lacks a column the run needs, or both kinds of humidity.

    Sun that is zero all year is no sun in the file; a dark day may have none.
    """
    found = {
        name
        for name, values in reading.columns.items()
        if (values > 0.0 if name in SUN and reading.wraps else np.isfinite(values)).any()
    }
    absent = [n for n in LIMITS if n not in {*found, *OPTIONAL, *HUMIDITY, *CAN_BE_SUPPLIED}]
    absent += [] if found & set(HUMIDITY) else ["dew_point"]
    if absent:
        cure = "it is needed: take a file that has it"
        words = [name.replace("_", " ") for name in absent]
        raise InputError(
            *(Problem("no value in any hour", cure, reading.file, None, w) for w in words)
        )


def check_limits(reading: Reading) -> None:
    """Refuse the first value of each column that no weather on earth has."""
    problems = []
    for name, values in reading.columns.items():
        low, high, unit = LIMITS[name]
        bad = np.flatnonzero((values < low) | (values > high))
        if bad.size:
            cause = f"{values[bad[0]]:g} {unit} is outside {low:g} to {high:g} {unit}"
            more = f"; {bad.size} hours in all" if bad.size > 1 else ""
            more += other_unit(name, values, low, high)
            cure = "correct it, or leave the cell blank where the value is missing"
            line = int(reading.lines[bad[0]])
            words = name.replace("_", " ")
            problems.append(Problem(cause + more, cure, reading.file, line, words))
    if problems:
        raise InputError(*problems)


def humidity_notes(columns: Mapping[str, Array]) -> list[str]:
    """How often the file's humidity and dew point disagree, both taken over liquid water."""
    if "dew_point" not in columns or "relative_humidity" not in columns:
        return []
    over_liquid = 100.0 * (
        saturation_pressure(columns["dew_point"] + ICE_POINT)
        / saturation_pressure(columns["temperature"] + ICE_POINT)
    )
    apart = np.abs(over_liquid - columns["relative_humidity"])
    hours = int(np.count_nonzero(apart > 5.0))
    if not hours:
        return []
    return [
        f"humidity and dew point disagree by more than 5 points in {hours} hours "
        f"(at most {np.nanmax(apart):.0f}); the dew point is used"
    ]


def constant_notes(columns: Mapping[str, Array]) -> list[str]:
    """Columns that hold one value all year."""
    return [
        f"{name.replace('_', ' ')} is {np.nanmax(values):g} {LIMITS[name][2]} in every row"
        for name, values in columns.items()
        if np.isfinite(values).any() and np.nanmax(values) == np.nanmin(values)
    ]


def limit_dew_point(
    columns: dict[str, Array], flags: dict[str, np.ndarray], reading: Reading
) -> tuple[dict[str, Array], np.ndarray, list[str]]:
    """Dew points above the temperature set to it and flagged; more than 5 K is refused."""
    excess = columns["dew_point"] - columns["temperature"]
    worst = int(np.argmax(excess))
    if excess[worst] > 5.0:
        cause = f"{excess[worst]:.1f} K above the temperature"
        cure = "a dew point cannot lie above the temperature; correct the row"
        line = int(reading.lines[worst]) or None
        raise InputError(Problem(cause, cure, reading.file, line, "dew point"))
    above = excess > 0.0
    dew = np.minimum(columns["dew_point"], columns["temperature"])
    flag = flags.pop("dew_point", np.zeros(len(dew), dtype=bool)) | above
    notes = (
        [
            f"dew point above temperature in {above.sum()} hours (at most {excess[worst]:.1f} K): "
            "set to saturation"
        ]
        if above.any()
        else []
    )
    return {**columns, "dew_point": dew}, flag, notes


def drop_negative_sun(columns: dict[str, Array]) -> tuple[dict[str, Array], list[str]]:
    """Small negative readings that radiometers give at night, set to zero and counted."""
    below = sum(int(np.count_nonzero(columns[name] < 0)) for name in SUN)
    positive = {name: np.maximum(columns[name], 0.0) for name in SUN}
    notes = [f"{below} negative values of radiation set to zero"] if below else []
    return {**columns, **positive}, notes


def albedo_of(reading: Reading) -> tuple[float, list[str]]:
    """Mean albedo of the ground; files that hold 0 everywhere do not know it."""
    if reading.ground_albedo:
        return reading.ground_albedo, []
    return DEFAULT_ALBEDO, [f"ground albedo is not in the file; {DEFAULT_ALBEDO} is used"]


def jump_notes(climate: Climate) -> list[str]:
    """Temperature steps over 5 K in an hour where the months of a typical year join."""
    if not climate.wraps:
        return []
    leap = climate.hours == 8784
    lengths = np.array([31, 28 + leap, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    starts = (np.cumsum(lengths) * 24) % climate.hours
    steps = climate.temperature[starts] - climate.temperature[starts - 1]
    worst = int(np.argmax(np.abs(steps)))
    if abs(steps[worst]) <= 5.0:
        return []
    at = stamp_of(int(starts[worst]), leap)
    return [f"temperature jumps by {steps[worst]:.1f} K where months join (at {at})"]


def not_in_file(columns: Mapping[str, Array], notes: Iterable[str]) -> list[str]:
    """A note for each optional column that is absent and not spoken of: absent is not zero."""
    absent = [name.replace("_", " ") for name in sorted(OPTIONAL) if name not in columns]
    said = tuple(notes)
    return [f"{w} is not in the file" for w in absent if not any(n.startswith(w) for n in said)]

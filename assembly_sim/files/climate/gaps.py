"""Missing values of a weather file: short gaps filled and said so, long ones refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.climate.rows import LONGEST_GAP, Array, Reading
from assembly_sim.physics.constants import GAS_CONSTANT_DRY_AIR, GRAVITY, ICE_POINT
from assembly_sim.physics.moist_air import dew_point, saturation_pressure


def gaps(missing: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Start and length (hours) of each run of True."""
    edges = np.diff(np.concatenate(([0], missing.astype(int), [0])))
    starts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    return [(int(start), int(end - start)) for start, end in zip(starts, ends, strict=True)]


def fill(values: Array, direction: bool = False, wraps: bool = True) -> Array:
    """Missing hours on the straight line between their neighbours, around the turn of the year.

    A direction (degree) is filled along its sine and cosine. A window is held at its ends.
    """
    missing = np.isnan(values)
    if not missing.any():
        return values
    if direction:
        radians = np.radians(values)
        east, north = (fill(part(radians), wraps=wraps) for part in (np.sin, np.cos))
        return np.where(missing, np.degrees(np.arctan2(east, north)) % 360.0, values)
    hours = np.arange(len(values))
    known = ~missing
    return np.interp(hours, hours[known], values[known], period=len(values) if wraps else None)


def expected_pressure(reading: Reading, sea_level: float = 101325.0, warmer: float = 0.0) -> float:
    """Mean pressure (Pa) at the file's elevation z: p0 exp(-g z / (R T)).

    DERIVED: hydrostatic ideal gas, T the mean of the air between sea level and the station. That
    is the file's mean temperature, 3.25 K higher per km (half of the standard atmosphere's lapse
    over the height), and `warmer` by what is not known of it. Left out: vapour (0.4 %).
    """
    mean = float(np.nanmean(reading.columns["temperature"])) + ICE_POINT
    column = mean + 0.00325 * reading.elevation + warmer
    return sea_level * float(np.exp(-GRAVITY * reading.elevation / (GAS_CONSTANT_DRY_AIR * column)))


def with_pressure(reading: Reading) -> Reading:
    """A reading whose pressure, where it lacks for long, is that of the altitude; says so."""
    given = reading.columns.get("pressure", np.full(len(reading.lines), np.nan))
    blank = np.zeros(len(given), dtype=bool)
    for start, length in gaps(np.isnan(given)):
        blank[start : start + length] = length > LONGEST_GAP
    if not blank.any():
        return reading
    value = round(expected_pressure(reading))
    note = (
        f"pressure is blank in {'every hour' if blank.all() else f'{blank.sum()} hours'}: there it "
        f"is that of the altitude, {value} Pa at {reading.elevation:g} m"
    )
    columns = {**reading.columns, "pressure": np.where(blank, float(value), given)}
    return replace(reading, columns=columns, notes=(*reading.notes, note))


def with_direction(reading: Reading) -> Reading:
    """A reading whose wind direction is filled in calms, where it has none; says so.

    A file without any direction keeps its wind and loses its rain: nobody knows which wall it
    strikes, and a wall that is never rained on would be found dry. Wind that presses on leaks
    then counts as from the north, and that is said too.
    """
    direction = reading.columns.get("wind_direction", np.full(len(reading.lines), np.nan))
    missing, columns = np.isnan(direction), dict(reading.columns)
    calm = missing & (columns["wind_speed"] == 0.0)
    if missing.all():
        notes = ["wind direction is not in the file: the wind counts as from the north"]
        if columns.pop("rain", None) is not None:
            notes.append("rain is not usable: without wind direction no one knows where it strikes")
        columns["wind_direction"] = np.zeros(len(direction))
    elif calm.any():
        notes = [f"wind direction is blank in {calm.sum()} hours of calm, where it plays no part"]
        columns["wind_direction"] = np.where(
            calm, fill(direction, direction=True, wraps=reading.wraps), direction
        )
    else:
        return reading
    return replace(reading, columns=columns, notes=(*reading.notes, *notes))


def fill_gaps(
    reading: Reading, optional: frozenset[str]
) -> tuple[dict[str, Array], dict[str, NDArray[np.bool_]], list[str]]:
    """Columns without gaps, flags of the filled hours, and notes.

    A needed column with a gap of more than 6 h is refused; an optional one is dropped with a note.
    """
    columns, flags, notes, problems = {}, {}, [], []
    for name, values in reading.columns.items():
        missing = np.isnan(values)
        long = [gap for gap in gaps(missing) if gap[1] > LONGEST_GAP]
        words = name.replace("_", " ")
        if long and name in optional:
            notes.append(f"{words} is not usable: {_gap_text(long, reading)}")
            continue
        if long:
            problems.append(_problem(words, long, reading))
            continue
        columns[name] = fill(values, name == "wind_direction", reading.wraps)
        if missing.any():
            flags[name] = missing
            notes.append(f"{words}: {missing.sum()} missing hours filled between neighbours")
    if problems:
        raise InputError(*problems)
    return columns, flags, notes


def _gap_text(long: list[tuple[int, int]], reading: Reading) -> str:
    start, length = long[0]
    more = f" and {len(long) - 1} more such gaps" if len(long) > 1 else ""
    return f"{length} hours missing in a row from {reading.stamp(start)}{more}"


def _problem(words: str, long: list[tuple[int, int]], reading: Reading) -> Problem:
    before = reading.lines[: long[0][0] + 1]
    line = int(before[np.flatnonzero(before)[-1]]) if before.any() else None
    cure = f"gaps up to {LONGEST_GAP} h are filled; mend the file or take another year"
    return Problem(_gap_text(long, reading), cure, reading.file, line, words)


def combine_humidity(columns: Mapping[str, Array]) -> Array:
    """Dew point (degC), from the humidity (% over liquid water) where the file has no dew point."""
    given = columns.get("dew_point", np.full_like(columns["temperature"], np.nan))
    humidity = columns.get("relative_humidity")
    if humidity is None:
        return given
    share = np.where(humidity > 0.0, humidity, np.nan) / 100.0  # air without vapour is no reading
    pressure = share * saturation_pressure(columns["temperature"] + ICE_POINT)
    return np.where(np.isnan(given), dew_point(pressure) - ICE_POINT, given)

"""Missing values of a weather file: short gaps filled and said so, long ones refused."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.climate_rows import LONGEST_GAP, Array, Reading, stamp_of
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.physics.moist_air import dew_point, saturation_pressure


def gaps(missing: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Start and length (hours) of each run of True."""
    edges = np.diff(np.concatenate(([0], missing.astype(int), [0])))
    starts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    return [(int(start), int(end - start)) for start, end in zip(starts, ends, strict=True)]


def fill(values: Array, direction: bool = False) -> Array:
    """Missing hours on the straight line between their neighbours, around the turn of the year.

    A direction (degree) is filled along its sine and cosine.
    """
    missing = np.isnan(values)
    if not missing.any():
        return values
    if direction:
        radians = np.radians(values)
        east, north = fill(np.sin(radians)), fill(np.cos(radians))
        return np.where(missing, np.degrees(np.arctan2(east, north)) % 360.0, values)
    hours = np.arange(len(values))
    known = ~missing
    return np.interp(hours, hours[known], values[known], period=len(values))


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
        columns[name] = fill(values, direction=name == "wind_direction")
        if missing.any():
            flags[name] = missing
            notes.append(f"{words}: {missing.sum()} missing hours filled between neighbours")
    if problems:
        raise InputError(*problems)
    return columns, flags, notes


def _gap_text(long: list[tuple[int, int]], reading: Reading) -> str:
    start, length = long[0]
    more = f" and {len(long) - 1} more such gaps" if len(long) > 1 else ""
    leap = len(reading.lines) == 8784
    return f"{length} hours missing in a row from {stamp_of(start, leap)}{more}"


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

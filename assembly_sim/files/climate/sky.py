"""The sun of a weather file held against what any sky can give, at its hour and in its month."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.climate.rows import Array
from assembly_sim.files.climate.sun import FIELD, cosine_of_zenith
from assembly_sim.model.climate import Climate

# What no sky gives (BSRN quality control, Long and Dutton 2002, from memory): limits that are
# physically possible, and limits that are passed extremely rarely, S the sun outside the
# atmosphere and m the cosine of its zenith, factor of S m^power and offset in W/m2.
POSSIBLE = {
    "global_horizontal": (1.5, 1.2, 100.0),
    "diffuse_horizontal": (0.95, 1.2, 50.0),
    "direct_normal": (1.0, 0.0, 0.0),
}
RARE = {
    "global_horizontal": (1.2, 1.2, 50.0),
    "diffuse_horizontal": (0.75, 1.2, 30.0),
    "direct_normal": (0.95, 0.2, 10.0),
}
RARE_HOURS = 8  # one in a thousand: broken cloud beside the sun does that, the files' rounding too
SOLAR_CONSTANT = 1361.0  # W/m2, at the mean distance
NIGHT = -0.017  # cosine of the zenith with the sun 1 degree below the horizon: refraction is 0.6


def check_sky(climate: Climate, lines: NDArray[np.int64], file: str = "") -> list[str]:
    """Notes on rare values of the sun. Raises `InputError` for sun at night and beyond any sky,
    and for months in which the sun is missing."""
    outside, highest = sun_outside(climate), highest_sun(climate)
    notes = []
    for name in POSSIBLE:
        values = getattr(climate, name)
        rare = values > _limit(RARE[name], outside, highest)
        wrong = values > _limit(POSSIBLE[name], outside, highest)
        wrong |= rare & (highest < NIGHT)
        if wrong.any():
            raise InputError(_beyond(name, values, wrong, highest, lines, file))
        if rare.sum() > RARE_HOURS:
            words = name.replace("_", " ")
            notes.append(f"{words} is higher than a sky almost ever gives in {rare.sum()} hours")
    return notes + _check_months(climate, outside, file)


def highest_sun(climate: Climate) -> Array:
    """Cosine of the zenith of the highest sun within each hour, (hours,)."""
    return np.max([cosine_of_zenith(climate, m) for m in (-30.0, 0.0, 30.0)], axis=0)


def with_filled_sun(climate: Climate, filled: Mapping[str, NDArray[np.bool_]]) -> Climate:
    """Filled hours of sun held to what a sky gives: a straight line runs on past sunset."""
    outside, highest = sun_outside(climate), highest_sun(climate)
    changed = {}
    for name in RARE.keys() & filled.keys():
        most = np.where(highest > 0.0, _limit(RARE[name], outside, highest), 0.0)
        values = getattr(climate, name)
        changed[name] = np.where(filled[name], np.minimum(values, most), values)
    return replace(climate, **changed) if changed else climate


def sun_outside(climate: Climate) -> Array:
    """Sun outside the atmosphere on a plane that faces it, W/m2, (hours,): 3.3 % over the year."""
    day = climate.since_new_year / (climate.hours if climate.wraps else 8766.0)  # share of a year
    return SOLAR_CONSTANT * (1.0 + 0.033 * np.cos(2.0 * np.pi * (day - 3.0 / 365.0)))


def _limit(rule: tuple[float, float, float], outside: Array, cosine: Array) -> Array:
    factor, power, offset = rule
    return factor * outside * np.maximum(cosine, 0.0) ** power + offset


def _beyond(
    name: str,
    values: Array,
    wrong: NDArray[np.bool_],
    highest: Array,
    lines: NDArray[np.int64],
    file: str,
) -> Problem:
    row = int(np.argmax(wrong))
    why = "at night" if highest[row] < NIGHT else "is more than any sky gives at this hour"
    more = f"; {wrong.sum()} hours in all" if wrong.sum() > 1 else ""
    cause = f"{values[row]:g} W/m2 {why}{more}"
    cure = "correct the row, or leave the cell blank where the value is missing"
    return Problem(cause, cure, file, int(lines[row]) or None, name.replace("_", " "))


# A month of unbroken thick cloud lets about a quarter of a clear sky's sun through (Kasten and
# Czeplak 1980, from memory), and a clear sky 0.7 of what arrives outside: 0.18 of it.
DARK_MONTH, DULL_MONTH = 0.05, 0.15
LEAST_SUN = 20.0  # W/m2 outside on the horizontal, month's mean, below which dark is no wonder


def _check_months(climate: Climate, outside: Array, file: str) -> list[str]:
    """Refuse months without sun, note dull ones: global sun as a share of that outside."""
    month = climate.hour_starts.astype("datetime64[M]").astype(int) % 12
    possible = outside * np.maximum(cosine_of_zenith(climate), 0.0)
    dark: list[str] = []
    dull: list[str] = []
    for index in range(12):
        there = possible[month == index]
        if len(there) < SHORTEST_PART or there.mean() < LEAST_SUN:
            continue
        share = climate.global_horizontal[month == index].sum() / there.sum()
        if share < DULL_MONTH:
            (dark if share < DARK_MONTH else dull).append(month_name[index + 1])
    if dark:
        cause = f"no sun in {', '.join(dark)}, though it rises there"
        raise InputError(Problem(cause, "take a file whose sun is whole", file, None, FIELD))
    return [f"less sun than the thickest cloud lets through in {', '.join(dull)}"] if dull else []


SHORTEST_PART = 240  # hours of a month in a window, below which a dark spell is no wonder

"""Weather that no place has: stuck and spiking values, wind, pressure and rain out of proportion.

Each bound says where it comes from. What the run could not stand on is refused; what may be true
is noted.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.climate.gaps import expected_pressure, gaps
from assembly_sim.files.climate.rows import Array, Reading
from assembly_sim.words.figures import percent

Columns = Mapping[str, Array]

# Hours for which a value may stay the same: noted, refused. Temperatures of sound files in whole
# degrees stay for up to 24 h (fog on a coast); three days and nights without a degree of change
# are a dead sensor. Dew points of saturated sea air and calms last longer (common practice).
STUCK = {
    "temperature": (36, 72),
    "dew_point": (72, 240),
    "pressure": (72, None),
    "wind_speed": (48, None),
    "wind_direction": (120, None),
}
MONTH = 720  # hours below which a mean may be that of one spell of weather
CALM = 168  # hours without any wind
SAME_DAYS = 24  # hours of a day that repeats the one before to the last digit
# K in an hour: sound files step by up to 12. The largest swings on record, at the edge of the
# Rocky Mountains, are 27 K within the hour; there and back within three hours they are none.
STEP, SPIKE = 12.0, 20.0
SPIKE_HOURS = 3
# m/s, mean of the year 10 m up: the windiest inhabited coasts have 8 to 10, mountain tops 12 to
# 16 (common practice); 3.3 m/s, a usual place, is 12 km/h.
WINDY, WINDIEST = 9.0, 12.0
SHEAR = 0.14  # power of the height by which open country slows the wind
# Share of the pressure expected at the altitude, with what `expected_pressure` leaves open: year's
# mean at sea level 98 to 103 kPa on earth, the air below 15 K warmer or colder than supposed.
SEA_LEVEL = (98e3, 103e3)
COLUMN_UNSURE = 15.0  # K
PRESSURE_REFUSED = 0.05  # beyond that range: 400 m of altitude
# (sum r)^2 / (n sum r^2): the share of hours that rain would fill if all were equal. Measured 0.8
# to 6 %; half of all hours wet, with intensities spread exponentially, is 25 %.
EVEN_RAIN = 0.25
SAME_RAIN = 0.8  # share of wet hours with the rain of the hour before: sums of days dealt out


def doubts(reading: Reading) -> list[str]:
    """Notes on what may not be true of the columns as read. Raises `InputError` for what cannot."""
    notes, problems = [], []
    long = len(reading.lines) >= MONTH  # a gale or a low of some days is no other place
    means = (_wind, _pressure) if long else ()
    for check in (_stuck, _repeated_days, _steps, _humidity, *means):
        said, wrong = check(reading)
        notes += said
        problems += wrong
    if problems:
        raise InputError(*problems)
    return notes


Found = tuple[list[str], list[Problem]]


def _problem(reading: Reading, row: int | None, name: str, cause: str, cure: str) -> Problem:
    line = None if row is None else int(reading.lines[row]) or None
    return Problem(cause, cure, reading.file, line, name.replace("_", " "))


def _longest(same: NDArray[np.bool_]) -> tuple[int, int]:
    """Start and hours of the longest run in which each hour is as the one before it."""
    start, length = max(gaps(same), key=lambda run: run[1], default=(0, 0))
    return start, length + 1


def _stuck(reading: Reading) -> Found:
    """Values that stay the same to the last digit; wind only while it blows."""
    notes, problems = [], []
    calm = reading.columns.get("wind_speed", np.zeros(1)) == 0.0
    for name, (noted, refused) in STUCK.items():
        values = reading.columns.get(name)
        if values is None or np.nanmax(values) == np.nanmin(values):
            continue  # not there, or said to be one value all year
        same = np.diff(values) == 0.0
        if name.startswith("wind"):
            same &= ~calm[1:]
        start, hours = _longest(same)
        cause = f"stays at {values[start]:g} for {hours} hours from {reading.stamp(start)}"
        if refused is not None and hours >= refused:
            cure = "leave the cells blank or take another year: the sensor stood still"
            problems.append(_problem(reading, start, name, cause, cure))
        elif hours >= noted:
            notes.append(f"{name.replace('_', ' ')} {cause}")
    start, hours = _longest(calm[1:] & calm[:-1])
    if hours >= CALM:
        notes.append(f"wind speed stays at 0 for {hours} hours from {reading.stamp(start)}")
    return notes, problems


def _repeated_days(reading: Reading) -> Found:
    """Days that are copies of the day before."""
    notes = []
    for name in ("temperature", "global_horizontal"):
        values = reading.columns[name]
        if np.nanmax(values) == np.nanmin(values):
            continue
        same = values[24:] == values[:-24]
        lasting = [(start, hours) for start, hours in gaps(same) if hours >= SAME_DAYS]
        some = [run for run in lasting if np.nanmax(values[run[0] : sum(run)]) > 0.0]
        if name == "global_horizontal":
            lasting = some  # polar nights are all alike
        if lasting:
            days = sum(hours // 24 for _, hours in lasting)
            first = reading.stamp(lasting[0][0] + 24)
            notes.append(
                f"{name.replace('_', ' ')}: {days} days are copies of the day before, "
                f"the first from {first}"
            )
    return notes, []


def _steps(reading: Reading) -> Found:
    """Temperatures that leap, and that come back at once."""
    step = np.diff(reading.columns["temperature"])
    step = np.where(np.isnan(step), 0.0, step)
    for row in np.flatnonzero(np.abs(step) > SPIKE):
        after = step[row + 1 : row + 1 + SPIKE_HOURS]
        if (after * np.sign(step[row]) < -SPIKE).any():
            value = reading.columns["temperature"][row + 1]
            cause = f"{value:g} degC is a spike: {step[row]:+.1f} K in an hour and back at once"
            cure = "correct the row, or leave the cell blank where the value is missing"
            return [], [_problem(reading, int(row) + 1, "temperature", cause, cure)]
    wide = np.abs(step) > STEP
    if not wide.any():
        return [], []
    worst = int(np.argmax(np.abs(step)))
    at = reading.stamp(worst + 1)
    text = f"temperature changes by more than {STEP:g} K within an hour {wide.sum()} times"
    return [f"{text} (at most {step[worst]:+.1f} K, at {at})"], []


def _humidity(reading: Reading) -> Found:
    """Relative humidity that is written 0 to 1: no air stays below 1 % all year."""
    values = reading.columns.get("relative_humidity")
    if values is None or np.nanmax(values) > 1.0:
        return [], []
    cause = f"it never passes {np.nanmax(values):g} %"
    return [], [_problem(reading, None, "relative_humidity", cause, "give it in %, not 0 to 1")]


def _wind(reading: Reading) -> Found:
    """Mean wind that no place has: km/h, miles an hour or knots for m/s."""
    speed = np.nanmean(reading.columns["wind_speed"])
    mean = float(speed * (10.0 / reading.wind_height) ** SHEAR)
    text = f"its mean of {mean:.1f} m/s 10 m up is that of no "
    if mean > WINDIEST:
        cause = f"{text}inhabited place"
        cure = "give it in m/s: is it in km/h (divide by 3.6)?"
        return [], [_problem(reading, None, "wind_speed", cause, cure)]
    if mean > WINDY:
        return [f"wind speed: {text}ordinary place; see that it is in m/s"], []
    return [], []


def _pressure(reading: Reading) -> Found:
    """Pressure against the altitude: reduced to sea level, or of another place."""
    values = reading.columns.get("pressure")
    if values is None:
        return [], []
    mean = float(np.nanmean(values))
    sure = [
        expected_pressure(reading, sea, shift)
        for sea in SEA_LEVEL
        for shift in (-COLUMN_UNSURE, COLUMN_UNSURE)
    ]
    low, high = min(sure), max(sure)
    if low <= mean <= high:
        return [], []
    cause = (
        f"its mean of {mean / 1000:.1f} kPa does not fit an elevation of {reading.elevation:g} m, "
        f"where it is {low / 1000:.1f} to {high / 1000:.1f} kPa"
    )
    if SEA_LEVEL[0] <= mean <= SEA_LEVEL[1]:
        cause += " (it is that of sea level)"
    if low * (1.0 - PRESSURE_REFUSED) <= mean <= high * (1.0 + PRESSURE_REFUSED):
        return [f"pressure: {cause}"], []
    cure = "give the station's own, correct the elevation, or leave the column blank"
    return [], [_problem(reading, None, "pressure", cause, cure)]


def rain_doubt(rain: Array) -> str:
    """Why a column of rain cannot be used, or nothing: rain dealt out over the hours."""
    total = float(np.nansum(rain))
    if total <= 0.0:
        return ""
    filled = total**2 / (len(rain) * float(np.nansum(rain**2)))
    if filled > EVEN_RAIN:
        return f"it is spread too evenly over the hours, as if it fell in {percent(filled)} of them"
    wet = rain > 0.0
    same = wet[1:] & (rain[1:] == rain[:-1])
    if same.sum() > SAME_RAIN * wet.sum():
        return "sums of days or longer are dealt out evenly over their hours"
    return ""


# A column that is out of its limits in one of these units lies within them once converted.
OTHER_UNITS: dict[str, dict[str, Callable[[Array], Array]]] = {
    "temperature": {"K": lambda v: v - 273.15, "degF": lambda v: (v - 32.0) / 1.8},
    "dew_point": {"K": lambda v: v - 273.15, "degF": lambda v: (v - 32.0) / 1.8},
    "pressure": {
        "hPa": lambda v: 100.0 * v,
        "kPa": lambda v: 1000.0 * v,
        "inHg": lambda v: 3386.4 * v,
        "mmHg": lambda v: 133.32 * v,
    },
    "wind_speed": {"km/h": lambda v: v / 3.6},
    "global_horizontal": {"kJ/m2": lambda v: v / 3.6},
    "direct_normal": {"kJ/m2": lambda v: v / 3.6},
    "diffuse_horizontal": {"kJ/m2": lambda v: v / 3.6},
    "cloud_cover": {"tenths": lambda v: v / 10.0, "oktas": lambda v: v / 8.0},
}


def other_unit(name: str, values: Array, low: float, high: float) -> str:
    """The unit in which all of a column lies within its limits, as a question; nothing if none."""
    for unit, convert in OTHER_UNITS.get(name, {}).items():
        there = convert(values[np.isfinite(values)])
        if ((there >= low) & (there <= high)).all():
            return f"; is the column in {unit}?"
    return ""

"""A weather file in a few lines: what it holds, how it was read, how cold and wet it is."""

from __future__ import annotations

import calendar
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.period import window_in_words
from assembly_sim.files.climate.rows import Array, dated_stamp, stamp_of
from assembly_sim.files.climate.years import month_of_hour
from assembly_sim.model.climate import Climate
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.physics.moist_air import dew_point, saturation_pressure
from assembly_sim.words.figures import limit_figure

BASE_TEMPERATURE = 18.0  # degC
DESIGN_SHARE = 0.004  # of the hours are colder: the 99.6 % design temperature


def heating_degree_days(climate: Climate, base: float = BASE_TEMPERATURE) -> float:
    """Sum over whole days of what the daily mean (K, from hours) lacks to the base (degC): K d."""
    midnight = -int(climate.since_new_year[0]) % 24  # of a window that begins in the afternoon
    days = (climate.hours - midnight) // 24
    whole = climate.temperature[midnight : midnight + 24 * days]
    daily = whole.reshape(-1, 24).mean(axis=1) - ICE_POINT
    return float(np.maximum(base - daily, 0.0).sum())


def design_cold_hour(climate: Climate) -> tuple[float, int]:
    """Temperature (K) that 99.6 % of hours exceed, and the index of the hour that is nearest it."""
    coldest_first = np.argsort(climate.temperature, kind="stable")
    hour = int(coldest_first[int(DESIGN_SHARE * climate.hours)])
    return float(climate.temperature[hour]), hour


@dataclass(frozen=True)
class Column:
    """One column of the monthly table: heading and unit by system, values by hour, and how."""

    heading: str
    si: tuple[str, float, float]  # unit, factor, offset
    ip: tuple[str, float, float]
    values: Array | None
    total: bool = False
    digits: int = 0


def climate_text(climate: Climate, units: str = "si") -> str:
    """The ingest report of a climate: place, notes, monthly table, degree days, a cold hour.

    `units` is `si` or `ip`.
    """
    cold, hour = design_cold_hour(climate)
    lowest = int(np.argmin(climate.temperature))
    days = heating_degree_days(climate)
    shown = f"{days:.0f} K d" if units == "si" else f"{days * 1.8:.0f} degF d"
    base = _degrees(BASE_TEMPERATURE + ICE_POINT, units)
    lines = [
        climate.name,
        _place(climate, units),
        "",
        *_table(climate, units),
        "",
        f"Heating degree days, base {base}: {shown}",
        f"Design-cold hour (99.6 % of hours are warmer): {_degrees(cold, units)}, "
        f"such as {_stamp(climate, hour)}",
        f"Coldest hour: {_degrees(float(climate.temperature[lowest]), units)}, "
        f"{_stamp(climate, lowest)}",
        "",
        "How the file was read:",
        *(f"  - {note}" for note in climate.notes),
    ]
    if climate.flags:
        counts = ", ".join(f"{k.replace('_', ' ')} {v.sum()}" for k, v in climate.flags.items())
        lines.append(f"  - hours filled or altered: {counts}")
    return "\n".join(lines) + "\n"


def _stamp(climate: Climate, hour: int) -> str:
    """The end of an hour, with its year in a window."""
    if climate.wraps:
        return stamp_of(hour, climate.hours == 8784)
    return dated_stamp(climate.hour_starts[hour])


def _degrees(kelvin: float, units: str) -> str:
    celsius = kelvin - ICE_POINT
    return f"{celsius:.1f} degC" if units == "si" else f"{celsius * 1.8 + 32.0:.1f} degF"


def _place(climate: Climate, units: str) -> str:
    height = climate.elevation if units == "si" else climate.elevation / 0.3048
    return (
        f"latitude {climate.latitude:.2f}, longitude {climate.longitude:.2f}, "
        f"UTC{climate.time_zone:+g} h, {height:.0f} {'m' if units == 'si' else 'ft'} above sea, "
        f"{_hours(climate)} ending at their stamp, wind at "
        f"{limit_figure(climate.wind_height, 'height', units)}"
    )


def _hours(climate: Climate) -> str:
    """How many hours, and of a window which: it runs once, as it is."""
    if climate.wraps:
        return f"{climate.hours} hours"
    return f"{climate.hours} hours of {window_in_words(climate, climate.hours)},"


def _columns(climate: Climate) -> list[Column]:
    same = ("W/m2", 1.0, 0.0)
    celsius, fahrenheit = ("degC", 1.0, -ICE_POINT), ("degF", 1.8, 32.0 - 1.8 * ICE_POINT)
    humidity = climate.vapour_pressure / saturation_pressure(climate.temperature)
    sun = ("kWh/m2", 1e-3, 0.0)
    return [
        Column("mean", celsius, fahrenheit, climate.temperature, digits=1),
        Column("dew pt", celsius, fahrenheit, dew_point(climate.vapour_pressure), digits=1),
        Column("humid.", ("%", 100.0, 0.0), ("%", 100.0, 0.0), humidity),
        Column("wind", ("m/s", 1.0, 0.0), ("mph", 2.236936, 0.0), climate.wind_speed, digits=1),
        Column("sun", sun, ("kBtu/ft2", 3.169983e-4, 0.0), climate.global_horizontal, True, 1),
        Column("cloud", ("%", 100.0, 0.0), ("%", 100.0, 0.0), climate.cloud_cover),
        Column("sky", same, ("Btu/hft2", 0.3169983, 0.0), climate.sky_longwave),
        Column("rain", ("mm", 1.0, 0.0), ("in", 1.0 / 25.4, 0.0), climate.rain, True, 1),
    ]


def _table(climate: Climate, units: str) -> list[str]:
    """A row a month that is there and one of all; `-` for quantities that are not in the file."""
    month = month_of_hour(climate)
    whole = "Year" if climate.wraps else "All"
    names = ["", "", *calendar.month_abbr[1:], whole]
    rows: list[tuple[str, list[str]]] = [(name, []) for name in names]
    for column in [*_extremes(climate), *_columns(climate)]:
        unit, factor, offset = column.si if units == "si" else column.ip
        rows[0][1].append(column.heading)
        rows[1][1].append(unit)
        for index in np.unique(month):
            rows[2 + index][1].append(_cell(column, month == index, factor, offset))
        rows[14][1].append(_cell(column, month >= 0, factor, offset))
    there = np.bincount(month, minlength=12) > 0
    rows = [row for at, row in enumerate(rows) if at in (0, 1, 14) or there[at - 2]]
    return [f"{name:5}" + "".join(f"{cell:>9}" for cell in cells) for name, cells in rows]


def _extremes(climate: Climate) -> list[Column]:
    """Lowest and highest temperature: columns whose total is neither a mean nor a sum."""
    celsius, fahrenheit = ("degC", 1.0, -ICE_POINT), ("degF", 1.8, 32.0 - 1.8 * ICE_POINT)
    return [
        Column(heading, celsius, fahrenheit, climate.temperature, digits=1)
        for heading in ("lowest", "highest")
    ]


def _cell(column: Column, hours: NDArray[np.bool_], factor: float, offset: float) -> str:
    if column.values is None:
        return "-"
    reduce = {"lowest": np.min, "highest": np.max}.get(
        column.heading, np.sum if column.total else np.mean
    )
    return f"{float(reduce(column.values[hours])) * factor + offset:.{column.digits}f}"

"""A year colder or wetter than nine in ten, made from a typical one.

A typical year is an ordinary one; a decision should also hold in a hard one. How much months
differ from year to year is taken from the file itself: days are tied to their neighbours, so the
mean of n days with deviation s and day-to-day correlation r varies by s sqrt((1 + r)/((1 - r) n))
(Leith 1973, from memory). Monthly departures are drawn from a seed, tied from month to month, on
the condition that the winter mean (or the annual rain) lies exactly 1.2816 deviations off, which
is one year in ten of a normal distribution.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.climate.rows import Array
from assembly_sim.model.climate import Climate
from assembly_sim.physics.moist_air import dew_point, saturation_pressure
from assembly_sim.words.figures import percent

ONE_IN_TEN = 1.2815515655  # deviations of a normal distribution, 10 % beyond
MONTH_TO_MONTH = 0.3  # correlation of neighbouring months (from memory)
WINTER_MONTHS = 5


def tenth_percentile_year(climate: Climate, kind: str, seed: int = 1) -> Climate:
    """The year with a `cold` winter or a `wet` twelve months, as one in ten is.

    Cold: temperature moves by a smooth course through twelve departures; the dew point keeps its
    distance below it, sky radiation follows T^4; sun, wind, rain and snow stay (snow and cloud of
    a cold winter are left out). Wet: rain is scaled month by month; humidity, cloud and sun stay,
    so that wetting by rain is harder but drying is not. Raises `InputError` for another kind, or
    for `wet` where the file has no rain.
    """
    if kind not in ("cold", "wet"):
        raise InputError(Problem(f"unknown kind of year '{kind}'", "write 'cold' or 'wet'"))
    if not climate.wraps:
        cause = (
            f"the weather is a window from {climate.begins}: no winter or year can be made of it"
        )
        raise InputError(Problem(cause, "take weather of a whole year", climate.name))
    generator = np.random.default_rng(seed)
    return _cold(climate, generator, seed) if kind == "cold" else _wet(climate, generator, seed)


def month_of_hour(climate: Climate) -> Array:
    """Month, 0 to 11, of each hour of the climate."""
    return climate.hour_starts.astype("datetime64[M]").astype(int) % 12


def interannual_deviation(daily: Array, month: Array) -> Array:
    """Standard deviation from year to year of the twelve monthly means of a daily quantity."""
    result = np.empty(12)
    for index in range(12):
        days = daily[month == index]
        trend = np.polyval(np.polyfit(np.arange(len(days)), days, 1), np.arange(len(days)))
        rest = days - trend
        power = float(np.mean(rest**2))
        tie = float(np.mean(rest[1:] * rest[:-1])) / power if power > 0 else 0.0
        tie = min(max(tie, 0.0), 0.85)
        result[index] = np.sqrt(power * (1.0 + tie) / ((1.0 - tie) * len(days)))
    return result


def departures(
    deviation: Array, weights: Array, sign: float, generator: np.random.Generator
) -> Array:
    """Twelve normal departures whose weighted sum is exactly one in ten.

    A draw from the normal distribution with covariance s_i s_j r^|i-j| (around the year), moved
    to the condition along the covariance, as conditioning of normal variables does.
    """
    apart = np.abs(np.subtract.outer(np.arange(12), np.arange(12)))
    apart = np.minimum(apart, 12 - apart)
    covariance = np.outer(deviation, deviation) * MONTH_TO_MONTH**apart
    eigenvalue, vector = np.linalg.eigh(covariance)
    draw = vector @ (np.sqrt(np.maximum(eigenvalue, 0.0)) * generator.standard_normal(12))
    along = covariance @ weights
    variance = float(weights @ along)
    if variance <= 0.0:
        return draw
    target = sign * ONE_IN_TEN * np.sqrt(variance)
    return draw + along * (target - weights @ draw) / variance


def _daily(values: Array) -> Array:
    return values.reshape(-1, 24).mean(axis=1)


def _cold(climate: Climate, generator: np.random.Generator, seed: int) -> Climate:
    month = month_of_hour(climate)
    daily = _daily(climate.temperature)
    means = np.array([climate.temperature[month == index].mean() for index in range(12)])
    winter = np.zeros(12)
    winter[np.argsort(means)[:WINTER_MONTHS]] = 1.0 / WINTER_MONTHS
    by_month = departures(interannual_deviation(daily, month[::24]), winter, -1.0, generator)
    shift = _smooth(by_month, month)
    temperature = climate.temperature + shift
    sky = climate.sky_longwave
    note = (
        f"winter as cold as one year in ten (seed {seed}): "
        f"{winter @ by_month:.1f} K in its five coldest months"
    )
    return replace(
        climate,
        temperature=temperature,
        vapour_pressure=saturation_pressure(dew_point(climate.vapour_pressure) + shift),
        sky_longwave=None if sky is None else sky * (temperature / climate.temperature) ** 4,
        notes=(*climate.notes, note),
        name=f"{climate.name}, cold year",
    )


def _smooth(by_month: Array, month: Array) -> Array:
    """An hourly course through monthly values that keeps each month's mean."""
    hours = np.arange(len(month))
    middles = np.array([hours[month == index].mean() for index in range(12)])
    nodes = by_month.copy()
    for _ in range(50):  # the means of straight lines between middles differ a little: iterate
        course = np.interp(hours, middles, nodes, period=len(month))
        nodes += by_month - np.array([course[month == index].mean() for index in range(12)])
    return np.interp(hours, middles, nodes, period=len(month))


def _wet(climate: Climate, generator: np.random.Generator, seed: int) -> Climate:
    if climate.rain is None:
        cure = "take a climate with rain"
        raise InputError(Problem("the climate has no rain", cure, climate.name, field="wet year"))
    month = month_of_hour(climate)
    rain = climate.rain
    monthly = np.array([rain[month == index].sum() for index in range(12)])
    days = np.array([np.count_nonzero(month[::24] == index) for index in range(12)])
    deviation = interannual_deviation(24.0 * _daily(rain), month[::24]) * days
    wanted = float(departures(deviation, np.ones(12), 1.0, generator).sum() + monthly.sum())
    relative = deviation / np.maximum(monthly, 1e-9)
    factor = np.exp(np.minimum(relative, 0.6) * generator.standard_normal(12))
    factor *= wanted / max(float(factor @ monthly), 1e-9)
    share = wanted / max(float(monthly.sum()), 1e-9)
    note = f"rain as in the wettest year of ten (seed {seed}): {percent(share)} of the typical sum"
    return replace(
        climate,
        rain=rain * factor[month],
        notes=(*climate.notes, note),
        name=f"{climate.name}, wet year",
    )

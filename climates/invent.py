"""Invents the climates of this folder: `python climates/invent.py` rewrites the three files.

Places, numbers and weather are invented; nothing here was measured. Each year is drawn from a
seed: daily temperature, clearness, wind and wetness are autocorrelated and tied to each other
(a wet day is cloudy, mild in winter, cool in summer; a clear winter night is cold), hours get a
diurnal cycle from the sun, and global, direct and diffuse sun are tied to the sun's height.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assembly_sim.files.climate.csv import write_canonical
from assembly_sim.model.climate import Climate
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.physics.sun import sun_position

Array = NDArray[np.float64]
YEAR, DAYS, HOURS = 2001, 365, 8760
SOLAR_CONSTANT = 1361.0  # W/m2


@dataclass(frozen=True)
class Recipe:
    """What makes a climate: means, swings (K), how wet, and where the wind comes from."""

    name: str
    file: str
    seed: int
    latitude: float
    longitude: float
    time_zone: float
    elevation: float
    mean_temperature: float  # degC, of the year
    yearly_swing: float  # K, half of July minus January
    daily_swing: tuple[float, float]  # K, half of afternoon minus night, winter and summer
    spell: tuple[float, float]  # K, standard deviation of daily means, winter and summer
    depression: tuple[float, float]  # K, mean dew point depression, winter and summer
    wet_days: tuple[float, float]  # share, winter and summer
    rain_per_wet_day: tuple[float, float]  # mm, winter and summer
    wind: tuple[float, float]  # m/s, winter and summer
    prevailing: float  # degree
    rain_wind: float  # degree, wind on wet days
    dew_point_limit: float = 26.0  # degC


COLD_INLAND = Recipe(
    "Alder Fork (invented)", "cold_inland", 16, 45.6, -93.4, -6.0, 310.0,
    mean_temperature=6.1, yearly_swing=15.0, daily_swing=(4.4, 5.6), spell=(6.8, 3.2),
    depression=(3.6, 6.2), wet_days=(0.26, 0.33), rain_per_wet_day=(2.6, 9.0),
    wind=(4.4, 3.5), prevailing=300.0, rain_wind=110.0,
)  # fmt: skip
WET_MILD_COAST = Recipe(
    "Gull Haven (invented)", "wet_mild_coast", 3, 52.3, -9.1, 0.0, 18.0,
    mean_temperature=11.0, yearly_swing=4.8, daily_swing=(1.5, 2.9), spell=(2.6, 1.7),
    depression=(2.1, 3.2), wet_days=(0.62, 0.46), rain_per_wet_day=(7.4, 5.4),
    wind=(7.6, 5.2), prevailing=250.0, rain_wind=210.0,
)  # fmt: skip
HOT_HUMID = Recipe(
    "Port Palmetto (invented)", "hot_humid", 21, 29.4, -91.2, -6.0, 6.0,
    mean_temperature=21.4, yearly_swing=7.6, daily_swing=(4.2, 3.7), spell=(4.4, 1.1),
    depression=(4.2, 4.4), wet_days=(0.28, 0.40), rain_per_wet_day=(10.5, 12.5),
    wind=(3.9, 2.9), prevailing=140.0, rain_wind=170.0,
)  # fmt: skip


def season(pair: tuple[float, float], day: Array) -> Array:
    """A value that is the first of the pair in mid January and the second in mid July."""
    share = 0.5 - 0.5 * np.cos(2.0 * np.pi * (day - 18.0) / DAYS)
    return pair[0] + (pair[1] - pair[0]) * share


def autocorrelated(generator: np.random.Generator, count: int, memory: float) -> Array:
    """Normal numbers, mean 0, deviation 1, each tied to the one before; the ends meet."""
    noise = generator.standard_normal(2 * count)
    values = np.empty_like(noise)
    values[0] = noise[0]
    for i in range(1, 2 * count):
        values[i] = memory * values[i - 1] + np.sqrt(1.0 - memory**2) * noise[i]
    tail = np.linspace(0.0, 1.0, count // 20)
    year = values[count:].copy()
    before = values[count - len(tail) : count]
    year[-len(tail) :] = (1.0 - tail) * year[-len(tail) :] + tail * before
    return (year - year.mean()) / year.std()


def hourly(daily: Array) -> Array:
    """Hourly values that run straight from noon to noon, around the turn of the year."""
    hours = np.arange(HOURS) + 1.0
    return np.interp(hours, np.arange(DAYS) * 24.0 + 12.0, daily, period=HOURS)


def rank(values: Array) -> Array:
    """Each value's rank as a share between 0 and 1."""
    return (np.argsort(np.argsort(values)) + 0.5) / len(values)


def daily_weather(recipe: Recipe, generator: np.random.Generator) -> dict[str, Array]:
    """Daily mean temperature, wetness rank, cloud (0-1), wind and rain depth."""
    day = np.arange(DAYS) + 0.5
    wet_share = season(recipe.wet_days, day)
    wetness = rank(autocorrelated(generator, DAYS, 0.45))
    wet = wetness > 1.0 - wet_share
    spell = autocorrelated(generator, DAYS, 0.72)
    damp = 2.0 * wetness - 1.0
    warmth = season((0.45, -0.45), day) * damp
    mixed = (0.9 * spell + warmth) / np.std(0.9 * spell + warmth)
    yearly = -recipe.yearly_swing * np.cos(2.0 * np.pi * (day - 19.0) / DAYS)
    depth = generator.gamma(0.75, 1.0 / 0.75, DAYS) * season(recipe.rain_per_wet_day, day)
    cloud = np.clip(0.08 + 0.85 * wetness + 0.15 * generator.standard_normal(DAYS), 0.0, 1.0)
    gust = np.exp(0.42 * autocorrelated(generator, DAYS, 0.5) + 0.18 * damp - 0.1)
    return {
        "temperature": recipe.mean_temperature + yearly + season(recipe.spell, day) * mixed,
        "cloud": np.where(wet, np.maximum(cloud, 0.75), cloud),
        "wet": wet.astype(float),
        "wetness": wetness,
        "rain": np.where(wet, depth, 0.0),
        "wind": season(recipe.wind, day) * gust,
    }


def cloud_and_sun(
    recipe: Recipe, days: dict[str, Array], generator: np.random.Generator
) -> tuple[Array, Array, Array, Array]:
    """Cloud (tenths as 0-1), global, direct and diffuse irradiance that close at mid-hour.

    Clear sky: Kasten and Czeplak (1980), G0 = 910 cos z - 30, thinned by cloud as
    1 - 0.75 N^3.4; direct share of a clear sky falls with the air's path (from memory).
    """
    wobble = 0.16 * autocorrelated(generator, HOURS, 0.85)
    cloud = np.round(np.clip(hourly(days["cloud"]) + wobble, 0.0, 1.0), 1)
    middle = np.arange(HOURS) + 0.5 - recipe.time_zone
    zenith, _ = sun_position(YEAR, middle, recipe.latitude, recipe.longitude)
    height = np.maximum(np.cos(zenith), 0.0)
    clear = np.maximum(910.0 * height - 30.0, 4.0 * (height > 0.0) * height / 0.05)
    clear = np.minimum(clear, 910.0 * height)
    transmitted = 1.0 - 0.75 * cloud**3.4
    diffuse_share = np.clip(0.05 + 0.08 / np.maximum(height, 0.1) ** 0.7 + 0.9 * cloud**1.9, 0, 1)
    total = clear * transmitted
    beam = np.where(height > 0.05, total * (1.0 - diffuse_share), 0.0)
    direct = np.minimum(np.round(beam / np.maximum(height, 0.05)), 1050.0)
    diffuse = np.round(total - direct * height)
    return cloud, np.round(diffuse + direct * height), direct, np.maximum(diffuse, 0.0)


def temperature_of(
    recipe: Recipe, days: dict[str, Array], cloud: Array, generator: np.random.Generator
) -> Array:
    """Hourly temperature (degC): daily mean, a diurnal cycle that cloud flattens, and noise."""
    hours = np.arange(HOURS) + 1.0
    swing = season(recipe.daily_swing, hours / 24.0) * (1.35 - 0.85 * hourly(days["cloud"]))
    local = hours - (recipe.longitude / 15.0 - recipe.time_zone) * -1.0
    cycle = np.cos(2.0 * np.pi * (local - 15.0) / 24.0)
    cycle = cycle + 0.22 * np.cos(4.0 * np.pi * (local - 14.5) / 24.0)
    radiative = -season((2.6, 0.6), hours / 24.0) * (0.5 - cloud) * (cycle < 0)
    noise = 0.45 * autocorrelated(generator, HOURS, 0.9)
    return hourly(days["temperature"]) + swing * cycle + radiative + noise


def dew_point_of(
    recipe: Recipe,
    days: dict[str, Array],
    temperature: Array,
    rain: Array,
    generator: np.random.Generator,
) -> Array:
    """Hourly dew point (degC) from a slow air-mass value, never above the temperature."""
    hours = np.arange(HOURS) + 1.0
    base = hourly(temperature.reshape(DAYS, 24).mean(axis=1))
    dryness = 1.55 - 1.1 * hourly(days["wetness"])
    depression = season(recipe.depression, hours / 24.0) * dryness
    depression = depression * np.exp(0.25 * autocorrelated(generator, HOURS, 0.97))
    air_mass = np.minimum(base - depression, recipe.dew_point_limit - 0.3 * rain.clip(0, 1))
    gap = temperature - air_mass
    closing = np.where(gap > 1.0, gap, np.exp(np.minimum(gap, 1.0) - 1.0))
    return temperature - np.where(rain > 0, 0.35 + 0.35 * closing, closing)


def rain_of(days: dict[str, Array], cloud: Array, generator: np.random.Generator) -> Array:
    """Hourly rain (mm): each day's depth falls in its cloudiest hours, in bursts."""
    rain = np.zeros((DAYS, 24))
    pick = cloud.reshape(DAYS, 24) + 0.6 * autocorrelated(generator, HOURS, 0.8).reshape(DAYS, 24)
    for day in np.flatnonzero(days["rain"] > 0):
        hours = int(np.clip(1 + days["rain"][day] * 0.7 + generator.poisson(2.0), 1, 20))
        chosen = np.argsort(pick[day])[-hours:]
        burst = generator.gamma(0.8, 1.0, hours)
        rain[day, chosen] = days["rain"][day] * burst / burst.sum()
    return np.round(rain.ravel(), 1)


def wind_of(
    recipe: Recipe, days: dict[str, Array], rain: Array, generator: np.random.Generator
) -> tuple[Array, Array]:
    """Hourly wind speed (m/s) and direction (degree): stronger by day, turned on wet days."""
    hour = np.arange(HOURS) % 24 + 1.0
    by_day = 1.0 + 0.22 * np.cos(2.0 * np.pi * (hour - 14.0) / 24.0)
    gust = np.exp(0.28 * autocorrelated(generator, HOURS, 0.8) - 0.04)
    speed = np.round(hourly(days["wind"]) * by_day * gust * np.where(rain > 0, 1.15, 1.0), 1)
    turn = (recipe.rain_wind - recipe.prevailing + 180.0) % 360.0 - 180.0
    sway = 62.0 * hourly(autocorrelated(generator, DAYS, 0.5))
    sway = sway + 22.0 * autocorrelated(generator, HOURS, 0.8)
    direction = recipe.prevailing + turn * hourly(days["wet"]) + sway
    return speed, np.round(direction / 10.0) * 10.0 % 360.0


def invent(recipe: Recipe) -> Climate:
    """One climate from its recipe and seed."""
    generator = np.random.default_rng(recipe.seed)
    days = daily_weather(recipe, generator)
    cloud, total, direct, diffuse = cloud_and_sun(recipe, days, generator)
    rain = rain_of(days, cloud, generator)
    cloud = np.where(rain > 0, np.maximum(cloud, 0.7), cloud)
    temperature = temperature_of(recipe, days, cloud, generator)
    dew_point = dew_point_of(recipe, days, temperature, rain, generator)
    speed, direction = wind_of(recipe, days, rain, generator)
    mean_pressure = 101325.0 * (1.0 - 2.25577e-5 * recipe.elevation) ** 5.25588
    swing = 900.0 * hourly(autocorrelated(generator, DAYS, 0.75)) - 500.0 * hourly(days["wet"])
    return Climate(
        name=recipe.name,
        latitude=recipe.latitude,
        longitude=recipe.longitude,
        time_zone=recipe.time_zone,
        elevation=recipe.elevation,
        temperature=273.15 + temperature,
        vapour_pressure=saturation_pressure(273.15 + dew_point),
        pressure=mean_pressure + swing,
        wind_speed=speed,
        wind_direction=np.radians(direction),
        global_horizontal=total,
        direct_normal=direct,
        diffuse_horizontal=diffuse,
        cloud_cover=cloud,
        rain=rain,
        year=YEAR,
        notes=(f"invented weather, seed {recipe.seed}, made by climates/invent.py",),
    )


def main() -> None:
    """Write the three climates beside this script."""
    for recipe in (COLD_INLAND, WET_MILD_COAST, HOT_HUMID):
        write_canonical(invent(recipe), Path(__file__).with_name(f"{recipe.file}.csv"))


if __name__ == "__main__":
    main()

"""The invented climates: statistics that real ones of their kind show, and the same ingest check.

Bounds on means are the recipe's aim; those on shape (swings, ties between quantities) are common
practice, no source, with the real Greensboro year passing the same ones where it applies.
"""

import runpy
from pathlib import Path

import numpy as np
import pytest
from weather_texts import read, text_of

from assembly_sim.files.climate.csv import canonical_text
from assembly_sim.files.climate.sun import closure
from assembly_sim.files.climate.years import month_of_hour
from assembly_sim.files.folders import shipped
from assembly_sim.physics.moist_air import dew_point, saturation_pressure
from assembly_sim.report.climate import heating_degree_days

NAMES = ("cold_inland", "wet_mild_coast", "hot_humid")
# name: degree days, January mean, July mean, lowest hour (degC), rain (mm)
AIMS = {
    "cold_inland": ((4200, 4800), (-11, -7), (18, 22), (-33, -25), (500, 900)),
    "wet_mild_coast": ((2300, 2700), (5, 8), (14, 18), (-8, 0), (1200, 1700)),
    "hot_humid": ((200, 500), (11, 15), (26, 30), (-5, 5), (1200, 1800)),
}


@pytest.mark.parametrize("name", NAMES)
def test_means_are_those_of_the_kind(name):
    climate = read(name)
    month = month_of_hour(climate)
    celsius = climate.temperature - 273.15
    found = (
        heating_degree_days(climate),
        celsius[month == 0].mean(),
        celsius[month == 6].mean(),
        celsius.min(),
        climate.rain.sum(),
    )
    for value, (low, high) in zip(found, AIMS[name], strict=True):
        assert low <= value <= high


@pytest.mark.parametrize("name", [*NAMES, "greensboro"])
def test_days_have_a_plausible_shape(name):
    climate = read(name)
    days = climate.temperature.reshape(365, 24)
    assert 13 <= np.argmax(days.mean(axis=0)) + 1 <= 17  # warmest in the afternoon
    assert 3 <= np.argmin(days.mean(axis=0)) + 1 <= 8
    assert 3.0 < np.ptp(days, axis=1).mean() < 14.0
    daily = days.mean(axis=1)
    departure = daily - np.convolve(np.tile(daily, 3), np.ones(61) / 61, "same")[365:730]
    assert 0.4 < np.corrcoef(departure[1:], departure[:-1])[0, 1] < 0.95
    assert np.abs(np.diff(climate.temperature)).max() < 12.0


@pytest.mark.parametrize("name", [*NAMES, "greensboro"])
def test_quantities_are_tied_as_in_nature(name):
    climate = read(name)
    wet = climate.rain > 0
    humidity = climate.vapour_pressure / saturation_pressure(climate.temperature)
    assert humidity.max() <= 1.0 + 1e-9
    assert humidity[wet].mean() > humidity[~wet].mean() + 0.08
    assert climate.cloud_cover[wet].mean() > climate.cloud_cover[~wet].mean() + 0.2
    assert climate.wind_speed[wet].mean() > climate.wind_speed[~wet].mean()
    daily_range = np.ptp(climate.temperature.reshape(365, 24), axis=1)
    cloud = climate.cloud_cover.reshape(365, 24).mean(axis=1)
    assert np.corrcoef(daily_range, cloud)[0, 1] < -0.3  # clear days swing more
    day = climate.global_horizontal > 0
    assert 0.35 < climate.diffuse_horizontal[day].sum() / climate.global_horizontal.sum() < 0.65


@pytest.mark.parametrize("name", NAMES)
def test_sun_closes_and_nothing_is_missing(name):
    climate = read(name)
    assert closure(climate) < 0.5  # written in whole W/m2
    assert closure(climate, 30.0) > 20 * closure(climate)
    assert not climate.flags
    assert len(text_of(name)) < 700_000


def test_summer_dew_point_of_the_hot_humid_climate():
    climate = read("hot_humid")
    summer = np.isin(month_of_hour(climate), (5, 6, 7))
    assert dew_point(climate.vapour_pressure[summer]).mean() - 273.15 > 22.0


def test_coast_is_windy_when_it_rains_and_cold_inland_has_cold_nights():
    coast = read("wet_mild_coast")
    assert coast.wind_speed[coast.rain > 0].mean() > 6.0
    cold = read("cold_inland").temperature.reshape(365, 24).min(axis=1) - 273.15
    assert 3 <= np.count_nonzero(cold < -22.0) <= 30


def test_script_makes_the_shipped_files_again():
    script = runpy.run_path(str(Path(shipped("climates")) / "invent.py"))
    assert canonical_text(script["invent"](script["COLD_INLAND"])) == text_of("cold_inland")

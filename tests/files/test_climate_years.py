"""One-in-ten years: the condition holds, the drawing is what it says, humidity stays possible."""

import numpy as np
import pytest
from weather_texts import read

from assembly_sim.errors import InputError
from assembly_sim.files.climate.sun import closure
from assembly_sim.files.climate.years import (
    ONE_IN_TEN,
    departures,
    interannual_deviation,
    month_of_hour,
    tenth_percentile_year,
)
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.report.climate import heating_degree_days


def test_deviation_of_monthly_means_is_that_of_tied_days():
    """s sqrt((1 + r)/((1 - r) n)) against the spread of means over 2000 drawn years."""
    generator = np.random.default_rng(5)
    month = np.repeat(np.arange(12), 31)
    values = np.empty((2000, len(month)))
    values[:, 0] = generator.standard_normal(2000)
    for day in range(1, len(month)):
        noise = np.sqrt(1 - 0.6**2) * generator.standard_normal(2000)
        values[:, day] = 0.6 * values[:, day - 1] + noise
    spread = values.reshape(2000, 12, 31).mean(axis=2).std(axis=0).mean()
    estimate = np.mean([interannual_deviation(year, month) for year in values[:200]])
    assert estimate == pytest.approx(spread, rel=0.25)  # one year tells its own spread roughly


def test_departures_meet_the_condition_and_spread_about_it():
    deviation, weights = np.linspace(1.0, 3.0, 12), np.full(12, 1 / 12)
    draws = np.array(
        [departures(deviation, weights, -1.0, np.random.default_rng(i)) for i in range(3000)]
    )
    apart = np.abs(np.subtract.outer(np.arange(12), np.arange(12)))
    covariance = np.outer(deviation, deviation) * 0.3 ** np.minimum(apart, 12 - apart)
    target = -ONE_IN_TEN * np.sqrt(weights @ covariance @ weights)
    np.testing.assert_allclose(draws @ weights, target)
    # conditional normal: variance falls by (C w)^2 / (w C w)
    along = covariance @ weights
    expected = np.diag(covariance) - along**2 / (weights @ along)
    np.testing.assert_allclose(draws.var(axis=0), expected, rtol=0.12)


@pytest.mark.parametrize("name", ["cold_inland", "greensboro", "sand point"])
def test_cold_year_is_colder_in_winter_and_keeps_its_humidity_possible(name):
    typical = read(name)
    cold = tenth_percentile_year(typical, "cold")
    shift = cold.temperature - typical.temperature
    month = month_of_hour(typical)
    winter = np.argsort([typical.temperature[month == m].mean() for m in range(12)])[:5]
    means = np.array([shift[month == m].mean() for m in range(12)])
    assert -4.0 < means[winter].mean() < -0.8
    assert np.abs(np.diff(shift)).max() < 0.05  # smooth: no jump where months join
    assert (cold.vapour_pressure <= saturation_pressure(cold.temperature) * (1 + 1e-9)).all()
    assert heating_degree_days(cold) > heating_degree_days(typical)
    assert closure(cold) == closure(typical)


def test_wet_year_scales_rain_only():
    typical = read("wet_mild_coast")
    wet = tenth_percentile_year(typical, "wet")
    assert 1.05 < wet.rain.sum() / typical.rain.sum() < 1.5
    np.testing.assert_array_equal(wet.rain > 0, typical.rain > 0)
    np.testing.assert_array_equal(wet.temperature, typical.temperature)


def test_seed_decides():
    typical = read("cold_inland")
    one, same, two = (tenth_percentile_year(typical, "cold", seed) for seed in (1, 1, 2))
    np.testing.assert_array_equal(one.temperature, same.temperature)
    assert np.abs(one.temperature - two.temperature).max() > 0.1


@pytest.mark.parametrize(
    ("name", "kind", "words"),
    [("cold_inland", "dry", "unknown kind"), ("sand point", "wet", "has no rain")],
)
def test_what_cannot_be_made_is_refused(name, kind, words):
    with pytest.raises(InputError, match=words):
        tenth_percentile_year(read(name), kind)

"""Degree days and bills: arithmetic by hand, made bills whose slope and base are known."""

import dataclasses
from datetime import date, timedelta

import numpy as np
import pytest

from assembly_sim.errors import InputError
from assembly_sim.hand.against_bills import AgainstBills
from assembly_sim.hand.bill_regression import fit_bills
from assembly_sim.hand.degree_days import DAY, daily_means, degree_days, transmission_heat
from assembly_sim.model.fuel import Bill, gap_before
from tests import synthetic

ICE = 273.15
DATES = np.arange(np.datetime64("2022-10-01"), np.datetime64("2023-10-01"))
NUMBER = np.arange(len(DATES))
DAILY = ICE + 8.0 - 13.0 * np.cos(2 * np.pi * (NUMBER - 107) / 365) + 3.0 * np.sin(NUMBER)
KWH = 3.6e6
BASE, SLOPE, BALANCE = 9.0 * KWH, 4.0 * KWH, ICE + 14.5


def made(noise=0.0, base=BASE, balance=BALANCE, seed=5):
    """A year of monthly bills in J, by base, slope and balance, with relative noise."""
    random, bills, first = np.random.default_rng(seed), [], date(2022, 10, 1)
    while first < date(2023, 10, 1):
        after = (first.replace(day=28) + timedelta(days=4)).replace(day=1)
        own = DAILY[(np.datetime64(first) <= DATES) & (np.datetime64(after) > DATES)]
        used = base * len(own) + SLOPE * degree_days(own, balance)
        used *= 1.0 + noise * random.standard_normal()
        bills.append(Bill(first, after - timedelta(days=1), used))
        first = after
    return tuple(bills)


def test_degree_days_by_hand():
    """Means of 0, 10 and 20 degC to a base of 15.5 degC: 15.5 + 5.5 + 0."""
    assert degree_days(np.array([ICE, ICE + 10, ICE + 20]), ICE + 15.5) == pytest.approx(21.0)
    # U A HDD 24: 0.25 W/(m2 K) x 100 m2 x 4000 K day x 24 h = 2400 kWh
    assert transmission_heat(0.25, 100.0, 4000.0) == pytest.approx(2400.0 * KWH)
    assert DAY == 24.0 * 3600.0


def test_days_of_a_climate():
    year = synthetic.climate()
    dates, means = daily_means(year)
    assert len(dates) == len(means) == 365
    assert means.mean() == pytest.approx(year.temperature.mean(), abs=0.01)
    window = dataclasses.replace(synthetic.climate(60), begins="2021-11-12T14:00")
    dates, means = daily_means(window)
    assert [str(one) for one in dates] == ["2021-11-13", "2021-11-14"]


def test_a_made_bill_gives_back_its_slope_and_base():
    fit = fit_bills(made(), 1.0, DATES, DAILY)
    assert fit.balance_temperature == pytest.approx(BALANCE, abs=1e-6)
    assert fit.slope == pytest.approx(SLOPE, rel=1e-6)
    assert fit.base == pytest.approx(BASE, rel=1e-6)
    assert fit.scatter < 1e-9
    heating = SLOPE * degree_days(DAILY, BALANCE)
    assert fit.heating_part(DAILY) == pytest.approx(heating, rel=1e-6)


def test_amounts_count_by_their_heat_content():
    litres = tuple(dataclasses.replace(one, amount=one.amount / 3.86e10) for one in made())
    assert fit_bills(litres, 3.86e10, DATES, DAILY).slope == pytest.approx(SLOPE, rel=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_with_noise_the_heating_part_is_found_and_its_errors_are_told(seed):
    """5 % of noise a bill: the heating part within 12 %, the slope within four of its errors."""
    fit = fit_bills(made(0.05, seed=seed), 1.0, DATES, DAILY)
    heating = SLOPE * degree_days(DAILY, BALANCE)
    assert fit.heating_part(DAILY) == pytest.approx(heating, rel=0.12)
    low, high = fit.balance_range
    assert low <= fit.balance_temperature <= high
    at_known = fit_bills(made(0.05, seed=seed), 1.0, DATES, DAILY)
    assert 0.005 < at_known.scatter < 0.15
    assert abs(fit.slope - SLOPE) < 4.0 * fit.errors[1] + SLOPE * (high - low) / 20.0


def test_a_base_below_zero_is_held_there_and_said():
    fit = fit_bills(made(0.03, base=0.0, seed=2), 1.0, DATES, DAILY)
    assert fit.base >= 0.0
    bills = made(base=0.0, balance=ICE + 6.0)  # a balance below the search: the line would dip
    low = fit_bills(bills, 1.0, DATES, DAILY)
    assert low.base_held
    assert low.base == 0.0


def test_half_the_fuel_halves_the_line():
    """A law: bills scaled by a factor give base and slope scaled by it, and the same balance."""
    bills = made(0.05)
    half = tuple(dataclasses.replace(one, amount=0.5 * one.amount) for one in bills)
    whole, found = (fit_bills(each, 1.0, DATES, DAILY) for each in (bills, half))
    assert found.slope == pytest.approx(0.5 * whole.slope)
    assert found.base == pytest.approx(0.5 * whole.base)
    assert found.balance_temperature == whole.balance_temperature


def test_bills_that_tell_nothing_are_refused():
    with pytest.raises(InputError, match="tell no base"):
        fit_bills(made()[:5], 1.0, DATES, DAILY)
    with pytest.raises(InputError, match="do not rise"):
        flat = tuple(dataclasses.replace(one, amount=one.days * KWH) for one in made())
        fit_bills(flat, 1.0, DATES, DAILY)
    with pytest.raises(InputError, match="the weather holds 0 of the 31 days"):
        fit_bills(made(), 1.0, DATES[40:], DAILY[40:])


def test_bills_follow_each_other_without_a_gap():
    bills = made()
    assert gap_before(bills) is None
    number, cause = gap_before((*bills[:3], *bills[4:]))
    assert number == 3
    assert "from 2023-01-01 to 2023-01-31" in cause
    number, cause = gap_before((*bills[:3], *bills[2:]))
    assert number == 3
    assert "begins on 2022-12-01" in cause


@pytest.mark.parametrize(("computed", "misses"), [(71.0, False), (69.0, True), (131.0, True)])
def test_more_than_thirty_per_cent_off_is_said(computed, misses):
    held = AgainstBills(computed, 100.0)
    assert held.misses is misses
    assert held.allows(100.0)
    assert not held.allows(100.1)

"""Fuel, money and payback against printed figures and worked arithmetic."""

import dataclasses

import pytest

from assembly_sim.errors import InputError
from assembly_sim.hand.fuels import PRESETS, amount_of, carbon_of, heat_of, price_of
from assembly_sim.hand.payback import (
    capital_recovery,
    cost_of_saved_unit,
    payback_range,
    simple_payback,
)
from assembly_sim.model.fuel import Cost, Currency, Fuel
from assembly_sim.units import in_unit, read

KWH = 3.6e6
MMBTU = read("1 MMBtu", "energy")


def sold(name, price=None, **changes):
    one = PRESETS[name]
    made = Fuel(name, one.sold_by, one.unit, one.heat_content, one.efficiency, price, co2=one.co2)
    return dataclasses.replace(made, **changes)


@pytest.mark.parametrize(
    ("name", "amount", "kilowatt_hours"),
    [
        # EIA, "Units and calculators" (from memory): 1,037 Btu/ft3; 138,500 and 91,500 Btu/US gal
        # printed in kWh by the trade: 10.7 kWh a litre of oil, 7.08 of propane, 40.6 a gallon
        ("heating oil", 1e-3, 10.72),
        ("heating oil", read("1 US_gal", "volume"), 40.59),
        ("propane", 1e-3, 7.08),
        ("natural gas", 1.0, 10.73),
        ("natural gas", read("100 ft3", "volume"), 30.39),
        ("hardwood", read("1 cord", "volume"), 5861.4),  # 20 MMBtu
        ("pellets", 1.0, 4.8),
        ("electric resistance", KWH, 1.0),
    ],
)
def test_heat_contents(name, amount, kilowatt_hours):
    assert amount * PRESETS[name].heat_content / KWH == pytest.approx(kilowatt_hours, rel=1e-3)


def test_a_therm_is_a_hundred_thousand_british_units():
    assert read("1 US_therm", "energy") / KWH == pytest.approx(29.30, rel=1e-4)
    assert read("1 EC_therm", "energy") / read("1 Btu", "energy") == pytest.approx(1e5)
    assert in_unit(MMBTU, "energy", "kWh") == pytest.approx(293.07, rel=1e-4)  # ASHRAE tables


def test_a_hundred_million_of_heat_by_oil():
    """By hand: 100e6 / (138,500 x 0.80) = 902.5 US gal; at $4.10, $3700; 74.1 kg an MMBtu."""
    oil = sold("heating oil", price=4.10 / read("1 US_gal", "volume"))
    heat = 100.0 * MMBTU
    assert in_unit(amount_of(oil, heat), "volume", "US_gal") == pytest.approx(902.53, rel=1e-4)
    assert price_of(oil, heat) == pytest.approx(3700.4, rel=1e-4)
    assert carbon_of(oil, heat) == pytest.approx(74.1 * 125.0)
    assert heat_of(oil, amount_of(oil, heat)) == pytest.approx(heat, rel=1e-12)


def test_a_heat_pump_takes_a_part_of_what_it_delivers():
    pump = sold("heat pump", price=0.20 / KWH, efficiency=2.5)
    assert amount_of(pump, 1000.0 * KWH) / KWH == pytest.approx(400.0)
    assert price_of(pump, 1000.0 * KWH) == pytest.approx(80.0)
    assert carbon_of(pump, KWH) is None
    assert price_of(sold("hardwood"), KWH) is None


@pytest.mark.parametrize("name", PRESETS)
def test_presets_lie_within_what_is_met(name):
    one = PRESETS[name]
    assert one.least <= one.efficiency <= one.most


@pytest.mark.parametrize(
    "wrong",
    [
        {"price": -1.0},
        {"price": float("nan")},
        {"efficiency": 0.0},
        {"efficiency": 80.0},  # a per cent taken for a share
        {"heat_content": 0.0},
        {"co2": -0.1},
        {"sold_by": "barrel"},
    ],
)
def test_what_no_fuel_has_is_refused(wrong):
    with pytest.raises(InputError):
        sold("heating oil", **wrong)


@pytest.mark.parametrize("ends", [(-1.0, 5.0), (5.0, 1.0), (0.0, float("inf"))])
def test_what_is_no_cost_is_refused(ends):
    with pytest.raises(InputError):
        Cost(*ends)


def test_money_is_written_as_it_was():
    assert Currency("$").written(1234.4) == "$1,234"
    assert Currency("", "EUR").written(9.5) == "9.50 EUR"
    assert Currency("$").written(-310.0) == "-$310"
    assert Currency("$").written(-0.001) == "$0.00"


@pytest.mark.parametrize(
    ("rate", "years", "printed"),
    [
        # interest tables of engineering economy (A/P, i, n), from memory
        (0.03, 20, 0.06722),
        (0.05, 20, 0.08024),
        (0.08, 10, 0.14903),
        (0.10, 30, 0.10608),
    ],
)
def test_capital_recovery_as_printed(rate, years, printed):
    assert capital_recovery(rate, years) == pytest.approx(printed, abs=5e-6)


def test_without_interest_the_cost_is_spread_evenly():
    assert capital_recovery(0.0, 25.0) == 1.0 / 25.0
    assert capital_recovery(1e-6, 25.0) == pytest.approx(1.0 / 25.0, rel=1e-4)


def test_payback_by_hand():
    """900 to 1500 for 300 a year, which may be 200 to 400: 900/400, 1200/300, 1500/200."""
    found = payback_range((900.0, 1500.0), (200.0, 300.0, 400.0))
    assert (found.low, found.middle, found.high) == (2.25, 4.0, 7.5)


def test_what_saves_nothing_is_never_paid_back():
    assert simple_payback(100.0, 0.0) is None
    assert simple_payback(100.0, -5.0) is None
    assert cost_of_saved_unit(100.0, -5.0) is None
    found = payback_range((100.0, 100.0), (-1.0, 0.0, 10.0))
    assert (found.low, found.middle, found.high) == (10.0, None, None)


def test_cost_of_a_saved_kilowatt_hour():
    """1200 over 20 years at 5 %: 96.29 a year; over 2000 kWh a year, 4.8 cents."""
    assert cost_of_saved_unit(1200.0, 2000.0, 0.05, 20.0) == pytest.approx(0.04815, rel=1e-3)

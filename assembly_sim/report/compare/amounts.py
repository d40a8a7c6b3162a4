"""Money, fuel and years of a comparison, as people write them."""

from __future__ import annotations

from assembly_sim.changes.comparison import Comparison
from assembly_sim.hand.payback import Payback
from assembly_sim.model.fuel import Cost, Currency, Fuel
from assembly_sim.units import in_unit
from assembly_sim.words.figures import MMBTU, figure

A_KWH = 3.6e6
LONG = 100.0  # years beyond which a payback is not worth digits


def heat(joule: float, system: str) -> str:
    """Heat of a year."""
    return figure(joule, "energy", system)


def heat_span(ends: tuple[float, float], system: str) -> str:
    """Least and most heat of a year; the unit once where both have the same."""
    low, high = (heat(end, system) for end in ends)
    number, _, unit = low.partition(" ")
    return f"{number} to {high}" if high.endswith(f" {unit}") else f"{low} to {high}"


def currency(asked: Comparison) -> Currency:
    """The money of a comparison, as its first price or cost writes it."""
    fuels = [one for one in (asked.fuel, asked.cooling) if one is not None]
    priced = [one.currency for one in fuels if one.price is not None]
    return next(iter([*priced, *(o.cost.currency for o in asked.options if o.cost)]), Currency())


def fuel_amount(fuel: Fuel, amount: float) -> str:
    """Fuel in the unit it is sold in."""
    number = in_unit(amount, fuel.sold_by, fuel.unit)
    digits = 0 if abs(number) >= 10.0 else 1
    return f"{number + 0.0:.{digits}f} {fuel.unit.replace('US_', 'US ')}"


def sum_of(cost: Cost | None, to: str = " to ") -> str:
    """A cost with its range."""
    if cost is None:
        return "-"
    if cost.low == cost.high:
        return cost.currency.written(cost.low)
    bare = Currency()
    return (
        f"{cost.currency.before}{bare.written(cost.low)}{to}{bare.written(cost.high)} "
        f"{cost.currency.after}".rstrip()
    )


def years(payback: Payback | None, to: str = " to ") -> str:
    """A payback as a range of years, without the word."""
    if payback is None:
        return "-"
    if payback.middle is None:
        return "never"
    ends = _years(payback.low), _years(payback.high)
    return ends[0] if ends[0] == ends[1] else f"{ends[0]}{to}{ends[1]}"


def _years(value: float | None) -> str:
    if value is None:
        return "never"
    if value >= LONG:
        return f"over {LONG:.0f}"
    return f"{value:.0f}" if value >= 9.95 else f"{value:.1f}"


def a_unit(system: str) -> str:
    """The unit of heat that a saved unit is told in."""
    return "kWh" if system == "si" else "MMBtu"


def unit_cost(span: tuple[float, float] | None, money: Currency, system: str) -> str:
    """What a unit of heat costs."""
    if span is None:
        return "-"
    size, digits = (A_KWH, 3) if system == "si" else (MMBTU, 1)
    low, high = (f"{one * size:.{digits}f}" for one in span)
    told = low if low == high else f"{low}-{high}"
    return f"{money.before}{told} {money.after}".rstrip()


def heat_price(fuel: Fuel) -> tuple[float, float] | None:
    """What delivered heat costs by a fuel, money a J, as a range of one; None without a price."""
    if fuel.price is None:
        return None
    price = fuel.price / (fuel.heat_content * fuel.efficiency)
    return price, price

"""What the heat of a case costs: by a command's price, or by the fuel that the case file names."""

from __future__ import annotations

from collections.abc import Callable

from assembly_sim.files.case.comparison import fuel_of
from assembly_sim.files.case.read import CaseRead
from assembly_sim.files.opening.options import read_price
from assembly_sim.hand.fuels import price_of


def priced(read: CaseRead, price: str | None) -> Callable[[float], str] | None:
    """What delivered heat (J) costs, as text; None where neither the option nor the case says it.

    price: as `--price` takes it, before the case's own.
    """
    if price is not None:
        return read_price(price).of
    fuel = fuel_of(read)
    if fuel is None or fuel.price is None:
        return None
    currency = fuel.currency
    return lambda heat: currency.written(price_of(fuel, heat) or 0.0)

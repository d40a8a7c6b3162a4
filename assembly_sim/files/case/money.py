"""Sums of money, prices of a unit, and other quotients, as people write them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema

from assembly_sim.files.case.fields import EntryError
from assembly_sim.model.fuel import KINDS_SOLD, Cost, Currency
from assembly_sim.units import UnitError, read, spellings

_WORD = r"([^-+\d.,\s]{0,5})"
_SUM = r"(-?\d{1,12}(?:\.\d{0,6})?|-?\.\d{1,6})"
_COST = re.compile(rf"{_WORD} *{_SUM}(?: *(?:to|-|\u2013) *{_WORD} *{_SUM})? *([^\d\s]{{0,8}})")
_PRICE = re.compile(rf"{_WORD} *{_SUM} *([^\d\s]{{0,8}}) +per +(.{{1,40}})")
_COST_CURE = 'write "1200 EUR", "$1200" or a range, "900 to 1500 EUR", without thousands marks'
_PRICE_CURE = 'write "0.95 EUR per L", "$1.20 per US_therm" or "0.20 EUR per kWh"'


@dataclass(frozen=True)
class UnitPrice:
    """Money for an amount in the model's unit of `sold_by` (J, m3 or kg); `unit` as written."""

    amount: float
    sold_by: str
    unit: str
    currency: Currency


@dataclass(frozen=True)
class PerUnit:
    """A quantity (J or kg) for an amount of 1 in the model's unit of `of`."""

    amount: float
    of: str
    unit: str


def cost(text: Any) -> Cost:
    """`$1200`, `900 to 1500 EUR`; EntryError for anything else, and for a sum below zero."""
    found = _COST.fullmatch(text.strip()) if isinstance(text, str) else None
    if found is None:
        raise EntryError("this is no sum of money", _COST_CURE)
    before, low, again, high, after = found.groups()
    if again and again != before:
        raise EntryError("the two ends are in different money", _COST_CURE)
    ends = float(low), float(high or low)
    if min(ends) < 0.0:
        raise EntryError("the sum is below zero", "write what it costs, 0 or more")
    if ends[0] > ends[1]:
        raise EntryError("the lower end is above the higher", "write the lower end first")
    return Cost(*ends, Currency(before, after))


def price(text: Any) -> UnitPrice:
    """`0.95 EUR per L`; EntryError for anything else, and for a price below zero."""
    found = _PRICE.fullmatch(text.strip()) if isinstance(text, str) else None
    if found is None:
        raise EntryError("this is no price of a unit", _PRICE_CURE)
    before, amount, after, unit = found.groups()
    if float(amount) < 0.0:
        raise EntryError("the price is below zero", "write what a unit costs, 0 or more")
    kind, size = sold(unit.strip())
    return UnitPrice(float(amount) / size, kind, unit.strip(), Currency(before, after))


def sold(unit: str) -> tuple[str, float]:
    """Kind of a unit that fuel is sold by, and its size in the model's unit."""
    sizes: dict[str, float] = {}
    why: UnitError | None = None
    for kind in KINDS_SOLD:
        try:
            sizes[kind] = read(f"1 {unit}", kind)
        except UnitError as error:
            why = error if "meaning" in error.cause else why
    if sizes:
        return next(iter(sizes.items()))
    if why is not None:
        raise EntryError(why.cause, why.cure)
    known = ", ".join(one for kind in KINDS_SOLD for one in spellings(kind))
    raise EntryError(f"no fuel is sold by '{unit[:20]}'", f"write one of {known}")


def per_unit(text: Any, kind: str, example: str) -> PerUnit:
    """A quantity of `kind` for one of something, `138500 Btu per US_gal`, `74.1 kg per MMBtu`."""
    above, per, below = text.partition(" per ") if isinstance(text, str) else ("", "", "")
    if not per:
        raise EntryError("this does not say for how much it is", f'write it as "{example}"')
    of, size = sold(below.strip())
    amount = read(above.strip(), kind) / size
    if amount < 0.0 or (kind == "energy" and amount == 0.0):
        raise EntryError("this is not above zero", f'write it as "{example}"')
    return PerUnit(amount, of, below.strip())


def amount(text: Any) -> PerUnit:
    """An amount of fuel, `142 US_therm`, `310 L`; its unit tells what it is sold by."""
    number, _, unit = text.strip().partition(" ") if isinstance(text, str) else ("", "", "")
    if not unit.strip():
        raise EntryError("this is no amount of fuel", 'write "142 US_therm", "310 L", "820 kWh"')
    kind, _ = sold(unit.strip())
    value = read(f"{number} {unit}", kind)
    if value < 0.0:
        raise EntryError("the amount is below zero", "write what was used, 0 or more")
    return PerUnit(value, kind, unit.strip())


def _heat_content(text: Any) -> PerUnit:
    return per_unit(text, "energy", "138500 Btu per US_gal")


def _carbon(text: Any) -> PerUnit:
    return per_unit(text, "mass", "74.1 kg per MMBtu")


_TEXT = WithJsonSchema({"type": "string"})

Money = Annotated[Cost, BeforeValidator(cost), _TEXT]
Price = Annotated[UnitPrice, BeforeValidator(price), _TEXT]
HeatContent = Annotated[PerUnit, BeforeValidator(_heat_content), _TEXT]
Carbon = Annotated[PerUnit, BeforeValidator(_carbon), _TEXT]
Amount = Annotated[PerUnit, BeforeValidator(amount), _TEXT]

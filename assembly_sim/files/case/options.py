"""Tables of a comparison in a case file: options, fuel, cooling, bills, payback.

All of them are checked whenever the file is read; `compare` uses them, `run` runs the house as the
rest of the file tells it.
"""

from __future__ import annotations

from calendar import monthrange
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from assembly_sim.files.case import fields as of
from assembly_sim.files.case.fields import EntryError, Table
from assembly_sim.files.case.money import Amount, Carbon, HeatContent, Money, Price
from assembly_sim.files.words import nearest
from assembly_sim.hand.fuels import PRESETS

MOST_OPTIONS = 40
MOST_BILLS = 240
ELECTRIC = ("electric resistance", "heat pump")
OWN = "other"  # a fuel of no preset, all of whose figures are the user's


def _kind(name: Any) -> str:
    known = [*PRESETS, OWN]
    if name in known:
        return str(name)
    cure = nearest(str(name), known) or f"write one of {', '.join(known)}"
    raise EntryError(f"unknown fuel '{str(name)[:40]}'", cure)


def _day(text: Any) -> date:
    if isinstance(text, date):
        return text
    try:
        return date.fromisoformat(text)
    except (TypeError, ValueError):
        raise EntryError("this is no date", 'write the year first, "2023-11-14"') from None


def _month(text: Any) -> tuple[date, date]:
    try:
        first = date.fromisoformat(f"{text}-01")
    except ValueError:
        raise EntryError("this is no month", 'write the year first, "2023-11"') from None
    return first, first.replace(day=monthrange(first.year, first.month)[1])


_TEXT = WithJsonSchema({"type": "string"})
FuelKind = Annotated[str, BeforeValidator(_kind), _TEXT]
Date = Annotated[date, BeforeValidator(_day), _TEXT]
WholeMonth = Annotated[tuple[date, date], BeforeValidator(_month), _TEXT]


class OptionText(Table):
    """One option: what it builds on, what it changes, what that costs, and who may do it."""

    name: of.Name
    builds_on: of.Name | None = Field(None, alias="as")
    as_found: bool = False
    cost: Money | None = None
    work: Literal["yourself", "licensed"] | None = None
    change: dict[str, Any] = {}


class FuelText(Table):
    """What heats the house; what is left out is a preset of its kind, and told as one."""

    kind: FuelKind
    efficiency: of.Efficiency | None = None
    seasonal_factor: of.Efficiency | None = None
    heat_content: HeatContent | None = None
    price: Price | None = None
    co2: Carbon | None = None

    @model_validator(mode="after")
    def _has_one_efficiency(self) -> FuelText:
        pump = self.kind == "heat pump"
        wrong = "efficiency" if pump else "seasonal_factor"
        if getattr(self, wrong) is not None:
            right = "seasonal_factor" if pump else "efficiency"
            raise EntryError(f"a {self.kind} has no {wrong}", f"write {right}", wrong)
        if self.efficiency is not None and self.efficiency > 1.1:
            cure = 'write "80 %"; a heat pump has a seasonal_factor'
            raise EntryError("no burner delivers more than its fuel holds", cure, "efficiency")
        return self

    @model_validator(mode="after")
    def _own_fuel_is_described(self) -> FuelText:
        missing = [
            entry for entry in ("efficiency", "heat_content") if getattr(self, entry) is None
        ]
        if self.kind == OWN and missing:
            cause = f"a fuel without presets needs its {' and '.join(missing)}"
            raise EntryError(cause, "add what is missing", missing[0])
        if self.kind in ELECTRIC and self.heat_content is not None:
            cause = "electricity is sold by energy, so it has no heat content"
            raise EntryError(cause, "leave it out", "heat_content")
        return self


class CoolingText(Table):
    """What cools the house: electricity, by its seasonal factor."""

    price: Price | None = None
    seasonal_factor: of.Efficiency = 3.0
    co2: Carbon | None = None


class BillText(Table):
    """Fuel of a month, or from one day to another (both counted)."""

    month: WholeMonth | None = None
    first: Date | None = Field(None, alias="from")
    last: Date | None = Field(None, alias="to")
    amount: Amount

    @model_validator(mode="after")
    def _has_its_days(self) -> BillText:
        ends = [self.first is not None, self.last is not None]
        if all(ends) == (self.month is not None) or any(ends) != all(ends):
            cause = "a bill is of a month, or from one day to another"
            raise EntryError(cause, 'write month = "2023-11", or from and to')
        if self.first and self.last and self.last < self.first:
            raise EntryError("the bill ends before it begins", "turn from and to round", "to")
        return self

    @property
    def days(self) -> tuple[date, date]:
        """Its first and last day."""
        if self.month is not None:
            return self.month
        assert self.first is not None
        assert self.last is not None
        return self.first, self.last


class PaybackText(Table):
    """How a cost is spread over the years of a measure."""

    years: Annotated[float, Field(ge=1, le=200, strict=False)] | None = None
    interest: of.Interest | None = None

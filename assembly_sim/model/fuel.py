"""What heats a house and what it costs: a fuel as it is sold, money, and bills for it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import pairwise
from math import isfinite

from assembly_sim.model.kinds import check_fields
from assembly_sim.model.ranges import refuse_outside, refused

KINDS_SOLD = ("energy", "volume", "mass")
"""What a fuel may be sold by; the amounts of a `Fuel` are in J, m3 or kg."""
LIFETIME, DISCOUNT = 30.0, 0.03
"""Years that a measure lasts and interest a year beyond inflation; ours, to be overridden."""


@dataclass(frozen=True)
class Currency:
    """What stands around a sum of money: `$` before it, or `EUR` after it."""

    before: str = ""
    after: str = ""

    def __post_init__(self) -> None:
        check_fields(self)

    def written(self, amount: float) -> str:
        """A sum as text: `$1,240`, `310 EUR`; small ones with cents."""
        digits = f"{abs(amount):,.{0 if abs(amount) >= 100.0 else 2}f}"
        sign = "-" if amount < 0.0 and digits.strip("0.,") else ""
        return f"{sign}{self.before}{digits} {self.after}".rstrip()


@dataclass(frozen=True)
class Cost:
    """A sum of money from low to high."""

    low: float
    high: float
    currency: Currency = Currency()

    def __post_init__(self) -> None:
        check_fields(self)
        if not (isfinite(self.low) and isfinite(self.high) and 0.0 <= self.low <= self.high):
            cause = f"{self.low:g} to {self.high:g} is no cost"
            raise refused("cost", cause, "give 0 or more, the lower end first")

    @property
    def middle(self) -> float:
        """The middle of the two ends."""
        return 0.5 * (self.low + self.high)


@dataclass(frozen=True)
class Fuel:
    """A fuel, or electricity: what it holds, what comes of it, what it costs, what it emits.

    sold_by: one of `KINDS_SOLD`; unit: the spelling it is sold and shown in. heat_content: gross,
    J an amount (J, m3 or kg; 1 of energy); efficiency: seasonal, heat delivered to the rooms a
    gross heat (of a heat pump its seasonal factor, above 1); price: money an amount, or None; co2:
    kg a J of gross heat, or None. presets: what of these was not said and comes from a table.
    """

    name: str
    sold_by: str
    unit: str
    heat_content: float
    efficiency: float
    price: float | None = None
    currency: Currency = Currency()
    co2: float | None = None
    presets: tuple[str, ...] = field(default=(), compare=False)

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside("fuel", efficiency=("fuel efficiency", self.efficiency))
        if self.sold_by not in KINDS_SOLD:
            cure = f"give one of {', '.join(KINDS_SOLD)}"
            raise refused("fuel.sold_by", f"no fuel is sold by {self.sold_by!r}", cure)
        if not (isfinite(self.heat_content) and self.heat_content > 0.0):
            raise refused("fuel.heat_content", f"{self.heat_content:g} J is none", "give J > 0")
        for name, value in (("price", self.price), ("co2", self.co2)):
            if value is not None and not (isfinite(value) and value >= 0.0):
                raise refused(f"fuel.{name}", f"{value:g} is below zero", "give 0 or more")


@dataclass(frozen=True)
class Bill:
    """Fuel used from one day to another, both included; amount in J, m3 or kg of the fuel."""

    first: date
    last: date
    amount: float

    def __post_init__(self) -> None:
        check_fields(self)
        if self.last < self.first:
            raise refused("bill", f"it ends on {self.last}, before it begins", "turn it round")
        if not (isfinite(self.amount) and self.amount >= 0.0):
            raise refused("bill.amount", f"{self.amount:g} is no amount", "give 0 or more")

    @property
    def days(self) -> int:
        """Days that the bill covers."""
        return (self.last - self.first).days + 1


def gap_before(bills: tuple[Bill, ...]) -> tuple[int, str] | None:
    """Number (from 0) of the first bill that does not follow the one before, and what is wrong."""
    for number, (before, after) in enumerate(pairwise(bills), start=1):
        due = before.last + timedelta(days=1)
        if after.first > due:
            return number, f"no bill from {due} to {after.first - timedelta(days=1)}"
        if after.first < due:
            return number, f"it begins on {after.first}, and the bill before ends on {before.last}"
    return None

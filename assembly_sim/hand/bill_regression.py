"""The heating part of fuel bills: fuel a day = base + slope x degree days a day.

The balance temperature below which a house is heated is found by least squares between 8 and
20 degC: at each, base and slope follow from a straight line through the bills, weighed by their
days (a mean of n days scatters as 1/sqrt(n)). Neither is taken below zero. The method is the
trade's (variable-base degree days; ASHRAE Fundamentals, energy estimating, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from assembly_sim.hand.degree_days import degree_days
from assembly_sim.model.fuel import Bill
from assembly_sim.model.ranges import refused

Array = NDArray[np.float64]

LOWEST, HIGHEST, STEP = 273.15 + 8.0, 273.15 + 20.0, 0.1  # K
FEWEST = 6  # bills: three figures are drawn from them


@dataclass(frozen=True)
class BillFit:
    """What bills say of a house; fuel in J of gross heat.

    base: J a day whatever the weather; slope: J a K and day; balance_temperature: K, and the
    balance_range (K, K) within which the bills are met nearly as well; errors: standard errors
    of base and slope at the best balance; scatter: root mean square of what is left, a share of
    the mean; degree_days: (bills,) K day at the best balance; base_held: whether the line would
    have begun below zero and was held there.
    """

    base: float
    slope: float
    balance_temperature: float
    balance_range: tuple[float, float]
    errors: tuple[float, float]
    scatter: float
    degree_days: tuple[float, ...]
    base_held: bool = False

    def heating_part(self, daily: Array) -> float:
        """Fuel (J) that heats through days of these mean temperatures (K)."""
        return self.slope * degree_days(daily, self.balance_temperature)


class _Line(NamedTuple):
    base: float
    slope: float
    left: float  # weighted sum of squares
    base_held: bool


def fit_bills(
    bills: tuple[Bill, ...], heat_content: float, dates: NDArray[np.datetime64], daily: Array
) -> BillFit:
    """Base, slope and balance temperature of bills under the weather of their own days.

    heat_content: J an amount of fuel; dates, daily: (days,) and their mean temperatures, K.
    InputError for fewer than six bills, days without weather, or bills that tell nothing.
    """
    if len(bills) < FEWEST:
        cause = f"{len(bills)} bills tell no base and slope"
        raise refused("bill", cause, f"give {FEWEST} or more, winter and summer")
    spells = [_days_of(bill, dates, daily) for bill in bills]
    days = np.array([bill.days for bill in bills], dtype=float)
    used = np.array([bill.amount for bill in bills]) * heat_content / days
    balances = np.arange(LOWEST, HIGHEST + 0.5 * STEP, STEP)
    lines = [_line(_per_day(spells, balance), used, days) for balance in balances]
    left = np.array([line.left for line in lines])
    best = int(left.argmin())
    if lines[best].slope <= 0.0:
        cause = "these bills do not rise with cold"
        raise refused("bill", cause, "check their dates and amounts; is this the heating fuel?")
    return _fit(lines[best], balances, left, best, spells, used, days)


def _fit(
    line: _Line,
    balances: Array,
    left: Array,
    best: int,
    spells: list[Array],
    used: Array,
    days: Array,
) -> BillFit:
    free = max(len(used) - 3, 1)
    variance = line.left / free
    near = balances[left <= left[best] + variance * (1.0 + 1e-9)]
    cold = _per_day(spells, float(balances[best]))
    return BillFit(
        base=line.base,
        slope=line.slope,
        balance_temperature=float(balances[best]),
        balance_range=(float(near.min()), float(near.max())),
        errors=_errors(cold, days, variance),
        scatter=float(np.sqrt(line.left / days.sum()) / np.average(used, weights=days)),
        degree_days=tuple((cold * days).tolist()),
        base_held=line.base_held,
    )


def _days_of(bill: Bill, dates: NDArray[np.datetime64], daily: Array) -> Array:
    """Daily means of a bill's own days, K."""
    first, last = np.datetime64(bill.first), np.datetime64(bill.last)
    own = daily[(dates >= first) & (dates <= last)]
    if len(own) != bill.days:
        cause = f"the weather holds {len(own)} of the {bill.days} days from {first} to {last}"
        raise refused("bill", cause, "give weather of the bills' own months")
    return own


def _per_day(spells: list[Array], balance: float) -> Array:
    """Degree days a day of each bill, K."""
    return np.array([degree_days(spell, balance) / len(spell) for spell in spells])


def _line(cold: Array, used: Array, days: Array) -> _Line:
    """The straight line through bills, weighed by days, with neither end below zero."""
    middle, mean = np.average(cold, weights=days), np.average(used, weights=days)
    spread = float(days @ (cold - middle) ** 2)
    slope = float(days @ ((cold - middle) * (used - mean))) / spread if spread > 0.0 else 0.0
    slope = max(slope, 0.0)
    base = float(mean - slope * middle)
    held = base < 0.0
    if held:
        base, slope = 0.0, float(days @ (cold * used)) / float(days @ cold**2)
    return _Line(base, slope, float(days @ (used - base - slope * cold) ** 2), held)


def _errors(cold: Array, days: Array, variance: float) -> tuple[float, float]:
    """Standard errors of base and slope, from the variance of one day."""
    middle = np.average(cold, weights=days)
    spread = float(days @ (cold - middle) ** 2)
    slope = np.sqrt(variance / spread) if spread > 0.0 else np.inf
    return float(np.sqrt(variance / days.sum() + middle**2 * slope**2)), float(slope)

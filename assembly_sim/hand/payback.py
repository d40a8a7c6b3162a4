"""What a measure costs and gives back: simple payback as a range, and the cost of a saved unit.

Simple payback leaves out interest, rising prices and upkeep; the cost of a saved unit spreads the
first cost over the measure's life by the capital recovery factor and compares with a fuel's price.
"""

from __future__ import annotations

from dataclasses import dataclass

from assembly_sim.model.fuel import DISCOUNT, LIFETIME
from assembly_sim.model.ranges import refuse_outside


@dataclass(frozen=True)
class Payback:
    """Years until savings have paid the cost: from `low` to `high`; None: never.

    middle: of the middle cost and the middle saving.
    """

    low: float | None
    middle: float | None
    high: float | None


def simple_payback(cost: float, saving: float) -> float | None:
    """Cost over yearly saving, years; None where nothing is saved, for it is never paid."""
    return cost / saving if saving > 0.0 else None


def payback_range(cost: tuple[float, float], saving: tuple[float, float, float]) -> Payback:
    """The range of cost (low, high) over that of the yearly saving (low, middle, high)."""
    low, middle, high = saving
    return Payback(
        low=simple_payback(cost[0], high),
        middle=simple_payback(0.5 * (cost[0] + cost[1]), middle),
        high=simple_payback(cost[1], low),
    )


def capital_recovery(rate: float, years: float) -> float:
    """Yearly payment for a sum of 1: i / (1 - (1 + i)^-n), or 1/n without interest.

    Any textbook of engineering economy; i a year, n in years.
    """
    refuse_outside("payback", rate=("discount rate", rate), years=("lifetime", years))
    return rate / (1.0 - (1.0 + rate) ** -years) if rate else 1.0 / years


def cost_of_saved_unit(
    cost: float, saved: float, rate: float = DISCOUNT, years: float = LIFETIME
) -> float | None:
    """Money a saved unit: the cost spread over the life, over what a year saves; None: nothing."""
    return cost * capital_recovery(rate, years) / saved if saved > 0.0 else None

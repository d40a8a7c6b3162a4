"""What an option saves, costs and pays back, and which comes first.

Options that save come before those that do not; among them those that keep dry, or leave a wet
part as it is today, before those that wet one past a limit or have no verdict; then by payback
where every one of them has a cost and a price and any is paid back, else by the heat they save. No
saving is believed that is larger than what the bills spend on heating, or so small that it is lost
in what the sums of a house close to.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from assembly_sim.changes.comparison import Comparison
from assembly_sim.hand.against_bills import AgainstBills
from assembly_sim.hand.fuels import amount_of, carbon_of, gross_heat, price_of
from assembly_sim.hand.payback import Payback, cost_of_saved_unit, payback_range
from assembly_sim.model.fuel import Cost
from assembly_sim.studies.band import Band
from assembly_sim.studies.moisture_change import NO_VERDICT, MoistureChange
from assembly_sim.studies.option_year import CLOSES, HouseYear
from assembly_sim.verdict.rules import PAST

LEAST = CLOSES
"""Share of heating up to which a difference is none: parts may miss their whole by as much."""


@dataclass(frozen=True)
class Savings:
    """What a year saves against another option; J of delivered heat and of heat taken away.

    share: of the other's heating, None where that is none; span: least and most of heating under
    other leaks and humidity (twice the same without a band); fuel: amount as in `Fuel`; money of
    heating and, where its price is known, of cooling; money_span likewise; co2: kg; cost; payback;
    saved_unit: money for each J of heat saved, over the years of the measure, low and high.
    beyond_bills: it would save more than the bills spend on heating, so neither money nor payback
    is told of it.
    """

    heating: float
    cooling: float
    share: float | None
    span: tuple[float, float]
    fuel: float | None = None
    money: float | None = None
    money_span: tuple[float, float] | None = None
    co2: float | None = None
    cost: Cost | None = None
    payback: Payback | None = None
    saved_unit: tuple[float, float] | None = None
    beyond_bills: bool = False

    @property
    def saves(self) -> bool:
        """Whether it saves heat, by a figure that may be believed."""
        return self.heating > 0.0 and not self.beyond_bills and not self.is_lost

    @property
    def is_lost(self) -> bool:
        """Whether the difference of heating is too small to be told from none."""
        return self.share is not None and abs(self.share) <= LEAST


def savings(
    asked: Comparison,
    before: HouseYear | None,
    after: HouseYear | None,
    cost: Cost | None,
    bills: AgainstBills | None = None,
    band: Band | None = None,
) -> Savings | None:
    """What a house saves against another, at this cost; None where either has no whole year."""
    if before is None or after is None:
        return None
    heating, cooling = before.heating - after.heating, before.cooling - after.cooling
    share = heating / before.heating if before.heating > 0.0 else None
    span = (heating, heating) if band is None else band.span(heating)
    known = Savings(heating, cooling, share, span, cost=cost)
    fuel = asked.fuel
    if bills and fuel and not bills.allows(gross_heat(heating, fuel.efficiency)):
        return Savings(heating, cooling, share, span, cost=cost, beyond_bills=True)
    return _with_money(asked, known)


def _with_money(asked: Comparison, known: Savings) -> Savings:
    """The same with fuel, money, CO2 and payback, as far as fuel, price and cost are given."""
    fuel, cost = asked.fuel, known.cost
    money = _money(asked, known.heating, known.cooling)
    span = [_money(asked, heat, known.cooling) for heat in known.span]
    ends = (span[0], span[1]) if span[0] is not None and span[1] is not None else None
    payback = saved_unit = None
    if cost is not None:
        saved_unit = _saved_unit(asked, cost, known.span)
        if money is not None and ends is not None:
            payback = payback_range((cost.low, cost.high), (ends[0], money, ends[1]))
    return Savings(
        heating=known.heating,
        cooling=known.cooling,
        share=known.share,
        span=known.span,
        fuel=None if fuel is None else amount_of(fuel, known.heating),
        money=money,
        money_span=ends,
        co2=_carbon(asked, known.heating, known.cooling),
        cost=cost,
        payback=payback,
        saved_unit=saved_unit,
    )


def _money(asked: Comparison, heating: float, cooling: float) -> float | None:
    """What a year saves in money; None without a price of the heating."""
    paid = None if asked.fuel is None else price_of(asked.fuel, heating)
    cooled = 0.0 if asked.cooling is None else price_of(asked.cooling, cooling) or 0.0
    return None if paid is None else paid + cooled


def _carbon(asked: Comparison, heating: float, cooling: float) -> float | None:
    burned = None if asked.fuel is None else carbon_of(asked.fuel, heating)
    cooled = 0.0 if asked.cooling is None else carbon_of(asked.cooling, cooling) or 0.0
    return None if burned is None else burned + cooled


def _saved_unit(
    asked: Comparison, cost: Cost, span: tuple[float, float]
) -> tuple[float, float] | None:
    """Money for each J saved: the low cost over the most saved, the high over the least."""
    low, high = (
        cost_of_saved_unit(money, saved, asked.discount, asked.lifetime)
        for money, saved in ((cost.low, span[1]), (cost.high, span[0]))
    )
    return None if low is None or high is None else (low, high)


def is_bad(moisture: Sequence[MoistureChange]) -> bool:
    """Whether a part is past a limit, or without a verdict, and not just as it was found."""
    return any(one.rank >= PAST and not stays(one) for one in moisture)


def stays(one: MoistureChange) -> bool:
    """Whether a part is no worse than as found: its level the same or better, nothing wetter.

    Without a verdict on either nobody knows.
    """
    if one.before is None or NO_VERDICT in (one.rank, one.before):
        return False
    return one.rank <= one.before and one.wetter is None


def by_payback(saved: Sequence[Savings | None]) -> bool:
    """Whether payback ranks: all that save have a cost and a price, and one of them pays back."""
    return all_priced(saved) and any(
        one.payback is not None and one.payback.middle is not None for one in _saving(saved)
    )


def all_priced(saved: Sequence[Savings | None]) -> bool:
    """Whether every option that saves has a cost and a price; no where none saves."""
    known = _saving(saved)
    return bool(known) and all(one.payback is not None for one in known)


def _saving(saved: Sequence[Savings | None]) -> list[Savings]:
    return [one for one in saved if one is not None and one.saves]


def ranking(
    as_found: str,
    options: Sequence[tuple[str, Savings | None, Sequence[MoistureChange]]],
) -> tuple[int, ...]:
    """Numbers of the options, the best first, without the house as found."""
    others = [number for number, (name, _, _) in enumerate(options) if name != as_found]
    paid = by_payback([options[number][1] for number in others])

    def merit(number: int) -> tuple[bool, bool, float, float]:
        _, saved, moisture = options[number]
        if saved is None or not saved.saves:
            return True, is_bad(moisture), 0.0, 0.0
        payback = saved.payback.middle if paid and saved.payback is not None else None
        never = math.inf if paid else 0.0
        return False, is_bad(moisture), never if payback is None else payback, -saved.heating

    return tuple(sorted(others, key=merit))

"""Saving against cost, and moisture margin against saving: one point an option."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, floor, log10

from assembly_sim.model.fuel import Cost
from assembly_sim.report.compare.amounts import currency, heat, sum_of, years
from assembly_sim.report.compare.sentences import level, paid_back, worst
from assembly_sim.report.page.compare_bars import energy_unit
from assembly_sim.report.page.content import Absent, Cell, Column, DataTable, Figure
from assembly_sim.report.page.plots import Band, Ray, Spot, Spots
from assembly_sim.studies.compare import Compared, OptionFound
from assembly_sim.studies.moisture_change import NO_VERDICT
from assembly_sim.verdict.rules import PAST
from assembly_sim.verdict.standing import share_of_level
from assembly_sim.verdict.summary import AssemblySummary
from assembly_sim.verdict.told import untested
from assembly_sim.words.checks import place_and_path, title, value_and_limit

YEARS = (5.0, 10.0, 20.0, 40.0)  # of payback, drawn as rays


def numbers(found: Compared) -> dict[str, str]:
    """The number of each option by its name, as everywhere on the page."""
    return {one.option.name: str(at) for at, one in enumerate(found.options, start=1)}


def keys(found: Compared) -> tuple[tuple[str, str], ...]:
    """Number and name of every option."""
    return tuple((number, name) for name, number in numbers(found).items())


def listed(names: Sequence[str]) -> str:
    """Names in quotes, as a sentence has them."""
    quoted = [f"'{name}'" for name in names]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} and {quoted[-1]}"


def cost_figure(found: Compared, system: str) -> Figure | Absent:
    """What each option saves in a year over what it costs."""
    heading = "Saving against cost"
    drawn = [one for one in found.options if priced(one)]
    if not drawn:
        return Absent(heading, "no option has both a cost and a saving that may be believed")
    in_money = all(one.saved and one.saved.money is not None for one in drawn)
    money = currency(found.asked)
    sign = (money.before or money.after).strip() or "money"
    size, unit, _ = energy_unit(system)
    spots = tuple(_cost_spot(one, found, in_money, size) for one in drawn)
    right = nice_top([spot.span[1] for spot in spots if spot.span])
    top, low = nice_top([spot.y for spot in spots]), min(spot.y for spot in spots)
    bottom = -nice_top([-low]) if low < 0.0 else 0.0
    rays = tuple(Ray(1.0 / span, f"{span:g} years") for span in YEARS) if in_money else ()
    return Figure(
        name="saving-cost",
        title=heading,
        says=cost_says(found, system),
        reading=(
            "Each number is an option, at the middle of its cost; the line through it runs from "
            "the least to the most it may cost. "
            + ("On a dashed line a cost is paid back in these years. " if rays else "")
            + _left_out(found)
        ),
        plot=Spots(
            across=f"cost, {sign}",
            up=f"saved in a year, {sign if in_money else unit}",
            bounds=(0.0, right, bottom, top),
            spots=spots,
            keys=tuple(key for key in keys(found) if key[1] in {o.option.name for o in drawn}),
            rays=rays if top > 0.0 else (),
        ),
        table=cost_table(found, system),
    )


def priced(one: OptionFound) -> bool:
    """Whether an option has a cost, and a saving that may be believed."""
    return one.saved is not None and one.saved.cost is not None and not one.saved.beyond_bills


def _middle(cost: Cost) -> float:
    return 0.5 * (cost.low + cost.high)


def _cost_spot(one: OptionFound, found: Compared, in_money: bool, size: float) -> Spot:
    assert one.saved is not None
    assert one.saved.cost is not None
    money, cost = one.saved.money, one.saved.cost
    y = money if in_money and money is not None else one.saved.heating / size
    return Spot(
        _middle(cost), y, numbers(found)[one.option.name], (cost.low, cost.high), one.rank >= PAST
    )


def nice_top(values: Sequence[float]) -> float:
    """A round number above all of these, 1 where none is above nothing."""
    most = 1.08 * max(values, default=0.0)
    if most <= 0.0:
        return 1.0
    step = 10.0 ** floor(log10(most)) / 2.0
    return ceil(most / step) * step


def _left_out(found: Compared) -> str:
    """What is not drawn, and why; what a ring means."""
    others = [one for one in found.options if one is not found.as_found and not priced(one)]
    told = ["A ring: some part is past a limit, or without a verdict."]
    if others:
        names = listed([one.option.name for one in others])
        told.append(f"Not drawn, without a cost or a saving to be believed: {names}.")
    return " ".join(told)


def cost_says(found: Compared, system: str) -> str:
    """Which option saves most for what it costs."""
    some = [one for one in found.options if priced(one) and one.saved and one.saved.saves]
    if not some:
        return "No option that has a cost saves heat."

    def a_unit(one: OptionFound) -> float:
        assert one.saved is not None
        assert one.saved.cost is not None
        return _middle(one.saved.cost) / one.saved.heating

    best = min(some, key=a_unit)
    assert best.saved is not None
    text = (
        f"'{best.option.name}' saves most for what it costs: "
        f"{heat(best.saved.heating, system)} a year for {sum_of(best.saved.cost)}"
    )
    if best.saved.payback is not None and best.saved.cost and best.saved.cost.high > 0.0:
        text += f"; it {paid_back(best.saved.payback)}"
    if best.rank >= PAST:
        text += f"; its moisture is not solved: {level(best.rank)}"
    return f"{text}."


def cost_table(found: Compared, system: str) -> DataTable:
    """Cost, saving and payback of every option."""
    size, unit, digits = energy_unit(system)
    money = currency(found.asked)
    rows: list[tuple[Cell, ...]] = []
    for (number, name), one in zip(keys(found), found.options):
        saved = one.saved
        label: tuple[Cell, ...] = (f"{number} {name}", sum_of(one.option.cost))
        if saved is None:
            rows.append((*label, None, "as found" if one is found.as_found else "-", "-"))
        elif saved.beyond_bills:
            rows.append((*label, None, "refused: more than the bills spend", "-"))
        else:
            paid = "-" if saved.money is None else money.written(saved.money)
            whole = (f"{number} {name}", sum_of(saved.cost), saved.heating / size)
            rows.append((*whole, paid, years(saved.payback)))
    columns = (
        *(Column("option"), Column("cost"), Column(f"heat saved in a year, {unit}", digits)),
        *(Column("money saved in a year"), Column("payback, years")),
    )
    return DataTable("saving_cost", "Cost and saving", columns, tuple(rows))


def margin_figure(found: Compared, system: str) -> Figure | Absent:
    """The level of each option and how near the next worse one it is, over the heat saved."""
    heading = "Moisture margin against saving"
    drawn = [one for one in found.options if believed(one, found)]
    if not drawn:
        return Absent(heading, "no option has a saving that may be believed")
    size, unit, _ = energy_unit(system)
    spots = tuple(_margin_spot(one, found, size) for one in drawn)
    xs = [spot.x for spot in spots]
    right, low = nice_top(xs), min(xs)
    left = -nice_top([-low]) if low < 0.0 else 0.0
    worst_rank = max(PAST, *(one.rank for one in drawn))
    return Figure(
        name="margin-saving",
        title=heading,
        says=margin_says(found),
        reading=(
            "Each number is an option, at the level of its worst part; the further down in its "
            "level, the nearer what decides is to the next worse one (in the middle where there "
            "is no such bound). A ring in a hatched level: past a limit, or without a verdict. "
            + _unmeasured(found)
        ),
        plot=Spots(
            across=f"heat saved in a year, {unit}",
            up="level of moisture, the driest at the top",
            bounds=(left - 0.03 * (right - left), right, -float(worst_rank), 1.0),
            spots=spots,
            keys=tuple(key for key in keys(found) if key[1] in {one.option.name for one in drawn}),
            bands=tuple(
                Band(-float(rank), 1.0 - rank, level(rank), rank >= PAST)
                for rank in range(worst_rank + 1)
            ),
        ),
        table=margin_table(found, system),
    )


def believed(one: OptionFound, found: Compared) -> bool:
    """Whether an option has a saving that can be drawn; the house as found saves nothing."""
    return one is found.as_found or (one.saved is not None and not one.saved.beyond_bills)


def deciding(one: OptionFound) -> AssemblySummary | None:
    """The part that decides an option's level."""
    part = worst(one)
    return next((each for each in one.summaries if part and each.name == part.part), None)


def way_to_next(one: OptionFound, found: Compared) -> float | None:
    """How far what decides has come from its level to the next worse one, 0-1; None: no bound."""
    summary = deciding(one)
    judged = () if summary is None or summary.verdict.finding is None else summary.verdict.judged
    return share_of_level(judged[0], found.asked.case.thresholds) if judged else None


def _margin_spot(one: OptionFound, found: Compared, size: float) -> Spot:
    saved = 0.0 if one.saved is None else one.saved.heating / size
    way = way_to_next(one, found)
    down = 0.6 if way is None else 0.32 + 0.54 * way  # clear of its words and its foot
    number = numbers(found)[one.option.name]
    return Spot(saved, 1.0 - one.rank - down, number, open=one.rank >= PAST)


def _unmeasured(found: Compared) -> str:
    left = [one.option.name for one in found.options if not believed(one, found)]
    return f"Not drawn, without a saving that may be believed: {listed(left)}." if left else ""


def margin_says(found: Compared) -> str:
    """Which options keep every part within its limits, and which do not."""
    planned = [one for one in found.options if one is not found.as_found]
    dry = [one for one in planned if one.rank < PAST]
    kept = [one.option.name for one in dry]
    past = [one.option.name for one in planned if PAST <= one.rank < NO_VERDICT]
    unknown = [one.option.name for one in planned if one.rank >= NO_VERDICT]
    bare = [one.option.name for one in dry if any(untested(s.verdict) for s in one.summaries)]
    told = (*_kept(kept, past, unknown, found.as_found.rank), *_untested(bare, kept))
    return " ".join(told)


def _untested(bare: list[str], kept: list[str]) -> Iterator[str]:
    """That leaks of air were not tested in all parts that stay within their limits."""
    if bare:
        which = "any of them" if len(bare) == len(kept) > 1 else listed(bare)
        yield f"In some part no leak of air through it was tested, with {which}: see its moisture."


def _kept(kept: list[str], past: list[str], unknown: list[str], before: int) -> Iterator[str]:
    if kept and not past and not unknown:
        yield "With every option all parts of the house stay within their limits."
    elif kept:
        yield f"All parts stay within their limits with {listed(kept)}."
    if past:
        yield f"Some part passes a limit with {listed(past)}."
    if unknown:
        yield f"There is no verdict on some part with {listed(unknown)}."
    if before >= PAST:
        yield f"As found the house is no better than '{level(before)}'."


def margin_table(found: Compared, system: str) -> DataTable:
    """Level and margin of every option, where and by what."""
    size, unit, digits = energy_unit(system)
    rows: list[tuple[Cell, ...]] = []
    for (number, name), one in zip(keys(found), found.options):
        summary = deciding(one)
        finding = None if summary is None else summary.verdict.finding
        saved = one.saved.heating / size if believed(one, found) and one.saved else None
        label: tuple[Cell, ...] = (f"{number} {name}", saved, level(one.rank))
        if summary is None or finding is None:
            rows.append((*label, None if summary is None else summary.name, *[None] * 4))
            continue
        value, limit = value_and_limit(finding, system)
        where = f"{title(finding, system)} at {place_and_path(finding)}"
        way = way_to_next(one, found)
        share = None if way is None else 100.0 * way
        rows.append((*label, summary.name, where, value, limit, share))
    columns = (
        *(Column("option"), Column(f"heat saved, {unit}", digits), Column("level")),
        *(Column("decided by"), Column("what decides"), Column("value"), Column("limit")),
        Column("way to the next worse level, %", 0),
    )
    return DataTable("margin_saving", "Moisture and saving", columns, tuple(rows))

"""Sentences of a comparison: which comes first, what becomes of moisture, what bills say.

No sentence calls an option good without its moisture beside it, and none tells a saving before
what the bills have against it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assembly_sim.envelope.insulation_split import is_attic_floor
from assembly_sim.hand.payback import Payback
from assembly_sim.report.compare.amounts import (
    currency,
    fuel_amount,
    heat,
    heat_span,
    sum_of,
    years,
)
from assembly_sim.studies.compare import Compared, OptionFound
from assembly_sim.studies.moisture_change import NO_VERDICT, MoistureChange, Moved
from assembly_sim.studies.ranking import LEAST, Savings, all_priced, by_payback, is_bad, stays
from assembly_sim.verdict import told
from assembly_sim.verdict.rules import LEVELS, PAST, Judged
from assembly_sim.verdict.summary import AssemblySummary
from assembly_sim.words.checks import distance, place_and_path, title, value_and_limit, when
from assembly_sim.words.figures import figure

NO_LEVEL = "no verdict on moisture"
UNKNOWN = "as found there is no verdict to hold it against"


def level(rank: int) -> str:
    """A level in words."""
    return LEVELS[rank] if rank < NO_VERDICT else NO_LEVEL


def first_words(found: Compared, system: str = "si") -> Iterator[str]:
    """What stands first: what the bills have against the model, then what to do first."""
    if found.bills is not None and found.bills.misses:
        yield misses(found, system)
    yield from unconverged(found)
    yield answer(found, system)
    yield from unseen(found)


def unconverged(found: Compared) -> Iterator[str]:
    """Which runs did not converge, before any figure that rests on them."""
    some = [one for one in found.options if not one.converged]
    if some:
        names = ", ".join(f"'{one.option.name}'" for one in some)
        what = "what any option saves" if found.as_found in some else "what these save"
        yield f"Runs that did not converge: {names}. {what.capitalize()} is not to be relied on."


def unseen(found: Compared) -> Iterator[str]:
    """What no verdict here speaks of: the roof above an attic floor that stands by itself."""
    case = found.asked.case
    floors = [one.name for one in case.assemblies if is_attic_floor(one)]
    if floors and not case.zones:
        names = " and ".join(floors)
        yield (
            f"The roof above {names} is not computed and nothing here clears it: more insulation "
            "below makes it colder, and air that leaks up wets it."
        )


def answer(found: Compared, system: str = "si") -> str:
    """The sentence that answers."""
    best = found.options[found.ranked[0]] if found.ranked else None
    if best is None or best.saved is None or not best.saved.saves:
        return "None of these options saves heat by a figure that may be believed."
    name = capital(best.option.name)
    saving = f"it saves {saved(best.saved, found, system)}"
    if is_bad(best.moisture):
        harm = "; ".join(alike([one for one in best.moisture if _is_bad(one)], best, system))
        return (
            f"{name} would come first, but not before its moisture is solved: {harm}. "
            f"Without that {saving}.{wet_today(best)}"
        )
    after = worst(best)
    kept = "its moisture" if after is None else after.part
    state = "" if after is None else f" {moisture(after, best, system, part=False)}"
    text = f"{name} first: {saving}. {kept[0].upper()}{kept[1:]}:{state or ' nothing to judge'}."
    text += wet_today(best)
    tips = tipping(best)
    return f"{text} {tips[0].upper()}{tips[1:]}." if tips else text


def wet_today(option: OptionFound) -> str:
    """Parts that are past a limit as the house stands, and stay so."""
    wet = [one for one in option.moisture if one.rank >= PAST and not _is_bad(one)]
    if not wet:
        return ""
    named = ", ".join(f"{one.part} ({level(one.rank)})" for one in wet)
    return f" As it is today already: {named}. Mend that before anything is covered."


def capital(name: str) -> str:
    """An option's name as a sentence begins; in quotes where it has marks of its own."""
    begun = f"{name[:1].upper()}{name[1:]}"
    return f"'{begun}'" if set(begun) & set(",.;:") else begun


def saved(one: Savings, found: Compared, system: str) -> str:
    """A saving in words: heat, share, money, payback."""
    text = f"{heat(one.heating, system)} of heat a year"
    if one.share is not None:
        share = 100.0 * one.share
        text += f" ({share:.{0 if share >= 0.95 else 1}f} %)"
    if one.span[0] != one.span[1]:
        text += f", {heat_span(one.span, system)} by leak and humidity"
    if one.money is not None:
        text += f", {currency(found.asked).written(one.money)}"
    if one.cost is not None and one.cost.high == 0.0:
        text += ", costs nothing"
    elif one.payback is not None:
        text += f", costs {sum_of(one.cost)} and {paid_back(one.payback)}"
    elif one.cost is not None:
        text += f", costs {sum_of(one.cost)}"
    return text


def paid_back(payback: Payback) -> str:
    """When a cost is paid back, in words."""
    if payback.middle is None:
        return "is never paid back"
    if payback.high is None:
        best = years(Payback(payback.low, payback.low, payback.low))
        return f"pays back in {best} years at best and never at worst"
    return f"pays back in {years(payback)} years"


def worst(option: OptionFound) -> MoistureChange | None:
    """The part with the worst level; among equal ones the one that gets wettest."""

    def weight(one: MoistureChange) -> tuple[int, bool, float]:
        return one.rank, not stays(one), one.wetter.by if one.wetter else 0.0

    return max(option.moisture, key=weight, default=None)


def _is_bad(one: MoistureChange) -> bool:
    return is_bad([one])


def moisture(
    one: MoistureChange, option: OptionFound, system: str = "si", part: bool = True
) -> str:
    """Level, what decides, and whether it is wetter or drier than as found."""
    summary = next(each for each in option.summaries if each.name == one.part)
    name = f"{one.part}: " if part else ""
    told_of = f"{name}{level(one.rank)}{decided(summary, system)}"
    return told_of if option.saved is None else f"{told_of}; {against_found(one, system)}"


def alike(some: Sequence[MoistureChange], option: OptionFound, system: str = "si") -> list[str]:
    """What is told of parts, those of which the same is told together."""
    told_of: dict[str, list[str]] = {}
    for one in some:
        told_of.setdefault(moisture(one, option, system, part=False), []).append(one.part)
    return [f"{', '.join(names)}: {text}" for text, names in told_of.items()]


def moisture_in_short(one: MoistureChange, option: OptionFound) -> str:
    """Level with what takes its weight, and whether that is wetter or drier than as found."""
    verdict = next(each.verdict for each in option.summaries if each.name == one.part)
    state = f"{one.part}: {level(one.rank)}"
    if one.rank != NO_VERDICT:
        state += told.qualifier(verdict)
    if one.before is None:
        return f"{state}, not there as found"
    if one.before == NO_VERDICT == one.rank:
        return f"{state}, nor is there one as found"
    if one.before != one.rank:
        return f"{state}, as found {level(one.before)}"
    moved = [(word, each.planned.finding) for word, each in _moves(one)]
    same = len({finding.place for _, finding in moved}) < len(moved)  # told apart by the check
    both = [
        f"{word} at {place_and_path(found)} ({title(found, 'si')})"
        if same
        else f"{word} at {found.place}"
        for word, found in moved
    ]
    return f"{state}, {', '.join(both) or 'as it was found'}"


def _moves(one: MoistureChange) -> list[tuple[str, Moved]]:
    """What moved furthest each way, where anything did."""
    both = (("wetter", one.wetter), ("drier", one.drier))
    return [(word, each) for word, each in both if each is not None]


def decided(summary: AssemblySummary, system: str) -> str:
    """What decides, with its place, year and distance to the limit; why there is no verdict."""
    verdict = summary.verdict
    if verdict.finding is None:
        return f" ({'; '.join(told.withheld(why) for why in verdict.withheld)})"
    gap = distance(verdict.finding, system)
    time = when(verdict.finding)
    air = told.qualifier(verdict)
    parts = (title(verdict.finding, system), f"at {place_and_path(verdict.finding)}", gap)
    return f"{air} ({', '.join(filter(None, (' '.join(parts[:2]), parts[2], time)))})"


def against_found(one: MoistureChange, system: str) -> str:
    """Wetter or drier than as found, and at which plane."""
    if one.before is None:
        return "not there as found"
    if one.before == NO_VERDICT:
        return "as found there is no verdict either" if one.rank == NO_VERDICT else UNKNOWN
    rank = f"as found it is '{level(one.before)}'" if one.before != one.rank else ""
    moved = [_moved(each, word, system) for word, each in _moves(one)]
    if one.rank == NO_VERDICT:
        return rank
    if not moved and not rank:
        return "as it was found"
    return ", ".join(filter(None, (rank, *moved)))


def _moved(moved: Moved, word: str, system: str) -> str:
    where = place_and_path(moved.planned.finding)
    check = title(moved.planned.finding, system)
    now = _value(moved.planned, system)
    if moved.before is None:
        return f"{check} {now} at {where}, which is new"
    return f"{word} at {where} ({check} {now}, as found {_value(moved.before, system)})"


def _value(one: Judged, system: str) -> str:
    return value_and_limit(one.finding, system)[0]


def tipping(option: OptionFound) -> str:
    """Whether the level holds with other leaks and humidity; asked for with a band."""
    if option.band is None:
        return ""
    tips = [
        f"'{level(rank)}' with {change}" for change, rank in option.band.ranks if rank > option.rank
    ]
    if tips:
        return f"it tips: {', '.join(tips)}"
    tried = ", ".join(change for change, _ in option.band.ranks)
    return f"the level holds with {tried}" if option.rank < PAST else ""


def ranked_by(found: Compared) -> str:
    """What the order rests on."""
    others = [found.options[number].saved for number in found.ranked]
    if by_payback(others):
        merit = "payback"
    elif all_priced(others):
        merit = "heat saved (nothing is ever paid back)"
    else:
        merit = "heat saved (a cost or price is missing)"
    return f"Ranking: savings without unsolved moisture first, then by {merit}"


def ranking_lines(found: Compared, system: str = "si") -> Iterator[str]:
    """One line an option, the best first; the moisture stands beside each."""
    for place, number in enumerate(found.ranked, start=1):
        one = found.options[number]
        yield f"{place}. {one.option.name}: {merits(one, found, system)}"


def merits(one: OptionFound, found: Compared, system: str) -> str:
    """What an option saves, and the worst of its moisture."""
    if one.saved is None:
        text = "not computed to the end of a year"
    elif one.saved.beyond_bills:
        text = f"refused: {beyond(one.saved, found, system)}"
    elif one.saved.is_lost:
        text = (
            f"changes the heat of a year by less than {100.0 * LEAST:g} %, which cannot be told "
            "from nothing"
        )
    elif one.saved.heating <= 0.0:
        text = f"costs {heat(-one.saved.heating, system)} of heat a year more"
    else:
        text = f"saves {saved(one.saved, found, system)}"
    bad, part = [each for each in one.moisture if _is_bad(each)], worst(one)
    if part is None:
        return text
    short = "; ".join(moisture_in_short(each, one) for each in bad or [part])
    text += f". {'NOT CLEARED: ' if bad else ''}{short}"
    tips = tipping(one)
    return f"{text}; {tips}" if tips else text


def beyond(one: Savings, found: Compared, system: str) -> str:
    """Why a saving is not believed."""
    assert found.bills is not None
    assert found.asked.fuel is not None
    billed = heat(found.bills.billed * found.asked.fuel.efficiency, system)
    return (
        f"it would save {heat(one.heating, system)} a year, and the bills spend {billed} of "
        "delivered heat on heating"
    )


def misses(found: Compared, system: str = "si") -> str:
    """That the model misses the bills, before any saving is told."""
    assert found.bills is not None
    way = "more" if found.bills.miss > 0.0 else "less"
    rest = (
        "a figure is wrong, or the house is heated less than the case says"
        if found.bills.miss > 0.0
        else "what the case leaves out (windows, walls, air), or a wrong figure"
    )
    return (
        f"The house as found takes {100.0 * abs(found.bills.miss):.0f} % {way} fuel here than the "
        f"heating part of its bills: {rest}. Savings below are to be read with that."
    )


def bill_lines(found: Compared, system: str = "si") -> Iterator[str]:
    """What the bills say, and how the house as found stands to them."""
    fit, bills, fuel = found.fit, found.bills, found.asked.fuel
    if fit is None or bills is None or fuel is None:
        return
    balance = [figure(one, "temperature", system) for one in fit.balance_range]
    span = balance[0] if balance[0] == balance[1] else f"{balance[0]} to {balance[1]}"
    heating = fuel_amount(fuel, bills.billed / fuel.heat_content)
    base = fuel_amount(fuel, 365.0 * fit.base / fuel.heat_content)
    error = 100.0 * fit.errors[1] / fit.slope
    yield (
        f"bills: {heating} to heat in the year that was run (slope within {error:.0f} %), {base} a "
        f"year whatever the weather; heated below {span}, bills met within "
        f"{100.0 * fit.scatter:.0f} %"
    )
    computed = fuel_amount(fuel, bills.computed / fuel.heat_content)
    yield f"computed as found: {computed}, {100.0 * bills.miss:+.0f} % against the bills"
    if fit.base_held:
        yield "the line through the bills began below zero and was held there: all counts as heat"
    if found.typical_bills:
        yield (
            "the bills were held against a typical year, not the weather of their own months: name "
            "it as bill_weather"
        )


def sequence_lines(found: Compared, system: str = "si") -> Iterator[str]:
    """What each step saves after those it builds on, and alone where that was run."""
    for number, one in enumerate(found.options):
        if one.option.builds_on is None or one.step is None or one.saved is None:
            continue
        text = (
            f"{one.option.name}: after '{one.option.builds_on}' it saves "
            f"{heat(one.step.heating, system)} more, {heat(one.saved.heating, system)} together"
        )
        same = found.alone[number]
        alone = None if same is None else found.options[same]
        if alone is not None and alone.saved is not None:
            text += (
                f"; the same alone ('{alone.option.name}') saves "
                f"{heat(alone.saved.heating, system)}: savings do not add up"
            )
        yield text

"""The answer first: what becomes of an assembly, what decides and by how much, and where else.

Every sentence speaks of the years that were computed and of the leak it rests on. None says that
a thing is dry without saying what was not tested, and none calls anything safe.
"""

from __future__ import annotations

from collections.abc import Iterator

from assembly_sim.checks.finding import Finding
from assembly_sim.report.probe import better, fails, reaches
from assembly_sim.studies.probe import Probing
from assembly_sim.verdict import told
from assembly_sim.verdict.rules import PAST, WET, Judged
from assembly_sim.verdict.summary import AssemblySummary
from assembly_sim.verdict.verdict import Verdict
from assembly_sim.words.checks import (
    distance,
    in_last_year,
    place_and_path,
    sentence,
    title,
    when,
)

SHOWN = 3  # further findings on the first screen
LEADS = (
    "it kept a margin to every limit that counts here, the least at",
    "it stayed within its limits, with a thin margin at",
    "it got wet, within its limits, at",
    "it passed a limit at",
    "it got wetter to the end at",
)
FROM_START = "it got wet, and past a limit only while it dried from its start, at"
BUT_FOR_START = "it got wet, within its limits but for its start, at"
AHEAD = "it stayed within its limits, and would pass one if years like the last go on, at"
COMPUTED_WITHOUT = (
    "No air leak was computed, as the case asks: with one it may get wetter than this."
)
# Checks that never decide here and yet tell of harm: cladding, pipes, metal, the room's surface.
HARMS = (
    *("mould index", "wood moisture", "decay, mass loss of the wetter face"),
    *("freeze-thaw cycles above critical saturation", "surface condensation"),
    *("surface temperature factor", "hours below 0 degC", "time of wetness of metal"),
)


def headline(one: AssemblySummary) -> str:
    """The level in words, with what takes its weight."""
    found = one.verdict
    if found.level is None:
        return "no verdict on moisture"
    return f"{found.level}{told.qualifier(found)}"


def answer(one: AssemblySummary, years: float, system: str = "si") -> Iterator[str]:
    """Sentences that answer, the decisive first."""
    found = one.verdict
    if not found.judged:
        yield f"No verdict: {'; '.join(told.withheld(why) for why in found.withheld)}."
        yield from computed_without_air(found)
        return
    first = found.judged[0]
    computed = f"In the {span(years)} computed"
    yield f"{computed} {lead(found)} {told.judged(first, system)}."
    if gap := distance(first.finding, system):
        settled = first.finding.settled
        known = first.settled_rank < first.rank  # the sentence above has it
        same = known or settled is None or settled == first.finding.value
        last = "" if same else f"; in the last year alone {in_last_year(first.finding, system)}"
        yield f"What decides is {title(first.finding, system)}, {gap}{last}."
    yield from unlike_the_rest(found, system)
    for ground in told.grounds(found):
        yield f"{ground[0].upper()}{ground[1:]}."
    yield from air(found, system)


def span(years: float) -> str:
    """Years in words."""
    return "1 year" if years == 1 else f"{years:g} years"


def lead(found: Verdict) -> str:
    """How the sentence of a level begins; what only the start did, or lies ahead, is told apart."""
    rank = found.rank or 0
    if rank == WET and any(one.from_start for one in found.judged):
        return FROM_START if found.judged[0].from_start else BUT_FOR_START
    return AHEAD if rank == WET and lies_ahead(found.judged[0]) else LEADS[rank]


def lies_ahead(one: Judged) -> bool:
    """Whether a finding keeps its limit in the run and would pass it later."""
    finding, numbers = one.finding, dict(one.finding.counts)
    limit = finding.limit or 0.0
    return (finding.value or 0.0) < limit <= numbers.get("projected_index", 0.0)


def unlike_the_rest(found: Verdict, system: str) -> Iterator[str]:
    """What the last year is alone, what had not settled, what only the start did or lies ahead."""
    others = found.judged[1:]
    if found.rank is not None and found.rank <= WET:
        apart = [one for one in others if one.from_start or lies_ahead(one)]
        for one in apart[:1]:
            name = "Past a limit by its start alone" if one.from_start else "Ahead"
            yield f"{name}: {told.judged(one, system)}."
    for settled in told.settled(found):
        yield f"{settled[0].upper()}{settled[1:]}."
    moving = told.unsettled(found, system)
    if moving:
        more = f", and {len(moving) - 1} more" if len(moving) > 1 else ""
        later = ": later years may be worse" if any(m.step > 0.0 for m in found.moving) else ""
        yield f"Not settled when the run ended: {moving[0]}{more}{later}."


def air(found: Verdict, system: str) -> Iterator[str]:
    """The leak that the answer rests on; a run without one is no answer for a house with one."""
    if found.air.diffusion_only and not beneath_zone(found):
        yield from computed_without_air(found)
        return
    statement = told.leak(found.air, system)
    yield f"{statement[0].upper()}{statement[1:]}."


def computed_without_air(found: Verdict) -> Iterator[str]:
    """What it means that no air moved through it, and what passes it by."""
    if found.air.diffusion_only:
        if not beneath_zone(found):
            yield COMPUTED_WITHOUT
        for beside in told.beside_leak(found.air):
            yield f"{beside[0].upper()}{beside[1:]}."


def beneath_zone(found: Verdict) -> bool:
    """Whether it looks into a zone, whose air is computed with it."""
    return found.air.house is not None and found.air.house.zone


def also(one: AssemblySummary, system: str = "si") -> list[str]:
    """Where else: findings of the same or of a harmful level, and harm that does not decide."""
    found = one.verdict
    if not found.judged:
        return beside(one, system)
    least = min(found.judged[0].rank, PAST)
    alike = [
        told.judged(other, system) for other in found.judged[1:] if least and other.rank >= least
    ]
    return [*alike, *_dew(found, least, system), *beside(one, system)]


def _dew(found: Verdict, least: int, system: str) -> list[str]:
    """Dew on the room's surface where something worse decides: it is seen first."""
    lesser = (one for one in found.judged[1:] if 0 < one.rank < least)
    dew = next((one for one in lesser if one.finding.check == "surface condensation"), None)
    return [told.judged(dew, system)] if dew else []


def beside(one: AssemblySummary, system: str = "si") -> list[str]:
    """Harm or its like past its own limit where it does not decide: the worst of each check."""
    told_of: list[str] = []
    for check in HARMS:
        past = [each for each in one.findings if each.check == check and is_beside(each)]
        if past:
            worst = min(past, key=lambda finding: finding.margin or 0.0)
            more = f", and at {len(past) - 1} more" if len(past) > 1 else ""
            told_of.append(f"beside the verdict: {told_beside(worst, system)}{more}")
    return told_of


def is_beside(finding: Finding) -> bool:
    """Whether a finding that does not decide is past its own limit."""
    if finding.decides or finding.margin is None or finding.check not in HARMS:
        return False
    return finding.margin < 0.0 or (finding.margin == 0.0 and bool(finding.limit))


def told_beside(finding: Finding, system: str) -> str:
    """A finding with its place and time."""
    time = when(finding)
    return f"{place_and_path(finding)}: {sentence(finding, system)}" + (
        f", in {time}" if time else ""
    )


def cut(items: list[str], shown: int = SHOWN) -> list[str]:
    """The first few, with how many more there are."""
    more = len(items) - shown
    return items if more <= 0 else [*items[:shown], f"and {more} more: --full"]


def what_moves_it(probing: Probing, system: str = "si") -> list[str]:
    """What would make it better, how far it holds, where it does not; from further runs."""
    if probing.level is None:
        return []
    return [*better(probing, system), *reaches(probing, system), *fails(probing, system)]

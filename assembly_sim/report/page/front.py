"""The first screen of an assembly: the answer, what decides by how much, what would change it."""

from __future__ import annotations

from collections.abc import Iterator

from assembly_sim.checks.finding import Finding
from assembly_sim.report.answer import also, answer, headline, what_moves_it
from assembly_sim.report.blocks import Listing
from assembly_sim.report.page.build import build_figure
from assembly_sim.report.page.content import Answer, Gauge
from assembly_sim.report.page.view import View
from assembly_sim.verdict.rules import LEVELS
from assembly_sim.words.checks import (
    TELLINGS,
    distance,
    in_last_year,
    place_and_path,
    title,
    value_and_limit,
)

MOST_ALSO = 4
DECIDES = "What decides is"
ROOM = 1.25  # of the scale beyond the larger of value and limit


def front(view: View, years: float) -> Answer:
    """The first screen of one assembly; `years` that were computed."""
    found, shown = view.one.verdict, gauge(view)
    told = tuple(answer(view.one, years, view.system))
    return Answer(
        headline=headline(view.one),
        step=found.rank,
        steps=LEVELS,
        sentences=tuple(one for one in told if not (shown and one.startswith(DECIDES))),
        gauge=shown,
        drawing=build_figure(view),
        lists=tuple(_lists(view)),
    )


def gauge(view: View) -> Gauge | None:
    """What decides beside its limit; None without a verdict, or where the limit is nothing."""
    finding = view.one.verdict.finding
    if finding is None or finding.value is None or not finding.limit or finding.at_least:
        return None
    value, limit = value_and_limit(finding, view.system)
    scale = ROOM * max(finding.value, finding.limit, 0.0)
    return Gauge(
        what=f"{title(finding, view.system)} at {place_and_path(finding)}",
        value=value,
        limit=f"{TELLINGS[finding.check].bound}: {limit}",
        value_share=max(0.0, finding.value / scale),
        limit_share=finding.limit / scale,
        words=_by_how_much(view, finding),
    )


def _by_how_much(view: View, finding: Finding) -> str:
    """How far from the limit, and what it is in the last year alone where that differs."""
    first = view.one.verdict.judged[0]
    same = finding.settled is None or finding.settled == finding.value
    if same or first.settled_rank < first.rank:
        return distance(finding, view.system)
    last = in_last_year(finding, view.system)
    return f"{distance(finding, view.system)}; in the last year alone {last}"


def _lists(view: View) -> Iterator[Listing]:
    if view.probing is not None:
        moved = tuple(what_moves_it(view.probing, view.system))
        yield Listing("What would change it", moved)
    elif view.result.case.climate.wraps and view.one.verdict.level is not None:
        yield Listing("What would change it", ("Not tried: further runs find out, with --probe.",))
    others = also(view.one, view.system)
    more = len(others) - MOST_ALSO
    shown = others[:MOST_ALSO] + [f"and {more} more, under the checks below"] * (more > 0)
    yield Listing("Where else", tuple(f"{one[0].upper()}{one[1:]}" for one in shown))

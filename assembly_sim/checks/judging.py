"""How each finding weighs in a verdict: the level it allows, and the reason in plain words."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from assembly_sim.checks.condensation import DRY_FILM
from assembly_sim.checks.evidence import Evidence
from assembly_sim.checks.finding import Finding
from assembly_sim.checks.planes import last_year, place_of
from assembly_sim.model import Thresholds
from assembly_sim.solver.result import Result

LEVELS = ("dry with margin", "dry, thin margin", "wets and dries", "keeps getting wetter")

MONTH_NAMES = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)
A_DAY = 24.0
ALL_YEAR = 0.95
NEVER = math.inf

Bounds = tuple[float, float, float]

# From which value on a finding allows no more than the second, third and fourth level. The order
# ranks checks of one level: harm first, then water, then hours of humidity.
RULES: dict[str, Callable[[Thresholds, int], Bounds]] = {
    "trend of water": lambda limits, hours: (NEVER, NEVER, NEVER),  # by its own tolerance
    "wood moisture": lambda limits, hours: (
        limits.wood_moisture_thin,
        limits.wood_moisture,
        NEVER,
    ),
    "mould index": lambda limits, hours: (limits.mould_index_thin, limits.mould_index, NEVER),
    "free water": lambda limits, hours: (DRY_FILM, limits.free_water_wet, NEVER),  # or run-off
    "freeze-thaw cycles above critical saturation": lambda limits, hours: (1.0, 1.0, NEVER),
    "wet hours": lambda limits, hours: (A_DAY, limits.wet_hours, ALL_YEAR * hours),
    "condensation-risk hours": lambda limits, hours: (limits.condensation_hours, NEVER, NEVER),
    "months of humid surface": lambda limits, hours: (1.0, NEVER, NEVER),
}
PRIORITY = {check: -order for order, check in enumerate(RULES)}


@dataclass(frozen=True)
class Judged:
    """A finding that may decide: its rank in `LEVELS`, its load (value over bound), and why."""

    rank: int
    load: float
    finding: Finding
    reason: str


def judged_findings(
    result: Result, proofs: tuple[Evidence, ...], checked: tuple[Finding, ...]
) -> tuple[Judged, ...]:
    """Every finding that may decide, the decisive first.

    Worst level first; within a level by the order of `RULES`, then by load; where all is dry with
    margin, by load alone.
    """
    lasting = always_wet(result, proofs)
    hours = result.case.climate.hours
    judged = [
        _judge(finding, RULES[finding.check](result.case.thresholds, hours), lasting)
        for finding in checked
        if finding.decides and finding.value is not None and finding.check in RULES
    ]
    return tuple(sorted(judged, key=_weight, reverse=True))


def _weight(judged: Judged) -> tuple[int, int, float]:
    return judged.rank, PRIORITY[judged.finding.check] if judged.rank else 0, judged.load


def _judge(finding: Finding, bounds: Bounds, lasting: frozenset[tuple[str, str, str]]) -> Judged:
    """Rank and load of one finding."""
    value = finding.value or 0.0
    if finding.check == "trend of water":
        bounds = (NEVER, NEVER, finding.limit or NEVER)
    elif finding.check == "free water" and (finding.limit or 0.0) > bounds[1]:
        bounds = (bounds[1], finding.limit or NEVER, NEVER)  # where water harms neither side
    rank = max((i + 1 for i, bound in enumerate(bounds) if value >= bound), default=0)
    stays = rank == 2 and (finding.check, finding.path, finding.place) in lasting
    bound = bounds[rank - 1] if rank else min(bounds)
    return Judged(3 if stays else rank, value / bound, finding, reason_of(finding, stays))


def always_wet(result: Result, proofs: tuple[Evidence, ...]) -> frozenset[tuple[str, str, str]]:
    """Check, path and place of what is past its limit in every hour of the last year."""
    limits, year = result.case.thresholds, last_year(result)
    boards = {
        ("wood moisture", proof.path.name, board.name)
        for proof in proofs
        for board in proof.boards
        if board.moisture[year].min() >= limits.wood_moisture
    }
    planes = {
        ("free water", proof.path.name, place_of(plane))
        for proof in proofs
        for plane, found in zip(proof.path.planes, proof.condensation)
        if found.free_water_left >= limits.free_water_wet
    }
    return frozenset(boards | planes)


def reason_of(finding: Finding, stays: bool) -> str:
    """A judged finding in plain words, with place, month, value and limit."""
    place = f"{finding.place} ({finding.path} path)" if finding.path else finding.place
    text = f"{place}: {WORDS[finding.check](finding.value or 0.0, finding.limit or 0.0)}"
    if finding.month is not None and finding.value:
        text += f", in {MONTH_NAMES[finding.month - 1]}"
    return text + (", and does not fall below it at any hour of the last year" if stays else "")


WORDS: dict[str, Callable[[float, float], str]] = {
    "trend of water": lambda value, limit: (
        f"water rises by {1000 * value:.0f} g/m2 in the last year "
        f"(up to {1000 * limit:.0f} would count as settled)"
    ),
    "wood moisture": lambda value, limit: (
        f"wood moisture reaches {100 * value:.1f} % by mass (limit {100 * limit:.0f} %)"
    ),
    "mould index": lambda value, limit: f"mould index reaches {value:.2f} (limit {limit:g})",
    "free water": lambda value, limit: (
        f"free water or frost reaches {1000 * value:.0f} g/m2 (wet from {1000 * limit:.0f})"
    ),
    "freeze-thaw cycles above critical saturation": lambda value, limit: (
        f"{value:.0f} freeze-thaw cycles a year in masonry wetter than its critical saturation"
    ),
    "wet hours": lambda value, limit: (
        f"wet in {value:.0f} hours of the last year (limit {limit:.0f})"
    ),
    "condensation-risk hours": lambda value, limit: (
        f"{value:.0f} condensation-risk hours in the last year (limit {limit:.0f})"
    ),
    "months of humid surface": lambda value, limit: (
        f"{value:.0f} months of the last year with a humid surface towards the room"
    ),
}

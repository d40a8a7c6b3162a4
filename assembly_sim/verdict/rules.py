"""How each finding weighs in a verdict: the level it allows. Keys and numbers, no words."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from assembly_sim.checks.condensation import DRY_FILM, HALF_A_YEAR
from assembly_sim.checks.finding import Finding
from assembly_sim.model import Thresholds
from assembly_sim.solver.result import Result

LEVELS = (
    "dry with margin",
    "dry, thin margin",
    "gets wet, within limits",
    "past a limit",
    "keeps getting wetter",
)
THIN, WET, PAST, WETTER = 1, 2, 3, 4  # ranks in LEVELS

A_DAY = 24.0
NEVER = math.inf
ANY_LOSS = 1e-9  # % of mass

Bounds = tuple[float, float, float, float]


def _free_water(limits: Thresholds, finding: Finding) -> Bounds:
    """Between foam, foil, fibre and metal a film matters once it is enough to run off."""
    if dict(finding.counts).get("tender", 1.0):
        return (DRY_FILM, limits.free_water_wet, limits.run_off_water, NEVER)
    return (limits.free_water_wet, NEVER, limits.run_off_water, NEVER)


def _risk_hours(limits: Thresholds, finding: Finding) -> Bounds:
    """Masonry, foam and fibre stand weeks of it; more of the year than not is not dry."""
    if dict(finding.counts).get("tender", 1.0):
        return (limits.condensation_hours, limits.condensation_hours_wet, NEVER, NEVER)
    return (NEVER, max(HALF_A_YEAR, limits.condensation_hours_wet), NEVER, NEVER)


# From which value on a finding allows no more than the second, third, fourth and fifth level. The
# order ranks checks of one level: harm first, then water, then hours of humidity. Limits of harm
# have their sources in their checks; those of wetness are ours, held against build-ups that the
# field has proven (tests/outcomes).
RULES: dict[str, Callable[[Thresholds, Finding], Bounds]] = {
    "trend of water": lambda limits, one: (NEVER, NEVER, NEVER, one.limit or NEVER),
    "wood moisture": lambda limits, one: (
        limits.wood_moisture_thin,
        NEVER,
        limits.wood_moisture,
        NEVER,
    ),
    "mould index": lambda limits, one: (
        limits.mould_index_thin,
        NEVER,
        limits.mould_index,
        NEVER,
    ),
    "decay, mass loss of the wetter face": lambda limits, one: (NEVER, NEVER, ANY_LOSS, NEVER),
    "freeze-thaw cycles above critical saturation": lambda limits, one: (NEVER, NEVER, 1.0, NEVER),
    "free water that stays": lambda limits, one: (NEVER, NEVER, limits.free_water_wet, NEVER),
    "free water": _free_water,
    "wet hours": lambda limits, one: (A_DAY, limits.wet_hours, NEVER, NEVER),
    "surface condensation": lambda limits, one: (A_DAY, limits.wet_hours, NEVER, NEVER),
    "condensation-risk hours": _risk_hours,
    "months of humid surface": lambda limits, one: (1.0, NEVER, NEVER, NEVER),
}
PRIORITY = {check: -order for order, check in enumerate(RULES)}


@dataclass(frozen=True)
class Judged:
    """A finding that may decide: its rank in `LEVELS` and its load (value over bound).

    settled_rank: that of the last year of the run alone; from_start: it passes its limit in the
    first year alone, by its starting moisture, which is not counted as past the limit.
    """

    rank: int
    settled_rank: int
    load: float
    finding: Finding
    from_start: bool = False


def judged_findings(result: Result, checked: tuple[Finding, ...]) -> tuple[Judged, ...]:
    """Every finding that may decide, the decisive first.

    Worst level first; within a level by the order of `RULES`, then by load; where all is dry with
    margin, by load alone. A deciding finding without a rule is a fault: KeyError.
    """
    judged = [
        _judge(finding, RULES[finding.check](result.case.thresholds, finding))
        for finding in checked
        if finding.decides and finding.value is not None
    ]
    return tuple(sorted(judged, key=_weight, reverse=True))


def _weight(judged: Judged) -> tuple[int, int, float]:
    return judged.rank, PRIORITY[judged.finding.check] if judged.rank else 0, judged.load


def rank_of(value: float, bounds: Bounds) -> int:
    """Rank in `LEVELS` that a value allows."""
    return max((i + 1 for i, bound in enumerate(bounds) if value >= bound), default=0)


def _judge(finding: Finding, bounds: Bounds) -> Judged:
    """Rank and load of one finding."""
    value = finding.value or 0.0
    rank = _rank(finding, value, bounds)
    settled = rank if finding.settled is None else _rank(finding, finding.settled, bounds)
    bound = bounds[rank - 1] if rank else min(bounds)
    load = value / bound if math.isfinite(bound) else 1.0
    from_start = rank < PAST <= rank_of(value, bounds)
    return Judged(rank, settled, load, finding, from_start)


def _rank(finding: Finding, value: float, bounds: Bounds) -> int:
    """Rank of a value, with what lies ahead of it and what it comes from.

    An index that would reach its limit if years like the last go on is not dry, and not yet past
    it. What its start does in the first year and no more has not passed a limit that is one of
    years in service: free water (ISO 13788), and wood that dries within half a year and stays
    below the moisture of decay (DIN 68800; both from memory). Its mould is counted all the same.
    """
    numbers, rank = dict(finding.counts), rank_of(value, bounds)
    if "projected_index" in numbers:
        rank = max(rank, min(WET, rank_of(numbers["projected_index"], bounds)))
    if rank == PAST and finding.year == 1 and _is_start_alone(finding, numbers, bounds):
        return WET
    return rank


def _is_start_alone(finding: Finding, numbers: Mapping[str, float], bounds: Bounds) -> bool:
    """Whether the last year keeps the limit, and what the first did is of the kind that may be."""
    if finding.settled is None or rank_of(finding.settled, bounds) >= PAST:
        return False
    if finding.check == "wood moisture":
        brief = numbers["hours_over_limit"] <= HALF_A_YEAR
        return brief and not numbers["hours_over_decay_moisture"]
    return finding.check in ("free water", "free water that stays")

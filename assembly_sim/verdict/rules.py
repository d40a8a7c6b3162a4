"""How each finding weighs in a verdict: the level it allows, and the reason in plain words."""

from __future__ import annotations

import math
from calendar import month_name
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from assembly_sim.checks.condensation import DRY_FILM
from assembly_sim.checks.finding import Finding
from assembly_sim.checks.mould import HORIZON
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
HALF_A_YEAR = 4380.0  # h

Bounds = tuple[float, float, float, float]


def _free_water(limits: Thresholds, finding: Finding) -> Bounds:
    """Between foam, foil, fibre and metal a film matters once it is enough to run off."""
    if dict(finding.counts).get("tender", 1.0):
        return (DRY_FILM, limits.free_water_wet, limits.run_off_water, NEVER)
    return (limits.free_water_wet, NEVER, limits.run_off_water, NEVER)


# From which value on a finding allows no more than the second, third, fourth and fifth level. The
# order ranks checks of one level: harm first, then water, then hours of humidity. Limits of harm
# have their sources in their checks; those of wetness are ours, held against build-ups that the
# field has proven (tests/outcomes).
RULES: dict[str, Callable[[Thresholds, Finding], Bounds]] = {
    "trend of water": lambda limits, one: (NEVER, NEVER, NEVER, one.limit or NEVER),
    "decay, mass loss of the wetter face": lambda limits, one: (NEVER, NEVER, ANY_LOSS, NEVER),
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
    "freeze-thaw cycles above critical saturation": lambda limits, one: (NEVER, NEVER, 1.0, NEVER),
    "free water that stays": lambda limits, one: (NEVER, NEVER, limits.free_water_wet, NEVER),
    "free water": _free_water,
    "wet hours": lambda limits, one: (A_DAY, limits.wet_hours, NEVER, NEVER),
    "condensation-risk hours": lambda limits, one: (
        limits.condensation_hours,
        limits.condensation_hours_wet,
        NEVER,
        NEVER,
    ),
    "months of humid surface": lambda limits, one: (1.0, NEVER, NEVER, NEVER),
}
PRIORITY = {check: -order for order, check in enumerate(RULES)}


@dataclass(frozen=True)
class Judged:
    """A finding that may decide: its rank in `LEVELS`, its load (value over bound), and why.

    settled_rank: that of the last year of the run alone.
    """

    rank: int
    settled_rank: int
    load: float
    finding: Finding
    reason: str


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
    return Judged(rank, settled, load, finding, reason_of(finding, rank, settled))


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


def reason_of(finding: Finding, rank: int, settled: int) -> str:
    """A judged finding in plain words, with place, month, year, value and limit.

    Where the last year is better than the worst, the two are told apart.
    """
    place = f"{finding.place} ({finding.path} path)" if finding.path else finding.place
    numbers = dict(finding.counts)
    text = f"{place}: {WORDS[finding.check](finding.value or 0.0, finding.limit or 0.0)}"
    if "since_first" in numbers:  # real years
        since = "since the first year" if numbers["since_first"] else "in the last year"
        text = text.replace("in the last year", f"{since}, each under its own weather")
    if finding.month is not None and finding.value and finding.year:
        text += f", in {month_name[finding.month]} of year {finding.year}"
    if finding.check in LASTING and (finding.value or 0.0) >= (finding.limit or 0.0):
        text += LASTING[finding.check](numbers)
    if "projected_index" in numbers and (finding.value or 0.0) < (finding.limit or 0.0):
        text += _ahead(numbers, finding.limit or 0.0)
    if settled < rank and finding.settled is not None:
        text += f"; in the last year {SHORT[finding.check](finding.settled)}"
    return text


def _ahead(numbers: Mapping[str, float], limit: float) -> str:
    """Where an index leads that still rises."""
    index, year = numbers["projected_index"], numbers["projected_year"]
    if index < limit:
        return f", and still rises: to {index:.2f} in {HORIZON} years like the last"
    return (
        f", and still rises: it would reach {limit:g} in year {year:.0f} if each is like the last"
    )


def _days(hours: float) -> str:
    return f"{hours:.0f} h" if hours < 72.0 else f"{hours / 24.0:.0f} days"


def _moist_for(numbers: Mapping[str, float]) -> str:
    over = f", above the limit for {_days(numbers['hours_over_limit'])} of that year"
    decay = numbers["hours_over_decay_moisture"]
    return over + (f" and above 26 % for {_days(decay)}" if decay else "")


LASTING: dict[str, Callable[[Mapping[str, float]], str]] = {
    "wood moisture": _moist_for,
    "mould index": lambda numbers: (
        f", at or above the limit for {_days(numbers['hours_over_limit'])} of the run"
    ),
}

WORDS: dict[str, Callable[[float, float], str]] = {
    "trend of water": lambda value, limit: (
        f"water rises by {1000 * value:.0f} g/m2 in the last year "
        f"(up to {1000 * limit:.0f} would count as settled)"
    ),
    "decay, mass loss of the wetter face": lambda value, limit: (
        f"wood loses {value:.2g} % of its mass to decay, by the model for small pieces"
        if value
        else "no loss of mass to decay, by the model for small pieces"
    ),
    "wood moisture": lambda value, limit: (
        f"wood moisture reaches {100 * value:.1f} % by mass (limit {100 * limit:.0f} %)"
    ),
    "mould index": lambda value, limit: f"mould index reaches {value:.2f} (limit {limit:g})",
    "free water": lambda value, limit: (
        f"free water or frost reaches {1000 * value:.0f} g/m2 (wet from {1000 * limit:.0f})"
    ),
    "free water that stays": lambda value, limit: (
        f"{1000 * value:.0f} g/m2 of free water or frost are left all year "
        f"(limit {1000 * limit:.0f})"
    ),
    "freeze-thaw cycles above critical saturation": lambda value, limit: (
        f"{value:.0f} freeze-thaw cycles a year in masonry wetter than its critical saturation"
    ),
    "wet hours": lambda value, limit: f"wet in {value:.0f} hours of a year (limit {limit:.0f})",
    "condensation-risk hours": lambda value, limit: (
        f"{value:.0f} condensation-risk hours in a year (limit {limit:.0f})"
    ),
    "months of humid surface": lambda value, limit: (
        f"{value:.0f} months of the last year with a humid surface towards the room"
    ),
}

SHORT: dict[str, Callable[[float], str]] = {
    "trend of water": lambda value: f"{1000 * value:.0f} g/m2",
    "decay, mass loss of the wetter face": lambda value: f"{value:.2g} %",
    "wood moisture": lambda value: f"{100 * value:.1f} %",
    "mould index": lambda value: f"at most {value:.2f}",
    "free water": lambda value: f"{1000 * value:.0f} g/m2",
    "free water that stays": lambda value: f"{1000 * value:.0f} g/m2",
    "freeze-thaw cycles above critical saturation": lambda value: f"{value:.0f}",
    "wet hours": lambda value: f"{value:.0f}",
    "condensation-risk hours": lambda value: f"{value:.0f}",
    "months of humid surface": lambda value: f"{value:.0f}",
}

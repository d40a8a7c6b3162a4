"""The smallest value of a factor that keeps a level, for each option of another: by bisection.

Bisection rests on a response that is monotone: once dry, dry for more. That is not taken for
granted: both ends are run, every value that was run has to agree, and two values above the one
found are run to see. What does not agree is told, and then no value is given.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from assembly_sim.changes.factors import Choice, Level, Range, Value
from assembly_sim.changes.plan import Plan
from assembly_sim.errors import InputError, Problem
from assembly_sim.files.words import nearest
from assembly_sim.studies.sweep.points import Variant
from assembly_sim.studies.sweep.questions import JUDGED, rank_named
from assembly_sim.studies.sweep.run import processors
from assembly_sim.studies.sweep.work import finish

Rank = Callable[[float], float]
CHECKED = (1 / 3, 2 / 3)  # of the way from the value found to the upper end
LEAST = 0.001  # of the range: finer than any thickness that is built


@dataclass(frozen=True)
class Smallest:
    """What was found for one option of the other factor (None: there is none).

    value: the smallest that was run and keeps the level, with all above it that were run; below:
    the largest run that does not, None where the lowest already does. value None: none does, or
    the response is not monotone (`monotone`). ran: value and rank of each run, rising; rank NaN
    where there is no verdict, which keeps no level.
    """

    option: Value | None
    level: str
    kind: str
    value: float | None
    below: float | None
    monotone: bool
    ran: tuple[tuple[float, float], ...]


def smallest(
    plan: Plan,
    factor: str,
    each: str | None = None,
    at_least: str = "dry, thin margin",
    within: float = 0.05,
    workers: int | None = None,
) -> tuple[Smallest, ...]:
    """Search a range of a plan, for each option of another factor, options side by side.

    within: share of the range at which it ends. Other factors of the plan stay as in the case.
    InputError where the factors are none of the plan, or of another kind.
    """
    searched, other = _range(plan, factor), _choice(plan, each)
    most = rank_named(at_least)
    if not LEAST <= within < 1.0:
        cause, cure = f"{within:g} is no share to end at", f"give {LEAST} to 1"
        raise InputError(Problem(cause, cure, field="--within"))
    stop = threading.Event()

    def search(option: Level | None) -> Smallest:
        def rank(value: float) -> float:
            levels = (searched.of(value), *([option] if option else []))
            row = finish(plan, Variant(0, levels), "", "", stop.is_set).row
            return float(row["rank"]) if row["status"] == JUDGED else float("nan")

        low, high = searched.law.quantile(0.0), searched.law.quantile(1.0)
        found = bisect(rank, low, high, most, within * (high - low))
        value, below, monotone, ran = found
        named = option.value if option else None
        return Smallest(named, at_least, searched.kind, value, below, monotone, ran)

    options: tuple[Level | None, ...] = other.options if other else (None,)
    with ThreadPoolExecutor(workers or processors()) as pool:
        try:
            return tuple(pool.map(search, options))
        except BaseException:
            stop.set()
            raise


Found = tuple[float | None, float | None, bool, tuple[tuple[float, float], ...]]


def bisect(rank: Rank, low: float, high: float, most: int, end: float) -> Found:
    """Smallest value of a rank of `most` or less; largest above it; whether monotone; all runs."""
    ran: dict[float, float] = {}

    def keeps(value: float) -> bool:
        if value not in ran:
            ran[value] = rank(value)
        return ran[value] <= most  # not true of NaN

    if keeps(low):
        top, bottom = low, None
    elif not keeps(high):
        top, bottom = None, high
    else:
        top, bottom = high, low
        while top - bottom > end:
            middle = 0.5 * (bottom + top)
            top, bottom = (middle, bottom) if keeps(middle) else (top, middle)
    for part in CHECKED:
        start = low if top is None else top
        keeps(start + part * (high - start))
    listed = tuple(sorted(ran.items()))
    monotone = _is_monotone([one <= most for _, one in listed])
    return (top if monotone else None), bottom, monotone, listed


def _is_monotone(kept: list[bool]) -> bool:
    """Whether nothing that keeps the level is followed by what does not."""
    return kept == sorted(kept)


def _range(plan: Plan, name: str) -> Range:
    found = _named(plan, name)
    if not isinstance(found, Range) or not found.has_ends:
        cause = f"'{name}' is no range with two ends"
        raise InputError(Problem(cause, "name a factor with a range", field="--factor"))
    return found


def _choice(plan: Plan, name: str | None) -> Choice | None:
    if name is None:
        return None
    found = _named(plan, name)
    if not isinstance(found, Choice):
        raise InputError(
            Problem(f"'{name}' has no options", "name a factor with values", field="--each")
        )
    return found


def _named(plan: Plan, name: str) -> Choice | Range:
    for one in plan.factors:
        if one.name == name:
            return one
    names = [one.name for one in plan.factors]
    cure = nearest(name, names) or f"there are {', '.join(names)}"
    raise InputError(Problem(f"the plan has no factor '{name[:60]}'", cure))

"""How likely a verdict holds when what it rests on is uncertain, and which input carries that.

The share of random variants whose level is as dry as the case's own, or drier, with the ends of
Wilson's interval for a share (Wilson, J. Am. Stat. Assoc. 22 (1927) 209). A variant without a
verdict counts as one that does not hold: it is no proof of dryness. Which input carries it is told
by the rank correlation (Spearman) of each with what decides: the moisture nearest to a limit.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from assembly_sim.changes.plan import Plan
from assembly_sim.errors import InputError, Problem
from assembly_sim.studies.sweep.keys import base_sha256
from assembly_sim.studies.sweep.points import Variant
from assembly_sim.studies.sweep.questions import JUDGED, MOISTURE, judged, sound
from assembly_sim.studies.sweep.sensitivity import refuse_missing
from assembly_sim.studies.sweep.table import Sweep
from assembly_sim.studies.sweep.work import finish
from assembly_sim.verdict.rules import LEVELS, PAST

SURE = 1.96  # of the standard normal, 95 %


@dataclass(frozen=True)
class Chance:
    """level: of the case as it is; holds: variants as dry or drier, of `count`; ends: of 95 %.

    within: variants that stay within their limits, and within_ends; levels: how many variants have
    each level, driest first; carried: rank correlation of each input with the moisture that
    decides, largest first; refused: why that is not told.
    """

    level: str
    holds: int
    count: int
    ends: tuple[float, float]
    within: int
    within_ends: tuple[float, float]
    levels: tuple[tuple[str, int], ...]
    carried: tuple[tuple[str, float], ...]
    unjudged: int
    refused: str = ""

    @property
    def share(self) -> float:
        """Share of the variants on which the verdict holds."""
        return self.holds / self.count


def chance(sweep: Sweep, plan: Plan) -> Chance:
    """The chance that the verdict of a plan's case holds over the variants that were run."""
    rank = own_rank(plan)
    known = judged(sweep)
    found = np.where(known, sweep.number("rank"), np.nan)
    holds, within = (int((found[known] <= most).sum()) for most in (rank, PAST - 1))
    count = len(sweep)
    levels = tuple((name, int((found == at).sum())) for at, name in enumerate(LEVELS))
    carried, refused = _carried(sweep)
    return Chance(
        level=LEVELS[rank],
        holds=holds,
        count=count,
        ends=wilson(holds, count),
        within=within,
        within_ends=wilson(within, count),
        levels=levels,
        carried=carried,
        unjudged=int((~known).sum()),
        refused=refused,
    )


def own_rank(plan: Plan) -> int:
    """Rank of the case as it is. InputError where it has no verdict."""
    row = finish(plan, Variant(0, ()), "", base_sha256(plan), lambda: False).row
    rank = row.get("rank", float("nan"))
    if row["status"] != JUDGED or not isinstance(rank, float):
        cause = f"the case itself has no verdict: {row['reason']}"
        raise InputError(Problem(cause, "mend that first", plan.file))
    return int(rank)


def wilson(holds: int, count: int) -> tuple[float, float]:
    """Ends of the 95 % interval of a share."""
    share, z = holds / count, SURE
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = z * sqrt(share * (1 - share) / count + z * z / (4 * count * count)) / (1 + z * z / count)
    return max(middle - half, 0.0), min(middle + half, 1.0)


def _carried(sweep: Sweep) -> tuple[tuple[tuple[str, float], ...], str]:
    """Rank correlation of each input with the moisture nearest to a limit, or why there is none."""
    from scipy.stats import spearmanr

    moisture = sound(sweep, MOISTURE)
    try:
        refuse_missing(moisture, MOISTURE)
    except InputError as error:
        return (), error.problems[0].cause
    varied = [name for name in sweep.factors if np.ptp(sweep.number(name)) > 0.0]
    if np.ptp(moisture) == 0.0 or not varied:
        return (), "nothing varies"
    found = {name: float(spearmanr(sweep.number(name), moisture).statistic) for name in varied}
    return tuple(sorted(found.items(), key=lambda one: -abs(one[1]))), ""

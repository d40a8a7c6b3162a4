"""How far what decides has come through its level towards the next worse one."""

from __future__ import annotations

import math

from assembly_sim.model import Thresholds
from assembly_sim.verdict.rules import RULES, Judged


def share_of_level(one: Judged, limits: Thresholds) -> float | None:
    """Share (0-1) of the way from where its level begins to where the next worse one does.

    0 where the level rests on what lies ahead and the value itself has not come so far; None where
    no worse level has a bound to come to.
    """
    bounds, value = RULES[one.finding.check](limits, one.finding), one.finding.value
    if value is None:
        return None
    begins = bounds[one.rank - 1] if one.rank else 0.0
    start = begins if math.isfinite(begins) else 0.0
    ahead = [bound for bound in bounds[one.rank :] if math.isfinite(bound) and bound > start]
    if not ahead:
        return None
    return min(max((value - start) / (ahead[0] - start), 0.0), 1.0)

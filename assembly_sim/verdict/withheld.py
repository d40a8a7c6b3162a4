"""When there is no verdict: a run or a climate that cannot carry one, and what would."""

from __future__ import annotations

import numpy as np

from assembly_sim.boundary.period import whole_years, window_in_words
from assembly_sim.envelope.rain import takes_no_rain
from assembly_sim.model import Climate
from assembly_sim.solver.result import AssemblyResult, Result

LEAST_YEARS = 3


def why_withheld(result: Result, found: AssemblyResult) -> tuple[str, ...]:
    """Reasons why no verdict can be given on an assembly; empty where one can."""
    climate = result.case.climate
    reasons = []
    if found.outcome.name != "completed":
        reasons.append(f"the run stopped: {found.outcome.cause}; {found.outcome.cure}")
    elif not found.converged:
        reasons.append("the run did not converge; see its balance errors and state defect")
    if has_gaps(climate):
        reasons.append(f"the weather of {climate.name} has gaps; mend the file or take another")
    if climate.rain is None and not takes_no_rain(found.assembly):
        reasons.append(
            "the outer surface is exposed to rain and the weather has none; bring weather with "
            "rain, or set rain_exposure to 0 if it is sheltered"
        )
    if len(whole_years(climate, result.hours)) < LEAST_YEARS:
        computed = f"{result.hours / climate.hours:.1f} were computed"
        window = f"this is {window_in_words(climate, result.hours)}" if not climate.wraps else ""
        reasons.append(f"a verdict rests on {LEAST_YEARS} years or more; {window or computed}")
    return tuple(reasons)


def has_gaps(climate: Climate) -> bool:
    """Whether a column that every run needs has a missing value."""
    columns = (
        climate.temperature,
        climate.vapour_pressure,
        climate.wind_speed,
        climate.direct_normal,
        climate.diffuse_horizontal,
    )
    return not all(np.isfinite(column).all() for column in columns)

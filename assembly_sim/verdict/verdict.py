"""The verdict: five levels in words, what decides, by how much, and why.

Levels, worst first. A limit named here is a field of `Thresholds`; where no source is named in
its check it is ours, and it can be set in the case.

* `keeps getting wetter`: water in a humid layer, or free water at a plane, still rises in the
  last year beyond the tolerance.
* `past a limit`: something is harmed, or would be: the mould index reaches 3, a board its moisture
  limit (20 %), wood loses mass to decay, wet masonry freezes, free water is enough to run off
  (0.2 kg/m2) or some of it never dries.
* `gets wet, within limits`: none of these, but a plane carries `free_water_wet`, is wet for
  `wet_hours` or near it for `condensation_hours_wet` in a year. Where both sides of a plane are
  foam, fibre, foil or the like, hours do not count and a film only from run-off.
* `dry, thin margin`: none of these, but the mould index reaches 1, a board 18 %, a plane carries
  any free water (between foam, fibre or foil: `free_water_wet`), is wet for a day, or passes
  `condensation_hours` of risk, or the room-side surface has a month at 80 %.
* `dry with margin`: none of these either.

Every year of the run counts, so what the starting moisture does on its way out counts too; the
level of the last year alone stands beside it. Cladding and roofing are there to get wet. Where
rain or outdoor air wets a plane by design, counts of water do not decide, and harm does.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assembly_sim.checks.planes import last_span, last_year
from assembly_sim.checks.trend import path_trends
from assembly_sim.envelope.airways import meets_cavity
from assembly_sim.envelope.rain import cladding_layers
from assembly_sim.solver.result import AssemblyResult, Result
from assembly_sim.solver.settling import YearStep
from assembly_sim.verdict.evidence import Evidence, evidence, findings, within
from assembly_sim.verdict.rules import LEVELS, Judged, judged_findings
from assembly_sim.verdict.withheld import why_withheld

SCOPE = "This verdict speaks of moisture alone."
REASONS_SHOWN = 5
NET_DRYING = 0.005  # kg/m2 a year that leak air carries off beyond what it brings, ours


@dataclass(frozen=True)
class Verdict:
    """The answer for one assembly.

    level: one of `LEVELS`, and rank its place there (0 to 4), or None with the reasons why there
    is none; settled_level: that of the last year of the run alone; unsettled: what had not come
    to rest by then, in words; reasons: in plain words, the decisive first and the air leak last;
    leak_statement: the air leak it rests on; decided_by, path and plane (or layer): the finding
    that decides; value, limit and margin (positive: below the limit) in `unit`; scope: what it
    speaks of.
    """

    level: str | None
    reasons: tuple[str, ...]
    leak_statement: str
    rank: int | None = None
    settled_level: str | None = None
    unsettled: tuple[str, ...] = ()
    decided_by: str = ""
    path: str = ""
    plane: str = ""
    value: float | None = None
    limit: float | None = None
    margin: float | None = None
    unit: str = ""
    scope: str = SCOPE


def verdict(result: Result, found: AssemblyResult) -> Verdict:
    """The verdict on one assembly of a run (see the module for what the levels mean)."""
    found = within(result, found)
    return judge(result, found, evidence(result, found))


def judge(result: Result, found: AssemblyResult, proofs: tuple[Evidence, ...]) -> Verdict:
    """The verdict from evidence already at hand; `found` is cut to the hours of the run."""
    statement = leak_statement(result, found)
    refused = why_withheld(result, found)
    judged = () if refused else judged_findings(result, findings(proofs))
    if not judged:
        refused = refused or ("nothing in this assembly could be judged",)
        return Verdict(None, (*refused, statement), statement)
    finding, rank = judged[0].finding, judged[0].rank
    settled = LEVELS[max(one.settled_rank for one in judged)]
    moving = unsettled(result, found)
    told = _settling(LEVELS[rank], settled, moving)
    return Verdict(
        level=LEVELS[rank],
        rank=rank,
        settled_level=settled,
        unsettled=moving,
        reasons=(*_reasons(judged), *told, statement),
        leak_statement=statement,
        decided_by=finding.check,
        path=finding.path,
        plane=finding.place,
        value=finding.value,
        limit=finding.limit,
        margin=finding.margin,
        unit=finding.unit,
    )


def _reasons(judged: tuple[Judged, ...]) -> list[str]:
    """Reasons of the deciding level; where all is dry, what comes nearest to a limit."""
    alike = [one.reason for one in judged if one.rank == judged[0].rank]
    if judged[0].rank == 0:
        return [f"nearest to a limit: {alike[0]}"]
    more = len(alike) - REASONS_SHOWN
    return alike[:REASONS_SHOWN] + ([f"and {more} more of the kind"] if more > 0 else [])


def _settling(level: str, settled: str, moving: tuple[str, ...]) -> list[str]:
    """What the start does apart from what stays, and whether it is over."""
    told = [f"not settled when the run ended: {one}" for one in moving]
    if settled != level:
        told.append(f"that is on the way from the starting moisture; the last year is '{settled}'")
    return told


def unsettled(result: Result, found: AssemblyResult) -> tuple[str, ...]:
    """Layers whose water still changed in the last year, in words; cladding left out."""
    cladding = {found.assembly.layers[i].name for i in cladding_layers(found.assembly)}
    return tuple(
        f"water in {trend.place} ({path.name} path) still {trend.direction}, by "
        f"{1000.0 * abs(trend.last.step):.0f} g/m2 {_since(trend.last)}"
        for path in found.paths
        for trend in path_trends(result, found.assembly, path)
        if trend.direction != "settles" and trend.place not in cladding
    )


def _since(step: YearStep) -> str:
    """Over which years a step goes."""
    return "since year 1" if step.since_first else f"in year {len(step.peaks)}"


def leak_statement(result: Result, found: AssemblyResult) -> str:
    """The air leak that a result rests on, in words, and whether it can wet or dries more."""
    assembly = found.assembly
    leak = assembly.leak
    if leak is None and assembly.air_through == 0.0:
        return "diffusion only: computed without any air leak, as the case asks"
    parts = []
    if leak is not None:
        parts.append(
            f"with an air leak of {1000.0 * leak.flow:.3g} L/(s m2) "
            f"at {leak.reference_pressure:.0f} Pa, "
            f"{leak.height_above_neutral_level:g} m above the neutral level"
        )
        parts += _what_it_does(result, found)
    if assembly.air_through:
        outward = "outward" if assembly.air_through > 0.0 else "inward"
        flow = 1000.0 * abs(assembly.air_through)
        parts.append(f"{flow:.3g} L/(s m2) through the layers, {outward}")
    return "; ".join(parts)


def _what_it_does(result: Result, found: AssemblyResult) -> list[str]:
    if not meets_cavity(found.assembly):
        return ["it finds no cavity to mix in, so it wets nothing here and is not tested"]
    shares = np.array([path.share for path in found.paths])
    carried = [3600.0 * path.leak_vapour[last_year(result)].sum() for path in found.paths]
    net = float(shares @ np.array(carried))
    if net > -NET_DRYING:
        return []
    return [
        f"its air carried off {-1000.0 * net:.0f} g/m2 more in {last_span(result)} than it "
        "brought, so a tighter one may be wetter"
    ]

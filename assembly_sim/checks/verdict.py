"""The verdict: four levels in words, what decides, by how much, and why.

Levels, worst first. A limit named here is a field of `Thresholds`; where no source is named in
its check it is ours, and it can be set in the case.

* `keeps getting wetter`: water in a humid layer, or free water at a plane, still rises in the
  last year beyond the tolerance; or something is wet all through the last year: a board never
  below its moisture limit, a plane wet in 95 % of the hours or never rid of its water.
* `wets and dries`: the mould index reaches 3, a board its moisture limit (20 %), a plane
  `free_water_wet` or `wet_hours` in a year, or wet masonry freezes; and it dries again. Where both
  sides of a plane are foam, fibre, foil or the like, only `run_off_water` counts.
* `dry, thin margin`: none of these, but the mould index reaches 1, a board 18 %, a plane carries
  any free water (between foam, fibre or foil: `free_water_wet`), is wet for a day, or passes
  `condensation_hours` of risk, or the room-side surface has a month at 80 %.
* `dry with margin`: none of these either.

Mould is counted through all years, all else in the last one. The worst path and plane decide;
planes outside the drainage plane and the outer surface never do.
"""

from __future__ import annotations

from dataclasses import dataclass

from assembly_sim.checks.evidence import Evidence, evidence, findings, within
from assembly_sim.checks.finding import Finding
from assembly_sim.checks.judging import LEVELS, Judged, judged_findings
from assembly_sim.checks.withheld import why_withheld
from assembly_sim.model import Assembly
from assembly_sim.solver.result import AssemblyResult, Result

SCOPE = "This verdict speaks of moisture alone."
REASONS_SHOWN = 5


@dataclass(frozen=True)
class Verdict:
    """The answer for one assembly.

    level: one of `LEVELS`, or None with the reasons why there is none; reasons: in plain words,
    the decisive first and the air leak last; leak_statement: the air leak it rests on; decided_by,
    path and plane (or layer): the finding that decides; value, limit and margin (positive: below
    the limit) in `unit`; scope: what it speaks of.
    """

    level: str | None
    reasons: tuple[str, ...]
    leak_statement: str
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
    proofs = evidence(result, found)
    return judge(result, found, proofs, findings(proofs))


def judge(
    result: Result,
    found: AssemblyResult,
    proofs: tuple[Evidence, ...],
    checked: tuple[Finding, ...],
) -> Verdict:
    """The verdict from evidence and findings already at hand."""
    statement = leak_statement(found.assembly)
    refused = why_withheld(result, found)
    judged = () if refused else judged_findings(result, proofs, checked)
    if not judged:
        refused = refused or ("nothing in this assembly could be judged",)
        return Verdict(None, (*refused, statement), statement)
    finding = judged[0].finding
    return Verdict(
        level=LEVELS[judged[0].rank],
        reasons=(*_reasons(judged), statement),
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


def leak_statement(assembly: Assembly) -> str:
    """The air leak that a result rests on, in words."""
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
    if assembly.air_through:
        parts.append(f"{1000.0 * assembly.air_through:.3g} L/(s m2) through the layers, outward")
    return "; ".join(parts)

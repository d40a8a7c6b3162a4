"""The verdict: five levels in words, what decides, by how much, and why.

Levels, worst first. A limit named here is a field of `Thresholds`; where no source is named in
its check it is ours, and it can be set in the case.

* `keeps getting wetter`: water in a humid layer, or free water at a plane, still rises in the
  last year beyond the tolerance.
* `past a limit`: something is harmed, or would be: the mould index reaches 3, a board its moisture
  limit (20 %), wood loses mass to decay, wet masonry freezes, free water is enough to run off
  (0.2 kg/m2) or some of it never dries.
* `gets wet, within limits`: none of these, but a plane carries `free_water_wet`, is wet for
  `wet_hours` or near it for `condensation_hours_wet` in a year, or dew forms on the room-side
  surface for `wet_hours`. Where both sides of a plane are
  foam, fibre, masonry or the like, hours count only if it is near wet for more than half the year,
  and a film only from run-off.
* `dry, thin margin`: none of these, but the mould index reaches 1, a board 18 %, a plane carries
  any free water (between foam, fibre or foil: `free_water_wet`), is wet for a day, or passes
  `condensation_hours` of risk, or the room-side surface has dew for a day or a month at 80 %.
* `dry with margin`: none of these either.

Every year of the run counts, so what the starting moisture does on its way out counts too; the
level of the last year alone stands beside it. Cladding and roofing are there to get wet. Where
rain or outdoor air wets a plane by design, counts of water do not decide, and harm does.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assembly_sim.checks.finding import Finding
from assembly_sim.checks.planes import last_span, last_year
from assembly_sim.checks.trend import path_trends
from assembly_sim.envelope.airways import airways, meets_cavity, mixes_past_defects
from assembly_sim.envelope.rain import spared_layers
from assembly_sim.model import AirLeak
from assembly_sim.solver.result import AssemblyResult, Result
from assembly_sim.verdict import told
from assembly_sim.verdict.evidence import Evidence, evidence, findings, within
from assembly_sim.verdict.grounds import loosened, unjudged
from assembly_sim.verdict.house_air import HouseAir, house_air
from assembly_sim.verdict.rules import LEVELS, Judged, judged_findings
from assembly_sim.verdict.withheld import Withheld, why_withheld

NET_DRYING = 0.005  # kg/m2 a year that leak air carries off beyond what it brings, ours


@dataclass(frozen=True)
class Moving:
    """Water that still changed in the last year of a run, of number `year`: by step, kg/m2.

    since_first: the step is from the first year, not from the one before the last.
    """

    place: str
    path: str
    step: float
    year: int
    since_first: bool = False


@dataclass(frozen=True)
class LeakTested:
    """The air that a verdict rests on.

    leak: None for none; meets_cavity: whether its air can wet or dry anything here, and
    room_air_mixes: whether room air that leaks out can, which wets most; past_defects: the paths
    past a defect in which alone it can, where it cannot as drawn; net_drying:
    kg/m2 that it carried off in the last year beyond what it brought, 0 where it did not;
    through: air through the layers, m3/(s m2), positive outward; span: what net_drying is of;
    house: the air around it, where that of the spaces is balanced.
    """

    leak: AirLeak | None
    meets_cavity: bool = False
    room_air_mixes: bool = False
    net_drying: float = 0.0
    through: float = 0.0
    span: str = "the last year"
    past_defects: tuple[str, ...] = ()
    house: HouseAir | None = None

    @property
    def diffusion_only(self) -> bool:
        """Whether no air moved at all."""
        return self.leak is None and self.through == 0.0 and not self.wetted_by

    @property
    def wetted_by(self) -> tuple[str, ...]:
        """Openings whose air wets a plane of it."""
        return () if self.house is None else self.house.wetted_by


@dataclass(frozen=True)
class Verdict:
    """The answer for one assembly, in keys and numbers; sentences are made when they are asked for.

    judged: every finding that may decide, the decisive first, or withheld: why there is no
    verdict; moving: what had not come to rest in the last year; air: the leak it rests on;
    loosened: limits that the case sets looser than usual; unjudged: layers without the figures that
    their own mould or moisture is judged by.
    """

    air: LeakTested
    judged: tuple[Judged, ...] = ()
    withheld: tuple[Withheld, ...] = ()
    moving: tuple[Moving, ...] = ()
    loosened: tuple[str, ...] = ()
    unjudged: tuple[str, ...] = ()

    @property
    def finding(self) -> Finding | None:
        """The finding that decides; None without a verdict."""
        return self.judged[0].finding if self.judged else None

    @property
    def rank(self) -> int | None:
        """Place of the level in `LEVELS`, 0 to 4; None without a verdict."""
        return self.judged[0].rank if self.judged else None

    @property
    def level(self) -> str | None:
        """One of `LEVELS`, None without a verdict."""
        return None if self.rank is None else LEVELS[self.rank]

    @property
    def settled_rank(self) -> int | None:
        """Rank of the last year of the run alone."""
        return max((one.settled_rank for one in self.judged), default=None)

    @property
    def settled_level(self) -> str | None:
        """Level of the last year of the run alone."""
        return None if self.settled_rank is None else LEVELS[self.settled_rank]

    @property
    def decided_by(self) -> str:
        """The check that decides."""
        return self.finding.check if self.finding else ""

    @property
    def path(self) -> str:
        """The path on which it decides."""
        return self.finding.path if self.finding else ""

    @property
    def plane(self) -> str:
        """The plane or layer at which it decides."""
        return self.finding.place if self.finding else ""

    @property
    def value(self) -> float | None:
        """The value that decides, in `unit`."""
        return self.finding.value if self.finding else None

    @property
    def limit(self) -> float | None:
        """Its limit."""
        return self.finding.limit if self.finding else None

    @property
    def margin(self) -> float | None:
        """Its distance from the limit, positive on the good side."""
        return self.finding.margin if self.finding else None

    @property
    def unit(self) -> str:
        """The unit of value, limit and margin."""
        return self.finding.unit if self.finding else ""

    @property
    def reasons(self) -> tuple[str, ...]:
        """Sentences in SI, the decisive first and the air leak last."""
        return told.reasons(self)

    @property
    def unsettled(self) -> tuple[str, ...]:
        """What had not come to rest, a sentence each, in SI."""
        return told.unsettled(self)

    @property
    def leak_statement(self) -> str:
        """The air that it rests on, in a sentence, in SI."""
        return told.leak(self.air)

    @property
    def scope(self) -> str:
        """What it speaks of."""
        return told.SCOPE


def verdict(result: Result, found: AssemblyResult) -> Verdict:
    """The verdict on one assembly of a run (see the module for what the levels mean)."""
    found = within(result, found)
    return judge(result, found, evidence(result, found))


def judge(result: Result, found: AssemblyResult, proofs: tuple[Evidence, ...]) -> Verdict:
    """The verdict from evidence already at hand; `found` is cut to the hours of the run."""
    air = leak_tested(result, found)
    if refused := why_withheld(result, found):
        return Verdict(air, withheld=refused)
    judged = judged_findings(result, findings(proofs))
    if not judged:
        return Verdict(air, withheld=(Withheld("nothing to judge"),))
    return Verdict(
        air,
        judged,
        moving=still_moving(result, found),
        loosened=loosened(result.case.thresholds),
        unjudged=unjudged(found),
    )


def still_moving(result: Result, found: AssemblyResult) -> tuple[Moving, ...]:
    """Layers and planes whose water still changed in the last year; cladding left out."""
    cladding = {found.assembly.layers[i].name for i in spared_layers(found.assembly)}
    return tuple(
        Moving(
            trend.place, path.name, trend.last.step, len(trend.last.peaks), trend.last.since_first
        )
        for path in found.paths
        for trend in path_trends(result, found.assembly, path)
        if trend.direction != "settles" and trend.place not in cladding
    )


def leak_tested(result: Result, found: AssemblyResult) -> LeakTested:
    """The air that a result rests on, and whether it can wet or dries more."""
    assembly = found.assembly
    house = house_air(result, assembly)
    if assembly.leak is None:
        wetted = house is not None and house.wetted_by
        net = _net_drying(result, found) if wetted else 0.0
        through, span = assembly.air_through, last_span(result)
        return LeakTested(None, net_drying=net, through=through, span=span, house=house)
    meets, mixes = meets_cavity(assembly), airways(assembly).outward is not None
    net = _net_drying(result, found) if meets else 0.0
    span, past = last_span(result), mixes_past_defects(assembly)
    return LeakTested(assembly.leak, meets, mixes, net, assembly.air_through, span, past, house)


def _net_drying(result: Result, found: AssemblyResult) -> float:
    """What leak air carried off in the last year beyond what it brought, kg/m2; 0 if little."""
    shares = np.array([path.share for path in found.paths])
    left = [3600.0 * path.leak_vapour[last_year(result)].sum() for path in found.paths]
    net = -float(shares @ np.array(left))
    return net if net >= NET_DRYING else 0.0

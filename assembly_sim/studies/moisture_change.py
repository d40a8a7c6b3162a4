"""Moisture of a planned house against the one as found: wetter or drier, and at which plane."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from assembly_sim.verdict.rules import LEVELS, Judged
from assembly_sim.verdict.summary import AssemblySummary

NOTICED = 0.02
"""Share of its limit by which a value has to move to be called wetter or drier; ours."""
NO_VERDICT = len(LEVELS)

Key = tuple[str, str, str]


@dataclass(frozen=True)
class Moved:
    """One judged value in both houses; `by`: its change as a share of its limit, positive wetter.

    before None: the plane or layer is not there in the house as found, and `by` its whole value.
    """

    part: str
    planned: Judged
    before: Judged | None
    by: float


@dataclass(frozen=True)
class MoistureChange:
    """What becomes of one part: ranks in `LEVELS` (past the worst where there is no verdict).

    wetter, drier: what moved furthest each way, None where nothing did by more than 2 % of its
    limit; before None: the part is not there as found. Against a house without a verdict nothing
    is wetter, drier or new.
    """

    part: str
    rank: int
    before: int | None
    wetter: Moved | None
    drier: Moved | None

    @property
    def made_worse(self) -> bool:
        """Whether its level is worse than as found, or bad where nothing was before."""
        return self.before is not None and self.rank > self.before


def rank_of(summary: AssemblySummary) -> int:
    """Place of the verdict's level in `LEVELS`, past the worst where there is none."""
    rank = summary.verdict.rank
    return NO_VERDICT if rank is None else rank


def moisture_change(planned: AssemblySummary, found: AssemblySummary | None) -> MoistureChange:
    """One part against itself in the house as found."""
    old = {} if found is None else _by_key(found.verdict.judged)
    moved = [_moved(planned.name, one, old) for one in planned.verdict.judged]
    counted = [one for one in moved if one is not None and one.before is not None]
    fresh = [one for one in moved if one is not None and one.before is None and old]
    wetter = max([*counted, *fresh], key=lambda one: one.by, default=None)
    drier = min(counted, key=lambda one: one.by, default=None)
    return MoistureChange(
        part=planned.name,
        rank=rank_of(planned),
        before=None if found is None else rank_of(found),
        wetter=wetter if wetter is not None and wetter.by > NOTICED else None,
        drier=drier if drier is not None and drier.by < -NOTICED else None,
    )


def moisture_changes(
    planned: Sequence[AssemblySummary], found: Mapping[str, AssemblySummary]
) -> tuple[MoistureChange, ...]:
    """All parts that have a verdict, in order."""
    return tuple(moisture_change(one, found.get(one.name)) for one in planned)


def _by_key(judged: Sequence[Judged]) -> dict[Key, Judged]:
    return {_key(one): one for one in judged}


def _key(one: Judged) -> Key:
    return one.finding.check, one.finding.place, one.finding.path


def _moved(part: str, one: Judged, old: Mapping[Key, Judged]) -> Moved | None:
    """How far a value moved; None of what has no limit to measure it by."""
    value, limit = one.finding.value, one.finding.limit
    if value is None or not limit:
        return None
    before = old.get(_key(one))
    was = 0.0 if before is None or before.finding.value is None else before.finding.value
    sign = -1.0 if one.finding.at_least else 1.0
    return Moved(part, one, before, sign * (value - was) / limit)

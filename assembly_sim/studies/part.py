"""What a comparison knows of a house: its parts, its days, and what becomes of heat beyond them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.envelope.orientation import is_roof, is_wall
from assembly_sim.model import Assembly, Opening
from assembly_sim.verdict.summary import AssemblySummary

Array = NDArray[np.float64]
Hours = NDArray[np.bool_]

ELSEWHERE = "air that leaves elsewhere"
"""The part that stands for the rest of the house, where a case does not balance its air."""


@dataclass(frozen=True, eq=False)
class Part:
    """One way out of the rooms: W by the hour of the last year, (hours,), positive outward.

    area: m2, 0 of what has none; leaves: what it leaves by, in a word of the trade; resistance:
    m2K/W, with surfaces, None of what has none; summary: that of its assembly, with the verdict.
    kind: as of `checks.house.Way`; beyond: the zone it leads to, '' where that is outdoors;
    opening: with its size, of an opening alone.
    """

    name: str
    area: float
    leaves: str
    conducted: Array
    carried: Array
    resistance: float | None = None
    summary: AssemblySummary | None = None
    kind: str = "assembly"
    beyond: str = ""
    opening: Opening | None = None


@dataclass(frozen=True, eq=False)
class Days:
    """The hours that every option is counted over, (hours,) each: the last year of the run.

    heating, cooling: days of the season by weather alone; month 1-12; clock: the hour of the day
    that begins, 0-23.
    """

    heating: Hours
    cooling: Hours
    month: NDArray[np.int64]
    clock: NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Marched:
    """What a comparison keeps of one run: its parts, its days, and what air came in.

    net_incoming: W, (hours,): what the air costs that came in beyond what went out, which
    leaves through the rest of the house; colder: where it is colder outdoors; days None: the run
    stopped or holds no whole year, and no part has hours (its last year would have other days).
    """

    parts: tuple[Part, ...]
    days: Days | None
    net_incoming: Array
    colder: Hours
    converged: bool
    beyond: tuple[Part, ...] = ()
    zones: tuple[tuple[str, Array], ...] = ()

    @property
    def summaries(self) -> tuple[AssemblySummary, ...]:
        """Those of all assemblies once, also of a deck over an attic, which no room loses by."""
        known = [part.summary for part in (*self.parts, *self.beyond) if part.summary is not None]
        return tuple({one.name: one for one in known}.values())


def way_out(assembly: Assembly) -> str:
    """What heat leaves by through an assembly."""
    if is_roof(assembly):
        return "attic floor" if assembly.outer.sheltered else "roof"
    if is_wall(assembly):
        return "wall to an unheated space" if assembly.outer.sheltered else "wall"
    return "floor"

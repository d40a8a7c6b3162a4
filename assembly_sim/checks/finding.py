"""What a check says: one value held against one limit, with its place and its hour."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.model.assembly import ROOM

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Finding:
    """One answer of one check; None where something does not apply.

    check: what was asked, in the words of the trade; place: the plane, layer or surface; path:
    the route through the assembly; value and limit in `unit`. The value is that of the worst year
    of the run, `settled` that of its last; year (from 1), hour (0 is the first of the run) and
    month (1-12) tell when. counts: further numbers of that year by name (`hours_over_limit`, ...);
    decides: whether the verdict may rest on it; at_least: the value has to reach the limit (else:
    to stay below it); note: the model or class it goes by, without a number, and, where value is
    None, the property that is missing; towards: the space that the surface looks into. Sentences
    are made of these in `words/checks.py`.
    """

    check: str
    place: str
    path: str = ""
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    hour: int | None = None
    month: int | None = None
    decides: bool = False
    at_least: bool = False
    note: str = ""
    year: int | None = None
    settled: float | None = None
    counts: tuple[tuple[str, float], ...] = ()
    towards: str = ROOM

    @property
    def margin(self) -> float | None:
        """Distance from value to limit, positive on the good side; None without either."""
        if self.value is None or self.limit is None:
            return None
        return self.value - self.limit if self.at_least else self.limit - self.value


def missing(check: str, place: str, path: str, needs: str) -> Finding:
    """The finding of a check that could not be made; `needs` names the missing property."""
    return Finding(check, place, path, note=f"not checked: needs {needs}")


def longest_run(flags: NDArray[np.bool_]) -> int:
    """Length of the longest unbroken run of True in `flags` (hours,)."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], flags, [False])).astype(np.int8)))
    return int((edges[1::2] - edges[::2]).max(initial=0))

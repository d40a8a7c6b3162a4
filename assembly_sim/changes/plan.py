"""A plan of many variants of one case: its factors, how their points are drawn, and how many.

A plan is data: frozen, it pickles, and two plans of one seed have the same points. Drawing them is
`studies/sweep/points.py`; a plan read from a file is `files/plan/read.py`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import isfinite

from assembly_sim.changes.factors import Factor, Range, Value
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Case

METHODS = ("factorial", "latin hypercube", "sobol", "random", "sobol indices", "morris", "table")
MOST_VARIANTS = 10_000_000


@dataclass(frozen=True)
class Plan:
    """Variants of `case`: every factor turned, all else as it is.

    method: one of METHODS; counts: points drawn, in batches (each Latin hypercube is one by itself,
    so that a batch more keeps the old ones); of `sobol indices` base points, of `morris`
    trajectories, of the others none. rows: of a `table`, a value for each factor. assembly: index
    of the one that is judged. refine, steps: as in `run`. states: keep hourly planes.
    """

    name: str
    case: Case
    factors: tuple[Factor, ...]
    method: str = "factorial"
    counts: tuple[int, ...] = ()
    seed: int = 1
    rows: tuple[tuple[Value, ...], ...] = ()
    assembly: int = 0
    refine: float = 1.0
    steps: float = 1.0
    states: bool = False
    text: str = field(default="", compare=False)
    file: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        names = [one.name for one in self.factors]
        if not names:
            raise refused("there is no factor", "name one at least", "factor")
        for name in names:
            if names.count(name) > 1:
                raise refused(f"two factors are called '{name}'", "give each its own", "factor")
        if self.method not in METHODS:
            raise refused(f"'{self.method}' is no method", f"choose {', '.join(METHODS)}", "method")
        if not 0 <= self.assembly < len(self.case.assemblies):
            raise refused(f"there is no assembly {self.assembly}", "count from 0", "assembly")
        if not isfinite(self.refine) or not isfinite(self.steps):
            raise refused("is no finite number", "leave it out", "refine")
        self._refuse_counts()
        for one in self.factors if self.method == "morris" else ():
            if isinstance(one, Range) and not one.has_ends:
                cause = f"{one.name}: steps of Morris go from end to end, and it has none"
                raise refused(cause, "say within which values it lies", "factor")

    def _refuse_counts(self) -> None:
        counted = self.method not in ("factorial", "table")
        if counted and (not self.counts or min(self.counts) < 1):
            raise refused("it draws no point", "give a count of 1 or more", "count")
        if not counted and self.counts:
            cause = f"a {self.method} has as many variants as it has"
            raise refused(cause, "leave count out", "count")
        if self.method != "latin hypercube" and len(self.counts) > 1:
            raise refused("only a Latin hypercube has batches", "give one count", "count")
        if self.method == "sobol indices" and self.count & (self.count - 1):
            cause = f"{self.count} base points are no power of 2, by which they are balanced"
            raise refused(cause, "give 64, 128, 256 ...", "count")
        if (self.method == "table") != bool(self.rows):
            raise refused("rows and the method table belong together", "give both", "rows")
        if any(len(row) != len(self.factors) for row in self.rows):
            raise refused("a row has not one value a factor", "give one each", "rows")

    @property
    def count(self) -> int:
        """Points asked for, of all batches."""
        return sum(self.counts)


def refused(cause: str, cure: str, entry: str) -> InputError:
    """The error of an entry of a plan."""
    return InputError(Problem(cause, cure, field=entry))

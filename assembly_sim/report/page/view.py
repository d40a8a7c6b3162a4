"""One assembly of a run as a page looks at it, and the place that its figures speak of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.planes import has_year, last_year
from assembly_sim.solver.result import AssemblyResult, Result
from assembly_sim.studies.probe import Probing
from assembly_sim.units import in_unit
from assembly_sim.verdict.evidence import within
from assembly_sim.verdict.place import Place, deciding_plane
from assembly_sim.verdict.summary import AssemblySummary

Array = NDArray[np.float64]

# Units of axes and columns, SI and IP: fixed, whatever the size of the numbers.
UNITS = {
    "temperature": ("degC", "degF"),
    "temperature difference": ("K", "degF"),
    "energy per area": ("kWh/m2", "kBtu/ft2"),
    "length": ("mm", "in"),
    "air flow per area": ("L/(s m2)", "cfm/ft2"),
}


@dataclass(frozen=True)
class View:
    """An assembly of a run: what was computed (cut to the hours of the run) and its summary.

    drawn: whether its page has figures of it, or there are too many others nearer to a limit.
    """

    result: Result
    found: AssemblyResult
    one: AssemblySummary
    system: str = "si"
    number: int = 1
    probing: Probing | None = None
    drawn: bool = True

    @property
    def short(self) -> bool:
        """Whether the run holds no whole year."""
        return not has_year(self.result)

    @property
    def last(self) -> slice:
        """The last whole year, or all there is."""
        return last_year(self.result)

    @property
    def span(self) -> str:
        """What the last year is called: a run without one has none."""
        return "the run" if self.short else "the last year"

    def unit(self, kind: str) -> str:
        """The unit of axes and columns."""
        return UNITS[kind][self.system == "ip"]

    def shown(self, values: Any, kind: str) -> Any:
        """Values of the model's unit in the unit of axes and columns."""
        return in_unit(np.asarray(values, dtype=float), kind, self.unit(kind))


def view_of(
    result: Result,
    one: AssemblySummary,
    at: int,
    system: str = "si",
    probing: Probing | None = None,
) -> View:
    """The assembly of this index as a page looks at it."""
    found = within(result, result.assemblies[at])
    return View(result, found, one, system, at + 1, probing)


def deciding_place(view: View) -> Place | None:
    """The plane at which the verdict is decided; without one, the most humid that rain spares."""
    return deciding_plane(view.result, view.found, view.one.verdict.finding)

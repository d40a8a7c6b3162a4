"""One assembly of a run as a page looks at it, and the place that its figures speak of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.finding import Finding
from assembly_sim.checks.planes import (
    face_planes,
    has_year,
    humidity_at,
    last_year,
    place_of,
    wet_by_design,
)
from assembly_sim.checks.wood import path_boards
from assembly_sim.solver.result import AssemblyResult, PathResult, Result
from assembly_sim.studies.probe import Probing
from assembly_sim.units import in_unit
from assembly_sim.verdict.evidence import within
from assembly_sim.verdict.summary import AssemblySummary

Array = NDArray[np.float64]

# Units of axes and columns, SI and IP: fixed, whatever the size of the numbers.
UNITS = {
    "temperature": ("degC", "degF"),
    "temperature difference": ("K", "degF"),
    "areal mass": ("kg/m2", "lb/ft2"),
    "energy per area": ("kWh/m2", "kBtu/ft2"),
    "length": ("mm", "in"),
    "air flow per area": ("L/(s m2)", "cfm/ft2"),
}


@dataclass(frozen=True)
class Place:
    """A plane of a path that the figures follow. decides: whether the verdict rests on it."""

    path: PathResult
    position: int
    decides: bool

    @property
    def name(self) -> str:
        """Where it is, with its path."""
        return f"{place_of(self.path.planes[self.position])} ({self.path.name} path)"


@dataclass(frozen=True)
class View:
    """An assembly of a run: what was computed (cut to the hours of the run) and its summary."""

    result: Result
    found: AssemblyResult
    one: AssemblySummary
    system: str = "si"
    number: int = 1
    probing: Probing | None = None

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
    """The plane at which the verdict is decided; without one, the most humid that rain spares.

    Where a layer decides, its face with the higher mean humidity of the last year, one that rain
    does not wet by design if there is any. None where no hour was computed.
    """
    if not view.result.hours:
        return None
    decisive = view.one.verdict.finding
    if decisive is not None:
        path = next((one for one in view.found.paths if one.name == decisive.path), None)
        positions = _positions(view, path, decisive) if path is not None else ()
        if path is not None and positions:
            return Place(path, max(positions, key=lambda at: _mean(view, path, at)), True)
    return _most_humid(view)


def _mean(view: View, path: PathResult, position: int) -> float:
    return float(humidity_at(path, position)[view.last].mean())


def _positions(view: View, path: PathResult, finding: Finding) -> tuple[int, ...]:
    """The plane that a finding names, or the faces of the layer that it names."""
    for position, plane in enumerate(path.planes):
        if finding.place in (place_of(plane), plane.name):
            return (position,)
    assembly, layer = view.found.assembly, layer_named(view, path, finding.place)
    faces = () if layer is None else face_planes(assembly, path, layer)
    spared = tuple(at for at in faces if not wet_by_design(assembly, path.planes[at]))
    return spared or faces


def layer_named(view: View, path: PathResult, name: str) -> int | None:
    """Index of the layer, or of what fills it on a path, that a finding names."""
    for index, layer in enumerate(view.found.assembly.layers):
        if layer.name == name:
            return index
    boards = path_boards(view.found.assembly, path)
    return next((board.layer for board in boards if board.name == name), None)


def _most_humid(view: View) -> Place:
    assembly = view.found.assembly
    planes = [(path, at) for path in view.found.paths for at in range(len(path.planes))]
    spared = [(p, at) for p, at in planes if not wet_by_design(assembly, p.planes[at])]
    path, at = max(spared or planes, key=lambda one: _mean(view, *one))
    return Place(path, at, False)

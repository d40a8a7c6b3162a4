"""The plane at which a verdict is decided, and how near to dew or frost it comes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.finding import Finding
from assembly_sim.checks.planes import face_planes, humidity_at, last_year, place_of, wet_by_design
from assembly_sim.checks.wood import path_boards
from assembly_sim.model import Assembly
from assembly_sim.physics.moist_air import saturation_pressure_over_stable_phase
from assembly_sim.solver.result import AssemblyResult, PathResult, Result

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Place:
    """A plane of a path that is looked at. decides: whether the verdict rests on it."""

    path: PathResult
    position: int
    decides: bool

    @property
    def name(self) -> str:
        """Where it is, with its path."""
        return f"{place_of(self.path.planes[self.position])} ({self.path.name} path)"


def nearness(place: Place) -> Array:
    """Vapour pressure over saturation over what is stable at a plane, water or ice, (hours,).

    The measure by which condensation-risk hours are counted; above freezing it is the humidity.
    """
    at = place.position
    saturation = saturation_pressure_over_stable_phase(place.path.temperature[:, at])
    return np.asarray(place.path.vapour_pressure[:, at] / saturation)


def deciding_plane(result: Result, found: AssemblyResult, decisive: Finding | None) -> Place | None:
    """The plane that a finding decides at; without one, the most humid that rain spares.

    Where a layer decides, its face with the higher mean humidity of the last year, one that rain
    does not wet by design if there is any. None where no hour was computed. `found`: cut to the
    hours of the run.
    """
    if not result.hours:
        return None
    year = last_year(result)
    if decisive is not None:
        path = next((one for one in found.paths if one.name == decisive.path), None)
        positions = () if path is None else _positions(found.assembly, path, decisive)
        if path is not None and positions:
            return Place(path, max(positions, key=lambda at: _mean(year, path, at)), True)
    return _most_humid(year, found)


def _mean(year: slice, path: PathResult, position: int) -> float:
    return float(humidity_at(path, position)[year].mean())


def _positions(assembly: Assembly, path: PathResult, finding: Finding) -> tuple[int, ...]:
    """The plane that a finding names, or the faces of the layer that it names."""
    for position, plane in enumerate(path.planes):
        if finding.place in (place_of(plane), plane.name):
            return (position,)
    layer = layer_named(assembly, path, finding.place)
    faces = () if layer is None else face_planes(assembly, path, layer)
    spared = tuple(at for at in faces if not wet_by_design(assembly, path.planes[at]))
    return spared or faces


def layer_named(assembly: Assembly, path: PathResult, name: str) -> int | None:
    """Index of the layer, or of what fills it on a path, that a finding names."""
    for index, layer in enumerate(assembly.layers):
        if layer.name == name:
            return index
    return next((board.layer for board in path_boards(assembly, path) if board.name == name), None)


def _most_humid(year: slice, found: AssemblyResult) -> Place:
    planes = [(path, at) for path in found.paths for at in range(len(path.planes))]
    spared = [(p, at) for p, at in planes if not wet_by_design(found.assembly, p.planes[at])]
    path, at = max(spared or planes, key=lambda one: _mean(year, *one))
    return Place(path, at, False)

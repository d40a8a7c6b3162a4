"""A run made ready for disk: the hours that all its paths share, and hourly answers of checks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.mould import path_mould_index
from assembly_sim.checks.planes import face_planes
from assembly_sim.checks.wood import each_board
from assembly_sim.model import Assembly, Thresholds
from assembly_sim.solver.result import AssemblyResult, PathResult, Result
from assembly_sim.verdict.evidence import cut_to, within

Array = NDArray[np.float64]


def common_hours(result: Result) -> Result:
    """Return a result whose arrays all hold `result.hours` hours, also where one path stopped."""
    return replace(
        result,
        assemblies=tuple(_cut(result, each) for each in result.assemblies),
        zones=tuple(cut_to(one, result.hours) for one in result.zones),
        streams=tuple(cut_to(one, result.hours) for one in result.streams),
    )


def _cut(result: Result, assembly: AssemblyResult) -> AssemblyResult:
    cut = within(result, assembly)
    return replace(cut, paths=tuple(_with_cut_profiles(path, result.hours) for path in cut.paths))


def _with_cut_profiles(path: PathResult, hours: int) -> PathResult:
    if path.profiles is None:
        return path
    cut = {name: kept[:hours] if kept.ndim == 2 else kept for name, kept in path.profiles.items()}
    return replace(path, profiles=cut)


def hourly_check(
    name: str, assembly: Assembly, path: PathResult, thresholds: Thresholds
) -> NDArray[np.floating]:
    """Mould index or wood moisture at every plane and hour, (hours, planes).

    0-6 and kg/kg; NaN where no material there has a mould class, or is wood. Where two boards
    meet, the moisture is that of the inner one. One at a time, since each is as large as the run.
    """
    if name == "mould_index":
        return path_mould_index(assembly, path, thresholds.mould_decline)
    wood = np.full(path.temperature.shape, np.nan, np.float32)
    for board in each_board(assembly, path):
        wood[:, list(face_planes(assembly, path, board.layer))] = board.faces
    return wood

"""Everything a verdict rests on, worked out once per path of an assembly."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.condensation import (
    PlaneCondensation,
    condensation_findings,
    path_condensation,
)
from assembly_sim.checks.decay import decay_findings
from assembly_sim.checks.finding import Finding
from assembly_sim.checks.frost import frost_findings
from assembly_sim.checks.metal import metal_findings
from assembly_sim.checks.mould import mould_findings
from assembly_sim.checks.planes import has_year
from assembly_sim.checks.surface import surface_findings
from assembly_sim.checks.trend import trend_findings
from assembly_sim.checks.wood import BoardMoisture, path_boards, wood_findings
from assembly_sim.solver.result import AssemblyResult, PathResult, Result

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Evidence:
    """One path with its findings, highest mould index of each plane and hourly board moistures.

    Humidities and mould indices of every hour are as large as the run itself and are not kept.
    """

    path: PathResult
    mould_peak: Array
    condensation: tuple[PlaneCondensation, ...]
    boards: tuple[BoardMoisture, ...]
    findings: tuple[Finding, ...]


def within(result: Result, found: AssemblyResult) -> AssemblyResult:
    """An assembly's result cut to the hours that all paths of the run computed.

    Where a run stopped, paths end at different hours and the drivers run on.
    """
    return replace(
        found,
        paths=tuple(cut_to(path, result.hours) for path in found.paths),
        drivers=cut_to(found.drivers, result.hours),
    )


def cut_to(hourly: Any, hours: int) -> Any:
    """A dataclass with its hourly arrays cut to `hours`; itself where nothing is longer."""
    longer = {
        field.name: getattr(hourly, field.name)[:hours]
        for field in fields(hourly)
        if field.name != "initial_layer_water"
        and isinstance(getattr(hourly, field.name), np.ndarray)
        and len(getattr(hourly, field.name)) > hours
    }
    return replace(hourly, **longer) if longer else hourly


def evidence(result: Result, found: AssemblyResult) -> tuple[Evidence, ...]:
    """Evidence of each path of an assembly; empty where the run computed no hour."""
    if result.hours == 0:
        return ()
    proofs = tuple(_of_path(result, found, path) for path in found.paths)
    return proofs if has_year(result) else tuple(_short(proof) for proof in proofs)


def _short(proof: Evidence) -> Evidence:
    """Evidence of a run without a whole year, which its findings say: words claim no year then."""
    told = (replace(one, counts=(*one.counts, ("no_year", 1.0))) for one in proof.findings)
    return replace(proof, findings=tuple(told))


def findings(proofs: tuple[Evidence, ...]) -> tuple[Finding, ...]:
    """Every transient check of an assembly, path by path."""
    return tuple(finding for proof in proofs for finding in proof.findings)


def _of_path(result: Result, found: AssemblyResult, path: PathResult) -> Evidence:
    assembly = found.assembly
    mould = mould_findings(result, assembly, path)
    condensation = path_condensation(result, found, path)
    boards = path_boards(assembly, path)
    return Evidence(
        path=path,
        mould_peak=np.array([one.value for one in mould], dtype=float),
        condensation=condensation,
        boards=boards,
        findings=(
            *condensation_findings(result, assembly, path, condensation),
            *mould,
            *wood_findings(result, assembly, path, boards),
            *decay_findings(result, assembly, path, boards),
            *frost_findings(result, assembly, path),
            *metal_findings(result, assembly, path),
            *surface_findings(result, found, path),
            *trend_findings(result, assembly, path),
        ),
    )

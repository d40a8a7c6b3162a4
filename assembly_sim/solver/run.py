"""Run a case: every path of every assembly marched through the years, in threads."""

from __future__ import annotations

import logging
import os
import platform
import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

import assembly_sim
from assembly_sim.boundary.carried import mass_through, streams
from assembly_sim.boundary.drivers import hourly_drivers
from assembly_sim.boundary.forcing import boundary_rows
from assembly_sim.boundary.room_state import room_rows
from assembly_sim.boundary.stamps import calendar
from assembly_sim.envelope.resistances import path_shares, steady_layers, u_value
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Assembly, Case
from assembly_sim.model.kinds import check_kinds
from assembly_sim.solver import warm_up
from assembly_sim.solver.identity import case_sha256
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.march import (
    Kept,
    March,
    Nature,
    constants_row,
    continued,
    march,
    suction_of,
)
from assembly_sim.solver.mesh import HELD_FILM, Mesh, build_mesh
from assembly_sim.solver.result import AssemblyResult, Outcome, PathResult, Result
from assembly_sim.solver.settling import has_settled

Floats = NDArray[np.float64]
Progress = Callable[[float, str], None]
log = logging.getLogger(__name__)

DEFECT_LIMIT = 1e-6
USUAL_YEAR = 8760.0  # h
LEAST_YEARS, MOST_YEARS = 3, 10  # of a run that goes on until it settles
REFINE = (0.1, 32.0)  # bounds of the option: hardly a cell in a board, and 2,000 nodes in a wall
STEPS = (0.01, 1.0)
HOURLY_FLOWS = 24  # numbers an hour and path beside those of planes and layers
MOST_NODES = 2000  # of a path; a roof of nine layers has 60, five metres of one material 180
SLOW_LOOK, SLOW_YEAR = 20.0, 60.0  # s of the clock: when a run is judged, and what is slow

CAUSES = {
    numbers.NO_STEP: (
        "no time step down to 0.1 s converged",
        "look at the layer's curves (a jump near saturation?), its thickness and the rain on it",
    ),
    numbers.NOT_FINITE: (
        "a state that is not a number",
        "look at the layer's curves and at the climate in that hour",
    ),
    numbers.OUT_OF_RANGE: (
        "its temperature left the range of -89 to 149 degC",
        "look at the outer surface (dark, of low emittance?) and at the sun in that hour",
    ),
}


def run(
    case: Case,
    progress: Progress | None = None,
    profiles: bool = False,
    workers: int | None = None,
    nature: Nature | None = None,
    refine: float = 1.0,
    steps: float = 1.0,
) -> Result:
    """Run a case and return its `Result`; a run that stops keeps what was computed and says so.

    Without `case.years` it goes on, three years at least and ten at most, until every year is like
    the one before it; a window of weather runs once, as it is. progress is called about once a
    simulated month, from several threads, with the share done (0-1) and what is being computed.
    profiles keeps every node's hourly T, u and water. nature replaces constants of nature in tests.
    refine divides every layer into as many times more cells (REFINE), and steps is a share of the
    usual length of steps (STEPS): they show how much of a result is the mesh's and the steps'
    doing. InputError where weather, rules or options are unfit.
    """
    check_kinds(case, Case, "case")
    if not case.assemblies:
        raise InputError(Problem("the case has no assembly", "describe at least one", case.file))
    within("refine", refine, REFINE)
    within("steps", steps, STEPS)
    _check_size(case)
    warm_up.ready()
    room = room_rows(case)
    rows = [boundary_rows(case, assembly, room) for assembly in case.assemblies]
    jobs = [
        _Job(case, k, path, rows[k], nature or Nature(), profiles, refine, steps)
        for k, assembly in enumerate(case.assemblies)
        for path in path_shares(assembly)
    ]
    marches = _marched(jobs, case, progress, workers)
    read = [(job.number, _read(job, marches.pop(0))) for job in jobs]  # flows are large: not twice
    assemblies = tuple(
        _assembly_result(
            assembly,
            [found for number, found in read if number == k],
            rows[k],
        )
        for k, assembly in enumerate(case.assemblies)
    )
    hours = min(len(path.heat_flux_room) for a in assemblies for path in a.paths)
    month, day = calendar(case, hours)
    return Result(
        case=case,
        assemblies=assemblies,
        hours=hours,
        month=month,
        day=day,
        provenance=provenance(case) | {"refine": f"{refine:g}", "steps": f"{steps:g}"},
    )


def within(name: str, value: float, bounds: tuple[float, float]) -> None:
    """InputError where an option of `run` is not finite or outside its bounds."""
    low, high = bounds
    if not low <= value <= high:  # not true of what is no number
        raise InputError(Problem(f"{name} is {value:g}", f"choose {low:g} to {high:g}", field=name))


class _Job(NamedTuple):
    """One path to march, of the case's assembly of that number, with what it needs."""

    case: Case
    number: int
    path: str
    rows: Floats
    nature: Nature
    profiles: bool
    refine: float = 1.0
    steps: float = 1.0

    @property
    def assembly(self) -> Assembly:
        """The assembly that the path belongs to."""
        return self.case.assemblies[self.number]


def _marched(
    jobs: list[_Job], case: Case, progress: Progress | None, workers: int | None
) -> list[March]:
    """All paths through a window or the case's years, or year by year until all have settled."""
    year, years = case.climate.hours, _least_years(case)
    log.info("running %d paths over %d hours", len(jobs), years * year)
    marches = _side_by_side(jobs, [None] * len(jobs), years * year, progress, workers)
    settles = case.climate.wraps and case.years is None
    while settles and years < MOST_YEARS and not _settled(jobs, marches):
        years += 1
        log.info("not settled, running year %d", years)
        marches = _side_by_side(jobs, list(marches), year, progress, workers)
    return marches


def _least_years(case: Case) -> int:
    """How often the weather is gone through at least: a window once."""
    return (case.years or LEAST_YEARS) if case.climate.wraps else 1


def _settled(jobs: list[_Job], marches: list[March]) -> bool:
    """Whether nothing is to be gained by another year: all have settled, or one stopped."""
    if any(march.code != numbers.COMPLETED for march in marches):
        return True
    case = jobs[0].case
    return all(
        has_settled(_read(job, march)[0], case.climate.hours, case.thresholds)
        for job, march in zip(jobs, marches)
    )


def _side_by_side(
    jobs: list[_Job],
    known: Sequence[March | None],
    hours: int,
    progress: Progress | None,
    workers: int | None,
) -> list[March]:
    """All paths `hours` further, in threads (the kernel holds no lock).

    Interruption stops them within a simulated month.
    """
    stop = threading.Event()
    done = [0.0] * len(jobs)
    warn = _says_if_slow(len(jobs) * hours / USUAL_YEAR)

    def further(number: int) -> March:
        job, before = jobs[number], known[number]

        def month(marched: int) -> None:
            if stop.is_set():
                raise InterruptedError("the run was stopped")
            done[number] = marched / hours
            warn(sum(done) / len(jobs))
            if progress is not None:
                progress(sum(done) / len(jobs), job.assembly.name)

        more = _march_path(job, hours, month, before.kept if before else None)
        return continued(before, more) if before else more

    with ThreadPoolExecutor(workers) as pool:
        futures = [pool.submit(further, number) for number in range(len(jobs))]
        try:
            return [future.result() for future in futures]
        except BaseException:
            stop.set()
            raise


def _march_path(
    job: _Job,
    hours: int,
    month: Callable[[int], None] | None,
    kept: Kept | None = None,
) -> March:
    case, assembly = job.case, job.assembly
    mesh = build_mesh(assembly, job.path, case.starting_humidity, job.refine)
    if len(mesh.depth) > MOST_NODES * max(job.refine, 1.0):
        cause = f"'{assembly.name}' takes {len(mesh.depth)} cells, which is no wall or roof"
        raise InputError(Problem(cause, f"keep its layers below {MOST_NODES} cells", case.file))
    row = constants_row(job.nature, HELD_FILM)
    return march(
        mesh,
        job.rows,
        hours,
        row,
        len(assembly.layers),
        progress=month,
        profiles=job.profiles,
        steps=job.steps,
        kept=kept,
    )


def _check_size(case: Case) -> None:
    """Refuse what would not fit in the machine's memory, before hours of work are lost to it."""
    numbers = sum(
        len(path_shares(assembly)) * (5 * len(assembly.layers) + HOURLY_FLOWS)
        for assembly in case.assemblies
    )
    needed = 8.0 * numbers * _least_years(case) * case.climate.hours
    there = _memory()
    if needed > there:
        cause = f"the run takes {needed / 1e9:.0f} GB of memory, the machine has {there / 1e9:.0f}"
        raise InputError(Problem(cause, "ask for fewer years or fewer assemblies", case.file))


def _memory() -> float:
    """Memory of the machine in bytes, without end where the system does not tell."""
    try:
        return float(os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES"))
    except (AttributeError, ValueError, OSError):
        return float("inf")


def _says_if_slow(path_years: float) -> Callable[[float], None]:
    """What says once, after a month or more, that a simulated year takes minutes; and the rest."""
    began, said = time.perf_counter(), threading.Event()

    def look(share: float) -> None:
        spent = time.perf_counter() - began
        if spent < SLOW_LOOK or said.is_set():
            return
        said.set()
        a_year, rest = spent / (share * path_years), spent * (1.0 / share - 1.0)
        if a_year > SLOW_YEAR:
            log.warning(
                "this run takes %.1f minutes a path and year, and some %.0f minutes more: many "
                "cells, or materials that are hard to solve",
                *(a_year / 60.0, rest / 60.0),
            )

    return look


def _read(job: _Job, found: March) -> tuple[PathResult, Outcome]:
    share = path_shares(job.assembly)[job.path]
    outcome = _outcome(found, job.assembly, job.path)
    return path_result(found, job.path, share, job.rows, mass_through(job.assembly)), outcome


def run_path(
    case: Case,
    assembly: Assembly,
    path: str,
    rows: Floats,
    hours: int,
    month: Callable[[int], None] | None = None,
    profiles: bool = False,
    nature: Nature | None = None,
    refine: float = 1.0,
    steps: float = 1.0,
) -> tuple[PathResult, Outcome]:
    """March one path of an assembly under boundary rows; its result and how it ended."""
    alone = replace(case, assemblies=(assembly,))
    job = _Job(alone, 0, path, rows, nature or Nature(), profiles, refine, steps)
    return _read(job, _march_path(job, hours, month))


def path_result(found: March, path: str, share: float, rows: Floats, air: float) -> PathResult:
    """A march in the words of a result, fluxes turned to positive outward.

    rows: those it was marched under; air: kg/(m2 s) through the layers, positive outward.
    """
    mesh, year = found.mesh, streams(rows, air)
    inward = (numbers.AIR_AT_OUTER, numbers.AIR_AT_ROOM) if air < 0.0 else ()
    inward = (numbers.LEAK_INWARD, *inward)
    return PathResult(
        name=path,
        share=share,
        planes=mesh.planes,
        temperature=found.planes[0],
        vapour_pressure=found.planes[1],
        relative_humidity=found.humidity,
        free_water=found.film,
        layer_water=found.layers,
        layer_ice=found.ice,
        initial_layer_water=found.initial_layers,
        heat_flux_room=_flow(found, 2, numbers.ROOM_SURFACE),
        heat_flux_outdoors=-_flow(found, 2, numbers.OUTER_SURFACE),
        vapour_flux_room=_flow(found, 0, numbers.ROOM_SURFACE),
        vapour_flux_outdoors=-_flow(found, 0, numbers.OUTER_SURFACE),
        rain=_flow(found, 0, numbers.RAIN, numbers.LEAKED_RAIN),
        leak_vapour=_flow(found, 0, numbers.LEAK_OUTWARD, numbers.LEAK_INWARD),
        leak_heat=_flow(found, 2, numbers.LEAK_OUTWARD, numbers.LEAK_INWARD),
        carried_heat=np.resize(year.outgoing_heat, found.hours) + _flow(found, 2, *inward),
        carried_vapour=np.resize(year.outgoing_vapour, found.hours) + _flow(found, 0, *inward),
        heat_balance_error=found.heat_balance_error,
        moisture_balance_error=found.moisture_balance_error,
        state_defect=found.state_defect,
        statistics=found.statistics,
        profiles=_profiles(found),
        drained=-_flow(found, 0, numbers.DRAIN),
    )


def _flow(found: March, field: int, *kinds: int) -> Floats:
    """Sum of the flows of these kinds, (hours,): field 0 water, 1 enthalpy, 2 sensible heat."""
    return found.flows[:, np.isin(found.mesh.chain.kinds, kinds), field].sum(axis=1)


def _profiles(found: March) -> dict[str, Floats] | None:
    if found.profile is None:
        return None
    width = found.mesh.chain.nodes[:, numbers.WIDTH]
    return {
        "depth": found.mesh.depth,
        "width": width,
        "temperature": found.profile[:, 0],
        "suction": suction_of(found.profile[:, 1]),
        "water_content": found.profile[:, 2] / np.where(width > 0.0, width, np.inf),
    }


def _outcome(found: March, assembly: Assembly, path: str) -> Outcome:
    if found.code == numbers.COMPLETED:
        return Outcome()
    cause, cure = CAUSES[found.code]
    layer = _layer_near(found.mesh, found.node)
    number = found.mesh.chain.materials[found.node, numbers.OUTER_MATERIAL]
    material = found.mesh.materials[number]
    return Outcome(
        name="stopped",
        hour=found.hours,
        path=path,
        layer=assembly.layers[layer].name,
        material=material.name if material else "",
        cause=cause,
        cure=cure,
    )


def _layer_near(mesh: Mesh, node: int) -> int:
    """Number of the layer that holds a node, or the one whose cells are nearest to a plane."""
    layer = mesh.chain.materials[:, numbers.LAYER]
    cells = np.flatnonzero(layer >= 0)
    return int(layer[cells[np.argmin(np.abs(cells - node))]])


def _assembly_result(
    assembly: Assembly, found: list[tuple[PathResult, Outcome]], rows: Floats
) -> AssemblyResult:
    stopped = [outcome for _, outcome in found if outcome.name != "completed"]
    paths = tuple(path for path, _ in found)
    years = -(-max(len(path.heat_flux_room) for path in paths) // ((len(rows) - 1) // 2))
    return AssemblyResult(
        assembly=assembly,
        paths=paths,
        drivers=hourly_drivers(rows, max(years, 1), mass_through(assembly)),
        u_value=u_value(assembly),
        surface_resistances=steady_layers(assembly).convention,
        outcome=stopped[0] if stopped else Outcome(),
        converged=not stopped and all(path.state_defect <= DEFECT_LIMIT for path in paths),
    )


def provenance(case: Case) -> dict[str, str]:
    """Versions and hashes that a result carries."""
    from importlib.metadata import version

    return {
        "version": assembly_sim.__version__,
        "numpy": np.__version__,
        "numba": version("numba"),
        "python": platform.python_version(),
        "machine": platform.machine(),
        "inputs_sha256": case_sha256(case),
        "climate_sha256": case.climate.source_sha256,
    }

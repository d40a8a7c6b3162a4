"""Run a case: every path of every assembly marched through the years, in threads."""

from __future__ import annotations

import hashlib
import logging
import os
import platform
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import NDArray

import assembly_sim
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Assembly, Case
from assembly_sim.model.kinds import check_kinds
from assembly_sim.physics.airflow import air_density
from assembly_sim.physics.constants import ICE_POINT, STANDARD_PRESSURE
from assembly_sim.solver import kernel, layout, warm_up
from assembly_sim.solver.forcing import boundary_rows, hourly_drivers
from assembly_sim.solver.march import March, Nature, constants_row, march, suction_of
from assembly_sim.solver.mesh import HELD_FILM, Mesh, build_mesh
from assembly_sim.solver.result import AssemblyResult, Outcome, PathResult, Result
from assembly_sim.solver.room_state import room_rows
from assembly_sim.solver.stamps import calendar
from assembly_sim.solver.steady import path_shares, steady_layers, u_value

Floats = NDArray[np.float64]
Progress = Callable[[float, str], None]
log = logging.getLogger(__name__)

DEFECT_LIMIT = 1e-6
FALLBACK_LIMIT = 1000  # implicit Euler steps a year that three cuts called for, of some 20,000
PERIODIC = 0.005  # relative change of a year's heat loss
MOST_YEARS = 10
HOURLY_FLOWS = 24  # numbers an hour and path beside those of planes and layers
MOST_NODES = 2000  # of a path; a roof of nine layers has 60, five metres of one material 180
SLOW_LOOK, SLOW_YEAR = 20.0, 60.0  # s of the clock: when a run is judged, and what is slow

CAUSES = {
    layout.NO_STEP: (
        "no time step down to 0.1 s converged",
        "look at the layer's curves (a jump near saturation?), its thickness and the rain on it",
    ),
    layout.NOT_FINITE: (
        "a state that is not a number",
        "look at the layer's curves and at the climate in that hour",
    ),
    layout.OUT_OF_RANGE: (
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
) -> Result:
    """Run a case and return its `Result`; a run that stops keeps what was computed and says so.

    progress is called about once a simulated month, from several threads, with the share done
    (0-1) and what is being computed. profiles keeps every node's hourly T, u and water. nature
    replaces constants of nature in tests. With `case.repeat_until_periodic` the years double until
    a year's heat loss repeats within 0.5 %, ten at most: for energy alone. InputError where
    weather or rules are unfit.
    """
    check_kinds(case, Case, "case")
    if not case.assemblies:
        raise InputError(Problem("the case has no assembly", "describe at least one", case.file))
    years = 2 if case.repeat_until_periodic else case.years
    while True:
        assemblies = _run_all(case, years, progress, profiles, workers, nature or Nature())
        enough = not case.repeat_until_periodic or years >= MOST_YEARS
        if enough or all(_repeats(a, case.climate.hours) for a in assemblies):
            break
        years = min(2 * years, MOST_YEARS)
    hours = min(len(path.heat_flux_room) for a in assemblies for path in a.paths)
    month, day = calendar(case)
    turns = max(-(-hours // case.climate.hours), 1)
    days = np.concatenate([day + k * (case.climate.hours // 24) for k in range(turns)])
    return Result(
        case=case,
        assemblies=assemblies,
        hours=hours,
        month=np.tile(month, turns)[:hours],
        day=days[:hours],
        provenance=provenance(case),
    )


def _run_all(
    case: Case,
    years: int,
    progress: Progress | None,
    profiles: bool,
    workers: int | None,
    nature: Nature,
) -> tuple[AssemblyResult, ...]:
    """All paths in threads (the kernel holds no lock); interruption stops them within a month."""
    _check_size(case, years)
    warm_up.ready()
    room = room_rows(case)
    rows = [boundary_rows(case, assembly, room) for assembly in case.assemblies]
    jobs = [(k, path) for k, a in enumerate(case.assemblies) for path in path_shares(a)]
    stop = threading.Event()
    done = [0.0] * len(jobs)
    warn = _says_if_slow(len(jobs) * years)

    def job(number: int) -> tuple[PathResult, Outcome]:
        k, path = jobs[number]
        assembly = case.assemblies[k]
        total = years * case.climate.hours

        def month(hours: int) -> None:
            if stop.is_set():
                raise InterruptedError("the run was stopped")
            done[number] = hours / total
            warn(sum(done) / len(jobs))
            if progress is not None:
                progress(sum(done) / len(jobs), assembly.name)

        return run_path(case, assembly, path, rows[k], total, month, profiles, nature)

    log.info("running %d paths over %d years", len(jobs), years)
    with ThreadPoolExecutor(workers) as pool:
        futures = [pool.submit(job, number) for number in range(len(jobs))]
        try:
            found = [future.result() for future in futures]
        except BaseException:
            stop.set()
            raise
    return tuple(
        _assembly_result(
            assembly,
            [found[n] for n, (which, _) in enumerate(jobs) if which == k],
            rows[k],
            years,
        )
        for k, assembly in enumerate(case.assemblies)
    )


def _check_size(case: Case, years: int) -> None:
    """Refuse what would not fit in the machine's memory, before hours of work are lost to it."""
    numbers = sum(
        len(path_shares(assembly)) * (5 * len(assembly.layers) + HOURLY_FLOWS)
        for assembly in case.assemblies
    )
    needed = 8.0 * numbers * years * case.climate.hours
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


def _says_if_slow(path_years: int) -> Callable[[float], None]:
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
) -> tuple[PathResult, Outcome]:
    """March one path of an assembly under boundary rows; its result and how it ended."""
    mesh = build_mesh(assembly, path, case.starting_humidity, refine)
    if len(mesh.depth) > MOST_NODES * refine:
        cause = f"'{assembly.name}' takes {len(mesh.depth)} cells, which is no wall or roof"
        raise InputError(Problem(cause, f"keep its layers below {MOST_NODES} cells", case.file))
    air = assembly.air_through * float(air_density(ICE_POINT + 10.0, STANDARD_PRESSURE))
    row = constants_row(nature or Nature(), assembly.outer.emittance, air, HELD_FILM)
    found = march(mesh, rows, hours, row, len(assembly.layers), progress=month, profiles=profiles)
    share = path_shares(assembly)[path]
    return path_result(found, path, share), _outcome(found, assembly, path)


def path_result(found: March, path: str, share: float) -> PathResult:
    """A march in the words of a result, fluxes turned to positive outward."""
    mesh = found.mesh
    return PathResult(
        name=path,
        share=share,
        planes=mesh.planes,
        temperature=found.planes[0],
        vapour_pressure=found.planes[1],
        free_water=found.film,
        layer_water=found.layers,
        layer_ice=found.ice,
        initial_layer_water=found.initial_layers,
        heat_flux_room=_flow(found, 2, layout.ROOM_SURFACE),
        heat_flux_outdoors=-_flow(found, 2, layout.OUTER_SURFACE),
        vapour_flux_room=_flow(found, 0, layout.ROOM_SURFACE),
        vapour_flux_outdoors=-_flow(found, 0, layout.OUTER_SURFACE),
        rain=_flow(found, 0, layout.RAIN, layout.LEAKED_RAIN),
        leak_vapour=_flow(found, 0, layout.LEAK_OUTWARD, layout.LEAK_INWARD),
        leak_heat=_flow(found, 2, layout.LEAK_OUTWARD, layout.LEAK_INWARD),
        heat_balance_error=found.heat_balance_error,
        moisture_balance_error=found.moisture_balance_error,
        state_defect=found.state_defect,
        statistics=found.statistics,
        profiles=_profiles(found),
        drained=-_flow(found, 0, layout.DRAIN),
    )


def _flow(found: March, field: int, *kinds: int) -> Floats:
    """Sum of the flows of these kinds, (hours,): field 0 water, 1 enthalpy, 2 sensible heat."""
    return found.flows[:, np.isin(found.mesh.chain.kinds, kinds), field].sum(axis=1)


def _profiles(found: March) -> dict[str, Floats] | None:
    if found.profile is None:
        return None
    width = found.mesh.chain.nodes[:, kernel.WIDTH]
    return {
        "depth": found.mesh.depth,
        "width": width,
        "temperature": found.profile[:, 0],
        "suction": suction_of(found.profile[:, 1]),
        "water_content": found.profile[:, 2] / np.where(width > 0.0, width, np.inf),
    }


def _outcome(found: March, assembly: Assembly, path: str) -> Outcome:
    if found.code == layout.COMPLETED:
        return Outcome()
    cause, cure = CAUSES[found.code]
    layer = _layer_near(found.mesh, found.node)
    number = found.mesh.chain.materials[found.node, kernel.OUTER_MATERIAL]
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
    layer = mesh.chain.materials[:, kernel.LAYER]
    cells = np.flatnonzero(layer >= 0)
    return int(layer[cells[np.argmin(np.abs(cells - node))]])


def _assembly_result(
    assembly: Assembly, found: list[tuple[PathResult, Outcome]], rows: Floats, years: int
) -> AssemblyResult:
    stopped = [outcome for _, outcome in found if outcome.name != "completed"]
    paths = tuple(path for path, _ in found)
    steady_enough = all(
        path.state_defect <= DEFECT_LIMIT
        and path.statistics["fallback steps"] <= FALLBACK_LIMIT * years
        for path in paths
    )
    return AssemblyResult(
        assembly=assembly,
        paths=paths,
        drivers=hourly_drivers(rows, years),
        u_value=u_value(assembly),
        surface_resistances=steady_layers(assembly).convention,
        outcome=stopped[0] if stopped else Outcome(),
        converged=not stopped and steady_enough,
    )


def _repeats(result: AssemblyResult, year: int) -> bool:
    """Whether the last two years lost the same heat through every path."""
    losses = [np.maximum(path.heat_flux_room[-2 * year :], 0.0) for path in result.paths]
    sums = [(loss[:year].sum(), loss[year:].sum()) for loss in losses]
    return all(abs(last - before) <= PERIODIC * last for before, last in sums)


def provenance(case: Case) -> dict[str, str]:
    """Versions and hashes that a result carries."""
    from importlib.metadata import version

    text = f"{case.text}\n{case.climate.source_sha256}\n{assembly_sim.__version__}"
    return {
        "version": assembly_sim.__version__,
        "numpy": np.__version__,
        "numba": version("numba"),
        "python": platform.python_version(),
        "machine": platform.machine(),
        "inputs_sha256": hashlib.sha256(text.encode()).hexdigest(),
        "climate_sha256": case.climate.source_sha256,
    }

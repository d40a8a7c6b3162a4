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

import numpy as np
from numpy.typing import NDArray

import assembly_sim
from assembly_sim.boundary.drivers import Drivers
from assembly_sim.boundary.stamps import calendar
from assembly_sim.envelope.resistances import path_shares, steady_layers, u_value
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Assembly, Case
from assembly_sim.model.kinds import check_kinds
from assembly_sim.solver import warm_up
from assembly_sim.solver.house import at_zone, house_march
from assembly_sim.solver.house_result import zone_results
from assembly_sim.solver.identity import case_sha256
from assembly_sim.solver.jobs import HouseJob, Job, Options, PathJob, Read
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.leaks import known_streams, leaks_of, rows_alone
from assembly_sim.solver.march import March, Nature, continued
from assembly_sim.solver.result import AssemblyResult, Outcome, PathResult, Result, ZoneResult
from assembly_sim.solver.settling import has_settled

Floats = NDArray[np.float64]
Progress = Callable[[float, str], None]
log = logging.getLogger(__name__)

DEFECT_LIMIT = 1e-6  # of the state, and of the balances, which random walls keep to 5e-9
USUAL_YEAR = 8760.0  # h
LEAST_YEARS, MOST_YEARS = 3, 10  # of a run that goes on until it settles
REFINE = (0.1, 32.0)  # bounds of the option: hardly a cell in a board, and 2,000 nodes in a wall
STEPS = (0.01, 1.0)
HOURLY_FLOWS = 24  # numbers an hour and path beside those of planes and layers
SLOW_LOOK, SLOW_YEAR = 20.0, 60.0  # s of the clock: when a run is judged, and what is slow


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
    options = Options(nature or Nature(), profiles, refine, steps)
    ended = _ended(case, options, progress, workers)
    read: dict[int, list[Read]] = {}
    drivers: dict[int, Drivers] = {}
    zones: tuple[ZoneResult, ...] = ()
    streams = known_streams(case, ended) if case.breathes else ()
    while ended:
        job, found = ended.pop(0)
        if isinstance(job, HouseJob):
            zones = zone_results(found, job.house)
        for one in job.read(found):  # flows are large: not twice
            read.setdefault(one.number, []).append(one)
            if one.number not in drivers:
                drivers[one.number] = job.drivers(found, one.number)
    assemblies = tuple(
        _assembly_result(assembly, read[k], drivers[k])
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
        zones=zones,
        streams=streams,
    )


def within(name: str, value: float, bounds: tuple[float, float]) -> None:
    """InputError where an option of `run` is not finite or outside its bounds."""
    low, high = bounds
    if not low <= value <= high:  # not true of what is no number
        raise InputError(Problem(f"{name} is {value:g}", f"choose {low:g} to {high:g}", field=name))


def _ended(
    case: Case, options: Options, progress: Progress | None, workers: int | None
) -> list[tuple[Job, March]]:
    """All jobs of a case with their marches, through a window or its years, or until all settled.

    What floats marches first: walls beside it leak under the pressures that it finds.
    """
    hours = _least_years(case) * case.climate.hours
    jobs: list[Job] = []
    marches: list[March] = []
    if case.zones:
        warm_up.ready(warm_up.ZONES)
        jobs = [HouseJob(house_march(case, options.refine), options)]
        marches = _side_by_side(jobs, [None], hours, progress, workers)
    alone = path_jobs(case, options, jobs, marches)
    log.info("running %d paths over %d hours", len(alone), hours)
    marches += _side_by_side(alone, [None] * len(alone), hours, progress, workers)
    jobs += alone
    year, years = case.climate.hours, _least_years(case)
    settles = case.climate.wraps and case.years is None
    while settles and years < MOST_YEARS and not _settled(case, jobs, marches):
        years += 1
        log.info("not settled, running year %d", years)
        marches = _side_by_side(jobs, list(marches), year, progress, workers)
    return list(zip(jobs, marches))


def path_jobs(
    case: Case, options: Options, floats: Sequence[Job] = (), marches: Sequence[March] = ()
) -> list[Job]:
    """Paths of all assemblies that lie at no zone, whose leaks follow from what floats."""
    leaks = leaks_of(case, floats, marches) if case.breathes else {}
    rows = {
        k: rows_alone(case, assembly, leaks.get(k))
        for k, assembly in enumerate(case.assemblies)
        if not at_zone(case, assembly)
    }
    return [
        PathJob(case, k, path, rows[k], options)
        for k in rows
        for path in path_shares(case.assemblies[k])
    ]


def _least_years(case: Case) -> int:
    """How often the weather is gone through at least: a window once."""
    return (case.years or LEAST_YEARS) if case.climate.wraps else 1


def _settled(case: Case, jobs: list[Job], marches: list[March]) -> bool:
    """Whether nothing is to be gained by another year: all have settled, or one stopped."""
    if any(march.code != numbers.COMPLETED for march in marches):
        return True
    return all(
        has_settled(one.path, case.climate.hours, case.thresholds)
        for job, march in zip(jobs, marches)
        for one in job.read(march)
    )


def _side_by_side(
    jobs: list[Job],
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
    paths = sum(job.paths for job in jobs)
    warn = _says_if_slow(paths * hours / USUAL_YEAR)

    def further(number: int) -> March:
        job, before = jobs[number], known[number]

        def month(marched: int) -> None:
            if stop.is_set():
                raise InterruptedError("the run was stopped")
            done[number] = marched / hours
            warn(sum(done) / len(jobs))
            if progress is not None:
                progress(sum(done) / len(jobs), job.name)

        more = job.march(hours, month, before.kept if before else None)
        return continued(before, more) if before else more

    with ThreadPoolExecutor(workers) as pool:
        futures = [pool.submit(further, number) for number in range(len(jobs))]
        try:
            return [future.result() for future in futures]
        except BaseException:
            stop.set()
            raise


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
    options = Options(nature or Nature(), profiles, refine, steps)
    job = PathJob(alone, 0, path, rows, options)
    (found,) = job.read(job.march(hours, month))
    return found.path, found.outcome


def _assembly_result(assembly: Assembly, found: list[Read], drivers: Drivers) -> AssemblyResult:
    stopped = [one.outcome for one in found if one.outcome.name != "completed"]
    paths = tuple(one.path for one in found)
    return AssemblyResult(
        assembly=assembly,
        paths=paths,
        drivers=drivers,
        u_value=u_value(assembly),
        surface_resistances=steady_layers(assembly).convention,
        outcome=stopped[0] if stopped else Outcome(),
        converged=not stopped and all(map(is_sound, paths)),
    )


def is_sound(path: PathResult) -> bool:
    """Whether a path's water and heat add up and are those of its state, however it got there."""
    errors = path.state_defect, path.heat_balance_error, path.moisture_balance_error
    return all(error <= DEFECT_LIMIT for error in errors)  # a NaN is not


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

"""How fast the march is and how near the truth, against general integrators, as JSON.

    python tests/bench/solver.py [--without-python-peers]

Three problems under a year of Greensboro (TMY3), everything compiled beforehand, processor time of
the thread alone: the rafter bay of the examples, brick in the rain, the attic floor. The peer is
CVODE on the same equations, mesh and weather, its right-hand side and Jacobian compiled and called
from C (tests/solver/compiled_peer.py). It runs at tolerances TOLERANCES a quarter of a decade
apart; `ratio_at_equal_error` is its time where its error is that of the march, between two of
them, over the march's. Its error is the worse of two: rms of all temperatures, rms of the
assembly's water, each over the march's own. CVODE and IDA called through Python
(tests/solver/peer.py) stand beside it for the bay, at the loosest tolerance that is good enough.
The reference is the march in steps of 30 s; `reference_gap` holds it against IDA at a tight one.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np  # noqa: E402
from numpy.typing import NDArray  # noqa: E402

from assembly_sim.boundary.forcing import boundary_rows  # noqa: E402
from assembly_sim.files.case.read import read_case  # noqa: E402
from assembly_sim.files.material.read import load  # noqa: E402
from assembly_sim.model import Assembly, Case, Layer, OuterSurface  # noqa: E402
from assembly_sim.solver.kernel import numbers  # noqa: E402
from assembly_sim.solver.march import March, Nature, constants_row, march  # noqa: E402
from assembly_sim.solver.mesh import HELD_FILM, Mesh, build_mesh  # noqa: E402
from tests.solver import peer  # noqa: E402
from tests.solver.compiled_peer import CompiledPeer  # noqa: E402

Floats = NDArray[np.float64]
YEAR = 8760
RAFTER_BAY = Path(__file__).parents[2] / "examples" / "rafter_bay_foam.toml"
TOLERANCES = tuple(10.0 ** (-1.5 - 0.25 * step) for step in range(12))
LOOSEST = (1e-2, 3e-3, 1e-3, 3e-4, 1e-4)
MOST_KELVIN, MOST_WATER = 0.02, 0.005
REFERENCE_STEP = 30.0  # s
TIGHT = 1e-5
REFINEMENTS = (1.0, 2.0, 4.0)
ABOUT_SEVENTY = 1.3  # refinement that gives the rafter bay some 70 nodes
YEARS = (1, 2, 4)


class Problem:
    """One path of an assembly under a year's weather."""

    def __init__(self, case: Case, assembly: Assembly, refine: float = 1.0) -> None:
        self.assembly = assembly
        self.rows = boundary_rows(case, assembly)
        self.mesh: Mesh = build_mesh(assembly, "main", case.starting_humidity, refine)
        self.constants = constants_row(Nature(), HELD_FILM)

    def march(self, hours: int, profiles: bool = False, **options: float) -> March:
        layers = len(self.assembly.layers)
        found = march(
            self.mesh, self.rows, hours, self.constants, layers, profiles=profiles, **options
        )
        assert found.code == numbers.COMPLETED, found.code
        return found

    def seconds(self, hours: int) -> float:
        return fastest(lambda: self.march(hours))


def fastest(work: Callable[[], object], times: int = 5) -> float:
    """Least processor time (s) of several runs: what others on the machine take is not its."""
    found = []
    for _ in range(times):
        start = time.thread_time()
        work()
        found.append(time.thread_time() - start)
    return min(found)


def errors(
    problem: Problem, temperature: Floats, water: Floats, reference: March
) -> dict[str, float]:
    """Rms over hours: temperatures of all nodes (K), water of the assembly (share)."""
    cells = problem.mesh.chain.materials[:, numbers.LAYER] >= 0
    true = reference.profile[:, 2, cells].sum(axis=1)
    gap = water[:, cells].sum(axis=1) / true - 1.0
    return {
        "temperature_rms": float(np.sqrt(((temperature - reference.profile[:, 0]) ** 2).mean())),
        "water_rms": float(np.sqrt((gap**2).mean())),
    }


def good(error: dict[str, float]) -> bool:
    return error["temperature_rms"] <= MOST_KELVIN and error["water_rms"] <= MOST_WATER


def best_of(name: str, problem: Problem, reference: March) -> dict[str, object]:
    """The peer at its loosest tolerance that is good enough."""
    asked = peer.peer(problem.mesh, problem.rows, problem.constants)
    integrate = peer.INTEGRATORS[name]
    integrate(asked, 24, 1e-3)  # compiled
    tried: dict[str, object] = {}
    for tolerance in LOOSEST:
        start = time.thread_time()
        try:
            found = integrate(asked, YEAR, tolerance)
        except RuntimeError as gave_up:
            tried[f"{tolerance:g}"] = str(gave_up)
            continue
        seconds = time.thread_time() - start
        error = errors(problem, found[:, 0], peer.water(asked, found), reference)
        tried[f"{tolerance:g}"] = {"seconds": seconds, **error}
        if good(error):
            again = fastest(lambda: integrate(asked, YEAR, tolerance), 2)  # noqa: B023
            seconds = min(seconds, again)
            return {"seconds": seconds, "tolerance": tolerance, "error": error, "tried": tried}
    return {"seconds": None, "tolerance": None, "error": None, "tried": tried}


def at_equal_error(problem: Problem, own: dict[str, float], reference: March) -> dict[str, object]:
    """Time (s) of the compiled peer where its error is the march's; None where no tolerance is."""
    asked = peer.peer(problem.mesh, problem.rows, problem.constants)
    compiled = CompiledPeer(asked)
    tried: list[dict[str, float]] = []
    for tolerance in TOLERANCES:
        start = time.thread_time()
        try:
            found = compiled.solve(YEAR, tolerance)
        except RuntimeError:
            continue
        seconds = time.thread_time() - start
        error = errors(problem, found[:, 0], peer.water(asked, found), reference)
        worse = max(error[name] / own[name] for name in own)
        tried.append({"tolerance": tolerance, "seconds": seconds, "worse": worse, **error})
        if worse <= 1.0:
            break
    return {"seconds": crossing(tried), "tried": tried}


def crossing(tried: list[dict[str, float]]) -> float | None:
    """Seconds where the error passes 1, on a line of logarithms between the last two."""
    if not tried or tried[-1]["worse"] > 1.0:
        return None
    if len(tried) == 1:
        return tried[0]["seconds"]
    (x0, y0), (x1, y1) = ((np.log(one["worse"]), np.log(one["seconds"])) for one in tried[-2:])
    return float(np.exp(y1 + (y0 - y1) * (0.0 - x1) / (x0 - x1)))


def compared(problem: Problem) -> dict[str, object]:
    """The march of a problem beside the compiled peer at the march's own error."""
    problem.march(24)  # compiled
    seconds = problem.seconds(YEAR)
    found = problem.march(YEAR, profiles=True)
    reference = problem.march(YEAR, profiles=True, longest_step=REFERENCE_STEP)
    own = errors(problem, found.profile[:, 0], found.profile[:, 2], reference)
    equal = at_equal_error(problem, own, reference)
    ratio = equal["seconds"] and equal["seconds"] / seconds
    return {
        "seconds_per_year": seconds,
        "nodes": len(problem.mesh.depth),
        "error": own,
        "ratio_at_equal_error": ratio,
        "peer": equal,
    }


def exponent(sizes: list[float], seconds: list[float]) -> float:
    """Slope of log seconds over log size."""
    return float(np.polyfit(np.log(sizes), np.log(seconds), 1)[0])


def brick_wall() -> Assembly:
    """Bare brick in the rain, insulated inside."""
    brick, batt, board = "brick, retention curve", "mineral-wool batt", "gypsum board"
    layers = tuple(
        Layer(name, load()[name], size)
        for name, size in ((brick, 0.22), (batt, 0.1), (board, 0.0127))
    )
    return Assembly(
        "brick", 10.0, OuterSurface(np.pi / 2, 0.0, 0.7, 0.9, rain_exposure=1.5), layers, None
    )


def problems() -> dict[str, Problem]:
    """The three that are compared."""
    bay = read_case(RAFTER_BAY, climate="greensboro")
    attic = read_case(RAFTER_BAY.with_name("attic_floor.toml"), climate="greensboro")
    return {
        "rafter bay": Problem(bay, bay.assemblies[0]),
        "brick in the rain": Problem(bay, brick_wall()),
        "attic floor": Problem(attic, attic.assemblies[0]),
    }


def measured(python_peers: bool = True) -> dict[str, object]:
    """Ratios at equal error of the three problems; then all else that is told of the bay."""
    found: dict[str, object] = {name: compared(one) for name, one in problems().items()}
    if python_peers:
        found["by way of Python"] = rafter_bay()
    return {**found, "load_average": os.getloadavg()[0]}


def rafter_bay() -> dict[str, object]:
    """The bay beside peers called through Python, its exponents and its iterations."""
    case = read_case(RAFTER_BAY, climate="greensboro")
    problem = Problem(case, case.assemblies[0])
    problem.march(24)  # compiled
    seconds = problem.seconds(YEAR)
    found = problem.march(YEAR, profiles=True)
    reference = problem.march(YEAR, profiles=True, longest_step=REFERENCE_STEP)
    error = errors(problem, found.profile[:, 0], found.profile[:, 2], reference)

    peers = {name: best_of(name, problem, reference) for name in peer.INTEGRATORS}
    best = min(
        (name for name in peers if peers[name]["error"]), key=lambda name: peers[name]["seconds"]
    )
    asked = peer.peer(problem.mesh, problem.rows, problem.constants)
    month = peer.by_ida(asked, 730, TIGHT)
    early = replace(reference, profile=reference.profile[:730])
    gap = errors(problem, month[:, 0], peer.water(asked, month), early)

    seventy = Problem(case, case.assemblies[0], ABOUT_SEVENTY)
    finer = [Problem(case, case.assemblies[0], refine) for refine in REFINEMENTS]
    return {
        "seconds_per_year": seconds,
        "nodes": len(problem.mesh.depth),
        "seconds_per_year_of_70_nodes": seventy.seconds(YEAR) * 70 / len(seventy.mesh.depth),
        "ratio_to_fastest_peer": round(peers[best]["seconds"] / seconds, 1),
        "fastest_peer": best,
        "error": error,
        "peer_error": peers[best]["error"],
        "peers": peers,
        "reference_gap": gap,
        "cells_exponent": exponent(
            [len(fine.mesh.depth) for fine in finer], [fine.seconds(YEAR) for fine in finer]
        ),
        "years_exponent": exponent(list(YEARS), [problem.seconds(YEAR * n) for n in YEARS]),
        "iterations_per_hour": found.statistics["iterations"] / YEAR,
        "steps_per_hour": found.statistics["steps"] / YEAR,
    }


if __name__ == "__main__":
    print(json.dumps(measured("--without-python-peers" not in sys.argv), indent=1))

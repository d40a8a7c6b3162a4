"""How fast the march is and how near the truth, against a general integrator, as JSON.

    python tests/bench/solver.py [--year] [--python-peers]

Three problems through six weeks of Greensboro's winter (TMY3, from 1 December; `--year`: the whole
year), everything compiled beforehand, processor time of the thread alone: the rafter bay of the
examples, brick in the rain, the attic floor. The peer is CVODE on the same equations, mesh and
weather, its right-hand side and Jacobian compiled and called from C
(tests/solver/compiled_peer.py).

The error of each is against its own converged solution: the march against itself in steps of
30 s, the peer against itself at CONVERGED. So neither pays for what the other's model leaves out
(the peer gives planes a heat capacity); `references_apart` holds the two solutions against each
other. The peer runs at tolerances a quarter of a decade apart. `ratio_at_equal_error` is its time
where neither of two errors is worse than the march's own, rms of all temperatures and rms of the
assembly's water, over the march's time; `..._temperature_error`, `..._water_error` ask for one of
them alone. Times are read between the two tolerances about that point.
`--python-peers` adds CVODE and IDA called through Python (tests/solver/peer.py) for the bay, at the
loosest tolerance that is good enough.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np  # noqa: E402
from numpy.typing import NDArray  # noqa: E402

from assembly_sim.boundary.forcing import boundary_rows  # noqa: E402
from assembly_sim.files.case.read import read_case  # noqa: E402
from assembly_sim.files.material.read import load  # noqa: E402
from assembly_sim.model import Assembly, Case, Layer, OuterSurface  # noqa: E402
from assembly_sim.solver.chain import Mesh  # noqa: E402
from assembly_sim.solver.kernel import numbers  # noqa: E402
from assembly_sim.solver.march import March, Nature, constants_row, march  # noqa: E402
from assembly_sim.solver.mesh import HELD_FILM, build_mesh  # noqa: E402
from tests.solver import peer  # noqa: E402
from tests.solver.compiled_peer import CompiledPeer  # noqa: E402

Floats = NDArray[np.float64]
YEAR = 8760
DECEMBER = 24 * 61  # hours from 1 October, when runs begin
WEEKS = 6
RAFTER_BAY = Path(__file__).parents[2] / "examples" / "rafter_bay_foam.toml"
TOLERANCES = tuple(10.0 ** (-2.5 - 0.25 * step) for step in range(15))
CONVERGED = 1e-7
LOOSEST = (1e-2, 3e-3, 1e-3, 3e-4, 1e-4)
MOST_KELVIN, MOST_WATER = 0.02, 0.005
REFERENCE_STEP = 30.0  # s
REFINEMENTS = (1.0, 2.0, 4.0)
ABOUT_SEVENTY = 1.0  # refinement that gives the rafter bay some 70 nodes
YEARS = (1, 2, 4)


class Problem:
    """One path of an assembly under weather: a year, or `hours` of it from `first` on."""

    def __init__(
        self,
        case: Case,
        assembly: Assembly,
        refine: float = 1.0,
        first: int = 0,
        hours: int = YEAR,
    ) -> None:
        self.assembly, self.hours = assembly, hours
        self.rows = boundary_rows(case, assembly)[2 * first : 2 * (first + hours) + 1].copy()
        self.mesh: Mesh = build_mesh(assembly, "main", case.starting_humidity, refine)
        self.constants = constants_row(Nature(), HELD_FILM)

    def march(self, hours: int | None = None, profiles: bool = False, **options: float) -> March:
        layers, hours = len(self.assembly.layers), hours or self.hours
        found = march(
            self.mesh, self.rows, hours, self.constants, layers, profiles=profiles, **options
        )
        assert found.code == numbers.COMPLETED, found.code
        return found

    def seconds(self, hours: int | None = None) -> float:
        return fastest(lambda: self.march(hours))

    @property
    def cells(self) -> NDArray[np.bool_]:
        """Nodes that hold water of the assembly."""
        return np.asarray(self.mesh.chain.materials[:, numbers.LAYER] >= 0)


def fastest(work: Callable[[], object], times: int = 5) -> float:
    """Least processor time (s) of several runs: what others on the machine take is not its."""
    found = []
    for _ in range(times):
        start = time.thread_time()
        work()
        found.append(time.thread_time() - start)
    return min(found)


Solved = tuple[Floats, Floats]  # temperature K and water kg/m2, (hours, nodes)


def of_march(found: March) -> Solved:
    return found.profile[:, 0], found.profile[:, 2]


def of_peer(asked: peer.Peer, unknowns: Floats) -> Solved:
    return unknowns[:, 0], peer.water(asked, unknowns)


def errors(problem: Problem, found: Solved, true: Solved) -> dict[str, float]:
    """Rms over hours: temperatures of all nodes (K), water of the assembly (share)."""
    water, true_water = (one[1][:, problem.cells].sum(axis=1) for one in (found, true))
    return {
        "temperature_rms": float(np.sqrt(((found[0] - true[0]) ** 2).mean())),
        "water_rms": float(np.sqrt(((water / true_water - 1.0) ** 2).mean())),
    }


def good(error: dict[str, float]) -> bool:
    return error["temperature_rms"] <= MOST_KELVIN and error["water_rms"] <= MOST_WATER


def compared(problem: Problem) -> dict[str, object]:
    """The march of a problem beside the compiled peer at the march's own error."""
    problem.march(24)  # compiled
    seconds = problem.seconds()
    true = of_march(problem.march(profiles=True, longest_step=REFERENCE_STEP))
    own = errors(problem, of_march(problem.march(profiles=True)), true)
    asked = peer.peer(problem.mesh, problem.rows, problem.constants)
    compiled = CompiledPeer(asked)
    peer_true = of_peer(asked, compiled.solve(problem.hours, CONVERGED))
    tried = at_equal_error(problem, compiled, own, peer_true)
    return {
        "seconds": seconds,
        "nodes": len(problem.mesh.depth),
        "error": own,
        "ratio_at_equal_error": ratio(tried, list(own), seconds),
        "ratio_at_equal_temperature_error": ratio(tried, ["temperature_rms"], seconds),
        "ratio_at_equal_water_error": ratio(tried, ["water_rms"], seconds),
        "references_apart": errors(problem, peer_true, true),
        "tried": tried,
    }


def at_equal_error(
    problem: Problem, compiled: CompiledPeer, own: dict[str, float], true: Solved
) -> list[dict[str, float]]:
    """The peer at tighter and tighter tolerances, until its error is no worse than the march's."""
    tried: list[dict[str, float]] = []
    for tolerance in TOLERANCES:
        try:
            found = compiled.solve(problem.hours, tolerance)
            seconds = fastest(lambda: compiled.solve(problem.hours, tolerance), 3)  # noqa: B023
        except RuntimeError:
            continue
        error = errors(problem, of_peer(compiled.problem, found), true)
        over = {name: error[name] / own[name] for name in own}  # the march's own errors: 1
        tried.append({"tolerance": tolerance, "seconds": seconds, **over})
        if max(over.values()) <= 1.0:
            break
    return tried


def ratio(tried: list[dict[str, float]], names: list[str], own: float) -> float | None:
    """Seconds of the peer where no error of these is over the march's, over `own`.

    On a line of logarithms between the first tolerance that is good enough and the one before it;
    None where none is.
    """
    before: tuple[float, float] | None = None
    for one in tried:
        error, seconds = (np.log(n) for n in (max(one[name] for name in names), one["seconds"]))
        if error <= 0.0:
            part = 0.0 if before is None else error / (error - before[0])
            last = seconds if before is None else seconds + part * (before[1] - seconds)
            return float(np.exp(last)) / own
        before = (error, seconds)
    return None


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


def problems(**window: int) -> dict[str, Problem]:
    """The three that are compared."""
    bay = read_case(RAFTER_BAY, climate="greensboro")
    attic = read_case(RAFTER_BAY.with_name("attic_floor.toml"), climate="greensboro")
    return {
        "rafter bay": Problem(bay, bay.assemblies[0], **window),
        "brick in the rain": Problem(bay, brick_wall(), **window),
        "attic floor": Problem(attic, attic.assemblies[0], **window),
    }


def a_year_of_the_bay() -> dict[str, object]:
    """Seconds, error and iterations of a year, and how seconds grow with cells and years."""
    case = read_case(RAFTER_BAY, climate="greensboro")
    problem = Problem(case, case.assemblies[0])
    found = problem.march(profiles=True)
    reference = problem.march(profiles=True, longest_step=REFERENCE_STEP)
    seventy = Problem(case, case.assemblies[0], ABOUT_SEVENTY)
    finer = [Problem(case, case.assemblies[0], refine) for refine in REFINEMENTS]
    return {
        "seconds_per_year": problem.seconds(),
        "nodes": len(problem.mesh.depth),
        "seconds_per_year_of_70_nodes": seventy.seconds() * 70 / len(seventy.mesh.depth),
        "error": errors(problem, of_march(found), of_march(reference)),
        "cells_exponent": exponent(
            [len(fine.mesh.depth) for fine in finer], [fine.seconds() for fine in finer]
        ),
        "years_exponent": exponent(list(YEARS), [problem.seconds(YEAR * n) for n in YEARS]),
        "iterations_per_hour": found.statistics["iterations"] / YEAR,
        "steps_per_hour": found.statistics["steps"] / YEAR,
    }


def through_python(problem: Problem) -> dict[str, object]:
    """Peers called through Python, each at its loosest tolerance that is good enough."""
    true = of_march(problem.march(profiles=True, longest_step=REFERENCE_STEP))
    seconds = problem.seconds()
    asked = peer.peer(problem.mesh, problem.rows, problem.constants)
    found: dict[str, object] = {}
    for name, integrate in peer.INTEGRATORS.items():
        integrate(asked, 24, 1e-3)  # compiled
        found[name] = loosest(problem, asked, integrate, true, seconds)
    return found


def loosest(
    problem: Problem, asked: peer.Peer, integrate: Callable[..., Floats], true: Solved, own: float
) -> dict[str, object]:
    """A peer at its loosest tolerance that is good enough; `own`: seconds of the march."""
    for tolerance in LOOSEST:
        start = time.thread_time()
        try:
            found = integrate(asked, problem.hours, tolerance)
        except RuntimeError:
            continue
        seconds = time.thread_time() - start
        error = errors(problem, of_peer(asked, found), true)
        if good(error):
            return {"seconds": seconds, "ratio": seconds / own, "tolerance": tolerance, **error}
    return {"seconds": None}


def measured(year: bool = False, python_peers: bool = False) -> dict[str, object]:
    """Ratios at equal error of the three problems, then what else is told of the bay."""
    window = {} if year else {"first": DECEMBER, "hours": 24 * 7 * WEEKS}
    asked = problems(**window)
    found: dict[str, object] = {name: compared(one) for name, one in asked.items()}
    found["a year of the bay"] = a_year_of_the_bay()
    if python_peers:
        found["through Python"] = through_python(asked["rafter bay"])
    return {**found, "load_average": os.getloadavg()[0]}


if __name__ == "__main__":
    print(json.dumps(measured("--year" in sys.argv, "--python-peers" in sys.argv), indent=1))

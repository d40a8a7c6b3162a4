"""How far default results lie from those on a finer mesh in shorter steps, as JSON.

    python tests/bench/mesh.py [--only NAME] [--out tests/bench/mesh.json]

The three examples, the hard cases (tests/solver/test_hard_cases.py) and ten random walls of a week
each (tests/solver/random_walls.py), on the default mesh and on one of cells an eighth as wide in
steps a quarter as long. What is compared is what verdicts rest on: of each plane the hours of
condensation risk, of wetness and below the dew point, the highest film and mould index; of each
layer its highest moisture by mass. `worst` is the largest difference over its limit (LIMITS) and
where it stands: above 1 it fails. A subject whose march stops is recorded with how it stopped. The
file is written anew after each subject, so that it holds what was run; with --only, what it held of
others stays.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import NamedTuple

for place in (Path(__file__).parents[2], Path(__file__).parents[1] / "solver"):
    sys.path.insert(0, str(place))

import numpy as np  # noqa: E402
import test_hard_cases as hard  # noqa: E402
from hypothesis import HealthCheck, Phase, given, seed, settings  # noqa: E402

from assembly_sim.boundary.drivers import hourly_drivers  # noqa: E402
from assembly_sim.boundary.forcing import boundary_rows  # noqa: E402
from assembly_sim.checks.condensation import dew_point_hours  # noqa: E402
from assembly_sim.checks.mould import plane_mould_index  # noqa: E402
from assembly_sim.checks.planes import place_of  # noqa: E402
from assembly_sim.envelope.resistances import material_on_path, path_shares  # noqa: E402
from assembly_sim.files.case.read import read_case  # noqa: E402
from assembly_sim.model import Assembly, Case  # noqa: E402
from assembly_sim.model.case import Thresholds  # noqa: E402
from assembly_sim.physics.moist_air import saturation_pressure_over_stable_phase  # noqa: E402
from assembly_sim.solver.result import PathResult  # noqa: E402
from assembly_sim.solver.run import run_path  # noqa: E402
from tests.solver import random_walls  # noqa: E402

YEAR = 8760
YEARS = 3  # where a case leaves it to the run, which ends where years repeat themselves
REFINE, STEPS = 8.0, 0.25
RANDOM, SEED = 10, 9
EXAMPLES = ("rafter_bay_foam", "attic_floor", "gable_wall")
DEFAULT = Thresholds()

Figures = dict[str, float]
Marching = Callable[[float, float], PathResult]  # refine, steps


class Limit(NamedTuple):
    """What a figure may differ by: an amount in its own unit or a share of it, the larger."""

    amount: float
    share: float = 0.05


LIMITS = {
    "hours": Limit(10.0),
    "free water, kg/m2": Limit(0.002),
    "moisture, kg/kg": Limit(0.002),
    "water of a layer, kg/m2": Limit(0.002),
    "mould index": Limit(0.05),
}


class StoppedError(Exception):
    """A march that did not reach its last hour."""


class Subject(NamedTuple):
    """One path of one assembly, ready to be marched, with what its figures need."""

    name: str
    assembly: Assembly
    rows: np.ndarray
    hours: int
    marching: Marching


def of_case(name: str, case: Case, years: int | None = None) -> Iterator[Subject]:
    """The paths of a case, through three years unless it or its caller says."""
    hours = (years or case.years or YEARS) * case.climate.hours
    for assembly in case.assemblies:
        rows = boundary_rows(case, assembly)
        for path in path_shares(assembly):
            marching = partial(marched, case, assembly, path, rows, hours)
            yield Subject(f"{name}, {path}", assembly, rows, hours, marching)


def marched(
    case: Case, assembly: Assembly, path: str, rows: np.ndarray, hours: int, *accuracy: float
) -> PathResult:
    refine, steps = accuracy
    found, outcome = run_path(case, assembly, path, rows, hours, refine=refine, steps=steps)
    if outcome.name != "completed":
        raise StoppedError(f"refine {refine:g}, steps {steps:g}: {outcome}")
    return found


def random_weeks(count: int = RANDOM, number: int = SEED) -> Iterator[Subject]:
    """Random walls, a week each."""
    drawn: list[random_walls.Wall] = []

    @seed(number)
    @settings(
        max_examples=count,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(random_walls.walls())
    def draw(wall: random_walls.Wall) -> None:
        drawn.append(wall)

    draw()
    for k, wall in enumerate(drawn):
        case, rows = random_walls.weekly(wall)
        assembly = case.assemblies[0]
        marching = partial(marched, case, assembly, "main", rows, random_walls.HOURS)
        yield Subject(f"random {k}", assembly, rows, random_walls.HOURS, marching)


def subjects(years: int | None = None) -> Iterator[Subject]:
    for name in EXAMPLES:
        case = read_case(Path(__file__).parents[2] / "examples" / f"{name}.toml")
        yield from of_case(name, case, years)
    for name, case in hard.cases().items():
        yield from of_case(name, case, years)
    yield from random_weeks()


def figures(subject: Subject, path: PathResult) -> dict[str, tuple[str, float]]:
    """(kind of limit, value) of the last year by name."""
    year = slice(-min(YEAR, subject.hours), None)
    drivers = hourly_drivers(subject.rows, -(-subject.hours // (len(subject.rows) // 2)))
    found: dict[str, tuple[str, float]] = {}
    for k, plane in enumerate(path.planes):
        temperature, pressure = path.temperature[year, k], path.vapour_pressure[year, k]
        stable = pressure / saturation_pressure_over_stable_phase(temperature)
        dew = dew_point_hours(drivers, year, plane.reach, temperature) or 0
        index = plane_mould_index(subject.assembly, path, k, DEFAULT.mould_decline)
        where = place_of(plane)
        found |= {
            f"risk hours at {where}": ("hours", (stable >= DEFAULT.condensation_humidity).sum()),
            f"wet hours at {where}": ("hours", (stable >= DEFAULT.wet_humidity).sum()),
            f"dew hours at {where}": ("hours", dew),
            f"film at {where}": ("free water, kg/m2", path.free_water[year, k].max()),
            f"mould at {where}": ("mould index", 0.0 if index is None else index.max()),
        }
    for j, layer in enumerate(subject.assembly.layers):
        material = material_on_path(layer, path.name)
        if material is not None and material.storage is not None:
            mass = material.density * layer.thickness
            moisture = path.layer_water[year, j].max() / mass
            if mass < 1.0:  # a layer that 0.2 points of moisture would weigh less than 2 g/m2 in
                found[f"water of {layer.name}"] = ("water of a layer, kg/m2", moisture * mass)
            else:
                found[f"moisture of {layer.name}"] = ("moisture, kg/kg", moisture)
    return {name: (kind, float(value)) for name, (kind, value) in found.items()}


def excess(kind: str, value: float, true: float) -> float:
    """Difference over its limit: above 1 it fails."""
    limit = LIMITS[kind]
    return abs(value - true) / max(limit.amount, limit.share * abs(true))


def compared(subject: Subject, refine: float = REFINE, steps: float = STEPS) -> dict[str, object]:
    """One path by default and finer: cells' and steps' part in what is reported."""
    started = time.thread_time()
    path = subject.marching(1.0, 1.0)
    seconds = time.thread_time() - started
    return {
        "name": subject.name,
        "seconds": round(seconds, 2),
        **differences(figures(subject, path), figures(subject, subject.marching(refine, steps))),
    }


def differences(
    default: dict[str, tuple[str, float]], finer: dict[str, tuple[str, float]]
) -> dict[str, object]:
    """The worst difference, and all that fail: [default, finer] by name."""
    ratios = {name: excess(kind, default[name][1], true) for name, (kind, true) in finer.items()}
    worst = max(ratios, key=ratios.__getitem__)
    return {
        "worst": round(ratios[worst], 3),
        "at": worst,
        "default": round(default[worst][1], 5),
        "finer": round(finer[worst][1], 5),
        "failed": {
            name: [round(default[name][1], 5), round(finer[name][1], 5)]
            for name, ratio in ratios.items()
            if ratio > 1.0
        },
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--refine", type=float, default=REFINE)
    parser.add_argument("--steps", type=float, default=STEPS)
    parser.add_argument("--years", type=int, help="fewer than the cases' own, for a look")
    parser.add_argument("--only", default="", help="subjects whose name holds this")
    parser.add_argument("--out", type=Path)
    asked = parser.parse_args()
    found = kept(asked)
    for subject in subjects(asked.years):
        if asked.only in subject.name:
            found[subject.name] = tried(subject, asked.refine, asked.steps)
            print(json.dumps(found[subject.name]), file=sys.stderr, flush=True)
            if asked.out:
                asked.out.write_text(summary(asked, found) + "\n")
    print(summary(asked, found))


def tried(subject: Subject, refine: float, steps: float) -> dict[str, object]:
    """The comparison of a subject, or how its march stopped."""
    try:
        return compared(subject, refine, steps)
    except StoppedError as stopped:
        return {"name": subject.name, "stopped": str(stopped)}


def kept(asked: argparse.Namespace) -> dict[str, dict[str, object]]:
    """What the file already holds by name, where only some subjects are run and alike."""
    if not (asked.only and asked.out and asked.out.exists()):
        return {}
    before = json.loads(asked.out.read_text())
    alike = all(before[name] == getattr(asked, name) for name in ("refine", "steps", "years"))
    return {one["name"]: one for one in before["subjects"]} if alike else {}


def summary(asked: argparse.Namespace, found: dict[str, dict[str, object]]) -> str:
    """What was run, as JSON; `years` null: the cases' own or three."""
    worst = max((one["worst"] for one in found.values() if "worst" in one), default=None)
    options = {name: getattr(asked, name) for name in ("refine", "steps", "years")}
    return json.dumps({**options, "worst": worst, "subjects": list(found.values())}, indent=1)


if __name__ == "__main__":
    main()

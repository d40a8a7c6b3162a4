"""How fast sweeps are, what is not kernel, and what memory they take, as JSON.

    python tests/bench/sweep.py [--count 40] [--memory 100 10000]

Variants of a 70-node path of the rafter bay, one year of Greensboro each, end to end: changes made,
boundary, tables, march, checks, row on disk. Settings side by side in one run, threads by turns, so
that what others take on the machine falls on all of them. `assembly_years_per_second` counts
path-years by the clock; `..._per_processor_second` by processor time, which a busy machine does not
stretch as far. Memory is the largest that a process of its own held over a sweep of so many very
small variants, of one day each.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from assembly_sim.changes import Set  # noqa: E402
from assembly_sim.changes.factors import Range  # noqa: E402
from assembly_sim.changes.laws import Law  # noqa: E402
from assembly_sim.changes.plan import Plan  # noqa: E402
from assembly_sim.files.case.read import read_case  # noqa: E402
from assembly_sim.model import AirLayer, Case, Layer  # noqa: E402
from assembly_sim.solver.mesh import build_mesh  # noqa: E402
from assembly_sim.studies.sweep.run import sweep  # noqa: E402
from assembly_sim.studies.sweep.table import sweep_table  # noqa: E402

RAFTER_BAY = Path(__file__).parents[2] / "examples" / "rafter_bay_foam.toml"
ROOF = ("assembly", "North roof")
COARSE = {"refine": 0.25}
COMPARED = (
    *("annual_heat_loss_total_kwh_m2", "mould_index_max", "wood_moisture_max"),
    *("condensation_risk_hours", "wet_hours"),
)


def one_path_case(years: int = 1) -> Case:
    """The rafter bay without its rafters: one path, one year."""
    case = replace(read_case(RAFTER_BAY, climate="greensboro"), years=years)
    roof = case.assemblies[0]
    layers = tuple(
        replace(one, bridges=()) if isinstance(one, Layer | AirLayer) else one
        for one in roof.layers
    )
    return replace(case, assemblies=(replace(roof, layers=layers),))


def plan(count: int, refine: float = 1.0, case: Case | None = None) -> Plan:
    """Random variants of foam, leak and colour."""
    path = (*ROOF, "layer", "rigid foam", "thickness")
    foam = Range("foam", (Set(path, 0.05),), Law("uniform", 0.03, 0.12))
    colour = Range("colour", (Set((*ROOF, "solar_absorptance"), 0.8),), Law("uniform", 0.3, 0.9))
    case = case or one_path_case()
    return Plan("bench", case, (foam, colour), "random", (count,), refine=refine)


def timed(given: Plan, workers: int) -> dict[str, float]:
    """Clock and processor time of one sweep, and of its marches alone."""
    with tempfile.TemporaryDirectory() as folder:
        began, used = time.perf_counter(), time.process_time()
        for _ in sweep(given, Path(folder) / "out", workers=workers):
            pass
        clock, used = time.perf_counter() - began, time.process_time() - used
        table = sweep_table(Path(folder) / "out")
    return {"clock": clock, "processor": used, "marched": float(table["marched_seconds"].sum())}


def rates(count: int, refine: float) -> dict[str, float]:
    """One thread and two by turns: path-years a second, what two gain, what is not kernel."""
    given = plan(count, refine)
    one, two = timed(given, 1), timed(given, 2)
    return {
        "assembly_years_per_second": count / two["clock"],
        "assembly_years_per_processor_second": count / two["processor"],
        "thread_scaling": one["clock"] / two["clock"],
        "processor_seconds_two_threads_over_one": two["processor"] / one["processor"],
        "overhead_share": 1.0 - one["marched"] / one["processor"],
    }


def coarse_error(count: int) -> dict[str, float]:
    """Largest difference of the coarse setting's results over three years from the default's."""
    with tempfile.TemporaryDirectory() as folder:
        tables = []
        for name, refine in (("fine", 1.0), ("coarse", COARSE["refine"])):
            given = plan(count, refine, one_path_case(3))
            for _ in sweep(given, Path(folder) / name):
                pass
            tables.append(sweep_table(Path(folder) / name))
    fine, coarse = tables
    found = {name: float((coarse[name] - fine[name]).abs().max()) for name in COMPARED}
    return {**found, "levels_changed": float((coarse["level"] != fine["level"]).sum())}


def peak_mb(count: int) -> float:
    """Memory that a process of its own holds at most over a sweep of so many small variants."""
    command = [sys.executable, __file__, "--small", str(count)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return float(done.stdout)


def small_sweep(count: int) -> float:
    """Variants of one day each, in this process; its largest memory in MB."""
    from tests.studies.sweeps import small_case, small_plan

    with tempfile.TemporaryDirectory() as folder:
        for _ in sweep(small_plan(counts=(count,), case=small_case(1)), Path(folder) / "out"):
            pass
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def measured(count: int, memory: list[int]) -> dict[str, object]:
    case = one_path_case()
    nodes = len(build_mesh(case.assemblies[0], "main", 0.8).depth)
    list(sweep(plan(1, case=case), Path(tempfile.mkdtemp()) / "out"))  # compiled
    return {
        "nodes": nodes,
        "default": rates(count, 1.0),
        "coarse": {**COARSE, **rates(count, COARSE["refine"])},
        "coarse_error": coarse_error(max(count // 4, 2)),
        "peak_mb": {str(size): peak_mb(size) for size in memory},
        "processors": os.cpu_count(),
        "load_average": os.getloadavg()[0],
    }


if __name__ == "__main__":
    asked = argparse.ArgumentParser()
    asked.add_argument("--count", type=int, default=40)
    asked.add_argument("--memory", type=int, nargs="*", default=[100, 10_000])
    asked.add_argument("--small", type=int)
    given = asked.parse_args()
    if given.small:
        print(small_sweep(given.small))
    else:
        print(json.dumps(measured(given.count, given.memory), indent=1))

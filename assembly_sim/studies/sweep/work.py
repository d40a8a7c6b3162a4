"""One variant run: its changes made, its assembly alone, its row. The same wherever it runs."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from assembly_sim.changes import applied
from assembly_sim.changes.plan import Plan
from assembly_sim.errors import InputError
from assembly_sim.files.sweep.columns import NOT_RESULTS
from assembly_sim.solver.result import Result
from assembly_sim.solver.run import run
from assembly_sim.studies.sweep.outcome import Cells, failed, outcome
from assembly_sim.studies.sweep.points import Variant
from assembly_sim.studies.variation import alone

Stopped = Callable[[], bool]


@dataclass(frozen=True)
class Finished:
    """A variant that was run: its key, its row, and its hourly planes where the plan asks."""

    key: str
    row: Cells
    states: Any = None


def finish(plan: Plan, variant: Variant, key: str, base: str, stopped: Stopped) -> Finished:
    """Run a variant; what goes wrong with it becomes its row. InterruptedError once stopped."""
    began, states, marched = time.thread_time(), None, Marched(stopped)
    try:
        result = _run(plan, variant, marched)
        at = plan.assembly if len(result.assemblies) > 1 else 0
        cells = outcome(result, at)
        states = planes_of(result, at) if plan.states else None
    except InterruptedError:
        raise
    except InputError as error:
        cells = failed("; ".join(f"{one.cause}; {one.cure}" for one in error.problems))
    except MemoryError:
        cells = failed("there is not enough memory for it")
    except Exception as error:
        cells = failed(f"the program is at fault: {type(error).__name__}: {error}")
    seconds = (time.thread_time() - began + marched.seconds, marched.seconds)
    return Finished(key, _row(plan, variant, key, base, cells, seconds), states)


def not_run(plan: Plan, variant: Variant, key: str, base: str, why: str) -> Finished:
    """The row of a variant that never came back."""
    return Finished(key, _row(plan, variant, key, base, failed(why), (0.0, 0.0)))


def _row(
    plan: Plan, variant: Variant, key: str, base: str, cells: Cells, seconds: tuple[float, float]
) -> Cells:
    named = dict(zip((factor.name for factor in plan.factors), variant.values))
    times = dict(zip(NOT_RESULTS, seconds))
    last: Cells = {"cost": variant.cost, **times, "base_sha256": base, "key": key}
    return {"variant": variant.number, **named, **cells, **last}


class Marched:
    """Called once a simulated month of a march: stops it, and reads its thread's own clock."""

    def __init__(self, stopped: Stopped) -> None:
        self.stopped = stopped
        self.clocks: dict[threading.Thread, float] = {}

    def __call__(self, share: float, name: str) -> None:
        if self.stopped():
            raise InterruptedError("the sweep was stopped")
        self.clocks[threading.current_thread()] = time.thread_time()

    @property
    def seconds(self) -> float:
        """Processor time of the threads that marched; each run has threads of its own."""
        return sum(self.clocks.values())


def _run(plan: Plan, variant: Variant, marched: Marched) -> Result:
    case = applied(plan.case, *variant.changes)
    if len(case.assemblies) > 1 and not case.breathes:  # its air joins them: all run
        case = alone(case, plan.assembly)
    return run(case, marched, workers=1, refine=plan.refine, steps=plan.steps)


def planes_of(result: Result, at: int) -> list[dict[str, Any]]:
    """Hourly temperature, vapour pressure and humidity at each plane, path by path, in floats."""
    return [
        {
            "path": path.name,
            "planes": [f"{plane.name}, {plane.side}" for plane in path.planes],
            "temperature": path.temperature.astype("f4"),
            "vapour_pressure": path.vapour_pressure.astype("f4"),
            "relative_humidity": path.relative_humidity.astype("f4"),
        }
        for path in result.assemblies[at].paths
    ]

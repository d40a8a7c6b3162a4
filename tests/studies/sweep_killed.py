"""A sweep killed with SIGKILL at random moments and gone on with each time; prints what it found.

    python tests/studies/sweep_killed.py FOLDER TIMES SEED

A process of its own, which imports once and then forks: a kill hits the child alone.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from assembly_sim.files.sweep import store  # noqa: E402
from assembly_sim.solver import warm_up  # noqa: E402
from assembly_sim.studies.sweep.run import sweep  # noqa: E402
from assembly_sim.studies.sweep.table import read_sweep  # noqa: E402
from tests.studies.sweeps import small_plan  # noqa: E402

VARIANTS = 60
LONGEST = 1.2  # s until a kill


def plan():
    return small_plan(counts=(VARIANTS,))


def child(folder: Path) -> None:
    """Run the sweep to its end, with many checkpoints, so that kills meet those too."""
    store.LEAST_ROWS = 3
    for _ in sweep(plan(), folder, workers=2):
        pass
    os._exit(0)


def killed(folder: Path, times: int, seed: int) -> tuple[int, list[int]]:
    """Kill as often; how many kills met a running sweep, and the rows found after each."""
    warm_up.ready()
    random.seed(seed)
    met, found = 0, []
    for _ in range(times):
        process = os.fork()
        if process == 0:
            child(folder)
        time.sleep(random.uniform(0.0, LONGEST))
        os.kill(process, signal.SIGKILL)
        met += os.WIFSIGNALED(os.waitpid(process, 0)[1])
        found.append(len(read_sweep(folder)) if (folder / "sweep.h5").exists() else 0)
    return met, found


if __name__ == "__main__":
    place = Path(sys.argv[1])
    kills, rows = killed(place, int(sys.argv[2]), int(sys.argv[3]))
    assert rows == sorted(rows), rows  # nothing that was kept is lost
    for _ in sweep(plan(), place, workers=2):
        pass
    print(kills, *rows)

"""A sweep run: every variant of a plan that is not finished yet, its row kept as it finishes.

    for row in sweep(plan, "folder"):
        print(row["variant"], row["level"])

Rows come as variants finish, each on disk before it is given out. Stopped in any way, by Ctrl-C, by
leaving the loop or by a kill, the same call goes on where it was. What a row says does not depend
on threads, order or machines but for its seconds (and, between processors, the last bits).
"""

from __future__ import annotations

import json
import logging
import os
import threading
import time
from collections.abc import Callable, Generator, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from assembly_sim.changes.plan import Plan
from assembly_sim.files.result.rows import text
from assembly_sim.files.result.states import gather, write_states
from assembly_sim.files.result.write import versions
from assembly_sim.files.sweep.columns import columns_of
from assembly_sim.files.sweep.folder import Shard, claim
from assembly_sim.files.sweep.journal import Cells
from assembly_sim.files.sweep.store import LEFT_OUT, Store
from assembly_sim.solver import warm_up
from assembly_sim.studies.sweep.keys import base_sha256, keyed, plan_sha256, version
from assembly_sim.studies.sweep.points import Variant, count
from assembly_sim.studies.sweep.work import Finished, finish

log = logging.getLogger(__name__)
Work = Iterator[tuple[Variant, str]]
AHEAD = 2  # variants handed out for each thread, so that none waits


@dataclass(frozen=True)
class Progress:
    """How far a sweep is: variants done of all, found done at its start, failed; seconds so far."""

    done: int
    total: int
    found: int
    failed: int
    seconds: float

    @property
    def rate(self) -> float:
        """Variants a second of this run."""
        return (self.done - self.found) / self.seconds if self.seconds > 0.0 else 0.0

    @property
    def left(self) -> float:
        """Seconds that the rest takes at this rate; infinite before the first."""
        return (self.total - self.done) / self.rate if self.rate > 0.0 else float("inf")


Watch = Callable[[Progress], None]


def sweep(
    plan: Plan,
    folder: Path | str,
    workers: int | None = None,
    shard: Shard | None = None,
    watch: Watch | None = None,
    client: Any = None,
    retry: bool = False,
) -> Iterator[Cells]:
    """Run what is not finished of a plan, and yield each row as it finishes.

    workers: threads, as many as processors unless said; shard: a part of the variants; client: a
    `dask.distributed` Client, or the address of its scheduler, to run on many machines; retry: run
    again what could not be run. InputError where the folder holds another plan.
    """
    folder, part = Path(folder), shard or Shard()
    columns = columns_of(plan.factors)
    claim(folder, plan)
    with Store(folder, part, columns, provenance(plan, part)) as store:
        if retry:
            store.drop("failed")
        finished, total = _finished(plan, part, store)
        work = (one for one in keyed(plan) if part.holds(one[0].number) and one[1] not in finished)
        began, done, failed = time.monotonic(), len(finished), _failures(store)
        if watch:
            watch(Progress(done, total, done, failed, 0.0))
        running = _running(plan, work, workers or processors(), client)
        with closing(running):  # left early, it stops before the table is closed
            for one in running:
                _keep(one, store, folder)
                done, failed = done + 1, failed + (one.row["status"] == "failed")
                if watch:
                    seconds = time.monotonic() - began
                    watch(Progress(done, total, len(finished), failed, seconds))
                yield one.row
        gather(folder / f"states-{part.stem}.h5", (folder / "states").glob("*.h5"))


def _running(plan: Plan, work: Work, workers: int, client: Any) -> Generator[Finished, None, None]:
    if client is None:
        return by_threads(plan, work, workers)
    from assembly_sim.studies.sweep.cluster import by_client

    return by_client(plan, work, client)


def provenance(plan: Plan, shard: Shard) -> dict[str, Any]:
    """What a table is made of: plan, case, climate, seed, versions, and hashes of all inputs."""
    return {
        **versions(),
        "title": f"Variants of {plan.case.name}",
        "plan": plan.name,
        "method": plan.method,
        "seed": plan.seed,
        "assembly": judged_name(plan),
        "counts": ", ".join(map(str, plan.counts)),
        "variants": count(plan),
        "shard": f"{shard.number}/{shard.of}",
        "sources": version(),
        "base_sha256": base_sha256(plan),
        "plan_sha256": plan_sha256(plan),
        "factors": json.dumps([[one.name, one.kind] for one in plan.factors]),
        "climate_sha256": plan.case.climate.source_sha256,
        "plan_text": plan.text,
        "case_text": plan.case.text,
    }


def judged_name(plan: Plan) -> str:
    """The assembly that is judged, where others run with it; else empty."""
    case = plan.case
    return case.assemblies[plan.assembly].name if len(case.assemblies) > 1 else ""


def processors() -> int:
    """Processors that this process may use."""
    allowed = getattr(os, "sched_getaffinity", None)
    return len(allowed(0)) if allowed else os.cpu_count() or 1


def _finished(plan: Plan, shard: Shard, store: Store) -> tuple[set[str], int]:
    """Keys that need not be run again, and how many variants the shard has; says what is stale."""
    numbers = {key: one.number for one, key in keyed(plan) if shard.holds(one.number)}
    stale = store.renumber(numbers)
    base = base_sha256(plan).encode()
    changed = int((stale["base_sha256"] != base).sum())
    if changed:
        log.warning(
            "%d finished variants rest on another case, material, climate or version: run again",
            changed,
        )
    if len(stale["key"]) > changed:
        log.warning(
            "%d finished variants are not in the plan any more", len(stale["key"]) - changed
        )
    table = store.rows()
    kept = np.flatnonzero(table["variant"] != LEFT_OUT)
    return set(text(table["key"][kept])), len(numbers)


def _failures(store: Store) -> int:
    table = store.rows()
    return int(((table["status"] == b"failed") & (table["variant"] != LEFT_OUT)).sum())


def _keep(one: Finished, store: Store, folder: Path) -> None:
    """The hourly planes first: a row on disk says that all of its variant is."""
    if one.states is not None:
        (folder / "states").mkdir(exist_ok=True)
        write_states(folder / "states" / f"{one.key}.h5", one.key, one.row, one.states)
    store.add(one.row)


def by_threads(plan: Plan, work: Work, workers: int) -> Generator[Finished, None, None]:
    """Variants in threads, in the order in which they finish. Left early, it stops them all."""
    warm_up.ready()
    stop, base = threading.Event(), base_sha256(plan)
    pool, waiting = ThreadPoolExecutor(workers), set[Future[Finished]]()
    try:
        while True:
            while len(waiting) < AHEAD * workers and (one := next(work, None)):
                waiting.add(pool.submit(finish, plan, *one, base, stop.is_set))
            if not waiting:
                return
            done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
            for future in done:
                yield future.result()
    finally:
        stop.set()
        pool.shutdown(wait=True, cancel_futures=True)

"""A sweep on many machines by Dask: batches of variants as tasks of its scheduler.

The plan, with its case and climates, is one task that the others name: it crosses the wire once to
each worker, not once a task, and a scheduler that loses it with a dead worker makes it again. A
batch whose worker dies is given to another by the scheduler; one that takes worker after worker
with it becomes rows that say so.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator
from itertools import islice
from typing import Any

from assembly_sim.changes.factors import Value
from assembly_sim.changes.plan import Plan
from assembly_sim.errors import InputError, Problem
from assembly_sim.studies.sweep.keys import base_sha256
from assembly_sim.studies.sweep.points import Variant, variant_of
from assembly_sim.studies.sweep.work import Finished, finish, not_run

Named = tuple[int, tuple[Value, ...], str]
BATCH = 8  # variants of a task: some 10 s to a minute, so that the scheduler has little to do
AHEAD = 4  # tasks for each thread of the cluster


def by_client(
    plan: Plan, work: Iterator[tuple[Variant, str]], client: Any, batch: int | None = None
) -> Generator[Finished, None, None]:
    """Variants run by a `dask.distributed` Client, or by the scheduler of an address.

    InputError where the extra `cluster` is not installed.
    """
    distributed, batch = _distributed(), batch or BATCH
    if not isinstance(client, str):
        yield from _batches(distributed, plan, work, client, batch)
        return
    with distributed.Client(client) as own:
        yield from _batches(distributed, plan, work, own, batch)


def _distributed() -> Any:
    try:
        import distributed
    except ImportError:
        cure = "install it: pip install 'assembly-sim[cluster]'"
        raise InputError(Problem("a cluster needs the extra 'cluster'", cure)) from None
    return distributed


def _batches(
    distributed: Any, plan: Plan, work: Iterator[tuple[Variant, str]], client: Any, batch: int
) -> Iterator[Finished]:
    base = base_sha256(plan)
    # a task, not data laid out on workers: what dies with a worker is made again
    shared = client.submit(handed_on, plan, key=f"plan-{base}-{id(plan)}", pure=False)
    given: dict[Any, list[tuple[Variant, str]]] = {}
    done = distributed.as_completed()
    try:
        while True:
            threads = max(sum(client.nthreads().values()), 1)
            while len(given) < AHEAD * threads and (some := list(islice(work, batch))):
                task = client.submit(run_batch, shared, named(some), base, pure=False)
                given[task] = some
                done.add(task)
            if not given:
                return
            task = next(done)
            yield from _rows(task, plan, given.pop(task), base)
    finally:
        client.cancel([*given, shared])


def _rows(task: Any, plan: Plan, some: list[tuple[Variant, str]], base: str) -> Iterator[Finished]:
    """What a task brought home; where it brought nothing, rows that say why."""
    if task.status == "finished":
        yield from task.result()
        return
    error = task.exception()
    why = f"its workers died or refused it: {type(error).__name__}: {error}"
    for variant, key in some:
        yield not_run(plan, variant, key, base, why)


def handed_on(plan: Plan) -> Plan:
    """The plan as it is: the task by which workers get it."""
    return plan


def named(some: list[tuple[Variant, str]]) -> list[Named]:
    """Variants by their numbers and values alone: changes may hold whole climates."""
    return [(variant.number, variant.values, key) for variant, key in some]


def run_batch(plan: Plan, some: list[Named], base: str) -> list[Finished]:
    """Run variants one after the other on a worker, their changes made of the plan there."""
    return [
        finish(plan, variant_of(plan, number, values), key, base, never)
        for number, values, key in some
    ]


def never() -> bool:
    """A worker's variants are stopped by their scheduler alone."""
    return False

"""A sweep on a real `dask.distributed` cluster of two processes, one killed in the middle."""

import os
import pickle
import signal
from dataclasses import replace

import pytest

from assembly_sim.changes import Set
from assembly_sim.changes.factors import Choice, Level
from assembly_sim.files.sweep.columns import NOT_RESULTS
from assembly_sim.studies.sweep import cluster
from assembly_sim.studies.sweep.keys import keyed
from assembly_sim.studies.sweep.points import variant_of
from assembly_sim.studies.sweep.run import sweep
from assembly_sim.studies.sweep.table import read_sweep, sweep_table
from tests import synthetic
from tests.studies.sweeps import THICKNESS, small_plan

distributed = pytest.importorskip("distributed")
pytestmark = pytest.mark.filterwarnings("ignore")  # its own, of ports and of what a kill leaves
VARIANTS = 24


def test_a_worker_killed_in_the_middle_loses_nothing(tmp_path, monkeypatch):
    monkeypatch.setattr(cluster, "BATCH", 2)
    plan = small_plan(counts=(VARIANTS,))
    with (
        distributed.LocalCluster(2, threads_per_worker=1, dashboard_address=None) as machines,
        distributed.Client(machines) as client,
    ):
        rows = []
        for row in sweep(plan, tmp_path / "cluster", client=client):
            rows.append(row["variant"])
            if len(rows) == 6:
                process = next(iter(client.run(os.getpid).values()))
                os.kill(process, signal.SIGKILL)
    assert sorted(rows) == list(range(VARIANTS))
    for _ in sweep(plan, tmp_path / "threads"):
        pass
    tables = [
        sweep_table(tmp_path / name).drop(columns=list(NOT_RESULTS))
        for name in ("cluster", "threads")
    ]
    assert tables[0].equals(tables[1])
    assert read_sweep(tmp_path / "cluster").absent == ()


def test_a_task_is_small_whatever_its_case():
    """The case with its weather goes once, by the plan's own task: a batch names it."""
    weather = tuple(
        Level(f"year {n}", (Set("climate", replace(synthetic.climate(), name=f"year {n}")),))
        for n in range(2)
    )
    plan = small_plan(factors=(THICKNESS, Choice("climate", weather)))
    some = list(keyed(plan))[: cluster.BATCH]
    assert len(pickle.dumps(plan)) > 1_000_000
    assert len(pickle.dumps(cluster.named(some))) < 1_000
    for variant, _ in some:
        assert variant_of(plan, variant.number, variant.values) == variant

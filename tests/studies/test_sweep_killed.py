"""`kill -9` at 20 random moments: no row lost, none twice, every file reads, the table the same."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from assembly_sim.files.sweep.columns import NOT_RESULTS
from assembly_sim.studies.sweep.run import sweep
from assembly_sim.studies.sweep.table import read_sweep, sweep_table
from tests.studies.sweep_killed import VARIANTS, plan

TIMES = 20


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork on this system")
def test_killed_at_random_moments_it_ends_as_if_undisturbed(tmp_path):
    script = Path(__file__).with_name("sweep_killed.py")
    command = [sys.executable, str(script), str(tmp_path / "killed"), str(TIMES), "1"]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    kills, *_ = (int(one) for one in done.stdout.split())
    assert kills >= 3  # on a quick machine it may be finished after some
    for _ in sweep(plan(), tmp_path / "whole", workers=1):
        pass
    found = read_sweep(tmp_path / "killed")
    assert found.values["variant"].tolist() == list(range(VARIANTS))
    assert (found.absent, found.stale) == ((), 0)
    tables = [
        sweep_table(tmp_path / name).drop(columns=list(NOT_RESULTS)) for name in ("killed", "whole")
    ]
    assert tables[0].equals(tables[1])
    assert sorted(one.name for one in (tmp_path / "killed").iterdir()) == [
        *("plan.json", "sweep.h5", "sweep.journal")
    ]

"""200 hostile inputs of twelve kinds; `python tests/bench/hostile.py --count 2000` does more."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
COUNT = 200


@pytest.mark.skipif(sys.platform != "linux", reason="forks and limits as Linux has them")
def test_hostile_inputs_break_no_promise() -> None:
    """In a process of its own: a child of it must not start from what other tests left behind."""
    line = [sys.executable, "tests/bench/hostile.py", "--count", str(COUNT), "--seed", "20"]
    done = subprocess.run(line, cwd=ROOT, capture_output=True, text=True, check=True)
    found = json.loads(done.stdout)
    assert found["failures"] == []
    ended = found["exit codes"]
    assert sum(sum(codes.values()) for codes in ended.values()) == COUNT
    for kind in ("generated", "result", "python", "materials", "weather"):  # none is one-sided
        assert ended[kind].get("0", 0) + ended[kind].get("3", 0) > 0, kind
        assert ended[kind]["2"] > 0, kind

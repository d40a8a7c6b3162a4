"""A run interrupted and killed at random moments: what is left, as JSON.

    python tests/bench/faults.py --count 60 [--seed 1]

Promises: Ctrl-C ends with 130, says so and leaves no file; after any signal each file that was
asked for is whole, is as it was before, or is not there; what a killed run leaves else is called
`.part-`. Ctrl-C while the interpreter itself starts or ends is Python's to answer.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from assembly_sim.files.result.read import read_hdf5  # noqa: E402

SIGNALS = (signal.SIGINT, signal.SIGINT, signal.SIGKILL, signal.SIGTERM)


def start(folder: Path) -> subprocess.Popen[bytes]:
    """Start a run of one year that writes all it can, over a result that is there already."""
    case = folder / "case.toml"
    case.write_text(f'base = "{ROOT / "examples" / "rafter_bay_foam.toml"}"\nyears = 1\n')
    (folder / "run.json").write_text('{"old": true}')
    line = [sys.executable, "-m", "assembly_sim.cli", "run", str(case), "--json", "run.json"]
    line += ["--out", "run.h5", "--csv", "tables"]
    return subprocess.Popen(
        line,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )


def judge(folder: Path, code: int, sent: int, said: str) -> list[str]:
    """The promises that were broken."""
    faults = []
    ended, ours = code == 0, "Traceback" not in said or ", in main" in said
    if sent == signal.SIGINT and ours and code not in (0, 130, -signal.SIGINT):
        faults.append(f"ended with {code}")
    if "Traceback" in said and ours:
        faults.append("a trace")
    left = [path.name for path in folder.rglob("*.part-*")]
    if left and sent in (signal.SIGINT,):
        faults.append(f"left {left}")
    summary = json.loads((folder / "run.json").read_text())
    if ended and "old" in summary:
        faults.append("ended well without its summary")
    if (folder / "run.h5").exists():
        read_hdf5(folder / "run.h5")
    tables = folder / "tables"
    for table in tables.glob("*.csv") if tables.exists() else ():
        if ".part-" not in table.name and len(table.read_text().splitlines()) != 8761:
            faults.append(f"{table.name} is not whole")
    known = {"case.toml", "run.json", "run.h5", "tables"}
    return faults + [n.name for n in folder.iterdir() if n.name not in known and n.name not in left]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    chance, failures, codes = random.Random(asked.seed), [], []
    with tempfile.TemporaryDirectory() as name:
        start(Path(name)).communicate()  # compiles, once
        began = time.perf_counter()
        start(Path(name)).communicate()
        lasts = time.perf_counter() - began
    for number in range(asked.count):
        with tempfile.TemporaryDirectory() as name:
            run, sent = start(Path(name)), chance.choice(SIGNALS)
            time.sleep(chance.uniform(0.0, 1.05 * lasts))
            run.send_signal(sent)
            said = run.communicate()[1].decode(errors="replace")
            codes.append(run.returncode)
            if faults := judge(Path(name), run.returncode, sent, said):
                failures.append({"number": number, "signal": sent, "faults": faults, "said": said})
    counted = {str(code): codes.count(code) for code in sorted(set(codes))}
    print(json.dumps({"exit codes": counted, "failures": failures}, indent=1))


if __name__ == "__main__":
    main()

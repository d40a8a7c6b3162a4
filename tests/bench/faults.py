"""Runs that are interrupted, killed, out of space, or served by damaged caches, as JSON.

    python tests/bench/faults.py --count 60 [--seed 1] [--only signals]

signals: at random moments. Ctrl-C ends with 130, says so and leaves no file; after any signal each
file that was asked for is whole, is as it was before, or is not there; what a killed run leaves
else is called `.part-`. Ctrl-C while the interpreter itself starts or ends is Python's to answer.
disk: no file may grow past a random size. Exit 1, the file named, the old one whole, no part left.
caches: a kept climate or kept code is damaged in 20 ways. The run ends as before.
home: nothing can be written where caches lie. The run ends as before.
cold: two runs start at once and nothing is kept. Both end as one alone.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from assembly_sim.files.result.read import read_hdf5  # noqa: E402

SIGNALS = (signal.SIGINT, signal.SIGINT, signal.SIGKILL, signal.SIGTERM)


def start(
    folder: Path, more: dict[str, str] | None = None, largest: int = -1
) -> subprocess.Popen[bytes]:
    """Start a run of one year that writes all it can, over a result that is there already."""
    case = folder / "case.toml"
    case.write_text(f'base = "{ROOT / "examples" / "rafter_bay_foam.toml"}"\nyears = 1\n')
    (folder / "run.json").write_text('{"old": true}')
    line = [sys.executable, "-m", "assembly_sim.cli", "run", str(case), "--json", "run.json"]
    line += ["--out", "run.h5", "--csv", "tables"]

    def limited() -> None:
        signal.signal(signal.SIGINT, signal.default_int_handler)
        if largest >= 0:
            resource.setrlimit(resource.RLIMIT_FSIZE, (largest, resource.RLIM_INFINITY))

    return subprocess.Popen(
        line,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), **(more or {})},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        preexec_fn=limited,
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


def signals(chance: random.Random, count: int) -> list[str]:
    """Runs that a signal meets at a random moment."""
    failures = []
    began = time.perf_counter()
    with tempfile.TemporaryDirectory() as name:
        start(Path(name)).communicate()
    lasts = time.perf_counter() - began
    for number in range(count):
        with tempfile.TemporaryDirectory() as name:
            run, sent = start(Path(name)), chance.choice(SIGNALS)
            time.sleep(chance.uniform(0.0, 1.05 * lasts))
            over = run.poll() is not None
            run.send_signal(sent)
            said = run.communicate()[1].decode(errors="replace")
            found = judge(Path(name), run.returncode, sent, said)
            failures += [f"{number}, signal {sent}: {fault}: {said[-300:]}" for fault in found]
            when = "over before" if over else "met"
            print(number, sent, when, run.returncode, found, file=sys.stderr, flush=True)
    return failures


def disk(chance: random.Random, count: int) -> list[str]:
    """Runs that may write no file past a random size; every second size stops the summary too."""
    failures = []
    for number in range(max(count // 6, 2)):
        size = chance.randrange(100, 20_000 if number % 2 else 2_000_000)
        with tempfile.TemporaryDirectory() as name, tempfile.TemporaryDirectory() as kept:
            run = start(Path(name), {"XDG_CACHE_HOME": kept}, size)
            said = run.communicate()[1].decode(errors="replace")
            left = [path.name for path in Path(name).rglob("*.part-*")]
            named = any(file in said for file in ("run.json", "run.h5", "tables"))
            if run.returncode != 1 or not named or left or "Traceback" in said:
                failures.append(f"{size} bytes: {run.returncode}, left {left}: {said[-300:]}")
            failures += [f"{size} bytes: {fault}" for fault in judge(Path(name), 1, 0, said)]
    return failures


def alike(one: Any, other: Any) -> bool:
    """Whether two runs say the same: code just compiled and code kept differ by some 1e-14."""
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(alike(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(alike, one, other))
    return bool(one == other)


def sound(folder: Path, more: dict[str, str]) -> Any:
    """What a run says of its case where `more` rules its environment; how it ended if not well."""
    run = start(folder, more)
    said = run.communicate()[1].decode(errors="replace")
    told = json.loads((folder / "run.json").read_text())
    return told["assemblies"] if run.returncode == 0 else f"ended with {run.returncode}: {said}"


def spoil(file: Path, way: int, chance: random.Random) -> None:
    """Damage a kept file: emptied, cut, bytes changed or zeroed, longer, gone, a folder, a link."""
    data = bytearray(file.read_bytes())
    at = chance.randrange(len(data))
    file.unlink()
    if way < 5:
        cut, flipped = data[:at], bytes([data[at] ^ 1])
        zeroed = data[:at] + bytes(min(500, len(data) - at)) + data[at + 500 :]
        file.write_bytes((b"", cut, data[:at] + flipped + data[at + 1 :], zeroed, data + b"x")[way])
    elif way == 6:
        file.mkdir()
    elif way == 7:
        file.symlink_to("/dev/zero")
    elif way == 8:
        file.write_bytes(data)
        file.chmod(0o000)
    elif way == 9:
        file.write_bytes(data)
        file.parent.chmod(0o777)


CODE_WAYS = (0, 2, 3, 6)  # compiling takes its time; the others are in `test_start.py`


def caches(chance: random.Random, count: int) -> list[str]:
    """Kept climates damaged in 16 ways, kept code in 4: the run ends as before, with them anew."""
    failures = []
    with tempfile.TemporaryDirectory() as name:
        more = {"XDG_CACHE_HOME": f"{name}/cache", "NUMBA_CACHE_DIR": f"{name}/code"}
        folder = Path(name) / "case"
        folder.mkdir()
        first = sound(folder, more)
        ways = [("*.climate", way % 10) for way in range(16)] + [
            ("*.nb?", way) for way in CODE_WAYS
        ]
        for pattern, way in ways:
            found = sorted(path for path in Path(name).rglob(pattern) if path.is_file())
            if not found:
                failures.append(f"{pattern}, way {way}: nothing was kept")
                continue
            place = chance.choice(found)
            spoil(place, way, chance)
            print(pattern, way, place.name, file=sys.stderr, flush=True)
            if not alike(again := sound(folder, more), first):
                failures.append(f"{pattern}, way {way}, {place.name}: {str(again)[:300]}")
            place.parent.chmod(0o700)
            if place.is_symlink():
                place.unlink()
            shutil.rmtree(place, ignore_errors=True)  # a folder that was put there
            if not place.exists():
                sound(folder, more)
    return failures


def home(chance: random.Random, count: int) -> list[str]:
    """Caches that lie on what is no folder, and in one without the right to write."""
    failures = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "case"
        folder.mkdir()
        first = sound(folder, {})
        (Path(name) / "closed").mkdir(mode=0o500)
        for place in ("/dev/null/cache", "/proc", f"{name}/closed"):
            more = {"HOME": place, "XDG_CACHE_HOME": place, "NUMBA_CACHE_DIR": ""}
            if not alike(again := sound(folder, more), first):
                failures.append(f"{place}: {str(again)[:300]}")
    return failures


def cold(chance: random.Random, count: int) -> list[str]:
    """Two runs that start at once with nothing kept."""
    with tempfile.TemporaryDirectory() as name:
        folders = [Path(name) / one for one in "ab"]
        for folder in folders:
            folder.mkdir()
        more = {"XDG_CACHE_HOME": f"{name}/cache", "NUMBA_CACHE_DIR": f"{name}/code"}
        runs = [start(folder, more) for folder in folders]
        said = [run.communicate()[1].decode(errors="replace") for run in runs]
        told = [
            json.loads((folder / "run.json").read_text()).get("assemblies") for folder in folders
        ]
    same = told[0] is not None and alike(*told)
    return [] if same and all(run.returncode == 0 for run in runs) else said


KINDS = {one.__name__: one for one in (signals, disk, caches, home, cold)}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=list(KINDS), action="append")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        start(Path(name)).communicate()  # compiles, once
    for kind in asked.only or KINDS:
        began = time.perf_counter()
        failures = KINDS[kind](random.Random(f"{asked.seed} {kind}"), asked.count)
        seconds = round(time.perf_counter() - began)
        print(json.dumps({"kind": kind, "seconds": seconds, "failures": failures}, indent=1))
        sys.stdout.flush()


if __name__ == "__main__":
    main()

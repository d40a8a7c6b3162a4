"""Hostile inputs of all kinds, each in a child with limits: what held of it, as JSON.

    python tests/bench/hostile.py --count 2000 [--seed 1] [--kind case] [--out FILE.json]

An example is drawn from its seed, kind and number alone. A child is a fork of this process, in
which all is loaded, and ends as the command would. Promises: exit 0, 1, 2, 3 or 130, never 4 (a
fault of the program) and never a trace; a refusal names the file; what is asked for is written
whole, or not at all where the input is refused; at most 10 s of processor time and 1 GB; nothing
printed steers a terminal, and no message is long.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import resource
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.bench import hostile_inputs as inputs  # noqa: E402
from tests.bench import hostile_studies as studies  # noqa: E402
from tests.bench import hostile_sweeps as sweeps  # noqa: E402

SECONDS, MEMORY, PRINTED = 10, 1 << 30, 20_000
KINDS: dict[str, Callable[[random.Random, Path], inputs.Attempt]] = {
    "case": inputs.mutated_case,
    "generated": inputs.generated_case,
    "materials": inputs.mutated_materials,
    "weather": inputs.mutated_weather,
    "result": inputs.mutated_result,
    "kept": inputs.damaged_kept,
    "python": inputs.impossible_description,
    "house": studies.mutated_house,
    "compare": studies.mutated_comparison,
    "plan": studies.mutated_plan,
    "logger": studies.mutated_logger,
    "sweep": sweeps.mutated_sweep,
}
WEIGHTS = {
    "case": 6,
    "generated": 2,
    "materials": 3,
    "weather": 2,
    "result": 3,
    "kept": 1,
    "python": 3,
    "house": 1,
    "compare": 1,
    "plan": 2,
    "logger": 1,
    "sweep": 3,
}


@dataclass(frozen=True)
class Ending:
    """How a child ended: exit code (negative: a signal), its cost, what it printed."""

    code: int
    seconds: float
    memory: int
    printed: str


def fork(attempt: inputs.Attempt, folder: Path) -> Ending:
    """Let a child make the attempt in `folder`, under limits."""
    log = folder / "printed.log"
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    pid = os.fork()
    if pid == 0:
        _child(attempt, folder, log)
    _, status, usage = os.wait4(pid, 0)
    printed = log.read_bytes()[: 2 * PRINTED].decode("utf-8", "backslashreplace")
    log.unlink()
    seconds = usage.ru_utime + usage.ru_stime
    memory = 1024 * max(usage.ru_maxrss - before, 0)
    return Ending(os.waitstatus_to_exitcode(status), seconds, memory, printed)


def _child(attempt: inputs.Attempt, folder: Path, log: Path) -> None:
    """Never returns."""
    code = 99
    try:
        os.chdir(folder)
        out = os.open(log, os.O_CREAT | os.O_WRONLY)
        os.dup2(out, 1)
        os.dup2(out, 2)
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        signal.alarm(30 * SECONDS)  # where it sleeps for ever
        resource.setrlimit(resource.RLIMIT_CPU, (2 * SECONDS, 2 * SECONDS))
        here = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (here + 3 * MEMORY, here + 3 * MEMORY))
        attempt.act()
        code = 0
    except SystemExit as ended:
        code = ended.code if isinstance(ended.code, int) else 98
    except BaseException:
        import traceback

        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def judge(attempt: inputs.Attempt, ending: Ending, folder: Path) -> list[str]:
    """The promises that were broken."""
    faults = []
    if ending.code not in (0, 1, 2, 3, 130):
        faults.append(f"ended with {ending.code}")
    if "Traceback" in ending.printed:
        faults.append("a trace")
    if ending.code == 2 and not any(name in ending.printed for name in attempt.named.split("|")):
        faults.append("the file is not named")
    if ending.seconds > SECONDS * attempt.years:
        faults.append(f"took {ending.seconds:.1f} s")
    if ending.memory > MEMORY:
        faults.append(f"took {ending.memory / 1e6:.0f} MB")
    if ending.code == 2 and len(ending.printed) > PRINTED:
        faults.append("a long message")
    if not ending.printed.replace("\n", "").isprintable():
        faults.append("steers the terminal")
    there = {path.name for path in folder.iterdir()}
    wanted = set(attempt.outputs) if ending.code in (0, 3) else set()
    if there - set(attempt.given) != wanted:
        faults.append(f"left {sorted(there - set(attempt.given))}, wanted {sorted(wanted)}")
    return faults


def one(kind: str, seed: int, number: int) -> tuple[int, list[str], str, float]:
    """Exit code, broken promises, print and processor time of one example."""
    chance = random.Random(f"{seed} {kind} {number}")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        attempt = KINDS[kind](chance, folder)
        given = tuple(path.name for path in folder.iterdir())
        attempt = inputs.with_given(attempt, given)
        ending = fork(attempt, folder)
        faults = judge(attempt, ending, folder)
        return ending.code, faults, ending.printed, ending.seconds


def run(count: int, seed: int, kinds: list[str]) -> dict[str, object]:
    """Try `count` examples of these kinds; the summary that is printed."""
    inputs.load()
    failures: list[dict[str, object]] = []
    spent: Counter[str] = Counter()
    codes: dict[str, Counter[str]] = {kind: Counter() for kind in kinds}
    order = [kind for kind in kinds for _ in range(WEIGHTS[kind])]
    began = time.perf_counter()
    for number in range(count):
        kind = order[number % len(order)]
        code, faults, printed, seconds = one(kind, seed, number)
        spent[kind] += seconds
        codes[kind][str(code)] += 1
        if faults:
            failures.append(
                {"kind": kind, "seed": seed, "number": number, "faults": faults}
                | {"end": printed[-600:]}
            )
            print(kind, number, faults, printed[-600:], file=sys.stderr, flush=True)
    return {
        "examples": count,
        "seed": seed,
        "failed": len(failures),
        "minutes": round((time.perf_counter() - began) / 60.0, 1),
        "exit codes": {kind: dict(sorted(counted.items())) for kind, counted in codes.items()},
        "seconds": {kind: round(seconds, 1) for kind, seconds in spent.items()},
        "failures": failures,
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kind", choices=list(KINDS), action="append")
    parser.add_argument("--out", type=Path)
    asked = parser.parse_args()
    found = run(asked.count, asked.seed, asked.kind or list(KINDS))
    text = json.dumps(found, indent=1)
    print(text)
    if asked.out:
        asked.out.write_text(text + "\n")
    sys.exit(1 if found["failed"] else 0)


if __name__ == "__main__":
    main()

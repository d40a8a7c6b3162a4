"""Random walls in weeks of shipped climates: what share kept every promise, as JSON.

    python tests/bench/properties.py --count 5000 [--seed 1] [--out tests/bench/properties.json]

Every example runs, failed or not; failures are written out in full, ready for `judge(...)`.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from hypothesis import HealthCheck, Phase, given, seed, settings  # noqa: E402

from tests.solver.random_walls import Wall, judge, judge_heat, walls  # noqa: E402


def run(count: int, number: int) -> dict[str, object]:
    """Judge `count` walls drawn from seed `number`; the summary that is printed."""
    failures: list[dict[str, object]] = []
    tried = [0]

    @seed(number)
    @settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(walls())
    def each(wall: Wall) -> None:
        tried[0] += 1
        try:
            faults = judge(wall) + judge_heat(wall)
        except Exception as error:
            faults = [repr(error)]
        if faults:
            failures.append({"faults": faults, "wall": repr(wall)})
            print(faults, wall, file=sys.stderr, flush=True)

    started = time.perf_counter()
    each()
    return {
        "examples": tried[0],
        "seed": number,
        "failed": len(failures),
        "minutes": round((time.perf_counter() - started) / 60.0, 1),
        "failures": failures,
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path)
    asked = parser.parse_args()
    found = run(asked.count, asked.seed)
    text = json.dumps(found, indent=1)
    print(text)
    if asked.out:
        asked.out.write_text(text + "\n")
    sys.exit(1 if found["failed"] else 0)


if __name__ == "__main__":
    main()

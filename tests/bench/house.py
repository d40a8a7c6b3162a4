"""How fast a house marches, as JSON.

    python tests/bench/house.py

A house of the trade's materials in the cold inland climate: an attic between two slopes, two
gables, a floor and a stair's wall, each with a path of its own through its wood, and ten ways for
air. Processor time of the thread that marches, everything compiled beforehand; the least of
`--times` runs of `--years` years. `statistics` tell where it goes: Newton's iterations and what
each costs.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from assembly_sim.files.case.read import read_case  # noqa: E402
from assembly_sim.files.material.read import load  # noqa: E402
from assembly_sim.model import Bridge, Case, Layer  # noqa: E402
from assembly_sim.solver import warm_up  # noqa: E402
from assembly_sim.solver.house import house_march  # noqa: E402
from assembly_sim.solver.kernel import numbers  # noqa: E402
from assembly_sim.solver.march import Nature  # noqa: E402


def six_of_two_paths() -> Case:
    """The cold attic of the examples; slopes, gables and hatch get a path through their wood."""
    case = read_case(ROOT / "examples" / "cold_attic.toml")
    spruce = load()["spruce"]

    def framed(layer):
        if not isinstance(layer, Layer) or layer.bridges:
            return layer
        return replace(layer, bridges=(Bridge("framing", 0.1, spruce),))

    parts = [
        one
        if any(getattr(layer, "bridges", ()) for layer in one.layers)
        else replace(one, layers=(*one.layers[:-1], framed(one.layers[-1])))
        for one in case.assemblies
    ]
    return replace(case, assemblies=tuple(parts), ducts=())


def measured(years: int, times: int) -> dict[str, object]:
    case = six_of_two_paths()
    began = time.thread_time()
    house = house_march(case)
    prepared = time.thread_time() - began
    warm_up.ready(warm_up.ZONES)
    house.march(24, None, Nature(), False, 1.0, None)
    found, seconds = None, []
    for _ in range(times):
        began = time.thread_time()
        found = house.march(years * case.climate.hours, None, Nature(), False, 1.0, None)
        seconds.append(time.thread_time() - began)
    assert found is not None
    assert found.code == numbers.COMPLETED
    return {
        "zones": len(case.zones),
        "assemblies": len(case.assemblies),
        "paths": len(house.paths),
        "openings": len(case.openings),
        "nodes": len(found.mesh.depth),
        "years": years,
        "seconds_to_prepare": prepared,
        "seconds": min(seconds),
        "all_seconds": seconds,
        "microseconds_an_iteration": 1e6 * min(seconds) / found.statistics["iterations"],
        "statistics": found.statistics,
        "heat_balance_error": found.heat_balance_error,
        "state_defect": found.state_defect,
        "load_average": os.getloadavg()[0],
    }


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--years", type=int, default=3)
    asked.add_argument("--times", type=int, default=1)
    given = asked.parse_args()
    print(json.dumps(measured(given.years, given.times), indent=2))

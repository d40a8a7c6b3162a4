"""A made sweep for the page: names that would be code, runs that failed, no run of the solver."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from assembly_sim.changes import Set
from assembly_sim.changes.factors import Choice, Level, Range
from assembly_sim.changes.laws import Law
from assembly_sim.files.sweep.columns import columns_of
from assembly_sim.studies.sweep.table import Sweep, of_rows
from assembly_sim.verdict.rules import LEVELS
from tests.studies.sweeps import THICKNESS, WALL

EVIL = "<script>alert(1)</script>"
HUMIDITY = Range("humidity", (Set((*WALL, "emittance"), 0.5),), Law("uniform", 0.2, 0.6))
KIND = Choice(f"kind {EVIL}".replace("/", "|"), (Level(EVIL, ()), Level("$b_1$", ())))
FACTORS = (THICKNESS, HUMIDITY, KIND)
NAMES = [one.name for one in FACTORS]


def sweep_of(points: np.ndarray, method: str, failed: int = 0) -> Sweep:
    """A sweep whose moisture is thin, humid and of the second kind; the first ones failed."""
    found = []
    for number, point in enumerate(points):
        at = [one.at(float(u)) for one, u in zip(FACTORS, point)]
        wet = float(1.5 - point[0] + point[1] + 0.3 * (point[2] > 0.5))
        told = {"variant": number, "status": "ok", "rank": float(min(max(int(2 * wet), 0), 4))}
        told |= {"level": LEVELS[int(told["rank"])], "nearest_limit_last_year": wet}
        told |= {"annual_heat_loss_total_kwh_m2": float(30 - 10 * point[0])}
        if number < failed:
            told |= {"status": "not converged", "reason": EVIL, "level": "", "rank": np.nan}
            told |= {"nearest_limit_last_year": 1e9, "annual_heat_loss_total_kwh_m2": -1e9}
        found.append(told | {one.name: level.value for one, level in zip(FACTORS, at)})
    columns = list(columns_of(FACTORS))
    made = of_rows(found, columns, {one.name: one.kind for one in FACTORS})
    told = {"plan": f"plan {EVIL}", "title": "Variants of a wall", "method": method, "seed": 1}
    return replace(made, about={**told, "variants": len(points), "plan_text": EVIL})

"""Where, over two factors, variants pass a limit: a map of shares, cells of even counts."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.report.page.content import Absent, Cell, Column, DataTable, Figure
from assembly_sim.report.page.plots import Area, Map
from assembly_sim.report.sweep.words import factor_values, number, short
from assembly_sim.studies.sweep.questions import Answers, judged
from assembly_sim.studies.sweep.table import Sweep
from assembly_sim.verdict.rules import PAST

TITLE = "Where variants are not proven dry"
STEPS = (
    (0, "none"),
    (1, "to a quarter"),
    (2, "to a half"),
    (3, "more than half"),
    (4, "all"),
)
MOST_CELLS = 16
Array = NDArray[Any]


def region_factors(answers: Answers) -> tuple[str, str] | None:
    """The two factors of numbers that move moisture most; None where there are not two."""
    sweep = answers.sweep
    swings = {one.factor: one.swing for one in answers.effects[-1].main}
    numbers = [name for name in sweep.factors if sweep.column(name).dtype.kind in "if"]
    numbers = [name for name in numbers if len(np.unique(sweep.column(name))) > 1]
    ordered = sorted(numbers, key=lambda name: -swings.get(name, 0.0))
    return (ordered[0], ordered[1]) if len(ordered) > 1 else None


def region_map(answers: Answers, system: str) -> Figure | Absent:
    """Share of the variants that pass a limit or have no verdict, over two factors."""
    pair = region_factors(answers)
    if pair is None:
        return Absent(TITLE, "there are not two factors of numbers")
    sweep = answers.sweep
    (x, across), (y, up) = (factor_values(sweep, name, sweep.column(name), system) for name in pair)
    edges = [edges_of(x, len(sweep)), edges_of(y, len(sweep))]
    counted, wet = shares(sweep, x, y, edges)
    areas, rows = list[Area](), list[tuple[Cell, ...]]()
    for i, j in np.argwhere(counted > 0):
        share = wet[i, j] / counted[i, j]
        box = [float(edge) for edge in (*edges[0][i : i + 2], *edges[1][j : j + 2])]
        areas.append(Area(box[0], box[1], box[2], box[3], step_of(float(share))))
        rows.append((*map(number, box), int(counted[i, j]), 100.0 * float(share)))
    heads = (f"{across}: from", "to", f"{up}: from", "to")
    columns = (*map(Column, heads), Column("variants", 0), Column("not proven dry, %", 0))
    return Figure(
        "regions",
        TITLE,
        says_of(counted, wet),
        f"Over {short(pair[0])} and {short(pair[1])}, all other factors varying: the share of the "
        "variants of a cell that pass a limit, keep getting wetter or have no verdict. Hatched: no "
        "variant lies there.",
        Map(across, up, _bounds(edges), tuple(areas), (), STEPS),
        DataTable("regions", TITLE, columns, tuple(rows)),
    )


def shares(sweep: Sweep, x: Array, y: Array, edges: list[Array]) -> tuple[Array, Array]:
    """Variants in each cell, and those of them that are not proven dry."""
    dry = judged(sweep) & (sweep.number("rank") < PAST)
    counted = np.histogram2d(x, y, edges)[0]
    return counted, np.histogram2d(x[~dry], y[~dry], edges)[0]


def edges_of(values: Array, rows: int) -> Array:
    """Edges of cells: about each value where there are few, else at even shares of the rows."""
    different = np.unique(values)
    if len(different) <= MOST_CELLS:
        middles = 0.5 * (different[1:] + different[:-1])
        first = different[0] - (middles[0] - different[0])
        return np.array([first, *middles, 2.0 * different[-1] - middles[-1]])
    cells = int(np.clip(np.sqrt(rows / 10.0), 2, MOST_CELLS))  # some ten variants in each
    return np.unique(np.quantile(values, np.linspace(0.0, 1.0, cells + 1)))


def step_of(share: float) -> int:
    """Step of the scale: 0 none, 4 all."""
    if share in (0.0, 1.0):
        return 4 if share else 0
    return 1 if share <= 0.25 else 2 if share <= 0.5 else 3


def says_of(counted: Array, wet: Array) -> str:
    """In how many cells all variants are proven dry, in a sentence."""
    some = counted > 0
    dry, all_wet = int((some & (wet == 0)).sum()), int((some & (wet == counted)).sum())
    return (
        f"Of {int(some.sum())} cells {dry} hold no variant that passes a limit or lacks a verdict, "
        f"{all_wet} hold no other."
    )


def _bounds(edges: list[Array]) -> tuple[float, float, float, float]:
    x, y = edges
    return float(x[0]), float(x[-1]), float(y[0]), float(y[-1])

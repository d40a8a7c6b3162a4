"""Where, over two factors, variants pass a limit: a map of shares, cells of even counts."""

from __future__ import annotations

from collections.abc import Iterator
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
MOST_MAPS = 4
Array = NDArray[Any]


def region_factors(answers: Answers) -> tuple[str, str] | None:
    """The two factors of numbers that move moisture most; None where there are not two."""
    sweep = answers.sweep
    swings = {one.factor: one.swing for one in answers.effects[-1].main}
    numbers = [name for name in sweep.factors if sweep.column(name).dtype.kind in "if"]
    numbers = [name for name in numbers if len(np.unique(sweep.column(name))) > 1]
    ordered = sorted(numbers, key=lambda name: -swings.get(name, 0.0))
    return (ordered[0], ordered[1]) if len(ordered) > 1 else None


def parting(answers: Answers) -> str | None:
    """The factor of options that moves moisture most, if by half as much as any at all.

    A map of both climates at once would show where one of them is dry, and not that it is.
    """
    sweep = answers.sweep
    swings = {one.factor: one.swing for one in answers.effects[-1].main}
    most = max(swings.values(), default=0.0)
    choices = [
        name
        for name in swings
        if sweep.column(name).dtype.kind in "OU"
        and 2 <= len(set(sweep.column(name))) <= MOST_MAPS
        and swings[name] >= 0.5 * most > 0.0
    ]
    return max(choices, key=lambda name: swings[name], default=None)


def region_maps(answers: Answers, system: str) -> Iterator[Figure | Absent]:
    """Maps over the two factors of numbers that move moisture most: one, or one an option."""
    sweep, pair, by = answers.sweep, region_factors(answers), parting(answers)
    if pair is None:
        yield Absent(TITLE, "there are not two factors of numbers")
        return
    if by is None:
        yield region_map(sweep, pair, np.ones(len(sweep), dtype=bool), "", "regions", system)
        return
    options = sweep.column(by).astype(str)
    for at, option in enumerate(np.unique(options)):
        where = f", {short(by)} {short(option)}"
        yield region_map(sweep, pair, options == option, where, f"regions-{at}", system)


def region_map(
    sweep: Sweep, pair: tuple[str, str], rows: Array, where: str, name: str, system: str
) -> Figure:
    """Share of the variants of some rows that pass a limit or have no verdict, over two factors."""
    (x, across), (y, up) = (factor_values(sweep, one, sweep.column(one), system) for one in pair)
    count = int(rows.sum())
    edges = [edges_of(x[rows], count), edges_of(y[rows], count)]
    counted, wet = shares(sweep, x, y, edges, rows)
    areas, cells = list[Area](), list[tuple[Cell, ...]]()
    for i, j in np.argwhere(counted > 0):
        share = wet[i, j] / counted[i, j]
        box = [float(edge) for edge in (*edges[0][i : i + 2], *edges[1][j : j + 2])]
        areas.append(Area(box[0], box[1], box[2], box[3], step_of(float(share))))
        cells.append((*map(number, box), int(counted[i, j]), 100.0 * float(share)))
    heads = (f"{across}: from", "to", f"{up}: from", "to")
    columns = (*map(Column, heads), Column("variants", 0), Column("not proven dry, %", 0))
    title = TITLE + where
    return Figure(
        name,
        title,
        says_of(counted, wet),
        f"Over {short(pair[0])} and {short(pair[1])}{where}, all other factors varying: the share "
        "of the variants of a cell that pass a limit, keep getting wetter or have no verdict. "
        "Hatched: no variant lies there.",
        Map(across, up, _bounds(edges), tuple(areas), (), STEPS),
        DataTable(name.replace("-", "_"), title, columns, tuple(cells)),
    )


def shares(
    sweep: Sweep, x: Array, y: Array, edges: list[Array], rows: Array
) -> tuple[Array, Array]:
    """Variants of these rows in each cell, and those of them that are not proven dry."""
    wet = rows & ~(judged(sweep) & (sweep.number("rank") < PAST))
    counted = np.histogram2d(x[rows], y[rows], edges)[0]
    return counted, np.histogram2d(x[wet], y[wet], edges)[0]


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

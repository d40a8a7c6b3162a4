"""Figures of a sweep as the page's own: the front, what matters, responses, regions.

Each is a drawing as data, a sentence that is computed, and a table of the same numbers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.report.page.content import Absent, Cell, Column, DataTable, Figure
from assembly_sim.report.page.plots import Bars, Curves, Panel, Part, Series, Spot, Spots
from assembly_sim.report.page.sweep_plots import SHAPES, Cloud, Swarm, Swing, Swings
from assembly_sim.report.sweep.words import axis, factor_values, number, short, told
from assembly_sim.studies.sweep.questions import Answers, Effects, judged
from assembly_sim.studies.sweep.sensitivity import MainEffect
from assembly_sim.studies.sweep.table import Sweep
from assembly_sim.verdict.rules import LEVELS, PAST
from assembly_sim.words.figures import percent

ROLES = ("three", "four", "two", "five", "one")  # driest to wettest
MOST_FACTORS = 12  # drawn
MOST_RESPONSES = 6
MOST_POINTS = 3000
Array = NDArray[Any]
Drawn = Figure | Absent


def cloud(answers: Answers, system: str) -> Drawn:
    """Every judged variant by energy and moisture, by level, with the front as a line."""
    sweep, title = answers.sweep, "Heat against moisture"
    x, y = (sweep.number(name) for name in (answers.energy, answers.moisture))
    known = judged(sweep) & np.isfinite(x) & np.isfinite(y)
    if not known.any():
        return Absent(title, "no variant has a verdict and both numbers")
    rank, front = sweep.number("rank"), answers.front
    shown = known & (np.arange(len(x)) % (1 + known.sum() // MOST_POINTS) == 0)
    shown[front] = True
    swarms = tuple(
        Swarm(f"{level} ({int((known & (rank == at)).sum())})", x[which], y[which], role, shape)
        for at, (level, role, shape) in enumerate(zip(LEVELS, ROLES, SHAPES))
        if (which := shown & (rank == at)).any()
    )
    bounds = (*_ends(x[known]), *_ends(y[known]))
    across, up = axis(sweep, answers.energy), axis(sweep, answers.moisture)
    plot = Cloud(across, up, bounds, swarms, (x[front], y[front]), "front" if len(front) else "")
    reading = (
        "A point is a variant, its shape and colour the level of its verdict. The line joins those "
        "that no other beats in both; further left is less heat, further down is drier."
        f" It is of those that keep {' and '.join(answers.limits)}."
    )
    if not shown[known].all():
        reading += f" Of {known.sum()} points every {1 + known.sum() // MOST_POINTS}. is drawn."
    left = len(sweep) - int(known.sum())
    reading += f" Not drawn, without a verdict or a number: {left}." if left else ""
    count = len(front)
    says = f"{count} variant{'s' if count > 1 else ''} that no other beats in both."
    if not count:
        says = "No variant keeps what was asked, so there is no front."
    return Figure("front", title, says, reading, plot, front_table(answers, system))


def standing(answers: Answers) -> str:
    """How many variants stay within their limits, in a sentence."""
    sweep = answers.sweep
    dry = int((judged(sweep) & (sweep.number("rank") < PAST)).sum())
    text = f"{dry} of {len(sweep)} variants stay within their limits"
    bad = len(sweep) - dry - answers.unjudged
    text += f", {bad} pass one" if bad else ""
    return text + (f", {answers.unjudged} have no verdict." if answers.unjudged else ".")


def front_table(answers: Answers, system: str) -> DataTable:
    """The variants of the front."""
    return rows_table("front", "The front", answers, answers.front, system)


def rows_table(
    name: str, title: str, answers: Answers, rows: Sequence[int] | Array, system: str
) -> DataTable:
    """Variants with their factors, level and what is asked."""
    sweep, what = answers.sweep, (answers.energy, answers.moisture)
    heads = ("variant", *sweep.factors, "level", *(axis(sweep, one) for one in what))
    cells = tuple(
        (
            str(sweep.column("variant")[row]),
            *(told(sweep.kinds[one], sweep.column(one)[row], system) for one in sweep.factors),
            str(sweep.column("level")[row] or sweep.column("status")[row]),
            *(number(float(sweep.number(one)[row])) for one in what),
        )
        for row in rows
    )
    return DataTable(name, title, tuple(map(Column, heads)), cells)


def effect_figures(answers: Answers, at: int, system: str) -> Iterator[Drawn]:
    """What one response hangs on."""
    found = answers.effects[at]
    what = short(found.response)
    if found.refused:
        yield Absent(f"What {what} hangs on", found.refused.rstrip("."))
    if found.main:
        yield tornado(found, at)
        ordered = sorted(found.main, key=lambda one: -one.swing)[:MOST_RESPONSES]
        for place, one in enumerate(ordered):
            yield response(answers.sweep, found, one, f"response-{at}-{place}", system)
    if found.indices:
        yield index_bars(found, at)
    if found.elementary:
        yield elementary(found, at)


def tornado(found: Effects, at: int) -> Figure:
    """How far the mean response swings over each factor, largest on top."""
    what = short(found.response)
    ordered = sorted(found.main, key=lambda one: -one.swing)
    bars = tuple(
        Swing(
            short(one.factor), min(one.means), max(one.means), f"{percent(one.share)} of variance"
        )
        for one in ordered[:MOST_FACTORS]
    )
    first = ordered[0]
    says = (
        f"{what[:1].upper()}{what[1:]} swings most over {short(first.factor)}: in the mean from "
        f"{number(min(first.means))} to {number(max(first.means))}."
        if first.swing > 0.0
        else f"{what[:1].upper()}{what[1:]} does not change with any factor."
    )
    reading = (
        "A bar runs from the lowest to the highest mean over groups of a factor's values, all "
        "other factors varying; beside it the share of the variance that these means explain."
    )
    rows = tuple(
        (one.factor, number(min(one.means)), number(max(one.means)), 100.0 * one.share)
        for one in ordered
    )
    heads = (Column("factor"), Column("lowest mean"), Column("highest mean"))
    table = DataTable(
        f"tornado_{at}", f"Means of {what}", (*heads, Column("of variance, %", 0)), rows
    )
    plot = Swings(f"mean {what}", bars)
    return Figure(
        f"tornado-{at}", f"What {what} hangs on", says, reading + left(found), plot, table
    )


def left(found: Effects) -> str:
    """What a figure leaves out, in words."""
    if not found.left_out:
        return ""
    return f" {found.left_out} variants without a number, or not run to their end, are left out."


def response(sweep: Sweep, found: Effects, one: MainEffect, name: str, system: str) -> Figure:
    """The mean response along one factor."""
    what = short(found.response)
    at, label = factor_values(sweep, one.factor, np.array(one.at), system)
    means = np.array(one.means)
    names = [str(value) if at.dtype.kind in "OU" else number(float(value)) for value in at]
    plot: Any
    if at.dtype.kind in "OU":
        parts = (Part(f"mean {what}", tuple(one.means), "moist"),)
        plot = Bars(f"mean {what}", tuple(short(each) for each in names), parts)
    else:
        line = Series("", at.astype(float), means, "moist")
        plot = Curves((Panel(f"mean {what}, over {label}", (line,)),), round_ticks(line.x))
    low, high = int(means.argmin()), int(means.argmax())
    says = f"Lowest, {number(means[low])}, at {names[low]}; highest, {number(means[high])}, "
    columns = (Column(label), Column(f"mean {what}"))
    rows = tuple(zip(names, map(number, one.means)))
    return Figure(
        name,
        f"{what[:1].upper()}{what[1:]} over {short(one.factor)}",
        f"{says}at {names[high]}.",
        "The mean over all variants of a group of this factor's values." + left(found),
        plot,
        DataTable(name.replace("-", "_"), f"{what} over {label}", columns, rows),
    )


def round_ticks(values: Array) -> tuple[tuple[float, str], ...]:
    """Some round values among these, with what is written at them."""
    from matplotlib.ticker import MaxNLocator

    low, high = float(values.min()), float(values.max())
    found = MaxNLocator(6).tick_values(low, high)
    return tuple((float(at), f"{at:.10g}") for at in found if low <= at <= high)


def index_bars(found: Effects, at: int) -> Figure:
    """Sobol' indices, first order and total, with intervals."""
    what = short(found.response)
    ordered = sorted(found.indices, key=lambda one: -one.total)
    bars = tuple(
        Swing(
            short(one.factor),
            0.0,
            getattr(one, kind),
            f"{getattr(one, kind):.2f} {kind if kind == 'total' else 'first order'}",
            "moist" if kind == "total" else "between",
            getattr(one, f"{kind}_ends"),
        )
        for one in ordered[:MOST_FACTORS]
        for kind in ("first", "total")
    )
    columns: list[Column] = [Column("factor")]
    for kind in ("first order", "total"):
        columns += [Column(f"{kind}{more}", 3) for more in ("", ", low", ", high")]
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (one.factor, one.first, *one.first_ends, one.total, *one.total_ends) for one in ordered
    )
    return Figure(
        f"indices-{at}",
        f"Shares of the variance of {what}",
        f"{short(ordered[0].factor)} carries most of it in total, {ordered[0].total:.2f}.",
        "Sobol' indices. First order: what a factor carries by itself; total: with all in which it "
        "has a part. Lines: intervals of 95 % by bootstrap.",
        Swings(f"index of {what}", bars),
        DataTable(f"indices_{at}", f"Sobol' indices of {what}", tuple(columns), rows),
    )


def elementary(found: Effects, at: int) -> Figure:
    """Morris: mean absolute effect against spread."""
    what = short(found.response)
    ordered = sorted(found.elementary, key=lambda one: -one.absolute)
    x, y = (np.array([getattr(one, name) for one in ordered]) for name in ("absolute", "spread"))
    most = 1.08 * float(x.max()) or 1.0
    y = np.nan_to_num(y, nan=0.0)  # of one trajectory there is no spread: the table says so
    spots = tuple(Spot(a, b, str(n)) for n, (a, b) in enumerate(zip(x.tolist(), y.tolist()), 1))
    rows = tuple(
        (one.factor, number(one.absolute), number(one.mean), number(one.spread)) for one in ordered
    )
    heads = ("factor", "mean absolute effect", "mean effect", "spread")
    return Figure(
        f"elementary-{at}",
        f"Effects on {what}",
        f"{short(ordered[0].factor)} has the largest effect.",
        "Elementary effects of Morris over a factor's whole range. To the right: it matters; up: "
        "its effect is curved, or depends on other factors.",
        Spots(
            across="mean absolute effect",
            up="spread of effects",
            bounds=(0.0, most, 0.0, max(1.08 * float(y.max()), 0.1 * most)),
            spots=spots,
            keys=tuple((str(n), short(one.factor)) for n, one in enumerate(ordered, 1)),
        ),
        DataTable(f"elementary_{at}", f"Effects on {what}", tuple(map(Column, heads)), rows),
    )


def _ends(values: Array) -> tuple[float, float]:
    """Bounds with some room about what is drawn."""
    low, high = float(values.min()), float(values.max())
    room = 0.05 * (high - low) or 0.05 * abs(high) or 1.0
    return low - room, high + room

"""Figures of a sweep, as matplotlib figures: the front, what matters, responses, regions.

Each tells one thing and stands beside a table that says the same. Colours are those of a palette
that people with weak colour vision tell apart; levels have markers of their own too.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.report.sweep.words import axis, factor_values, short
from assembly_sim.studies.sweep.questions import Answers, Effects
from assembly_sim.studies.sweep.table import Sweep
from assembly_sim.verdict.rules import LEVELS

COLOURS = ("#1845fb", "#578dff", "#86c8dd", "#ff5e02", "#c91f16")  # driest to wettest
MARKERS = ("o", "s", "^", "D", "X")
MOST_FACTORS = 12  # drawn
Array = NDArray[Any]


def figures(answers: Answers, system: str) -> Iterator[tuple[str, str, Any]]:
    """Name, caption and figure of each that the sweep has enough for."""
    yield "front", *scatter(answers)
    for number, found in enumerate(answers.effects, start=1):
        if found.main:
            yield f"tornado_{number}", *tornado(found)
            yield f"response_{number}", *responses(answers.sweep, found, system)
        if found.indices:
            yield f"indices_{number}", *index_bars(found)
        if found.elementary:
            yield f"elementary_{number}", *elementary(found)
    pair = region_factors(answers)
    if pair is not None:
        yield "regions", *regions(answers.sweep, pair, system)


def _figure(width: float = 7.0, height: float = 4.6) -> Any:
    from matplotlib.figure import Figure

    return Figure(figsize=(width, height), layout="constrained")


def scatter(answers: Answers) -> tuple[str, Any]:
    """Every variant by energy and moisture, coloured by level, with the front as a line."""
    sweep, figure = answers.sweep, _figure()
    axes = figure.add_subplot()
    x, y, rank = (sweep.number(name) for name in (answers.energy, answers.moisture, "rank"))
    for place, level in enumerate(LEVELS):
        which = rank == place
        if which.any():
            look = {"c": COLOURS[place], "marker": MARKERS[place], "s": 14, "alpha": 0.6}
            axes.scatter(x[which], y[which], label=f"{level} ({which.sum()})", **look)
    axes.plot(x[answers.front], y[answers.front], "k-", lw=1.2, label="front")
    axes.set(xlabel=axis(sweep, answers.energy), ylabel=axis(sweep, answers.moisture))
    axes.legend(fontsize=8)
    return "Every variant by energy and moisture; the line joins those that none beats both ways", (
        figure
    )


def tornado(found: Effects) -> tuple[str, Any]:
    """How far the mean response swings over each factor, largest on top."""
    ordered = sorted(found.main, key=lambda one: one.swing)[-MOST_FACTORS:]
    figure = _figure(height=1.2 + 0.4 * len(ordered))
    axes = figure.add_subplot()
    for row, one in enumerate(ordered):
        axes.barh(row, one.swing, left=min(one.means), color=COLOURS[1])
        axes.text(max(one.means), row, f" {one.share:.0%} of variance", va="center", fontsize=8)
    axes.set_yticks(range(len(ordered)), [short(one.factor) for one in ordered])
    axes.use_sticky_edges = False
    axes.margins(x=0.25)
    axes.set_xlabel(f"mean {short(found.response)}, from its lowest to its highest group")
    return f"What {short(found.response)} hangs on: the swing of its mean over each factor", figure


def responses(sweep: Sweep, found: Effects, system: str) -> tuple[str, Any]:
    """The mean response along each factor, all others varying."""
    shown = sorted(found.main, key=lambda one: -one.swing)[:6]
    columns = min(len(shown), 3)
    rows = -(-len(shown) // columns)
    figure = _figure(3.2 * columns, 2.7 * rows)
    for number, one in enumerate(shown, start=1):
        axes = figure.add_subplot(rows, columns, number)
        at, label = factor_values(sweep, one.factor, np.array(one.at), system)
        if at.dtype.kind in "OU":
            axes.plot(range(len(at)), one.means, "o", color=COLOURS[0])
            axes.set_xticks(range(len(at)), [short(str(name)) for name in at], fontsize=8)
            axes.margins(x=0.3)
        else:
            axes.plot(at, one.means, "o-", color=COLOURS[0])
        axes.set_xlabel(label)
    _same_height(figure, shown)
    figure.supylabel(f"mean {short(found.response)}", fontsize=9)
    return f"Mean {short(found.response)} along each factor, all else varying", figure


def _same_height(figure: Any, shown: list[Any]) -> None:
    """One scale for all, so that slopes compare."""
    low = min(min(one.means) for one in shown)
    high = max(max(one.means) for one in shown)
    room = 0.05 * (high - low) or 1.0
    for axes in figure.axes:
        axes.set_ylim(low - room, high + room)


def index_bars(found: Effects) -> tuple[str, Any]:
    """Sobol' indices, first order and total, with intervals."""
    figure = _figure(height=1.4 + 0.5 * len(found.indices))
    axes = figure.add_subplot()
    rows = np.arange(len(found.indices))
    for shift, name, colour in ((0.18, "first", COLOURS[0]), (-0.18, "total", COLOURS[3])):
        values = np.array([getattr(one, name) for one in found.indices])
        ends = np.array([getattr(one, f"{name}_ends") for one in found.indices]).T
        gaps = np.abs(ends - values)
        axes.barh(rows + shift, values, 0.34, xerr=gaps, color=colour, label=name)
    axes.set_yticks(rows, [short(one.factor) for one in found.indices])
    axes.set_xlabel(f"Sobol' index of {short(found.response)}")
    axes.legend()
    return f"Shares of the variance of {short(found.response)}, with intervals of 95 %", figure


def elementary(found: Effects) -> tuple[str, Any]:
    """Morris: mean absolute effect against spread."""
    figure = _figure()
    axes = figure.add_subplot()
    for one in found.elementary:
        axes.plot(one.absolute, one.spread, "o", color=COLOURS[0])
        axes.annotate(short(one.factor), (one.absolute, one.spread), fontsize=8)
    axes.set(xlabel="mean absolute effect", ylabel="spread: curved, or with others")
    return f"Elementary effects on {short(found.response)}", figure


def region_factors(answers: Answers) -> tuple[str, str] | None:
    """The two factors of numbers that move moisture most; None where there are not two."""
    sweep = answers.sweep
    swings = {one.factor: one.swing for one in answers.effects[-1].main}
    numbers = [name for name in sweep.factors if sweep.column(name).dtype.kind in "if"]
    numbers = [name for name in numbers if len(np.unique(sweep.column(name))) > 4]
    ordered = sorted(numbers, key=lambda name: -swings.get(name, 0.0))
    return (ordered[0], ordered[1]) if len(ordered) > 1 else None


def regions(sweep: Sweep, pair: tuple[str, str], system: str) -> tuple[str, Any]:
    """Share of the variants past a limit over two factors, in cells of even counts of values."""
    figure = _figure()
    axes = figure.add_subplot()
    x, y = (factor_values(sweep, name, sweep.column(name), system) for name in pair)
    known = np.isfinite(sweep.number("rank"))
    past = sweep.number("rank")[known] >= LEVELS.index("past a limit")
    shares = np.linspace(0.0, 1.0, cells_for(len(past)) + 1)
    edges = [np.unique(np.quantile(one[0], shares)) for one in (x, y)]
    counted = np.histogram2d(x[0][known], y[0][known], edges)[0]
    wet = np.histogram2d(x[0][known][past], y[0][known][past], edges)[0]
    with np.errstate(invalid="ignore"):
        share = np.where(counted > 0, wet / counted, np.nan)
    drawn = axes.pcolormesh(*edges, share.T, cmap="cividis_r", vmin=0.0, vmax=1.0, rasterized=True)
    figure.colorbar(drawn, label="share past a limit, or getting wetter")
    axes.set(xlabel=x[1], ylabel=y[1])
    return f"Where variants pass a limit, over {short(pair[0])} and {short(pair[1])}", figure


def cells_for(rows: int) -> int:
    """Cells along an edge: some ten variants in each."""
    return int(np.clip(np.sqrt(rows / 10.0), 2, 16))

"""Clouds of variants and lying bars."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from assembly_sim.report.page.draw_axes import (
    LETTER,
    SMALL,
    WIDTH,
    axes,
    blank,
    canvas,
    fitted,
    legend_rows,
    rule_lines,
    words,
)
from assembly_sim.report.page.palette import light
from assembly_sim.report.page.sweep_plots import Cloud, Swarm, Swing, Swings

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

MARKERS = {"disc": "o", "square": "s", "triangle": "^", "diamond": "D", "cross": "X"}
LEFT, RIGHT = 44.0, WIDTH - 10.0
TALL = 250.0
ROW = 16.0
NAMES, BAR, WORDS = 150.0, 26.0, 104.0  # px: of names, a row, the words beyond bars


def draw_cloud(plot: Cloud) -> Figure:
    """Points by kind, the line above them, a legend of shapes."""
    swarms = {one.label: one for one in plot.swarms}
    rows = legend_rows(filter(None, (*swarms, plot.line_label)), RIGHT, 14.0)
    top = ROW * len(rows) + 30.0
    figure = canvas(top + TALL + 42.0)
    sheet = blank(figure)
    _legend(sheet, rows, swarms)
    words(sheet, 4.0, top - 9.0, plot.up, "quiet", fontsize=SMALL)
    words(sheet, RIGHT, top + TALL + 33.0, plot.across, "quiet", ha="right", fontsize=SMALL)
    drawn = axes(figure, LEFT, top, RIGHT, top + TALL)
    rule_lines(drawn)
    for one in plot.swarms:
        _points(drawn, one, 3.2)
    ring: dict[str, Any] = {
        "marker": "o",
        "ms": 6.0,
        "mfc": "none",
        "mew": 1.0,
    }  # a front of one is seen too
    drawn.plot(*plot.line, color=light("ink"), linewidth=1.5, **ring)
    left, right, bottom, upper = plot.bounds
    drawn.set_xlim(left, right)
    drawn.set_ylim(bottom, upper)
    return figure


def _points(drawn: Axes, swarm: Swarm, size: float) -> None:
    colour = light(swarm.role)
    drawn.plot(swarm.x, swarm.y, MARKERS[swarm.shape], ms=size, mfc=colour, mec=colour, mew=0.4)


def _legend(sheet: Axes, rows: list[list[str]], swarms: dict[str, Swarm]) -> None:
    for number, row in enumerate(rows):
        x, y = 8.0, 10.0 + ROW * number
        for label in row:
            if label in swarms:
                one, at = swarms[label], (x, y)
                colour = light(one.role)
                sheet.plot(*([p] for p in at), MARKERS[one.shape], ms=6.0, mfc=colour, mec=colour)
            else:
                sheet.plot([x - 5.0, x + 6.0], [y, y], color=light("ink"), linewidth=1.5)
            words(sheet, x + 10.0, y, label, va="center", fontsize=SMALL)
            x += 14.0 + LETTER * len(label) + 12.0


def draw_swings(plot: Swings) -> Figure:
    """Names at the left, bars beside them, what each is worth in words beyond."""
    foot = 8.0 + BAR * len(plot.rows)
    figure = canvas(foot + 42.0)
    sheet = blank(figure)
    drawn = axes(figure, NAMES, 8.0, WIDTH - WORDS, foot)
    words(sheet, WIDTH - 8.0, foot + 34.0, plot.across, "quiet", ha="right", fontsize=SMALL)
    drawn.grid(axis="x", color=light("rule"), linewidth=0.6)
    drawn.set_axisbelow(True)
    drawn.set_yticks([])
    for number, one in enumerate(plot.rows):
        y = 8.0 + BAR * (number + 0.5)
        name = fitted(one.label, NAMES - 10.0, SMALL)
        words(sheet, NAMES - 8.0, y, name, ha="right", va="center", fontsize=SMALL)
        words(sheet, WIDTH - WORDS + 6.0, y, one.words, "quiet", va="center", fontsize=SMALL)
        _bar(drawn, number, one)
    drawn.set_ylim(len(plot.rows) - 0.5, -0.5)
    drawn.margins(x=0.04)
    return figure


def _bar(drawn: Axes, at: int, one: Swing) -> None:
    colour = light(one.role)
    drawn.barh(at, one.stop - one.start, 0.6, left=one.start, color=colour)
    if one.start == one.stop:  # nothing swings: a stroke says so
        drawn.plot([one.start] * 2, [at - 0.3, at + 0.3], color=colour, linewidth=1.5)
    if one.whisker is not None:
        drawn.plot(one.whisker, [at, at], color=light("ink"), linewidth=1.2)

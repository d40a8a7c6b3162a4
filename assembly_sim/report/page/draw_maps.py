"""Drawings by steps of a scale: a drawn table, a calendar of hours, a map of regions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from assembly_sim.report.page.draw_axes import (
    LETTER,
    SMALL,
    WIDTH,
    axes,
    blank,
    canvas,
    fitted_parts,
    legend_rows,
    put_ticks,
    words,
)
from assembly_sim.report.page.palette import light
from assembly_sim.report.page.plots import Calendar, Cells, Key, Map

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ROW = 16.0
NAMES = 196.0  # px for the names of rows
CELL = 17.0
TINY = 8.6
Box = tuple[int, float, float, float, float]  # step, left, right, top and bottom


def step_legend(sheet: Axes, rows: list[list[str]], legend: Sequence[Key]) -> None:
    """Swatches of the steps with their words."""
    from matplotlib.patches import Rectangle

    steps = {label: step for step, label in legend}
    for number, row in enumerate(rows):
        x, y = 4.0, 10.0 + ROW * number
        for label in row:
            face = light(f"step-{steps[label]}")
            box = Rectangle((x, y - 5.0), 15.0, 10.0, facecolor=face, edgecolor=light("between"))
            box.set_linewidth(0.6)
            sheet.add_artist(box)
            words(sheet, x + 20.0, y, label, va="center", fontsize=SMALL)
            x += 22.0 + LETTER * len(label) + 12.0


def draw_cells(plot: Cells) -> Figure:
    """A table whose cells are tinted by their step; the text in a cell says the same."""
    legend = legend_rows([label for _, label in plot.legend], WIDTH - 8.0, 22.0)
    top = ROW * len(legend) + 26.0
    figure = canvas(top + CELL * (len(plot.rows) + len(plot.groups)) + 6.0)
    sheet = blank(figure)
    step_legend(sheet, legend, plot.legend)
    wide = (WIDTH - NAMES - 4.0) / len(plot.columns)
    for at, name in enumerate(plot.columns):
        where = NAMES + (at + 0.5) * wide
        words(sheet, where, top - 6.0, name, "quiet", ha="center", fontsize=SMALL - 1.0)
    heads, y, boxes = dict(plot.groups), top, list[Box]()
    for row, name in enumerate(plot.rows):
        if row in heads:
            words(sheet, 4.0, y + 0.62 * CELL, heads[row], "quiet", va="center", fontsize=SMALL)
            y += CELL
        shown = fitted_parts(name, NAMES - 8.0, 9.0)
        words(sheet, NAMES - 6.0, y + 0.5 * CELL, shown, ha="right", va="center", fontsize=9.0)
        for at, (text, step) in enumerate(zip(plot.texts[row], plot.steps[row])):
            x = NAMES + at * wide
            boxes.append((step, x + 0.5, x + wide - 0.5, y + 0.5, y + CELL - 0.5))
            place = (x + 0.5 * wide, y + 0.5 * CELL)
            words(sheet, *place, text, fontsize=TINY, ha="center", va="center", zorder=3.0)
        y += CELL
    _add_boxes(sheet, boxes)
    return figure


def _add_boxes(drawn: Axes, boxes: list[Box]) -> None:
    """Boxes as one shape for each step: a hundred shapes take a second."""
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    for step in sorted({box[0] for box in boxes}):
        sides = np.array([box[1:] for box in boxes if box[0] == step], dtype=float)
        x, y = sides[:, [0, 1, 1, 0, 0]], sides[:, [2, 2, 3, 3, 2]]
        corners = np.stack([x, y], axis=2).reshape(-1, 2)
        codes = [Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY] * len(sides)
        shape = PathPatch(Path(corners, codes), facecolor=light(f"step-{step}"), linewidth=0.0)
        shape.set_antialiased(False)  # neighbours would show a seam
        drawn.add_artist(shape)


def draw_calendar(plot: Calendar) -> Figure:
    """Hours of the day from midnight upward against days, each hour by its step."""
    legend = legend_rows([label for _, label in plot.legend], WIDTH - 8.0, 22.0)
    top = ROW * len(legend) + 12.0
    figure = canvas(top + 170.0 + 26.0)
    step_legend(blank(figure), legend, plot.legend)
    drawn = axes(figure, 40.0, top, WIDTH - 8.0, top + 170.0)
    _, days = plot.steps.shape
    for step, _ in plot.legend:
        _add_boxes(drawn, list(_runs(plot.steps, step)))
    drawn.set_xlim(0.0, days)
    drawn.set_ylim(0.0, 24.0)
    drawn.set_yticks([0, 6, 12, 18, 24], ["0:00", "6:00", "12:00", "18:00", "24:00"])
    put_ticks(drawn, plot.ticks)
    return figure


def _runs(steps: NDArray[np.int8], step: int) -> Iterator[Box]:
    """Hours of one step, days in a row as one box."""
    flags = np.pad(steps == step, ((0, 0), (1, 1))).astype(np.int8)
    hour, start = np.nonzero(np.diff(flags) == 1)
    _, stop = np.nonzero(np.diff(flags) == -1)
    return zip(np.full(len(hour), step).tolist(), start, stop, hour, hour + 1)


def draw_map(plot: Map) -> Figure:
    """Regions over two quantities, and points in them."""
    from matplotlib.patches import Rectangle

    legend = (
        legend_rows([label for _, label in plot.legend], WIDTH - 8.0, 22.0) if plot.legend else []
    )
    top = ROW * len(legend) + 26.0
    figure = canvas(top + 220.0 + 44.0)
    sheet = blank(figure)
    step_legend(sheet, legend, plot.legend)
    words(sheet, 4.0, top - 9.0, plot.up, "quiet", fontsize=SMALL)
    words(sheet, WIDTH - 8.0, top + 250.0, plot.across, "quiet", ha="right", fontsize=SMALL)
    drawn = axes(figure, 40.0, top, WIDTH - 8.0, top + 220.0)
    left, right, bottom, upper = plot.bounds
    drawn.add_artist(
        Rectangle(
            (left, bottom),
            right - left,
            upper - bottom,
            facecolor=light("paper"),
            edgecolor=light("rule"),
            hatch="/",
            linewidth=0.6,
        )
    )
    for area in plot.areas:
        size = (area.right - area.left, area.top - area.bottom)
        face = light(f"step-{area.step}")
        drawn.add_artist(Rectangle((area.left, area.bottom), *size, facecolor=face, lw=0))
    for dot in plot.dots:
        face = light("ink") if dot.filled else light("paper")
        drawn.plot([dot.x], [dot.y], "o", ms=7.0, mfc=face, mec=light("ink"), mew=1.4)
        _dot_label(drawn, dot.x, dot.y, dot.label, 0.5 * (left + right))
    drawn.set_xlim(left, right)
    drawn.set_ylim(bottom, upper)
    if plot.x_ticks:
        put_ticks(drawn, plot.x_ticks)
    if plot.y_ticks:
        drawn.set_yticks([at for at, _ in plot.y_ticks], [text for _, text in plot.y_ticks])
    return figure


def _dot_label(drawn: Axes, x: float, y: float, label: str, middle: float) -> None:
    right = x <= middle
    drawn.annotate(
        label,
        (x, y),
        (8.0 if right else -8.0, 5.0),
        textcoords="offset points",
        ha="left" if right else "right",
        color=light("ink"),
        fontsize=SMALL,
        bbox={"facecolor": light("paper"), "edgecolor": "none", "pad": 1.2},
    )

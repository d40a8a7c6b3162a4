"""Lines over time and upright bars."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from assembly_sim.report.page.draw_axes import (
    LETTER,
    SMALL,
    WIDTH,
    axes,
    blank,
    canvas,
    legend_rows,
    put_ticks,
    rule_lines,
    title,
    words,
)
from assembly_sim.report.page.palette import light
from assembly_sim.report.page.plots import Bars, Curves, Panel, Part, Series

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LEFT, RIGHT = 40.0, WIDTH - 8.0
ROW = 16.0  # px a row of a legend takes
PANEL, GAP = 150.0, 44.0
STROKES: dict[str, dict[str, Any]] = {
    "solid": {"linewidth": 1.7},
    "dashed": {"linewidth": 1.5, "dashes": (4.0, 2.0)},
    "dotted": {"linewidth": 1.7, "dashes": (1.0, 1.6)},
    "dash-dot": {"linewidth": 1.5, "dashes": (6.0, 1.6, 1.2, 1.6)},
    "long dashes": {"linewidth": 1.5, "dashes": (9.0, 2.5)},
    "thin": {"linewidth": 0.8},
}


def draw_curves(plot: Curves) -> Figure:
    """Panels one below another, the legend above all of them, limits written on their lines."""
    named = {one.label: one for panel in plot.panels for one in panel.series if one.label}
    rows = legend_rows(named, RIGHT - 4.0, 26.0)
    top = ROW * len(rows) + 24.0
    figure = canvas(top + len(plot.panels) * (PANEL + GAP) - 16.0)
    _line_legend(blank(figure), rows, named)
    for number, panel in enumerate(plot.panels):
        above = top + number * (PANEL + GAP)
        drawn = axes(figure, LEFT, above, RIGHT, above + PANEL)
        _panel(drawn, panel)
        put_ticks(drawn, plot.ticks)
    return figure


def _line_legend(sheet: Axes, rows: list[list[str]], named: dict[str, Series]) -> None:
    for number, row in enumerate(rows):
        x, y = 4.0, 10.0 + ROW * number
        for label in row:
            one = named[label]
            if one.low is not None:
                sheet.fill_between([x, x + 20.0], y - 4.0, y + 4.0, color=light("moist-soft"), lw=0)
            sheet.plot([x, x + 20.0], [y, y], color=light(one.role), **STROKES[one.stroke])
            words(sheet, x + 25.0, y, label, va="center", fontsize=SMALL)
            x += 26.0 + LETTER * len(label) + 12.0


def _panel(drawn: Axes, panel: Panel) -> None:
    rule_lines(drawn)
    title(drawn, panel.title)
    for one in panel.series:
        if one.low is not None and one.high is not None:
            drawn.fill_between(
                one.x, one.low, one.high, color=light("moist-soft"), linewidth=0.0, step=None
            )
        drawn.plot(one.x, one.y, color=light(one.role), **STROKES[one.stroke])
    ends = [float(end) for one in panel.series for end in one.x[[0, -1]]]
    drawn.set_xlim(min(ends), max(max(ends), min(ends) + 1e-6))
    low, high = drawn.get_ylim()
    for limit in panel.limits:
        low, high = min(low, limit.value), max(high, limit.value * 1.1)
    bottom = low if panel.bottom is None else panel.bottom
    drawn.set_ylim(bottom, max(high if panel.top is None else panel.top, bottom + 1e-6))
    for limit in panel.limits:
        _limit(drawn, limit.value, limit.label)


def _limit(drawn: Axes, value: float, label: str) -> None:
    """A level line with its words on paper above its left end, where lines seldom are."""
    drawn.axhline(value, color=light("ink"), linewidth=0.9, dashes=(1.5, 2.0))
    drawn.annotate(
        label,
        (0.0, value),
        (3.0, 2.0),
        xycoords=("axes fraction", "data"),
        textcoords="offset points",
        color=light("ink"),
        fontsize=SMALL - 1.0,
        bbox={"facecolor": light("paper"), "edgecolor": "none", "pad": 0.8},
    )


def draw_bars(plot: Bars) -> Figure:
    """Bars of stacked parts, upward and downward from zero, with marks across where there are."""
    labels = [part.label for part in plot.parts] + [plot.marks_label] * bool(plot.marks_label)
    rows = legend_rows(labels, RIGHT - 4.0, 22.0)
    top = ROW * len(rows) + 24.0
    lines = max(name.count("\n") for name in plot.names) if plot.names else 0
    figure = canvas(top + 190.0 + 12.0 * lines)
    _bar_legend(blank(figure), rows, plot)
    drawn = axes(figure, LEFT, top, RIGHT, top + 160.0)
    rule_lines(drawn)
    title(drawn, plot.title)
    at = np.arange(len(plot.names), dtype=float)
    up, down = np.zeros(len(at)), np.zeros(len(at))
    for part in plot.parts:
        values = np.array(part.values, dtype=float)
        base = np.where(values >= 0.0, up, down)
        drawn.bar(at, values, 0.68, base, **_fill(part))
        up, down = up + np.maximum(values, 0.0), down + np.minimum(values, 0.0)
    for x, mark in zip(at, plot.marks):
        if np.isfinite(mark):
            drawn.plot([x - 0.42, x + 0.42], [mark, mark], color=light("ink"), linewidth=1.6)
    if down.min(initial=0.0) < 0.0:
        drawn.axhline(0.0, color=light("ink"), linewidth=0.8)
    drawn.set_xlim(-0.6, len(at) - 0.4)
    put_ticks(drawn, list(zip(at.tolist(), plot.names)))
    return figure


def _fill(part: Part) -> dict[str, Any]:
    """Full, or hatched on paper: told apart without colour."""
    colour = light(part.role)
    face = light("paper") if part.hatched else colour
    return {"facecolor": face, "edgecolor": colour, "linewidth": 0.8} | (
        {"hatch": "////"} if part.hatched else {}
    )


def _bar_legend(sheet: Axes, rows: list[list[str]], plot: Bars) -> None:
    from matplotlib.patches import Rectangle

    parts = {part.label: part for part in plot.parts}
    for number, row in enumerate(rows):
        x, y = 4.0, 10.0 + ROW * number
        for label in row:
            if label in parts:
                sheet.add_artist(Rectangle((x, y - 5.0), 15.0, 10.0, **_fill(parts[label])))
            else:
                sheet.plot([x, x + 15.0], [y, y], color=light("ink"), linewidth=1.6)
            words(sheet, x + 20.0, y, label, va="center", fontsize=SMALL)
            x += 22.0 + LETTER * len(label) + 12.0

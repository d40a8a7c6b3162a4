"""Surfaces as a thermal camera would show them, over one scale of colour."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from assembly_sim.report.page.draw_axes import SMALL, WIDTH, blank, canvas, fitted, words
from assembly_sim.report.page.palette import light
from assembly_sim.report.page.plots import Patch, Surface, Thermal

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

HIGH, GAP = 62.0, 58.0  # px of a surface, and below it for its words
LEFT, RIGHT = 8.0, WIDTH - 8.0
REPEATS = 3  # parts are drawn over and over, as framing comes again and again
NARROWEST = 0.03  # share of the width below which a part is widened to be seen
COLOURS = "cividis"  # even steps of lightness, the same to most eyes


def draw_thermal(plot: Thermal) -> Figure:
    """Each surface as stripes of its parts, words of each below it, the scale at the foot."""
    figure = canvas(len(plot.surfaces) * (HIGH + GAP) + 52.0)
    sheet = blank(figure)
    for number, surface in enumerate(plot.surfaces):
        _surface(sheet, surface, plot, 20.0 + number * (HIGH + GAP))
    _scale(sheet, plot, 20.0 + len(plot.surfaces) * (HIGH + GAP))
    return figure


def _surface(sheet: Axes, surface: Surface, plot: Thermal, top: float) -> None:
    from matplotlib.patches import Rectangle

    words(sheet, LEFT, top - 6.0, surface.title, "quiet", fontsize=SMALL)
    x, marks = LEFT, {}
    for patch, width in _stripes(surface.patches):
        face = colour(patch.value, plot)
        sheet.add_patch(Rectangle((x, top), width, HIGH, facecolor=face, lw=0))
        marks[patch.label] = x + 0.5 * width  # its last stripe
        x += width
    edge = Rectangle((LEFT, top), RIGHT - LEFT, HIGH, fill=False, edgecolor=light("quiet"), lw=0.7)
    sheet.add_patch(edge)
    _names(sheet, surface.patches, marks, top + HIGH)


def _stripes(patches: tuple[Patch, ...]) -> list[tuple[Patch, float]]:
    shares = np.maximum([patch.share for patch in patches], NARROWEST)
    widths = (RIGHT - LEFT) / REPEATS * shares / shares.sum()
    return [(patch, float(width)) for _ in range(REPEATS) for patch, width in zip(patches, widths)]


def _names(
    sheet: Axes, patches: tuple[Patch, ...], marks: dict[str, float], bottom: float
) -> None:
    """Words of each part in a row of equal places, led to one of its stripes."""
    place = (RIGHT - LEFT) / len(patches)
    for number, patch in enumerate(patches):
        x = LEFT + (number + 0.5) * place
        ends = [marks[patch.label], marks[patch.label], x, x]
        heights = [bottom - 6.0, bottom + 3.0, bottom + 9.0, bottom + 13.0]
        sheet.plot(ends, heights, color=light("quiet"), linewidth=0.7)
        middle = {"ha": "center", "va": "top"}
        words(sheet, x, bottom + 14.0, patch.text, weight="bold", fontsize=SMALL + 0.5, **middle)
        shown = fitted(patch.label, place, SMALL)
        words(sheet, x, bottom + 27.0, shown, "quiet", fontsize=SMALL, **middle)


def colour(value: float, plot: Thermal) -> str:
    """The colour of a temperature on the scale of a drawing."""
    from matplotlib import colormaps
    from matplotlib.colors import to_hex

    span = max(plot.high - plot.low, 1e-9)
    return to_hex(colormaps[COLOURS](min(1.0, max(0.0, (value - plot.low) / span))))


def _scale(sheet: Axes, plot: Thermal, top: float) -> None:
    from matplotlib.patches import Rectangle

    steps, left, right = 32, 120.0, WIDTH - 120.0
    wide = (right - left) / steps
    for step in range(steps):
        value = plot.low + (step + 0.5) / steps * (plot.high - plot.low)
        box = Rectangle((left + step * wide, top), wide + 0.4, 10.0)
        box.set(facecolor=colour(value, plot), linewidth=0)
        sheet.add_patch(box)
    middle = {"va": "center", "fontsize": SMALL}
    words(sheet, left - 6.0, top + 5.0, f"{plot.low:.1f} {plot.unit}", "quiet", ha="right", **middle)
    words(sheet, right + 6.0, top + 5.0, f"{plot.high:.1f} {plot.unit}", "quiet", **middle)

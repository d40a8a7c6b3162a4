"""Surfaces as a thermal camera would show them, over one scale of colour."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from assembly_sim.report.page.draw_axes import SMALL, WIDTH, blank, canvas, fitted, words
from assembly_sim.report.page.palette import light
from assembly_sim.report.page.plots import Patch, Side, Surface, Thermal

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

HIGH, GAP = 46.0, 62.0  # px of a surface, and below it for its words
FOOT = 34.0  # px below a side for its scale
LEFT, RIGHT = 8.0, WIDTH - 8.0
REPEATS = 3  # parts are drawn over and over, as framing comes again and again
NARROWEST = 0.03  # share of the width below which a part is widened to be seen
COLOURS = "cividis"  # even steps of lightness, the same to most eyes


def draw_thermal(plot: Thermal) -> Figure:
    """Each surface as stripes of its parts, words of each below it, a scale below each side."""
    count = sum(len(side.surfaces) for side in plot.sides)
    figure = canvas(count * (HIGH + GAP) + len(plot.sides) * FOOT + 4.0)
    sheet, top = blank(figure), 20.0
    for side in plot.sides:
        for surface in side.surfaces:
            _surface(sheet, surface, side, top)
            top += HIGH + GAP
        _scale(sheet, side, plot.unit, top - 10.0)
        top += FOOT
    return figure


def _surface(sheet: Axes, surface: Surface, side: Side, top: float) -> None:
    from matplotlib.patches import Rectangle

    words(sheet, LEFT, top - 6.0, surface.title, "quiet", fontsize=SMALL)
    x, marks = LEFT, {}
    for patch, width in _stripes(surface.patches):
        face = colour(patch.value, side)
        sheet.add_artist(Rectangle((x, top), width + 0.3, HIGH, facecolor=face, linewidth=0))
        marks[patch.label] = x + 0.5 * width  # its last stripe
        x += width
    edge = Rectangle((LEFT, top), RIGHT - LEFT, HIGH, fill=False, edgecolor=light("quiet"), lw=0.7)
    sheet.add_artist(edge)
    _names(sheet, surface.patches, marks, top + HIGH)


def _stripes(patches: tuple[Patch, ...]) -> list[tuple[Patch, float]]:
    shares = np.maximum([patch.share for patch in patches], NARROWEST)
    widths = (RIGHT - LEFT) / REPEATS * shares / shares.sum()
    return [(patch, float(width)) for _ in range(REPEATS) for patch, width in zip(patches, widths)]


def _names(sheet: Axes, patches: tuple[Patch, ...], marks: dict[str, float], bottom: float) -> None:
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


def colour(value: float, side: Side) -> str:
    """The colour of a temperature on the scale of its side."""
    from matplotlib import colormaps
    from matplotlib.colors import to_hex

    span = max(side.high - side.low, 1e-9)
    return to_hex(colormaps[COLOURS](min(1.0, max(0.0, (value - side.low) / span))))


def _scale(sheet: Axes, side: Side, unit: str, top: float) -> None:
    from matplotlib.patches import Rectangle

    steps, left, right = 24, 140.0, WIDTH - 140.0
    wide = (right - left) / steps
    for step in range(steps):
        value = side.low + (step + 0.5) / steps * (side.high - side.low)
        box = Rectangle((left + step * wide, top), wide + 0.4, 9.0)
        box.set(facecolor=colour(value, side), linewidth=0)
        sheet.add_artist(box)
    middle = {"va": "center", "fontsize": SMALL}
    words(sheet, left - 6.0, top + 4.5, f"{side.low:.1f} {unit}", "quiet", ha="right", **middle)
    words(sheet, right + 6.0, top + 4.5, f"{side.high:.1f} {unit}", "quiet", **middle)

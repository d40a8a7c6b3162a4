"""Numbered points over two quantities, with ranges, and lines from the origin."""

from __future__ import annotations

import textwrap
from math import hypot
from typing import TYPE_CHECKING, Any

from assembly_sim.report.page.draw_axes import (
    SMALL,
    WIDTH,
    axes,
    blank,
    canvas,
    fitted,
    rule_lines,
    words,
)
from assembly_sim.report.page.palette import light
from assembly_sim.report.page.plots import Ray, Spot, Spots

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LEFT, RIGHT = 44.0, WIDTH - 52.0
BANDS, LETTERS = 92.0, 16  # px that names of bands take, letters of a line of them
TOP, TALL = 34.0, 230.0
ROW = 15.0
BESIDE = 15.0  # px from a point to its number
OFFSETS = ((1, -1), (-1, -1), (1, 1), (-1, 1), (0, -1.4), (0, 1.4), (1.6, 0), (-1.6, 0))
NARROW = 13.0  # px between numbers that can be told apart
RAY_WIDE = 46.0  # px that the words of a ray take
Place = tuple[float, float]


def draw_spots(plot: Spots) -> Figure:
    """The points, their numbers beside them, and below what each number stands for."""
    rows = -(-len(plot.keys) // 2)
    foot = TOP + TALL
    figure = canvas(foot + 52.0 + ROW * rows)
    sheet = blank(figure)
    edges = (BANDS, WIDTH - 18.0) if plot.bands else (LEFT, RIGHT)
    words(sheet, 4.0, 12.0, plot.up, "quiet", fontsize=SMALL)
    words(sheet, edges[1], foot + 33.0, plot.across, "quiet", ha="right", fontsize=SMALL)
    drawn = axes(figure, edges[0], TOP, edges[1], foot)
    left, right, bottom, top = plot.bounds
    drawn.set_xlim(left, right)
    drawn.set_ylim(bottom, top)
    _bands(drawn, sheet, plot) if plot.bands else rule_lines(drawn)
    for ray in rays_apart(plot):
        _ray(drawn, ray, plot)
    places = [_place(spot, plot.bounds, edges) for spot in plot.spots]
    taken = list(places)
    for spot, place in zip(plot.spots, places):
        _spot(drawn, sheet, spot, place, taken)
    _keys(sheet, plot, foot + 52.0, rows)
    return figure


def _keys(sheet: Axes, plot: Spots, top: float, rows: int) -> None:
    """What each number stands for, in two columns."""
    for at, (number, text) in enumerate(plot.keys):
        x, y = 4.0 + (at // rows) * 0.5 * WIDTH, top + ROW * (at % rows)
        words(sheet, x, y, number, fontsize=SMALL, weight="bold", va="center")
        words(sheet, x + 16.0, y, fitted(text, 215.0, SMALL), fontsize=SMALL, va="center")


def _place(spot: Spot, bounds: tuple[float, float, float, float], edges: Place) -> Place:
    """Where a point is on the sheet, px."""
    left, right, bottom, top = bounds
    x = edges[0] + (edges[1] - edges[0]) * (spot.x - left) / (right - left)
    return x, TOP + TALL * (top - spot.y) / (top - bottom)


def _spot(drawn: Axes, sheet: Axes, spot: Spot, place: Place, taken: list[Place]) -> None:
    """A point with its number at the first place beside it where nothing is yet."""
    if spot.span is not None:
        drawn.plot(spot.span, [spot.y] * 2, color=light("between"), lw=2.0, clip_on=False)
    face = light("paper") if spot.open else light("moist")
    style: dict[str, Any] = {"ms": 8.0, "mfc": face, "mec": light("moist"), "mew": 1.8}
    drawn.plot([spot.x], [spot.y], "o", zorder=4.0, clip_on=False, **style)
    tries = [(place[0] + BESIDE * dx, place[1] + BESIDE * dy) for dx, dy in OFFSETS]
    free = [one for one in tries if _is_free(one, place, taken)]
    x, y = (free or tries)[0]
    taken.append((x, y))
    sheet.plot([place[0], x], [place[1], y], color=light("between"), linewidth=0.6, zorder=3.0)
    paper = {"facecolor": light("paper"), "edgecolor": "none", "pad": 0.6}
    middle = {"ha": "center", "va": "center"}
    words(sheet, x, y, spot.label, fontsize=SMALL, weight="bold", bbox=paper, **middle)


def _is_free(one: Place, own: Place, taken: list[Place]) -> bool:
    inside = 8.0 < one[0] < WIDTH - 8.0 and TOP < one[1] < TOP + TALL - 4.0
    apart = all(hypot(one[0] - x, one[1] - y) > NARROW for x, y in taken if (x, y) != own)
    return inside and apart


def rays_apart(plot: Spots) -> list[Ray]:
    """Rays whose words keep clear of each other, the flattest first; a line without words tells
    nothing."""
    left, right, bottom, top = plot.bounds
    kept: list[tuple[Ray, Place]] = []
    for ray in sorted(plot.rays, key=lambda one: one.slope):
        x = min(right, top / ray.slope)
        end = Spot(x, ray.slope * x, ray.label)
        place = _place(end, plot.bounds, (LEFT, RIGHT))
        if all(abs(place[0] - x) > RAY_WIDE or abs(place[1] - y) > NARROW for _, (x, y) in kept):
            kept.append((ray, place))
    return [ray for ray, _ in kept]


def _ray(drawn: Axes, ray: Ray, plot: Spots) -> None:
    """A line from the origin to where it leaves what is shown, its words outside of that."""
    _, right, _, top = plot.bounds
    x = min(right, top / ray.slope)
    drawn.plot([0.0, x], [0.0, ray.slope * x], color=light("quiet"), lw=0.8, dashes=(2.0, 2.0))
    upward = x < right
    drawn.annotate(
        ray.label,
        (x, ray.slope * x),
        (0.0, 3.0) if upward else (3.0, 0.0),
        textcoords="offset points",
        ha="center" if upward else "left",
        va="bottom" if upward else "center",
        color=light("quiet"),
        fontsize=SMALL - 1.0,
    )


def _bands(drawn: Axes, sheet: Axes, plot: Spots) -> None:
    """Stretches of the upright axis, their words to the left of them, clear of every point."""
    from matplotlib.patches import Rectangle

    left, right, bottom, top = plot.bounds
    drawn.set_yticks([])
    for band in plot.bands:
        shape = Rectangle((left, band.bottom), right - left, band.top - band.bottom)
        hatch = "//" if band.hatched else None
        shape.set(facecolor="none", edgecolor=light("rule"), hatch=hatch, linewidth=0.8)
        drawn.add_artist(shape)
        y = TOP + TALL * (top - 0.5 * (band.top + band.bottom)) / (top - bottom)
        told = "\n".join(textwrap.wrap(band.label, LETTERS))
        style: dict[str, Any] = {"fontsize": SMALL, "va": "center", "linespacing": 1.2}
        words(sheet, 4.0, y, told, "quiet", **style)

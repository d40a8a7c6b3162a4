"""An assembly to scale, the way it stands: a roof slopes, a wall stands, a floor lies."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from assembly_sim.report.page.draw_axes import SMALL, WIDTH, blank, canvas, fitted, words
from assembly_sim.report.page.palette import light
from assembly_sim.report.page.plots import Build, Mark, Member, Piece

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Array = NDArray[np.float64]

BOX = 190.0  # px, the largest side of what is drawn
LABELS = 236.0  # px, where the words of the layers begin
LINE, FIRST = 29.0, 26.0  # px between layers' words, and above the first
ALONG = 1.2  # the length drawn along a layer, in thicknesses of the whole
HATCH = {"fibre": "xx", "foam": "--", "wood": "//", "masonry": "\\\\", "metal": "||"}
UPRIGHT = (60.0, 120.0)  # degrees between which the sides are named at the foot
LEVEL = 0.25  # sine of a tilt below which leaders start at the layers' ends


@dataclass(frozen=True)
class Stand:
    """From a depth and a length along the layers, m, to px of the drawing."""

    tilt: float
    scale: float
    shift: tuple[float, float]

    def at(self, depth: float, along: float) -> tuple[float, float]:
        """The place in px, y downward; outside lies above a level roof, left of a wall."""
        x, y = _turned(self.tilt, depth, along)
        return self.scale * x + self.shift[0], self.scale * y + self.shift[1]


def _turned(tilt: float, depth: float, along: float) -> tuple[float, float]:
    s, c = sin(tilt), cos(tilt)
    return s * depth + c * along, c * depth - s * along


def draw_build(plot: Build) -> Figure:
    """Layers and framing on the left, their words on the right, marks by letters below."""
    rows = len(plot.pieces) + len(plot.members)
    tall = max(BOX + 66.0, FIRST + LINE * rows)
    marks = 12.0 + 15.0 * len(plot.marks) if plot.marks else 0.0
    figure = canvas(tall + marks)
    sheet = blank(figure)
    stand, total, length = _stand(plot, tall)
    for piece in plot.pieces:
        _layer(sheet, stand, piece, 0.0, length)
    ends = _members(sheet, stand, plot, length)
    for piece in plot.pieces:
        if piece.stop <= piece.start:
            _sheet_line(sheet, stand, piece.start, length)
    _sides(sheet, stand, plot, total, length)
    _leaders(sheet, stand, plot, length, ends)
    _marks(sheet, stand, plot.marks, length, tall)
    return figure


def _stand(plot: Build, tall: float) -> tuple[Stand, float, float]:
    total = max(piece.stop for piece in plot.pieces)
    length, tilt = ALONG * total, radians(plot.tilt)
    corners = np.array([_turned(tilt, d, a) for d in (0.0, total) for a in (0.0, length)])
    low, high = corners.min(axis=0), corners.max(axis=0)
    scale = BOX / float((high - low).max())
    middle = 0.5 * scale * (low + high)
    shift = (16.0 + 0.5 * BOX - middle[0], 0.5 * tall - 6.0 - middle[1])
    return Stand(tilt, scale, shift), total, length


def _layer(sheet: Axes, stand: Stand, piece: Piece | Member, first: float, last: float) -> None:
    from matplotlib.patches import Polygon

    if piece.stop <= piece.start:
        return
    corners = [(piece.start, first), (piece.stop, first), (piece.stop, last), (piece.start, last)]
    shape = Polygon(
        [stand.at(*corner) for corner in corners],
        facecolor=light("paper") if piece.fill == "air" else light(piece.fill),
        edgecolor=light("quiet"),
        linewidth=0.7,
        hatch=HATCH.get(piece.fill),
    )
    shape.set_hatchcolor(light("between"))
    sheet.add_artist(shape)


def _sheet_line(sheet: Axes, stand: Stand, depth: float, length: float) -> None:
    (x0, y0), (x1, y1) = stand.at(depth, 0.0), stand.at(depth, length)
    sheet.plot([x0, x1], [y0, y1], color=light("sheet"), linewidth=1.8)


def _members(sheet: Axes, stand: Stand, plot: Build, length: float) -> list[tuple[float, float]]:
    """Framing, each path in its own place along the layers; a point in each for its leader."""
    ends, start = [], 0.56 * length
    placed: dict[str, tuple[float, float]] = {}
    for member in plot.members:
        if member.label not in placed:
            width = max(member.share, 0.015) * length
            placed[member.label] = (start, min(start + width, length))
            start = min(start + width + 0.04 * length, 0.96 * length)
        first, last = placed[member.label]
        _layer(sheet, stand, member, first, last)
        ends.append(stand.at(0.5 * (member.start + member.stop), 0.5 * (first + last)))
    return ends


def _sides(sheet: Axes, stand: Stand, plot: Build, total: float, length: float) -> None:
    """Which side is which, and the bar of the scale."""
    sides = ((0.0, plot.outside, -1.0), (total, plot.inside, 1.0))
    for depth, name, way in sides:
        text = fitted(name, 130.0, SMALL)
        if UPRIGHT[0] <= plot.tilt <= UPRIGHT[1]:  # below the foot of a wall
            x, y = stand.at(depth, -14.0 / stand.scale)
            ends = {"ha": "left" if way < 0.0 else "right"}
            words(sheet, x, y, text, "quiet", fontsize=SMALL, va="center", **ends)
            continue
        x, y = stand.at(depth + 11.0 * way / stand.scale, 0.26 * length)
        turn = plot.tilt if plot.tilt <= 90.0 else plot.tilt - 180.0
        middle = {"ha": "center", "va": "center", "rotation_mode": "anchor"}
        words(sheet, x, y, text, "quiet", fontsize=SMALL, rotation=turn, **middle)
    long, text = plot.scale
    x, y = 16.0, sheet.get_ylim()[0] - (12.0 + 15.0 * len(plot.marks)) * bool(plot.marks) - 9.0
    wide = stand.scale * long
    sheet.plot([x, x, x + wide, x + wide], [y - 4, y, y, y - 4], color=light("quiet"), lw=0.9)
    words(sheet, x + wide + 6.0, y - 1.0, text, "quiet", va="center", fontsize=SMALL)


def _leaders(
    sheet: Axes, stand: Stand, plot: Build, length: float, members: list[tuple[float, float]]
) -> None:
    """Words of layers in the order in which they stand, framing after the layer it begins in."""
    rows: list[tuple[float, int, Piece | Member, tuple[float, float] | None]]
    rows = [(piece.start, 0, piece, None) for piece in plot.pieces]
    rows += [(one.start, 1, one, dot) for one, dot in zip(plot.members, members)]
    rows.sort(key=lambda row: row[:2])
    y = FIRST
    for _, _, one, known in rows if plot.tilt <= 90.0 else rows[::-1]:
        dot = known or _dot(stand, 0.5 * (one.start + one.stop), length, y)
        if isinstance(one, Member):
            _label(sheet, dot, y, one.label, f"{100.0 * one.share:.0f} % of the area")
        else:
            _label(sheet, dot, y, one.name, one.detail)
        y += LINE


def _dot(stand: Stand, depth: float, length: float, y: float) -> tuple[float, float]:
    """A point of a layer: at the height of its words where it reaches there, else near its end."""
    slope = sin(stand.tilt)
    along = 0.95 * length
    if slope > LEVEL:
        _, zero = stand.at(depth, 0.0)
        along = min(max((zero - y) / (stand.scale * slope), 0.06 * length), 0.94 * length)
    return stand.at(depth, along)


def _label(sheet: Axes, dot: tuple[float, float], y: float, name: str, detail: str) -> None:
    room = WIDTH - LABELS - 2.0
    ends = [dot[0], LABELS - 16.0, LABELS - 5.0]
    sheet.plot(ends, [dot[1], y, y], color=light("quiet"), linewidth=0.6)
    sheet.plot([dot[0]], [dot[1]], "o", ms=2.6, color=light("ink"))
    words(sheet, LABELS, y - 1.0, fitted(name, room), va="center" if not detail else "bottom")
    if detail:
        words(sheet, LABELS, y + 1.0, fitted(detail, room, SMALL), "quiet", va="top", fontsize=9.5)


def _marks(sheet: Axes, stand: Stand, marks: tuple[Mark, ...], length: float, below: float) -> None:
    """Letters at their places and in rows with their words below."""
    for number, mark in enumerate(marks):
        x, y = stand.at(mark.depth, (0.14 + 0.13 * number) * length)
        _letter(sheet, x, y, mark.letter)
        row = below + 12.0 + 15.0 * number
        _letter(sheet, 22.0, row, mark.letter)
        room = WIDTH - 36.0
        words(sheet, 34.0, row, fitted(mark.words, room * 1.08), va="center", fontsize=SMALL + 0.5)


def _letter(sheet: Axes, x: float, y: float, letter: str) -> None:
    sheet.plot([x], [y], "o", ms=12.0, mfc=light("moist"), mec=light("paper"), mew=1.2)
    words(sheet, x, y + 0.4, letter, "paper", ha="center", va="center", fontsize=9.0, weight="bold")

"""A section through a house with arrows between its spaces; its holes as circles to one scale."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from assembly_sim.report.page.draw_axes import SMALL, WIDTH, blank, canvas, fitted, words
from assembly_sim.report.page.house_plots import Flow, Hole, Holes, HousePlan, Space
from assembly_sim.report.page.palette import light

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Point = tuple[float, float]

LEFT, RIGHT, BESIDE = 96.0, 384.0, 100.0  # px, rooms and what lies beside them
APEX, EAVES, FLOOR, LOW = 8.0, 168.0, 272.0, 340.0
LONG, WIDEST, SLIMMEST = 46.0, 17.0, 1.6
KEY = 15.0
CELL, ROW, LARGEST = 92.0, 40.0, 110.0


def draw_house(plot: HousePlan) -> Figure:
    """Spaces, arrows with letters, and below what each letter stands for."""
    below = any(space.where == "below" for space in plot.spaces)
    foot = (LOW if below else FLOOR) + 26.0
    figure = canvas(foot + KEY * len(plot.keys))
    sheet = blank(figure)
    boxes = _boxes(plot)
    for space in plot.spaces:
        _space(sheet, space, boxes[space.name])
    sheet.plot([4.0, WIDTH - 4.0], [FLOOR, FLOOR], color=light("quiet"), linewidth=1.2, zorder=0.5)
    words(sheet, 4.0, EAVES + 6.0, "outdoors", "quiet", fontsize=SMALL)
    _flows(sheet, plot, boxes)
    for at, (letter, text) in enumerate(plot.keys):
        y = foot + KEY * at
        words(sheet, 6.0, y, letter, fontsize=SMALL, weight="bold", va="center")
        words(sheet, 22.0, y, fitted(text, WIDTH - 26.0, SMALL), fontsize=SMALL, va="center")
    return figure


def _boxes(plot: HousePlan) -> dict[str, list[Point]]:
    """The corners of each space, side by side where several share a place."""
    right = RIGHT - BESIDE * any(space.where == "beside" for space in plot.spaces)
    spans = {
        "rooms": (LEFT, right, EAVES, FLOOR),
        "below": (LEFT, right, FLOOR, LOW),
        "beside": (right, RIGHT, EAVES + 20.0, FLOOR),
    }
    found: dict[str, list[Point]] = {}
    for where in ("rooms", "above", "below", "beside"):
        some = [space.name for space in plot.spaces if space.where == where]
        for at, name in enumerate(some):
            if where == "above":
                found[name] = _under_roof(right, at / len(some), (at + 1) / len(some))
                continue
            left, end, top, foot = spans[where]
            a, b = (left + (end - left) * share / len(some) for share in (at, at + 1))
            found[name] = [(a, top), (b, top), (b, foot), (a, foot)]
    return found


def _under_roof(right: float, first: float, last: float) -> list[Point]:
    """A share of the triangle under a roof."""
    left, end = LEFT - 20.0, right + 20.0
    a, b = left + (end - left) * first, left + (end - left) * last

    def roof(x: float) -> float:
        share = abs(2.0 * (x - left) / (end - left) - 1.0)
        return APEX + (EAVES - APEX) * share

    middle = 0.5 * (left + end)
    ridge = [(middle, APEX)] if a < middle < b else []
    return [(a, roof(a)), *ridge, (b, roof(b)), (b, EAVES), (a, EAVES)]


def _space(sheet: Axes, space: Space, corners: list[Point]) -> None:
    from matplotlib.patches import Polygon

    shape = Polygon(corners, facecolor=light("step-0"), edgecolor=light("ink"), linewidth=1.1)
    sheet.add_artist(shape)
    xs, ys = ([corner[at] for corner in corners] for at in (0, 1))
    x, wide = 0.5 * (min(xs) + max(xs)), max(xs) - min(xs)
    lines = len(space.lines)
    y = max(ys) - 46.0 - 12.0 * lines if space.where == "above" else 0.5 * (min(ys) + max(ys))
    y -= 6.0 * lines * (space.where != "above")
    middle: dict[str, Any] = {"ha": "center", "va": "center"}
    words(sheet, x, y, fitted(space.name, wide - 8.0), weight="bold", **middle)
    for at, line in enumerate(space.lines, start=1):
        words(sheet, x, y + 13.0 * at, fitted(line, wide, SMALL), fontsize=SMALL, **middle)


def _flows(sheet: Axes, plot: HousePlan, boxes: dict[str, list[Point]]) -> None:
    """Arrows over the edge that two spaces share, evenly along it; none where they share none."""
    most = max((flow.amount for flow in plot.flows), default=0.0)
    where = {space.name: space.where for space in plot.spaces}
    pairs: dict[tuple[str, ...], list[Flow]] = {}
    for flow in plot.flows:
        pairs.setdefault(tuple(sorted((flow.source, flow.target))), []).append(flow)
    for pair, flows in pairs.items():
        inner = pair[0] if pair[0] in boxes else pair[1]
        if pair[0] in boxes and pair[1] in boxes and where[pair[0]] != "rooms":
            inner = pair[1]
        outer = pair[1] if inner == pair[0] else pair[0]
        edges = _edges(where[inner], where.get(outer, "outdoors"), boxes[inner], boxes.get(outer))
        for at, flow in enumerate(flows):
            start, end, way = edges[at % len(edges)]
            each = -(-len(flows) // len(edges))
            share = (at // len(edges) + 1.0) / (each + 1.0)
            x, y = (a + (b - a) * share for a, b in zip(start, end))
            sign = 1.0 if flow.source == inner else -1.0
            width = max(SLIMMEST, WIDEST * flow.amount / most) if most else SLIMMEST
            _arrow(sheet, flow, (x, y), (sign * way[0], sign * way[1]), width)


def _edges(
    inner: str, outer: str, box: list[Point], other: list[Point] | None
) -> list[tuple[Point, Point, Point]]:
    """Where arrows from one space to another cross: two ends and the outward direction."""
    xs, ys = ([corner[at] for corner in box] for at in (0, 1))
    if other is not None:
        theirs = [corner[0] for corner in other]
        a, b = max(min(xs), min(theirs)), min(max(xs), max(theirs))
        if {inner, outer} == {"rooms", "above"}:
            return [((a, EAVES), (b, EAVES), (0.0, -1.0))]
        if {inner, outer} == {"rooms", "below"}:
            return [((a, FLOOR), (b, FLOOR), (0.0, 1.0))]
        x = max(xs) if min(theirs) >= max(xs) - 1.0 else min(xs)
        way = 1.0 if x == max(xs) else -1.0
        return [((x, max(ys) - 60.0), (x, max(ys)), (way, 0.0))]
    if inner == "above":
        return _slopes(box)
    if inner == "beside":
        return [((max(xs), min(ys)), (max(xs), max(ys)), (1.0, 0.0))]
    sides = []
    if min(xs) <= LEFT + 1.0:
        sides.append(((min(xs), min(ys)), (min(xs), max(ys)), (-1.0, 0.0)))
    if max(xs) >= RIGHT - 1.0:
        sides.append(((max(xs), min(ys)), (max(xs), max(ys)), (1.0, 0.0)))
    return sides or [((min(xs), max(ys)), (max(xs), max(ys)), (0.0, 1.0))]


def _slopes(box: list[Point]) -> list[tuple[Point, Point, Point]]:
    """The slopes above a space under a roof, from the eaves up."""
    top = [corner for corner in box if corner[1] < EAVES - 0.5 or corner in (box[0], box[-3])]
    found = []
    for one, two in zip(top, top[1:]):
        dx, dy = two[0] - one[0], two[1] - one[1]
        long = (dx**2 + dy**2) ** 0.5
        if long > 20.0:
            found.append((one, two, (dy / long, -dx / long)))
    return found


def _arrow(sheet: Axes, flow: Flow, at: Point, way: Point, width: float) -> None:
    """An arrow across a point, its letter in a disc on its middle."""
    from matplotlib.patches import Polygon

    (x, y), (u, v) = at, way
    half, head = 0.5 * width, max(0.5 * width + 4.0, 5.0)
    along = [-0.5 * LONG, 0.5 * LONG - 9.0, 0.5 * LONG]
    outline = [
        *((along[0], half), (along[1], half), (along[1], head), (along[2], 0.0)),
        *((along[1], -head), (along[1], -half), (along[0], -half)),
    ]
    corners = [(x + u * a - v * b, y + v * a + u * b) for a, b in outline]
    colour = light(flow.role)
    shape = Polygon(corners, facecolor=light("paper") if flow.hatched else colour, zorder=3.0)
    shape.set(edgecolor=colour, linewidth=1.0, hatch="////" if flow.hatched else None)
    sheet.add_artist(shape)
    x, y = x - 5.0 * u, y - 5.0 * v
    sheet.plot([x], [y], "o", ms=12.0, mfc=light("paper"), mec=colour, mew=1.0, zorder=4.0)
    middle: dict[str, Any] = {"ha": "center", "va": "center", "zorder": 5.0}
    words(sheet, x, y + 0.4, flow.letter, fontsize=9.0, weight="bold", **middle)


def draw_holes(plot: Holes) -> Figure:
    """Circles in rows, the largest first, the bar of the scale at the foot."""
    most = max(hole.diameter for hole in plot.holes)
    scale = LARGEST / most
    rows = _rows(plot.holes, scale)
    tall = sum(scale * row[0].diameter + ROW for row in rows)
    figure = canvas(tall + 34.0)
    sheet, top = blank(figure), 6.0
    for row in rows:
        high, x = scale * row[0].diameter, 4.0
        for hole in row:
            wide = max(CELL, scale * hole.diameter + 10.0)
            _hole(sheet, hole, x + 0.5 * wide, top + high, 0.5 * scale * hole.diameter, wide)
            x += wide
        top += high + ROW
    long, text = plot.bar
    y, wide = top + 10.0, scale * long
    sheet.plot([6.0, 6.0, 6.0 + wide, 6.0 + wide], [y - 4, y, y, y - 4], color=light("quiet"))
    words(sheet, 12.0 + wide, y - 1.0, text, "quiet", va="center", fontsize=SMALL)
    return figure


def _rows(holes: tuple[Hole, ...], scale: float) -> list[list[Hole]]:
    """Holes by size, as many in a row as its width holds."""
    rows: list[list[Hole]] = [[]]
    used = 0.0
    for hole in sorted(holes, key=lambda one: -one.diameter):
        wide = max(CELL, scale * hole.diameter + 10.0)
        if rows[-1] and used + wide > WIDTH:
            rows.append([])
            used = 0.0
        rows[-1].append(hole)
        used += wide
    return rows


def _hole(sheet: Axes, hole: Hole, x: float, foot: float, radius: float, wide: float) -> None:
    from matplotlib.patches import Circle

    shape = Circle((x, foot - radius), radius, edgecolor=light("ink"), linewidth=1.0)
    shape.set(facecolor="none" if hole.spread else light("step-1"))
    if hole.spread:
        shape.set_linestyle((0, (2.0, 2.0)))
    sheet.add_artist(shape)
    middle: dict[str, Any] = {"ha": "center", "va": "center"}
    words(sheet, x, foot + 11.0, fitted(hole.label, wide, 9.5), fontsize=9.5, **middle)
    words(sheet, x, foot + 23.0, fitted(hole.detail, wide, 9.0), "quiet", fontsize=9.0, **middle)

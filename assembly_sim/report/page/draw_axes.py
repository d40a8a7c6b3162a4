"""Canvas and axes that all charts share: sizes in px of a drawing 480 wide, quiet rules."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from assembly_sim.errors import shortened, visible
from assembly_sim.report.page.palette import light
from assembly_sim.report.page.plots import Tick

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH = 480.0
SMALL = 10.0
LETTER = 5.7  # px that a letter of the usual size takes, about
WIDE = 6.5  # of a text of wide letters


def canvas(height: float, width: float = WIDTH) -> Figure:
    """An empty figure of this size in px."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width / 72.0, height / 72.0), dpi=72.0)
    figure.patch.set_visible(False)
    return figure


def axes(figure: Figure, left: float, top: float, right: float, bottom: float) -> Axes:
    """Axes between these edges, px from the figure's left and top edges."""
    width, height = (72.0 * size for size in figure.get_size_inches())
    box = (left / width, 1.0 - bottom / height, (right - left) / width, (bottom - top) / height)
    made = figure.add_axes(box)
    made.patch.set_visible(False)
    for side in ("top", "right", "left"):
        made.spines[side].set_visible(False)
    made.spines["bottom"].set_color(light("quiet"))
    made.spines["bottom"].set_linewidth(0.8)
    made.tick_params(
        length=3.0, width=0.6, color=light("quiet"), labelcolor=light("quiet"), labelsize=SMALL
    )
    return made


def blank(figure: Figure) -> Axes:
    """Axes over the whole figure in px, y downward, with nothing drawn of themselves."""
    width, height = (72.0 * size for size in figure.get_size_inches())
    made = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    made.set_axis_off()
    made.set_xlim(0.0, width)
    made.set_ylim(height, 0.0)
    return made


def rule_lines(axes: Axes) -> None:
    """Quiet level lines behind what is drawn."""
    axes.grid(axis="y", color=light("rule"), linewidth=0.6)
    axes.set_axisbelow(True)
    axes.tick_params(axis="y", length=0.0)


def put_ticks(axes: Axes, ticks: Sequence[Tick]) -> None:
    """Ticks of the horizontal axis where they are said to be."""
    axes.set_xticks([at for at, _ in ticks], [label for _, label in ticks])


def words(axes: Axes, x: float, y: float, text: str, role: str = "ink", **more: Any) -> None:
    """A text; nothing in it is read as a formula, and nothing that hides is kept."""
    more.setdefault("fontsize", 11.0)
    axes.text(x, y, visible(text), color=light(role), **more)


def title(axes: Axes, text: str, above: float = 6.0) -> None:
    """A quiet title above the left end of some axes."""
    axes.annotate(
        visible(text),
        (0.0, 1.0),
        (0.0, above),
        xycoords="axes fraction",
        textcoords="offset points",
        color=light("quiet"),
        fontsize=SMALL,
    )


def fitted(text: str, width: float, size: float = 11.0) -> str:
    """A text short enough for a width in px, cut with dots where it is not."""
    return shortened(text, max(4, int(width / (WIDE * size / 11.0)) - 3))


def fitted_parts(text: str, width: float, size: float = 11.0) -> str:
    """The same of a name of parts, `a | b, outer side`: the longest is cut until all fit."""
    name, comma, side = text.rpartition(", ")
    parts = (name or side).split(" | ")
    side = f", {side}" if comma else ""
    most = int(width / (LETTER * size / 11.0)) - len(side)
    while len(" | ".join(parts)) > most:
        longest = max(parts, key=len)
        if len(longest) <= 6:
            break
        parts[parts.index(longest)] = f"{longest.rstrip('.').rstrip()[:-1].rstrip()}.."
    return shortened(" | ".join(parts), max(4, most)) + side


def legend_rows(entries: Iterable[str], room: float, lead: float) -> list[list[str]]:
    """Entries of a legend in rows that fit; lead: px that each takes before its words."""
    rows: list[list[str]] = [[]]
    used = 0.0
    for entry in entries:
        takes = lead + LETTER * len(entry) + 12.0
        if rows[-1] and used + takes > room:
            rows.append([])
            used = 0.0
        rows[-1].append(entry)
        used += takes
    return rows

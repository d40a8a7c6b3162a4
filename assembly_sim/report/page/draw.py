"""Drawings as SVG to stand inside a page: real text, colours by role, words for who cannot see.

A pure function of a plot: the same plot gives the same bytes. matplotlib is loaded when first used.
"""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assembly_sim.errors import visible
from assembly_sim.report.page import house_plots, palette, plots, sweep_plots
from assembly_sim.report.page.draw_build import draw_build
from assembly_sim.report.page.draw_charts import draw_bars, draw_curves
from assembly_sim.report.page.draw_house import draw_holes, draw_house
from assembly_sim.report.page.draw_maps import draw_calendar, draw_cells, draw_map
from assembly_sim.report.page.draw_spots import draw_spots
from assembly_sim.report.page.draw_sweep import draw_cloud, draw_swings
from assembly_sim.report.page.draw_thermal import draw_thermal
from assembly_sim.report.page.typeset import typeset

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DRAWERS: dict[type, Callable[[Any], Figure]] = {
    plots.Curves: draw_curves,
    plots.Bars: draw_bars,
    plots.Cells: draw_cells,
    plots.Calendar: draw_calendar,
    plots.Map: draw_map,
    plots.Spots: draw_spots,
    plots.Build: draw_build,
    plots.Thermal: draw_thermal,
    house_plots.HousePlan: draw_house,
    house_plots.Holes: draw_holes,
    sweep_plots.Cloud: draw_cloud,
    sweep_plots.Swings: draw_swings,
}
SETTINGS: Any = {
    "svg.fonttype": "none",  # real text
    "text.parse_math": False,  # a layer may be called "$5 board"
    "font.size": 11.0,
    "font.family": ["DejaVu Sans"],
    "hatch.linewidth": 0.7,
    "axes.unicode_minus": False,
    "path.simplify_threshold": 0.2,
}
_GROUP = re.compile(r'<g id="[^"]*"')
_FONT = re.compile(r"font: (?:bold |[0-9]+ )?([0-9.]+)px [^;\"]*")
_LONG = re.compile(r"(-?[0-9]+\.[0-9])[0-9]+")
_PLACES = re.compile(r' (?:d|x|y|x1|x2|y1|y2|points)="[^"]*"')
_STEP = re.compile(r"([MLCQz]) ?(?:(-?[0-9.]+) (-?[0-9.]+))?((?: -?[0-9.]+)*) ?")
_TEXT = re.compile(r"(<text[^>]*>)([^<]*)(</text>)")


def svg(plot: plots.Plot, name: str, title: str, description: str) -> str:
    """A plot as an `<svg>` element. name: letters, digits, hyphens; unique on the page."""
    from matplotlib import rc_context
    from matplotlib.backends.backend_svg import FigureCanvasSVG

    with rc_context({**SETTINGS, "svg.hashsalt": name}), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph")  # only measured here, not drawn
        figure = DRAWERS[type(plot)](plot)
        FigureCanvasSVG(figure).print_svg(made := io.StringIO(), metadata={"Date": None})
    return _for_page(made.getvalue(), name, visible(title), visible(description))


def png(plot: plots.Plot, place: Path) -> None:
    """The same as a picture on light paper. OSError where it cannot be written."""
    from matplotlib import rc_context

    with rc_context(SETTINGS), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph")
        figure = DRAWERS[type(plot)](plot)
        figure.patch.set_visible(True)
        figure.savefig(place, format="png", dpi=144.0, facecolor=palette.light("paper"))


def _for_page(made: str, name: str, title: str, description: str) -> str:
    """matplotlib's file as an element: named, described, without what would reach other parts."""
    head, body = made[made.index("<svg") :].split(">", 1)
    view = re.search(r'viewBox="([^"]*)"', head)
    assert view is not None
    body = body[body.index("</metadata>") + len("</metadata>") :]
    body = re.sub(r"<defs>\s*<style.*?</style>\s*</defs>", "", body, count=1, flags=re.DOTALL)
    body = _own_ids(_GROUP.sub("<g", body), name)
    body = _FONT.sub(r"font-size: \1px", body)
    body = _PLACES.sub(lambda found: _LONG.sub(r"\1", found[0]), body)
    body = _TEXT.sub(lambda found: found[1] + typeset(found[2]) + found[3], body)
    body = _smaller(body)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="img" viewBox="{view[1]}" '
        f'aria-labelledby="{name}-title {name}-text">\n'
        f'<title id="{name}-title">{escape(title)}</title>\n'
        f'<desc id="{name}-text">{escape(description)}</desc>' + palette.by_variable(body)
    )


def _smaller(body: str) -> str:
    """Without what draws nothing: comments (which repeat texts), turns by nothing, white space."""
    body = re.sub(r"<!--.*?-->", "", body, flags=re.DOTALL)
    body = re.sub(r' transform="rotate\(-0 [^"]*"', "", body)
    body = re.sub(r' d="[^"]*"', lambda found: _shorter_path(found[0]), body)
    body = re.sub(r"\s*\n\s*", "\n", body)
    return re.sub(r"<g>\s*(<text[^>]*>[^<]*</text>)\s*</g>", r"\1", body)


def _shorter_path(path: str) -> str:
    """A path whose level and upright lines name one number, and without needless space."""
    path, before, parts = " ".join(path.split()), ("", ""), []
    for letter, x, y, rest in _STEP.findall(path[3:-1]):
        if letter == "L" and y == before[1]:
            parts.append(f"H{x}")
        elif letter == "L" and x == before[0]:
            parts.append(f"V{y}")
        else:
            parts.append(f"{letter}{x} {y}{rest.rstrip()}" if letter != "z" else "z")
        before = (x, y) if letter in "ML" else ("", "")
    return f' d="{"".join(parts)}"'


def _own_ids(body: str, name: str) -> str:
    """Ids that no other drawing of the page has, in definitions and where they are used."""
    body = re.sub(r' id="([^"]*)"', rf' id="{name}-\1"', body)
    body = re.sub(r"url\(#([^)]*)\)", rf"url(#{name}-\1)", body)
    return re.sub(r'xlink:href="#([^"]*)"', rf'href="#{name}-\1"', body)

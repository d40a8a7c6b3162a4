"""A page as one HTML file: style inside, drawings inside, no script, nothing fetched."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from assembly_sim.errors import visible
from assembly_sim.report import blocks
from assembly_sim.report.page import content
from assembly_sim.report.page.draw import svg
from assembly_sim.report.page.palette import variables
from assembly_sim.report.page.typeset import typeset

if TYPE_CHECKING:
    from jinja2 import Environment

KINDS: dict[type, str] = {
    content.Figure: "figure",
    content.Absent: "absent",
    content.Words: "words",
    content.Listed: "listed",
    content.Source: "source",
    content.Checklist: "checklist",
    blocks.Listing: "listing",
}


def html(page: content.Page) -> str:
    """The whole file."""
    return _environment().get_template("page.html").render(page=page)


@cache
def _environment() -> Environment:
    from jinja2 import Environment, FunctionLoader, StrictUndefined
    from markupsafe import Markup

    made = Environment(
        loader=FunctionLoader(_template),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"said": _said, "plain": visible, "quoted": _quoted}
    made.globals |= {
        "kind": lambda block: KINDS[type(block)],
        "drawing": lambda figure: Markup(drawing(figure)),
        "style": Markup(_template("page.css")),
        "light": Markup(variables(dark=False)),
        "dark": Markup(variables(dark=True)),
        "is_number": _is_number,
    }
    return made


def _template(name: str) -> str:
    folder = files("assembly_sim.report.page").joinpath("templates")
    return folder.joinpath(name).read_text(encoding="utf-8")


def drawing(figure: content.Figure) -> str:
    """The drawing of a figure as an `<svg>` element."""
    return svg(figure.plot, figure.name, figure.title, figure.says)


def _said(text: Any) -> str:
    """Words as they stand on a page: nothing hides in them, units are set as in print."""
    return typeset(visible(str(text)))


def _quoted(text: str) -> str:
    """A text as a string of a style sheet: whatever is no letter or digit by its number."""
    plain = (c if c.isalnum() or c in " ,.%/" else f"\\{ord(c):x} " for c in text)
    return f"'{''.join(plain)}'"


def _is_number(column: content.Column) -> bool:
    return column.decimals is not None

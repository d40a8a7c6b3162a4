"""A sweep as one page: the text's blocks as tables, figures inside, readable without a network."""

from __future__ import annotations

import io
from html import escape
from pathlib import Path
from typing import Any

from assembly_sim.errors import visible
from assembly_sim.files.output import whole_file, write_text
from assembly_sim.files.places import check_folder
from assembly_sim.report.blocks import Block, Lines, Listing, Table
from assembly_sim.report.sweep.figures import figures
from assembly_sim.report.sweep.text import report_blocks
from assembly_sim.studies.sweep.questions import Answers

STYLE = """
body { font: 15px/1.45 sans-serif; max-width: 62em; margin: 2em auto; padding: 0 1em; color: #222 }
table { border-collapse: collapse; margin: 0.5em 0 1.5em } td, th { padding: 0.15em 0.8em 0.15em 0;
text-align: left; border-bottom: 1px solid #ddd } figure { margin: 1.5em 0 } svg { max-width: 100%;
height: auto } figcaption { color: #555 } @media print { figure { break-inside: avoid } }
"""
SVG: Any = {
    "svg.fonttype": "none",
    "svg.hashsalt": "assembly_sim",
}  # text as text, the same each time


def write_page(answers: Answers, folder: Path, system: str) -> Path:
    """Write `page.html` and each figure as a PNG into a folder. OSError where that cannot be."""
    check_folder(folder, "--to")
    folder.mkdir(exist_ok=True)
    drawn = []
    for name, caption, figure in figures(answers, system):
        with whole_file(folder / f"{name}.png") as part:
            figure.savefig(part, dpi=120, format="png")
        drawn.append(_drawing(caption, figure))
    body = "\n".join([*(_block(one) for one in report_blocks(answers, system)), *drawn])
    title = escape(visible(str(answers.sweep.about.get("plan", "a sweep"))))
    head = f"<meta charset='utf-8'><title>{title}</title><style>{STYLE}</style>"
    page = f"<!doctype html><html lang='en'><head>{head}</head><body><h1>{title}</h1>{body}</body>"
    write_text(f"{page}</html>\n", folder / "page.html")
    return folder / "page.html"


def _block(block: Block) -> str:
    """A block as HTML; everything in it is text."""
    match block:
        case Lines():
            lines = "<br>".join(_text(one) for one in block.lines)
            return f"<h3>{_text(block.title)}</h3><p>{lines}</p>"
        case Listing():
            items = "".join(f"<li>{_text(one)}</li>" for one in block.items)
            return f"<h3>{_text(block.title)}</h3><ul>{items}</ul>"
        case Table():
            head = "".join(f"<th>{_text(one)}</th>" for one in block.head)
            rows = ("".join(f"<td>{_text(cell)}</td>" for cell in row) for row in block.rows)
            body = "".join(f"<tr>{row}</tr>" for row in rows)
            return f"<table><tr>{head}</tr>{body}</table>"
    raise TypeError(type(block).__name__)


def _text(text: str) -> str:
    return escape(visible(text))


def _drawing(caption: str, figure: Any) -> str:
    """A figure as inline SVG, with its caption as its title too."""
    import matplotlib

    file, words = io.StringIO(), _text(caption)
    with matplotlib.rc_context(SVG):
        figure.savefig(file, format="svg", metadata={"Date": None})
    svg = file.getvalue()
    svg = svg[svg.index("<svg") :].replace("<svg", "<svg role='img'", 1)
    start = svg.index(">") + 1
    svg = f"{svg[:start]}<title>{words}</title>{svg[start:]}"
    return f"<figure>{svg}<figcaption>{words}</figcaption></figure>"

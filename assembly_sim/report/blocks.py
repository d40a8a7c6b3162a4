"""Blocks of content, the same for text, page and tables; here as plain text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from dataclasses import dataclass

WIDTH = 100


@dataclass(frozen=True)
class Lines:
    """A title and lines that stand as they are, indented by two."""

    title: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class Listing:
    """A titled list of sentences; nothing where it is empty."""

    title: str
    items: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """A titled table. widths: of each column, negative to set it to the left."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[int, ...]


Block = Lines | Listing | Table


def as_text(blocks: Iterable[Block]) -> str:
    """Blocks as text, an empty line between them."""
    return "\n\n".join(text for block in blocks if (text := block_text(block))) + "\n"


def block_text(block: Block) -> str:
    """One block as text; nothing where it holds nothing."""
    match block:
        case Listing():
            return bullets(block.title, block.items)
        case Lines():
            return "\n".join([*filter(None, (block.title,)), *(f"  {one}" for one in block.lines)])
    return "\n".join(_row(row, block.widths) for row in (block.head, *block.rows))


def _row(cells: tuple[str, ...], widths: tuple[int, ...]) -> str:
    set_out = (
        cell.ljust(-width) if width < 0 else cell.rjust(width)
        for cell, width in zip(cells, widths, strict=False)
    )
    return ("  " + "".join(set_out)).rstrip()


def wrapped(text: str, first: str = "", later: str = "") -> list[str]:
    """A sentence in lines of the width that is left by an indent of two."""
    return textwrap.wrap(text, WIDTH - 2, initial_indent=first, subsequent_indent=later)


def bullets(title: str, lines: Iterable[str]) -> str:
    """A titled list, wrapped; nothing where the list is empty."""
    items = [
        textwrap.fill(line, WIDTH, initial_indent="  - ", subsequent_indent="    ")
        for line in lines
    ]
    return "\n".join([title, *items]) if items else ""

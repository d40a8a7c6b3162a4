"""What a page is made of: sections of blocks, figures with their numbers, tables. No drawing here.

All of it is plain data, so a page, a folder of tables and a live view are made of the same.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from assembly_sim.report import blocks
from assembly_sim.report.page.plots import Plot

Cell = str | float | int | None


@dataclass(frozen=True)
class Column:
    """A column of a table: its heading with the unit; decimals of its numbers, None for text."""

    head: str
    decimals: int | None = None


@dataclass(frozen=True)
class DataTable:
    """Numbers in rows. name: part of a file's name; rows: as many cells as there are columns."""

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]

    def texts(self) -> Iterator[tuple[str, ...]]:
        """Rows as they are printed."""
        for row in self.rows:
            yield tuple(cell_text(cell, column) for cell, column in zip(row, self.columns))


@dataclass(frozen=True)
class Figure:
    """A drawing with what it says in a sentence, how it is read, and the numbers behind it.

    says: computed from the data, for a reader who knows none of the terms; reading: what is
    drawn, in terms of the trade; name: unique on its page.
    """

    name: str
    title: str
    says: str
    reading: str
    plot: Plot
    table: DataTable


@dataclass(frozen=True)
class Absent:
    """A figure that cannot be drawn, and why."""

    title: str
    why: str


@dataclass(frozen=True)
class Words:
    """A titled paragraph or several."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Listed:
    """A titled table by itself; folded: opened by who wants it, printed all the same."""

    table: DataTable
    note: str = ""
    folded: bool = False


@dataclass(frozen=True)
class Source:
    """A text to be kept word for word, such as a case file."""

    title: str
    text: str


@dataclass(frozen=True)
class Checklist:
    """Tasks under a title, each with a box to tick on paper; nothing without tasks and note."""

    title: str
    items: tuple[str, ...]
    note: str = ""


Block = Figure | Absent | Words | Listed | Source | Checklist | blocks.Listing


@dataclass(frozen=True)
class Answer:
    """The first screen of one thing that was asked about: read this and no further.

    headline: the answer in some words; step: its place among `steps` from the best, None without
    one; sentences: the decisive first; gauge: what decides against its limit; lists: what else.
    """

    headline: str
    step: int | None
    steps: tuple[str, ...]
    sentences: tuple[str, ...]
    gauge: Gauge | None
    drawing: Figure | None
    lists: tuple[blocks.Listing, ...] = ()


@dataclass(frozen=True)
class Gauge:
    """A value beside its limit: both as shares of the scale, and in words."""

    what: str
    value: str
    limit: str
    value_share: float
    limit_share: float
    words: str


@dataclass(frozen=True)
class Section:
    """A part of a page under a heading; anchor: unique on it; apart: begins a sheet in print."""

    anchor: str
    title: str
    blocks: tuple[Block, ...] = ()
    answer: Answer | None = None
    subtitle: str = ""
    apart: bool = False


@dataclass(frozen=True)
class Page:
    """A whole page: facts stand below its title, sections follow."""

    kind: str
    title: str
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...]
    made_by: str


def cell_text(cell: Cell, column: Column) -> str:
    """A cell as it is printed; a dash for what there is not."""
    if cell is None or (isinstance(cell, float) and not math.isfinite(cell)):
        return "-"
    if isinstance(cell, str):
        return cell
    text = f"{cell:.{column.decimals or 0}f}"
    return text.removeprefix("-") if not text.strip("-0.") else text


def figures(page: Page) -> Iterator[Figure]:
    """Every figure of a page, in order."""
    for section in page.sections:
        if section.answer is not None and section.answer.drawing is not None:
            yield section.answer.drawing
        yield from (block for block in section.blocks if isinstance(block, Figure))


def tables(page: Page) -> Iterator[DataTable]:
    """Every table of a page, in order: those behind figures and those by themselves."""
    for section in page.sections:
        yield from tables_of(section)


def tables_of(section: Section) -> Iterator[DataTable]:
    """Every table of a section."""
    if section.answer is not None and section.answer.drawing is not None:
        yield section.answer.drawing.table
    yield from tables_in(section.blocks)


def tables_in(found: Iterable[Block]) -> Iterator[DataTable]:
    """Tables of blocks."""
    for block in found:
        if isinstance(block, Figure | Listed):
            yield block.table

"""Headings of vendors' weather files that are nearly right: read all the same, and said."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.climate.rows import quoted

ALIKE = 0.8  # share of letters in common from which a title is another one mistyped
LONGEST_TITLE = 60  # characters: comparing takes time that grows with their square


def trimmed(cells: Sequence[str], width: int) -> list[str]:
    """Cells without the empty ones past `width`: spreadsheets pad short lines with commas."""
    last = max((i + 1 for i, cell in enumerate(cells) if cell), default=0)
    return list(cells[: max(last, width)])


def is_nearly(text: str, title: str) -> bool:
    """Whether a text is a title, but for capitals, blanks and a slip of the keys."""
    return _alike(_plain(text), _plain(title)) >= ALIKE


def _plain(text: str) -> str:
    return re.sub(r"[\s_]+", "", text[:LONGEST_TITLE]).lower()


def _alike(one: str, other: str) -> float:
    return difflib.SequenceMatcher(None, one, other, autojunk=False).ratio()


def _parts(title: str) -> tuple[str, str]:
    """Name and unit of a title such as `Dry-bulb (C)`, without blanks and capitals."""
    name, _, unit = title.partition("(")
    return _plain(name), _plain(unit.rstrip(") "))


def find_titles(
    header: Sequence[str], needed: Mapping[str, str], others: Iterable[str], file: str, line: int
) -> tuple[dict[str, int], tuple[str, ...]]:
    """Position of each needed title, by our name, and a note on each that was mistyped.

    Only a title that no known one claims is taken for another, and only with the same unit: a
    column in km/h is no typing error. Raises `InputError` for what is missing.
    """
    found = {name: header.index(title) for name, title in needed.items() if title in header}
    known = {*needed.values(), *others}
    strange = {i: title for i, title in enumerate(header) if title and title not in known}
    notes, problems = [], []
    for name, title in needed.items():
        if name in found:
            continue
        near = _nearest(title, strange)
        if near is None or _parts(strange[near])[1] != _parts(title)[1]:
            problems.append(_missing(title, strange.get(-1 if near is None else near), file, line))
            continue
        found[name] = near
        notes.append(f"column {quoted(strange.pop(near))} is read as '{title}'")
    if problems:
        raise InputError(*problems)
    return found, tuple(notes)


def _nearest(title: str, strange: Mapping[int, str]) -> int | None:
    """Position of the one strange title whose name is like this one's; None if none or several."""
    wanted = _parts(title)[0]
    like = {i: _alike(_parts(other)[0], wanted) for i, other in strange.items()}
    best = sorted(like, key=lambda i: -like[i])[:2]
    if not best or like[best[0]] < ALIKE or (len(best) > 1 and like[best[0]] == like[best[1]]):
        return None
    return best[0]


def _missing(title: str, near: str | None, file: str, line: int) -> Problem:
    if near is None:
        return Problem("column not in the file", "give it with all its columns", file, line, title)
    cause = f"the column is called {quoted(near)}: another unit"
    return Problem(cause, f"convert it, and call it '{title}'", file, line, title)

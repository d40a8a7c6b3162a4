"""Where each entry of a TOML text stands: a scanner that maps keys to line numbers.

Works on text that `tomllib` has already accepted, so it only has to follow the grammar, not to
check it. Entries inside inline tables and arrays share the line of their key.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator

Path = tuple[str | int, ...]

_KEY = re.compile(r"""\s*([A-Za-z0-9_-]+|"(?:\\.|[^"\\])*"|'[^']*')\s*(\.?)""")
_BLANK = re.compile(r"(?:\s+|#[^\n]*)*")
_TOKEN = re.compile(
    r'''"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?'{3,5}|"(?:\\.|[^"\\\n])*"|'[^'\n]*'|#[^\n]*'''
    r"""|[\[\]{}]|\n|[^\[\]{}"'#\n]+""",
    re.DOTALL,
)


def entry_lines(text: str) -> dict[Path, int]:
    """Line (from 1) of every table, array item and key: `("assembly", 0, "name")` -> 7."""
    lines: dict[Path, int] = {}
    last_item: dict[Path, int] = {}
    table: Path = ()
    line, counted = 1, 0
    for start, marker, keys in _statements(text):
        line, counted = line + text.count("\n", counted, start), start
        if marker:
            table = _place((), keys, last_item, marker == "[[")
            here = table
        else:
            here = _place(table, keys, last_item, False)
        for depth in range(1, len(here) + 1):
            lines.setdefault(here[:depth], line)
    return lines


def _place(start: Path, keys: list[str], last_item: dict[Path, int], new_item: bool) -> Path:
    """Path of `keys` below `start`; a table array on the way means its last item."""
    path = start
    for depth, key in enumerate(keys):
        path = (*path, key)
        if new_item and depth == len(keys) - 1:
            last_item[path] = last_item.get(path, -1) + 1
        if path in last_item:
            path = (*path, last_item[path])
    return path


def _statements(text: str) -> Iterator[tuple[int, str, list[str]]]:
    """Offset, marker (`[`, `[[` or nothing) and keys of each header and each assignment."""
    text = text.rstrip()
    at = _end(_BLANK, text, 0)
    while at < len(text):
        start = at
        marker = "[[" if text.startswith("[[", at) else "[" if text[at] == "[" else ""
        keys, at = _keys(text, at + len(marker))
        yield start, marker, keys
        at = _end(_BLANK, text, at + len(marker) if marker else _after_value(text, at + 1))


def _end(pattern: re.Pattern[str], text: str, at: int) -> int:
    match = pattern.match(text, at)
    return match.end() if match else at


def _keys(text: str, at: int) -> tuple[list[str], int]:
    keys = []
    while match := _KEY.match(text, at):
        keys.append(_plain(match[1]))
        at = match.end()
        if not match[2]:
            break
    return keys, at


def _plain(key: str) -> str:
    return tomllib.loads(f"key = {key}")["key"] if key[0] in "\"'" else key


def _after_value(text: str, at: int) -> int:
    """Offset just past the value that starts at `at`: brackets closed, line ended."""
    depth = 0
    while match := _TOKEN.match(text, at):
        at = match.end()
        depth += (match[0] in "[{") - (match[0] in "]}")
        if match[0] == "\n" and depth == 0:
            break
    return at

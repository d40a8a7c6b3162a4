"""From a path to checked text: decoding, TOML, and the place of each entry."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.case import lines as case_lines

_LARGEST_FILE = 1_000_000  # bytes; a case is some kB

DEEPEST = 16  # tables in one another; the TOML reader takes quadratic time and memory beyond
_KEY = r"""(?:[A-Za-z0-9_-]+|"(?:\\.|[^"\\\n])*"|'[^'\n]*')"""
_TOO_DEEP = re.compile(rf"(?:^|[{{,\[])[ \t]*(?:{_KEY}[ \t]*\.[ \t]*){{{DEEPEST}}}", re.MULTILINE)

# What the TOML reader says, and how a designer would say it: cause, cure.
_SYNTAX = (
    ("Unterminated string", "a closing quote is missing", 'end the text with "'),
    ("Illegal character '\\n'", "a closing quote is missing", 'end the text with "'),
    ("Cannot overwrite", "this entry is given twice", "keep one of the two"),
    ("Cannot declare", "this table is given twice", "keep one of the two, or write [[...]]"),
    ("Cannot mutate", "this table was closed before", "write all its entries in one place"),
    (
        *("Expected newline", "the line goes on after its value"),
        'put a quantity in quotes, as in "140 mm"',
    ),
    (
        *("Invalid value", "the value is missing or is no text, number, true or false"),
        'put text and quantities in quotes, as in "140 mm"',
    ),
    (
        *("Unescaped '\\'", "a backslash begins an escape here"),
        "write / between folders, or put the text in single quotes",
    ),
    ("recursion", "tables or lists are nested too deep", f"nest {DEEPEST} at most"),
    ("Unclosed", "a closing bracket is missing", "close the list or table with ] or }"),
)
_OTHER_SYNTAX = (
    "this line is not complete or not in TOML form",
    'write entries as name = "value" and headings as [name]',
)


@dataclass(frozen=True)
class Place:
    """Where an entry stands: file as the user gave it, line, and the text of the line."""

    file: str
    line: int | None = None
    source_line: str = ""


@dataclass(frozen=True)
class CaseText:
    """A case as nested tables, with the place of each entry and the text and files it came from."""

    entries: dict[str, Any]
    file: str
    text: str
    places: Mapping[case_lines.Path, Place] = field(default_factory=dict)
    files: tuple[str, ...] = ()

    def place(self, path: case_lines.Path) -> Place:
        """Place of an entry, or of the closest table around it."""
        for depth in range(len(path), 0, -1):
            if path[:depth] in self.places:
                return self.places[path[:depth]]
        return Place(self.file)

    def problem(self, path: case_lines.Path, cause: str, cure: str = "") -> Problem:
        """A problem with the entry at `path`."""
        place = self.place(path)
        return Problem(cause, cure, place.file, place.line, name_of(path), place.source_line)


def name_of(path: case_lines.Path) -> str:
    """`assembly[1].layer[2].thickness`: list items are counted from 1."""
    parts = (f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in path)
    return "".join(parts).lstrip(".")


def load(path: Path | str) -> CaseText:
    """Read one file without what it builds on. Raises InputError."""
    file = str(path)
    text = read_text(file)
    entries = _parse(text, file)
    return CaseText(entries, file, text, _places(text, file), (file,))


def read_text(file: str) -> str:
    """The text of a file that a user named, or an InputError that says why it cannot be read."""
    path = Path(file)
    try:
        if path.is_dir():
            raise _refused(file, "this is a folder, not a file", "name a file in it")
        if not path.exists():
            raise _refused(file, "there is no such file", "check the name and the folder")
        if not path.is_file() or path.stat().st_size > _LARGEST_FILE:
            raise _refused(file, "this is no text file of ordinary size", "name another file")
        return path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as problem:
        line = problem.object.count(b"\n", 0, problem.start) + 1
        cause = "the text is not in UTF-8"
        raise InputError(Problem(cause, "save the file as UTF-8", file, line)) from None
    except (OSError, ValueError) as problem:
        if isinstance(problem, InputError):
            raise
        raise _refused(file, "the file cannot be read", "check its name and rights") from None


def _refused(file: str, cause: str, cure: str) -> InputError:
    return InputError(Problem(cause, cure, file))


def _parse(text: str, file: str) -> dict[str, Any]:
    if deep := _TOO_DEEP.search(text):
        line = text.count("\n", 0, deep.end()) + 1
        cause, cure = "this name has too many parts", f"write {DEEPEST} at most between the dots"
        raise InputError(Problem(cause, cure, file, line))
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as problem:
        raise InputError(_syntax_problem(str(problem), text, file)) from None


def _syntax_problem(said: str, text: str, file: str) -> Problem:
    found = re.search(r"at line (\d+)", said)
    lines = text.split("\n")
    last = max((n for n, line in enumerate(lines, 1) if line.strip()), default=1)
    number = int(found[1]) if found else last
    cause, cure = next(((c, u) for start, c, u in _SYNTAX if start in said), _OTHER_SYNTAX)
    return Problem(cause, cure, file, number, "", lines[number - 1])


def _places(text: str, file: str) -> dict[case_lines.Path, Place]:
    lines = text.split("\n")
    return {
        path: Place(file, line, lines[line - 1])
        for path, line in case_lines.entry_lines(text).items()
    }

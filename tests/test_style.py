"""Small files, small functions: limits that keep the source readable, checked on the source."""

from __future__ import annotations

import ast
import statistics
from pathlib import Path

import assembly_sim

PACKAGE = Path(assembly_sim.__file__).parent
SOURCES = {
    path.relative_to(PACKAGE).as_posix(): path.read_text(encoding="utf-8")
    for path in sorted(PACKAGE.rglob("*.py"))
    if "_data" not in path.parts
}
# Compiled code: its cache does not see edits in another file, and splitting hides the algorithm.
KERNEL = "solver/kernel.py"


def function_lengths(name: str) -> dict[str, int]:
    """Lines of code of each function, without its docstring, by file and name."""
    lengths = {}
    for node in ast.walk(ast.parse(SOURCES[name])):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.end_lineno:
            first = node.body[0]
            words = (first.end_lineno or 0) - first.lineno + 1 if ast.get_docstring(node) else 0
            lengths[f"{name}:{node.name}"] = node.end_lineno - node.lineno + 1 - words
    return lengths


def test_no_file_is_long() -> None:
    lengths = {name: len(text.splitlines()) for name, text in SOURCES.items() if name != KERNEL}
    assert {name: n for name, n in lengths.items() if n > 500} == {}
    assert statistics.median(lengths.values()) <= 150


def test_no_function_is_long_and_most_are_short() -> None:
    lengths: dict[str, int] = {}
    for name in SOURCES.keys() - {KERNEL}:
        lengths |= function_lengths(name)
    assert {name: n for name, n in lengths.items() if n > 50} == {}
    assert statistics.quantiles(lengths.values(), n=10)[-1] <= 25
    assert statistics.median(lengths.values()) <= 10


def test_commands_only_parse_call_and_print() -> None:
    lines = SOURCES["cli.py"].splitlines()
    for node in ast.parse(SOURCES["cli.py"]).body:
        if isinstance(node, ast.FunctionDef) and node.decorator_list and len(node.body) > 1:
            body = lines[node.body[1].lineno - 1 : node.end_lineno]  # after the help
            assert len([line for line in body if line.strip()]) <= 15, node.name

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
KERNEL = "solver/kernel/"
DECORATORS = {"jit", "inner", "inlined"}  # of compiled functions: splitting hides an algorithm


def is_compiled(node: ast.FunctionDef | ast.AsyncFunctionDef) -> bool:
    return any(isinstance(each, ast.Name) and each.id in DECORATORS for each in node.decorator_list)


def function_lengths(name: str, compiled: bool = False) -> dict[str, int]:
    """Lines of code of each function, without its docstring, by file and name."""
    lengths = {}
    for node in ast.walk(ast.parse(SOURCES[name])):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.end_lineno:
            if is_compiled(node) != compiled:
                continue
            first = node.body[0]
            words = (first.end_lineno or 0) - first.lineno + 1 if ast.get_docstring(node) else 0
            lengths[f"{name}:{node.name}"] = node.end_lineno - node.lineno + 1 - words
    return lengths


def test_no_file_is_long() -> None:
    lengths = {name: len(text.splitlines()) for name, text in SOURCES.items()}
    assert {name: n for name, n in lengths.items() if n > 500} == {}
    assert {name: n for name, n in lengths.items() if name.startswith(KERNEL) and n > 280} == {}
    assert statistics.median(lengths.values()) <= 150


def test_no_function_is_long_and_most_are_short() -> None:
    lengths: dict[str, int] = {}
    for name in SOURCES:
        lengths |= function_lengths(name)
    assert {name: n for name, n in lengths.items() if n > 50} == {}
    assert statistics.quantiles(lengths.values(), n=10)[-1] <= 25
    assert statistics.median(lengths.values()) <= 10


def test_compiled_functions_are_in_the_kernel_and_fit_a_page() -> None:
    compiled = {name: function_lengths(name, compiled=True) for name in SOURCES}
    assert {name for name, lengths in compiled.items() if lengths and KERNEL not in name} == set()
    lengths = {name: n for each in compiled.values() for name, n in each.items()}
    assert len(lengths) > 40
    assert {name: n for name, n in lengths.items() if n > 100} == {}


def test_commands_only_parse_call_and_print() -> None:
    lines = SOURCES["cli.py"].splitlines()
    for node in ast.parse(SOURCES["cli.py"]).body:
        if isinstance(node, ast.FunctionDef) and node.decorator_list and len(node.body) > 1:
            body = lines[node.body[1].lineno - 1 : node.end_lineno]  # after the help
            assert len([line for line in body if line.strip()]) <= 15, node.name

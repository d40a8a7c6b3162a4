"""A page as a file: written whole, in the time promised, its tables beside it."""

from __future__ import annotations

import csv
import dataclasses
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from assembly_sim import cli
from assembly_sim.files.case import read as case_files
from assembly_sim.report.page import write
from assembly_sim.report.page.content import Absent, tables
from assembly_sim.report.page.render import html
from assembly_sim.report.page.run_page import MOST_DRAWN
from assembly_sim.report.page.tables import named_tables
from assembly_sim.solver import run as solver
from assembly_sim.solver.result import Result
from tests.checks import made
from tests.report import pages


def call(*arguments: str) -> int:
    with pytest.raises(SystemExit) as ended:
        cli.main(list(arguments))
    assert isinstance(ended.value.code, int)
    return ended.value.code


@pytest.fixture
def computed(monkeypatch: pytest.MonkeyPatch) -> Result:
    result = pages.swinging()
    monkeypatch.setattr(case_files, "read_case", lambda *_, **__: result.case)
    monkeypatch.setattr(solver, "run", lambda *_, **__: result)
    return result


def test_a_run_writes_its_page_and_every_table_behind_it(
    computed: Result, tmp_path: Path, capsys: Any
) -> None:
    page, folder = tmp_path / "page.html", tmp_path / "tables"
    assert call("run", "x.toml", "--report", f"{page}", "--csv", f"{folder}", "--units", "ip") == 0
    assert "U-value" in capsys.readouterr().out
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert [each.name for each in tmp_path.iterdir() if "part-" in each.name] == []
    content = pages.page(computed, "ip")
    for name, table in named_tables(content):
        rows = list(csv.reader((folder / name).open(encoding="utf-8", newline="")))
        assert rows[0] == [column.head for column in table.columns]
        for printed, row in zip(rows[1:], table.rows, strict=True):
            for text, cell in zip(printed, row):
                if isinstance(cell, float) and cell == cell:
                    assert float(text) == pytest.approx(cell, rel=1e-5)
                elif cell is None:
                    assert text == ""


def test_without_a_page_no_table_of_one_is_written(
    computed: Result, tmp_path: Path, capsys: Any
) -> None:
    assert call("run", "x.toml", "--csv", str(tmp_path)) == 0
    assert [each for each in tmp_path.iterdir() if each.name.startswith("report")] == []


def test_a_page_takes_no_place_of_another_output(
    computed: Result, tmp_path: Path, capsys: Any
) -> None:
    same = str(tmp_path / "both")
    assert call("run", "x.toml", "--report", same, "--json", same) == 2
    assert "also the place of" in capsys.readouterr().err


def test_what_was_there_stays_when_a_page_fails(
    computed: Result, tmp_path: Path, capsys: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = tmp_path / "page.html"
    page.write_text("old")
    monkeypatch.setattr(write, "html", lambda page: 1 / 0)
    assert call("run", "x.toml", "--report", str(page)) == 4
    assert page.read_text() == "old"
    assert [each.name for each in tmp_path.iterdir()] == ["page.html"]


def test_a_page_of_three_years_takes_three_seconds_at_most() -> None:
    """Processor time from the summary to the text, imports of libraries and all."""
    code = (
        "import time; from tests.report import pages; "
        "from assembly_sim.verdict.summary import typed_summary; "
        "result = pages.swinging(); summary = typed_summary(result); start = time.process_time(); "
        "from assembly_sim.report.page.run_page import run_page; "
        "from assembly_sim.report.page.render import html; "
        "html(run_page(result, summary, 'si', [pages.probing('wall')])); "
        "print(time.process_time() - start)"
    )
    took = [
        float(subprocess.run([sys.executable, "-c", code], capture_output=True, check=True).stdout)
        for _ in range(1)
    ]
    assert min(took) <= 3.0


def test_several_parts_have_an_overview_and_a_part_each() -> None:
    content = pages.page(pages.several("west wall", "east wall"))
    anchors = [section.anchor for section in content.sections]
    assert anchors[:3] == ["overview", "part-1", "part-2"]
    (overview,) = [one for one in tables(content) if one.name == "overview"]
    assert [row[0] for row in overview.rows] == ["west wall", "east wall"]


def test_a_house_of_many_parts_draws_those_nearest_to_a_limit_and_stays_small() -> None:
    """The wettest is always drawn; what is not says so, and keeps its verdict and its checks."""
    wet, dry = pages.swinging(), made.run(temperature=285.0, humidity=0.4)
    names = [f"wall {number}" for number in range(12)]
    parts = tuple(
        dataclasses.replace(one, assembly=dataclasses.replace(one.assembly, name=name))
        for name, one in zip(names, (*[dry.assemblies[0]] * 11, wet.assemblies[0]))
    )
    case = dataclasses.replace(wet.case, assemblies=tuple(one.assembly for one in parts))
    page = pages.page(dataclasses.replace(wet, case=case, assemblies=parts))
    absent = {
        section.title
        for section in page.sections
        for block in section.blocks
        if isinstance(block, Absent) and "nearest to a limit" in block.why
    }
    assert len(absent) == len(names) - MOST_DRAWN
    assert names[-1] not in absent
    assert len(html(page).encode()) < 1.5e6

"""The README keeps its word: its Python runs, its commands and options exist."""

from __future__ import annotations

import dataclasses
import re
import sys
import textwrap
from pathlib import Path

import pytest
from click.testing import CliRunner

from assembly_sim import cli
from assembly_sim.files.case.read import read_case
from assembly_sim.report.house import named
from assembly_sim.solver.identity import case_sha256
from assembly_sim.solver.run import run
from assembly_sim.verdict.summary import typed_summary

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_python_of_the_readme_runs_and_says_what_it_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Words and whole numbers as printed there; decimals within a hundredth: libraries differ."""
    code, shown = re.findall(r"```(?:python)?\n(.*?)```", README, re.DOTALL)[-2:]
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    monkeypatch.chdir(tmp_path)
    exec(compile(code, "README.md", "exec"), {"__name__": "readme"})
    found = capsys.readouterr().out.split()
    assert len(found) == len(shown.split())
    for word, expected in zip(found, shown.split()):
        if re.fullmatch(r"\d+\.\d+", expected):
            assert float(word) == pytest.approx(float(expected), rel=0.01)
        else:
            assert word == expected


def test_every_command_and_option_of_the_readme_exists() -> None:
    rows = re.findall(r"^\| `assembly-sim (\w+).*\|$", README, re.MULTILINE)
    assert set(rows) == set(cli.commands.commands)
    for line in README.splitlines():
        if match := re.match(r"\| `assembly-sim (\w+(?: [a-z]+)?)", line):
            words = match[1].split() if match[1] != "sweep" else ["sweep", "run"]
            helped = CliRunner().invoke(cli.commands, [*words, "--help"]).output
            for option in re.findall(r"--[a-z-]+", line):
                assert option in helped, (match[1], option)


def test_inputs_that_the_readme_prints_are_those_of_the_example() -> None:
    """A change of the example, of a material it uses or of its weather calls for a new print."""
    bay = ROOT / "examples" / "rafter_bay_foam.toml"
    for case in (read_case(bay), read_case(bay, climate="greensboro")):
        assert f"inputs {case_sha256(case)[:16]}\n" in README


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md", "tests/README.md"])
def test_files_that_a_document_names_are_there(name: str) -> None:
    text = (ROOT / name).read_text(encoding="utf-8")
    named = re.findall(r"`((?:tests|examples|materials|climates|assembly_sim)/[\w/.-]+)`", text)
    assert named
    assert [path for path in named if not (ROOT / path).exists()] == []


@pytest.mark.skipif(sys.platform == "win32", reason="no executable bit there")
def test_ci_can_be_started() -> None:
    assert (ROOT / ".ci" / "run").stat().st_mode & 0o111


def test_the_house_of_the_readme_is_that_of_a_run() -> None:
    """One year for the several that are printed: energy and air are those of the first but for 3 %.

    Each way's row is held to it, and the zone's extremes; moisture needs all years and is not.
    """
    case = dataclasses.replace(read_case(ROOT / "examples" / "cold_attic.toml"), years=1)
    summary = typed_summary(run(case))
    shown = README[README.index("Osier Bend: a cold attic") :]
    shown = textwrap.dedent("    " + shown[: shown.index("      ...")])
    assert summary.house is not None
    largest = summary.house.ways[:7]
    for way in largest:
        label = named(way)
        (row,) = (line for line in shown.splitlines() if line.strip().startswith(f"{label}  "))
        share, season = (float(cell) for cell in row.replace(label, "").split()[0:3:2])
        assert share == pytest.approx(100.0 * (way.share or 0.0), abs=1.0)
        assert season == pytest.approx(way.heating_season.total_kwh, rel=0.03, abs=5.0)
    (attic,) = summary.zones
    words = " ".join(shown.split())
    coldest, hottest = re.findall(r"(-?[\d.]+) degC \(", words)[:2]
    assert float(coldest) == pytest.approx(attic.coldest.value - 273.15, abs=0.5)
    assert float(hottest) == pytest.approx(attic.hottest.value - 273.15, abs=0.5)
    assert (
        f"{summary.house.neutral_levels[-1].height_m:.1f}"
        == re.findall(r"season: ([\d.]+) m above the ground", words)[0]
    )
    gained, share = re.findall(r"season (\d+) kWh come into .*?, (\d+) %", words)[0]
    house = summary.house
    assert float(gained) == pytest.approx(house.cooling_season_kwh, rel=0.05)
    assert float(share) == pytest.approx(
        100.0 * house.gains[0].kwh / house.cooling_season_kwh, abs=2.0
    )
    assert house.ventilation is not None
    needed = re.findall(r"Needed by ASHRAE 62.2 are (\d+) L/s", words)[0]
    assert float(needed) == pytest.approx(1000.0 * (house.ventilation.needed_m3_s or 0.0), abs=0.6)
    outdoor, rooms = re.findall(r"air ([\d.]+) L/s from outdoors .*?, ([\d.]+) L/s from", words)[0]
    assert float(outdoor) == pytest.approx(1000.0 * attic.outdoor_air_m3_s, rel=0.03)
    assert float(rooms) == pytest.approx(1000.0 * attic.room_air_m3_s, rel=0.03)
    frost = re.findall(r"below freezing for (\d+) h", words)[0]
    assert float(frost) == pytest.approx(attic.hours_below_0_degc, rel=0.03)
    assert f"inputs {case_sha256(read_case(case.file))[:16]}" in words

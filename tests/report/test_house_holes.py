"""The openings of a case as the command lists them."""

import sys
from dataclasses import replace
from pathlib import Path

import pytest

from assembly_sim import cli
from assembly_sim.errors import InputError
from assembly_sim.files.case.read import read_case
from assembly_sim.model.opening import Unsized
from assembly_sim.report.house_holes import case_holes_text

sys.path.insert(0, str(Path(__file__).parents[1] / "files"))
from house_texts import HOUSE  # noqa: E402

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def made(tmp_path):
    path = tmp_path / "house.toml"
    path.write_text(HOUSE)
    return read_case(path)


def row(text, name):
    return next(" ".join(line.split()) for line in text.splitlines() if line.startswith(name))


def test_a_slot_is_equal_to_what_it_is_by_hand(made):
    """A gap of 1/4 in by 36 in is a hole of 3.385 in, 3.00 in a side, 9.0 L/s at 4 Pa through a
    sharp edge (coefficient 0.6): geometry and the orifice law."""
    told = row(case_holes_text(made, "ip"), "slot")
    assert "3.39 in" in told
    assert "3.00 in" in told
    assert "19.1 cfm" in told
    assert "9.00 L/s" in row(case_holes_text(made), "slot")
    assert "porch - outdoors" in told


def test_a_preset_has_its_leakage_area_and_is_told_as_one(made):
    told = case_holes_text(made)
    assert "30.0 cm2" in row(told, "hatch")
    assert "nobody measured it; 'attic hatch' is a preset" in " ".join(told.split())


def test_openings_without_a_size_have_their_share_of_the_test(made):
    """0.5 m3/s at 50 Pa, less the hatch's and the door's, two to one."""
    assert any(isinstance(one.shape, Unsized) for one in made.openings)
    rows = {name: row(case_holes_text(made), name) for name in ("joints", "more", "hatch", "porch")}
    fifty = {name: float(told.split()[-2]) for name, told in rows.items()}
    assert sum(fifty.values()) == pytest.approx(500.0, abs=0.1)
    assert fifty["joints"] == pytest.approx(2 * fifty["more"], abs=0.02)


def test_long_names_keep_to_the_page(made):
    long = tuple(replace(one, name=f"{one.name} {'that leaks ' * 5}") for one in made.openings)
    told = case_holes_text(replace(made, openings=long))
    assert max(map(len, told.splitlines())) <= 100


def test_a_case_without_openings_says_so():
    with pytest.raises(InputError, match="no opening"):
        case_holes_text(read_case(EXAMPLES / "attic_floor.toml"))


@pytest.mark.parametrize("system", ["si", "ip"])
def test_the_command(system, capsys):
    with pytest.raises(SystemExit) as ended:
        cli.main(["holes", str(EXAMPLES / "cold_attic.toml"), "--units", system])
    assert ended.value.code == 0
    out = capsys.readouterr().out
    assert max(len(line) for line in out.splitlines()) <= 100
    assert all(f"{name} " in out for name in ("attic hatch", "ridge vent", "north sashes"))


def test_a_house_to_start_from(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as ended:
        cli.main(["new", "mine", "--house"])
    assert ended.value.code == 0
    assert read_case("mine.toml").zones
    assert "wrote mine.toml" in capsys.readouterr().out

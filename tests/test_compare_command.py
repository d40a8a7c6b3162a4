"""`compare` as a user meets it, on the shipped example: what is printed, written, refused."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from assembly_sim import cli
from assembly_sim.report.page.tables import compared_names
from assembly_sim.verdict.rules import LEVELS

ROOT = Path(__file__).parent.parent
EXAMPLE = ROOT / "examples" / "floor_or_gable.toml"


def call(*arguments):
    with pytest.raises(SystemExit) as ended:
        cli.main([str(one) for one in arguments])
    return ended.value.code


@pytest.fixture(scope="module")
def answered(tmp_path_factory):
    """The example run once: exit code, folder with its JSON and its table."""
    folder = tmp_path_factory.mktemp("compared")
    code = call(
        *("compare", EXAMPLE, "--json", folder / "all.json", "--csv", folder / "tables"),
        *("--units", "ip", "--report", folder / "page.html"),
    )
    return code, json.loads((folder / "all.json").read_text()), folder / "tables" / "options.csv"


def test_the_example_has_its_outcome(answered):
    """Known outcomes (common practice, no source): air-sealing first, with little money; a gable
    filled behind a vapour-open room wets its sheathing, and more so once the house is tight."""
    code, made, _ = answered
    assert code == 0
    by_name = {one["name"]: one for one in made["options"]}
    assert made["answer"][0].startswith("Seal the attic floor first:")
    assert "The roof above Attic floor is not computed" in made["answer"][1]
    assert made["ranking"][0]["option"] == "seal the attic floor"
    ranks = {name: LEVELS.index(one["verdict"]) for name, one in by_name.items()}
    assert ranks["as found"] <= 1
    assert ranks["fill the gable"] >= 3
    assert [one["option"] for one in made["ranking"][-2:]] == ["fill the gable", "all three"]
    assert all("NOT CLEARED" in one["text"] for one in made["ranking"][-2:])
    tight = by_name["seal the attic floor"]
    gable = next(one for one in tight["moisture"] if one["part"] == "West gable")
    assert gable["wetter"]["place"].startswith("sheathing")  # the room is damper once it is tight
    assert any("back-draughting" in text for text in tight["first_cautions"])
    assert by_name["all three"]["step"]["heating_kwh"] != pytest.approx(
        by_name["fill the gable"]["saved"]["heating_kwh"], rel=1e-4
    )


def test_its_parts_sum_to_the_whole(answered):
    _, made, table = answered
    for one in made["options"]:
        assert one["converged"]
        for season in ("heating", "cooling"):
            parts = sum(
                part[f"{season}_{stream}_kwh"]
                for part in one["parts"]
                for stream in ("conducted", "carried")
            )
            assert parts == pytest.approx(one[f"{season}_season_kwh"], rel=1e-3)
    rows = list(csv.DictReader(table.read_text().splitlines()))
    for one in made["options"]:
        own = [row for row in rows if row["option"] == one["name"]]
        *parts, whole = (float(row["heating (MMBtu)"] or 0) for row in own)
        assert sum(parts) == pytest.approx(whole, rel=1e-3)
        assert own[-1]["moisture"] == one["verdict"]


def test_its_page_holds_the_figures_of_the_contract(answered):
    _, made, table = answered
    page = (table.parents[1] / "page.html").read_text()
    assert "Seal the attic floor first" in page
    for one in made["options"]:
        heat = one["heating_season_kwh"] * 3.6e6 / (1e6 * 1055.056)
        assert f'<td class="n">{heat:.2f}</td>' in page


def test_every_table_of_the_page_is_a_file(answered):
    """Those behind its figures, to more digits than are printed, and those by themselves."""
    _, made, table = answered
    names = {each.name for each in table.parent.iterdir()}
    assert names <= set(compared_names(len(made["options"])))
    page = (table.parents[1] / "page.html").read_text()
    assert len(names) - 1 == page.count("<table")
    (figure,) = [name for name in names if "energy_by_part" in name]
    rows = list(csv.DictReader((table.parent / figure).read_text().splitlines()))
    wholes = [float(row["all, MMBtu"]) for row in rows if row["part"] == "all"]
    known = [one["heating_season_kwh"] * 3.6e6 / (1e6 * 1055.056) for one in made["options"]]
    assert wholes == pytest.approx(known, rel=1e-5)


def test_equal_parts_run_once(answered):
    """A damper room is another input: sealing changes both, filling one of them."""
    _, made, _ = answered
    assert made["runs"] == 8  # of the 12 parts of six options


def test_what_cannot_be_is_refused_before_anything_runs(tmp_path, capsys):
    assert call("compare", ROOT / "examples" / "attic_floor.toml") == 2
    assert "[[option]]" in capsys.readouterr().err
    assert call("compare", EXAMPLE, "--json", EXAMPLE) == 2
    assert "which it would replace" in capsys.readouterr().err
    assert call("compare", EXAMPLE, "--report", tmp_path) == 2
    assert "is a folder" in capsys.readouterr().err
    assert call("compare", EXAMPLE, "--csv", EXAMPLE) == 2
    assert "is a file, not a folder" in capsys.readouterr().err
    (tmp_path / "report_options_heat.csv").mkdir()
    assert call("compare", EXAMPLE, "--csv", tmp_path) == 2
    assert "report_options_heat.csv" in capsys.readouterr().err
    assert call("compare", EXAMPLE, "--report", EXAMPLE) == 2
    assert "which it would replace" in capsys.readouterr().err
    assert call("compare", EXAMPLE, "--report", tmp_path / "none" / "page.html") == 2
    assert "none" in capsys.readouterr().err
    text = EXAMPLE.read_text().replace('seal = "80 %"', 'sealing = "80 %"')
    wrong = tmp_path / "wrong.toml"
    wrong.write_text(text)
    assert call("compare", wrong) == 2
    line = text.splitlines().index('sealing = "80 %"') + 1
    assert f"wrong.toml:{line}" in capsys.readouterr().err

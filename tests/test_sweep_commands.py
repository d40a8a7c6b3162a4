"""The commands of sweeps end to end, on a year of one board: what they print and exit with."""

import re
from pathlib import Path

import pytest

from assembly_sim.cli import main
from assembly_sim.verdict.rules import LEVELS, PAST

CASE = """format = 1
name = "wall"
climate = "cold_inland"
years = 1

[room]
temperature = "20 degC"
humidity = "40 %"

[[assembly]]
name = "wall"
area = "1 m2"
tilt = "90 deg"
azimuth = "0 deg"
solar_absorptance = 0.5
emittance = 0.9
leak = "none"
[[assembly.layer]]
name = "board"
material = "plywood, exterior grade"
thickness = "18 mm"
"""
PLAN = """format = 1
name = "boards"
case = "wall.toml"
refine = 0.1

[[factor]]
name = "board"
path = 'assembly."wall".layer."board".thickness'
values = ["12 mm", "18 mm"]
cost = [5, 8]
"""


@pytest.fixture
def place(tmp_path, monkeypatch):
    (tmp_path / "wall.toml").write_text(CASE, encoding="utf-8")
    (tmp_path / "plan.toml").write_text(PLAN, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def called(capsys, *arguments: str) -> tuple[int, str, str]:
    """Exit code, output and errors of a command."""
    with pytest.raises(SystemExit) as ended:
        main(["sweep", *arguments])
    shown = capsys.readouterr()
    return int(ended.value.code), shown.out, shown.err


def test_a_sweep_looked_at_run_gone_on_and_asked(place, capsys):
    code, out, _ = called(capsys, "plan.toml", "--look")
    assert code == 0
    assert re.search(r"variants +2, by factorial", out)
    assert "12.0 mm" in out
    assert "not run" not in out
    assert not Path("out").exists()
    assert "not run: --out FOLDER" in called(capsys, "plan.toml")[1]

    code, out, err = called(capsys, "plan.toml", "--out", "out", "-j", "2")
    assert (code, "2  no verdict" in out) == (0, True)
    assert "2 of 2 variants" in err

    code, _, err = called(capsys, "plan.toml", "--out", "out")
    assert "2 of them from before" in err

    code, out, _ = called(capsys, "report", "out", "--where", "cost <= 6", "--to", "page")
    assert code == 0
    assert (
        "keep at least 'gets wet, within limits' and cost <= 6" in out
    )  # after one year there is none
    assert "2 without a verdict: they keep no level" in out
    page = Path("page/page.html").read_text(encoding="utf-8")
    assert page.count('role="img"') >= 3
    assert "Heat against moisture is not drawn" in page
    assert len(list(Path("page").glob("*.png"))) >= 3

    code, out, _ = called(capsys, "report", "out", "--at-least", "dry with margin")
    assert "0 variants with a verdict keep" in out  # without a verdict nothing is dry


def test_years_enough_for_a_verdict_have_a_best_variant_and_a_smallest_board(place, capsys):
    plan = PLAN.replace("[[factor]]", "[change]\nyears = 3\n\n[[factor]]")
    plan = plan.replace('values = ["12 mm", "18 mm"]', 'range = ["12 mm", "18 mm"]\nlevels = 2')
    Path("plan.toml").write_text(plan, encoding="utf-8")
    called(capsys, "plan.toml", "--out", "out")
    _, out, _ = called(capsys, "report", "out", "--where", "cost <= 6")
    assert "0 variants with a verdict keep at least 'gets wet, within limits'" in out
    asked = ("--at-least", "past a limit", "--where", "cost <= 6", "--to", "page")
    _, out, _ = called(capsys, "report", "out", *asked)
    assert "1 variant with a verdict keeps at least 'past a limit' and cost <= 6" in out
    assert Path("page/front.png").stat().st_size > 5_000
    code, out, _ = called(capsys, "smallest", "plan.toml", "--factor", "board")
    assert code == 0
    assert "the case" in out  # bare plywood in the cold: at any thickness past a limit
    assert "none in the range" in out


def test_a_case_says_how_likely_its_verdict_holds(place, capsys):
    text = CASE.replace("years = 1", "years = 3")
    text += "[uncertain]\nconductivity = false\npermeability = 1.5\n"
    (place / "wall.toml").write_text(text, encoding="utf-8")
    code, out, _ = called(capsys, "uncertain", "wall.toml", "--out", "chance", "--count", "10")
    assert code == 0
    level = re.search(r"as it is: (.+)", out)[1]
    assert re.search(r"within its limits in \d+ of 10 random variants: \d+ % \(95 % interval", out)
    dry = LEVELS.index(level) < PAST - 1  # else it says no more than that it is not the wettest
    assert bool(re.search(rf"at least '{level}' in \d+ of 10: \d+ %", out)) == dry
    assert "permeability of plywood" in out
    assert re.search(r"winter humidity +[+-][01]\.\d\d", out)


def test_a_scheduler_is_reached_by_its_address(place, capsys):
    distributed = pytest.importorskip("distributed")
    how = {"processes": False, "threads_per_worker": 1, "dashboard_address": None}
    with distributed.LocalCluster(1, protocol="tcp", host="127.0.0.1", **how) as machines:
        assert machines.scheduler_address.startswith("tcp://127.0.0.1:")
        address = machines.scheduler_address
        code, out, err = called(capsys, "plan.toml", "--out", "far", "--scheduler", address)
    assert (code, "2  no verdict" in out) == (0, True)
    assert "2 of 2 variants" in err


def test_a_failed_variant_shows_in_the_exit_code(place, capsys):
    bad = (
        PLAN
        + """
[[factor]]
name = "lining"
options."as it is" = {}
options."too thin for a person" = { assembly."wall".layer."board".thickness_times = 0.001 }
"""
    )
    plan = Path("plan.toml")
    plan.write_text(bad.replace('values = ["12 mm", "18 mm"]', 'values = ["18 mm", "100 mm"]'))
    code, _, err = called(capsys, "plan.toml", "--out", "out")
    assert code == 2  # told before anything runs, with its line
    assert "plan.toml:" in err
    plan.write_text(bad.replace("0.001", "0.0075"))  # 18 mm becomes 0.135 mm, 12 mm too thin
    code, out, _ = called(capsys, "plan.toml", "--out", "out")
    assert code == 3
    assert "1  failed" in out
    assert "out of range" in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["plan.toml", "--out", "out", "--shard", "5/4"], "there is no shard 5 of 4"),
        (["none.toml", "--out", "out"], "no such file"),
        (["report", "out"], "holds no table"),
        (["merge", "out"], "holds no table"),
        (["smallest", "plan.toml", "--factor", "bord"], "did you mean 'board'"),
    ],
)
def test_bad_input_is_told_and_nothing_is_written(place, capsys, arguments, said):
    before = sorted(place.rglob("*"))
    code, _, err = called(capsys, *arguments)
    assert code == 2
    assert said in err
    assert sorted(place.rglob("*")) == before

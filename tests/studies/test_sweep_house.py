"""Sweeps of a house of zones, and of every change of the closed list."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest

from assembly_sim.changes import Change, ChangeSheet, applied
from assembly_sim.changes.factors import Choice, Level, Range
from assembly_sim.files.material.read import load
from assembly_sim.files.plan.read import read_plan
from assembly_sim.report.sweep.text import parts_lines
from assembly_sim.studies.sweep import work
from assembly_sim.studies.sweep.outcome import outcome
from assembly_sim.studies.sweep.points import count, variants
from assembly_sim.studies.sweep.run import sweep
from assembly_sim.studies.sweep.table import read_sweep
from assembly_sim.verdict.summary import typed_summary

EXAMPLES = Path(__file__).parents[2] / "examples"
HEAD = """format = 1
name = "try"
case = "{case}"
assembly = "{assembly}"
refine = 0.1
"""
HATCH = """
[[factor]]
name = "hatch"
path = 'opening."attic hatch".seal'
range = ["0 %", "80 %"]
levels = 2
"""
OF_HOUSE = """
[[factor]]
name = "attic floor"
options."as it is" = {}
options."sealed" = { seal_between = [{ one = "room", other = "attic", share = "90 %" }] }

[[factor]]
name = "ducts"
options."in the attic" = {}
options."indoors" = { ducts."furnace ducts".indoors = true }

[[factor]]
name = "air changes"
path = 'zone."attic".air_changes'
range = ["0 1/h", "2 1/h"]
levels = 2
"""
ROOF = 'assembly."North roof"'
OF_ROOF = f"""
[[factor]]
name = "foam"
path = '{ROOF}.layer."rigid foam".thickness_times'
range = [0.5, 2.0]
levels = 2

[[factor]]
name = "build-up"
options."as it is" = {{}}
options."without foam" = {{ {ROOF}.layer."rigid foam".remove = true }}
options."board more" = {{ {ROOF}.add = [{{ material = "osb", thickness = "9 mm" }}] }}

[[factor]]
name = "sealed"
path = '{ROOF}.seal'
values = ["0 %", "90 %"]

[[factor]]
name = "winter"
path = "room.winter_humidity"
range = ["0 %", "5 %"]
levels = 2
"""

FAN = """format = 1
base = "{base}"
name = "a bath fan that blows into the attic"

[[fan]]
name = "bath fan"
flow = "1 L/s"
from = "room"
to = "attic"
"""
TAKEN_OUT = """
[[factor]]
name = "fan"
options."as found" = {}
options."led outdoors" = { fan."bath fan".remove = true }
"""
RETARDER = Choice(
    "retarder",
    (
        Level("none", ()),
        *(
            Level(name, (ChangeSheet("North roof", "gypsum board", load()[name]),))
            for name in ("polyethylene film 0.15 mm", "kraft facing")
        ),
    ),
)


def plan_of(text: str, case: str, assembly: str, folder: Path):
    place = (EXAMPLES / case).as_posix()
    file = folder / "plan.toml"
    file.write_text(HEAD.format(case=place, assembly=assembly) + text, encoding="utf-8")
    return read_plan(file)


def kinds(plan) -> set[type]:
    """Kinds of changes that a plan's variants make."""
    found = set()
    for factor in plan.factors:
        assert isinstance(factor, Choice | Range)
        found |= {type(change) for level in factor.levels() for change in level.changes}
    return found


def test_every_change_of_the_closed_list_can_be_swept(tmp_path):
    """Those of a house and of a roof; a cavity, a fan and a sheet by cases of their own."""
    house = plan_of(HATCH + OF_HOUSE, "cold_attic.toml", "North slope", tmp_path)
    roof = plan_of(OF_ROOF, "rafter_bay_foam.toml", "North roof", tmp_path)
    gable = plan_of(
        """
[[factor]]
name = "gap"
options."open" = {}
options."filled" = { assembly."West gable".layer."vented gap".fill = "cellulose, loose in attic" }
""",
        "gable_wall.toml",
        "West gable",
        tmp_path,
    )
    (tmp_path / "with_fan.toml").write_text(FAN.format(base=EXAMPLES / "cold_attic.toml"))
    fan = plan_of(TAKEN_OUT, str(tmp_path / "with_fan.toml"), "North slope", tmp_path)
    assert [len(one.changes) for one in variants(fan)] == [0, 1]
    assert [len(applied(fan.case, *one.changes).fans) for one in variants(fan)] == [1, 0]
    foiled = replace(roof, factors=(*roof.factors, RETARDER))
    found = kinds(house) | kinds(foiled) | kinds(gable) | kinds(fan)
    assert found == set(get_args(Change))
    for plan in (house, foiled, gable, fan):
        assert len({one.values for one in variants(plan)}) == count(plan)
        for one in variants(plan):
            applied(plan.case, *one.changes)


def test_a_house_is_run_whole_and_its_wettest_part_told(tmp_path, monkeypatch):
    """Three years of an attic over heated rooms: the row against the summary of the same run."""
    text = "[change]\nyears = 3\n" + HATCH
    plan = plan_of(text, "cold_attic.toml", "North slope", tmp_path)
    plan = replace(plan, method="table", rows=((0.8,),))
    kept = []

    def watched(result, at):
        kept.append(result)
        return outcome(result, at)

    monkeypatch.setattr(work, "outcome", watched)
    (row,) = sweep(plan, tmp_path / "out", workers=1)
    (result,) = kept
    told = typed_summary(result)
    ranks = {one.name: one.verdict.rank for one in told.assemblies}
    assert row["status"] == "ok"
    assert row["rank"] == ranks["North slope"]
    known = [rank for rank in ranks.values() if rank is not None]
    assert row["worst_rank"] == max(known)
    assert ranks[row["worst_assembly"]] == max(known)
    assert row["house_loss_kwh"] == pytest.approx(told.house.year_kwh, rel=1e-12)
    driest = min((name for name in ranks if ranks[name] is not None), key=lambda one: ranks[one])
    at = [one.assembly.name for one in result.assemblies].index(driest)
    assert outcome(result, at)["worst_rank"] == max(known)
    found = read_sweep(tmp_path / "out")
    assert parts_lines(found)[0] == "judged: 'North slope' alone"

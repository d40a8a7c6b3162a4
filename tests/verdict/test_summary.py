"""The machine-readable summary: plain, complete, and cheap beside the run it sums up."""

import dataclasses
import json
import re
import time

import numpy as np
import pytest

from assembly_sim.boundary.forcing import forcing_notes
from assembly_sim.checks.finding import Finding
from assembly_sim.model import Constant, MoistureBalance, Room
from assembly_sim.report.text import run_text
from assembly_sim.solver.result import Outcome
from assembly_sim.verdict.contract import assembly_summary, number, run_summary
from assembly_sim.verdict.rules import RULES, judged_findings
from assembly_sim.verdict.summary import typed_summary
from assembly_sim.words.checks import TELLINGS, sentence
from assembly_sim.words.figures import say
from tests import synthetic
from tests.checks import made

TOP = (
    "schema version inputs_sha256 climate years period assumptions assemblies cautions "
    "house zones streams"
)
ASSEMBLY = """name area_m2 u_value_w_m2k annual_heat_loss_kwh_m2 annual_heat_gain_kwh_m2
    heating_season_loss_kwh_m2 cooling_season_gain_kwh_m2 peak_loss_w_m2 peak_gain_w_m2
    heat_balance_error moisture_balance_error state_defect converged outcome planes verdict
    steady window_energy"""
PLANE = """index name side path reach condensation_risk_hours dew_point_hours
    wetting_potential_g_m2 max_relative_humidity mould_index_max"""


def test_every_promised_key_is_there_and_it_is_json():
    summary = run_summary(synthetic.result(hours=3 * made.YEAR, years=3))
    read = json.loads(json.dumps(summary, allow_nan=False))
    assert set(read) == set(TOP.split())
    (assembly,) = read["assemblies"]
    assert set(ASSEMBLY.split()) <= set(assembly)
    assert set(read["climate"]) == {"name", "hours", "warnings"}
    assert {"level", "decided_by", "reasons"} <= set(assembly["verdict"])
    assert len(assembly["planes"]) == 12  # six sides on two paths
    assert all(set(PLANE.split()) <= set(plane) for plane in assembly["planes"])


def test_a_missing_number_is_none_and_never_nan():
    assert number(float("nan")) is None
    bare = dataclasses.replace(made.BOARD, mould_class=None, storage=None)
    result = made.run(years=1, assembly=made.wall(bare, leak=None))
    found, path = made.only(result)
    path = dataclasses.replace(
        path, planes=(made.Plane(0, "a", "both", 0, None, bare, "none"),) * 4
    )
    summary = assembly_summary(result, dataclasses.replace(found, paths=(path,)))
    plane = summary["planes"][0]
    assert plane["mould_index_max"] is None
    assert plane["wetting_potential_g_m2"] is None
    assert plane["dew_point_hours"] is None
    json.dumps(summary, allow_nan=False)


def test_a_run_that_stopped_gives_no_yearly_energy_and_no_verdict():
    stopped = Outcome("stopped", 100, cause="no step")
    for hours in (0, 100):
        summary = run_summary(synthetic.result(hours=hours, outcome=stopped))
        (assembly,) = summary["assemblies"]
        assert assembly["annual_heat_loss_kwh_m2"] is None
        assert assembly["verdict"]["level"] is None
        assert assembly["outcome"] == "stopped"
        json.dumps(summary, allow_nan=False)


def test_paths_that_stopped_at_different_hours_are_cut_to_the_shorter():
    result = synthetic.result(hours=3000)
    (found,) = result.assemblies
    stopped = dataclasses.replace(found, outcome=Outcome("stopped", 200, cause="no step"))
    short = dataclasses.replace(result, hours=200, assemblies=(stopped,))
    (assembly,) = run_summary(short)["assemblies"]
    assert assembly["planes"][0]["condensation_risk_hours"] <= 200
    assert all(f["hour"] is None or f["hour"] < 200 for f in assembly["findings"])


def test_all_checks_cost_less_than_the_run():
    rng = np.random.default_rng(3)
    hours = 3 * made.YEAR
    result = made.run(
        temperature=273.15 + rng.uniform(-5, 25, (hours, 4)),
        humidity=rng.uniform(0.6, 1.0, (hours, 4)),
    )
    start = time.process_time()
    run_summary(result)
    assert time.process_time() - start < 1.2  # a run takes 0.4 s a year


def test_what_the_room_held_back_and_how_weather_was_used_is_heard():
    """A balance without air change to speak of meets its limit: the hours are counted and said."""
    rule = MoistureBalance(volume=100.0, air_changes=0.05, generation=10.0 / 86400.0, limit=0.7)
    room = Room(Constant(293.15), rule)
    result = made.run(case={"room": room})
    summary = run_summary(result)
    held = summary["climate"]["warnings"][0]
    assert held.startswith("the room's air would pass its limit of 70 % relative humidity in ")
    hours = int(held.split(" in ")[1].split(" hours")[0])
    assert 0 < hours <= made.YEAR
    assert held in " ".join(run_text(result).split())  # on the first screen too
    for note in forcing_notes(result.case, result.case.assemblies[0]):
        assert any(say(note) in phrase for phrase in summary["assumptions"])


def test_no_sentence_of_the_object_has_an_open_quantity():
    text = json.dumps(run_summary(made.run(humidity=0.99)))
    assert not re.search(r"\{[0-9.e+-]+ ", text)


def test_the_plain_object_is_the_typed_summary():
    result = made.run(humidity=0.9)
    typed, plain_one = typed_summary(result), run_summary(result)
    one, found = typed.assemblies[0], plain_one["assemblies"][0]
    assert found["verdict"]["level"] == one.verdict.level
    assert found["verdict"]["margin"] == one.verdict.margin
    assert found["annual_heat_loss_total_kwh_m2"] == one.energy.heat_loss.total
    assert [row["check"] for row in found["findings"]] == [each.check for each in one.findings]
    assert len(found["planes"]) == len(one.planes)


def test_a_deciding_finding_without_a_rule_or_words_is_an_error():
    finding = Finding("colour", "deck", "main", 1.0, 2.0, decides=True)
    with pytest.raises(KeyError):
        judged_findings(made.run(), (finding,))
    with pytest.raises(KeyError):
        sentence(finding)


def test_every_rule_has_words():
    assert set(RULES) <= set(TELLINGS)

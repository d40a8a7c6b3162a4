"""The machine-readable summary: plain, complete, and cheap beside the run it sums up."""

import dataclasses
import json
import time

import numpy as np

from assembly_sim.solver.result import Outcome
from assembly_sim.verdict.contract import assembly_summary, number, run_summary
from tests import synthetic
from tests.checks import made

TOP = "schema version inputs_sha256 climate years period assumptions assemblies cautions"
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

"""The page of a sweep: figures named and described, names as text, nothing unproven called dry."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest

from assembly_sim.report.page.content import Absent, Figure, figures
from assembly_sim.report.page.render import drawing, html
from assembly_sim.report.sweep.figures import round_ticks
from assembly_sim.report.sweep.page import sweep_page, write_page
from assembly_sim.report.sweep.regions import edges_of, region_maps, shares, step_of
from assembly_sim.report.sweep.text import report_text
from assembly_sim.studies.sweep.points import crossed, sobol, trajectory
from assembly_sim.studies.sweep.questions import Answers, asked_of
from assembly_sim.verdict.rules import LEVELS
from tests.report.swept import EVIL, NAMES, sweep_of


@pytest.fixture(scope="module")
def answers() -> Answers:
    return asked_of(sweep_of(sobol(3, 128, 1), "sobol", failed=3), "gets wet, within limits")


def test_every_figure_is_drawn_named_and_described(answers):
    found = list(figures(sweep_page(answers)))
    names = [one.name for one in found]
    assert len(names) == len(set(names))
    assert {"front", "tornado-0", "tornado-1", "regions"} <= set(names)
    for one in found:
        root = ET.fromstring(drawing(one))
        assert root.get("role") == "img"
        told = {each.get("id"): each.text for each in root}
        ids = root.get("aria-labelledby").split()
        assert [told[each] for each in ids] == [one.title, one.says]
        assert one.table.rows


def test_names_of_factors_and_options_stay_text(answers):
    page = html(sweep_page(answers))
    assert "<script" not in page
    assert "&lt;script&gt;" in page
    assert "$b_1$" in page
    assert "Content-Security-Policy" in page


def test_what_was_not_whole_counts_nowhere(answers):
    """Three rows that did not converge carry absurd numbers: none is best, mean or dry."""
    page = sweep_page(answers)
    assert answers.unjudged == 3
    assert page.sections[0].answer.headline.endswith("3 have no verdict.")
    assert not {0, 1, 2} & {*answers.best.tolist(), *answers.front.tolist()}
    for text in (html(page), report_text(answers, "si")):
        assert not re.search(r"1e\+0?9|1000000000", text)
    for effect in answers.effects:
        assert effect.left_out == 3
    (region,) = region_maps(answers, "si")
    assert isinstance(region, Figure)
    dry = sum(1 for n in answers.sweep.number("rank") if n < LEVELS.index("past a limit"))
    counted = sum(row[4] for row in region.table.rows)
    wet = sum(row[4] * row[5] / 100.0 for row in region.table.rows)
    assert (counted, round(wet)) == (128, 128 - dry)


def test_indices_are_refused_where_a_run_was_not_whole():
    found = asked_of(sweep_of(crossed(sobol(6, 32, 1)), "sobol indices", failed=1))
    blocks = [one for one in sweep_page(found).sections[2].blocks if isinstance(one, Absent)]
    assert any("1 of 160 variants have no number" in one.why for one in blocks)
    assert "not told" in report_text(found, "si")


@pytest.mark.parametrize(("method", "name"), [("sobol indices", "indices"), ("morris", "elem")])
def test_designed_plans_are_drawn_by_what_they_are_made_for(method, name):
    points = crossed(sobol(6, 32, 1))
    if method == "morris":
        points = np.concatenate([trajectory(3, 1, number) for number in range(8)])
    found = list(figures(sweep_page(asked_of(sweep_of(points, method)))))
    drawn = [one for one in found if one.name.startswith(name)]
    assert len(drawn) == 2
    assert drawn[0].says.startswith("thickness")  # heat is of thickness alone
    for one in drawn:
        ET.fromstring(drawing(one))


def test_without_any_verdict_nothing_is_best():
    found = asked_of(sweep_of(sobol(3, 8, 1), "sobol", failed=8))
    page = sweep_page(found)
    assert "0 of 8 variants stay within their limits" in page.sections[0].answer.headline
    assert page.sections[0].answer.drawing is None
    assert len(found.best) == len(found.front) == 0
    html(page)


def test_a_cell_without_a_verdict_is_not_dry():
    sweep = sweep_of(np.full((4, 3), 0.9), "random", failed=4)
    x, y = (sweep.number(name) for name in NAMES[:2])
    counted, wet = shares(sweep, x, y, [np.array([0.0, 1.0])] * 2, np.ones(4, dtype=bool))
    assert (counted.item(), wet.item()) == (4, 4)


def test_options_that_decide_have_maps_of_their_own():
    """A kind that is always wet, and one that never is: together all cells would be half wet."""
    sweep = sweep_of(sobol(3, 128, 1), "sobol")
    wet = sweep.column(NAMES[2]) == EVIL
    values = {"nearest_limit_last_year": np.where(wet, 9.0, 0.1), "rank": np.where(wet, 3.0, 0.0)}
    found = asked_of(replace(sweep, values=dict(sweep.values) | values))
    maps = list(region_maps(found, "si"))
    assert [one.name for one in maps] == ["regions-0", "regions-1"]
    for one, (name, share) in zip(maps, (("$b_1$", 0.0), (EVIL, 100.0))):
        assert name in one.title
        assert {row[5] for row in one.table.rows} == {share}
        assert sum(row[4] for row in one.table.rows) == 64


@pytest.mark.parametrize(("low", "high"), [(0.045, 0.96), (25.0, 150.0), (-3.0, 4.0)])
def test_ticks_are_round_and_lie_within(low, high):
    ticks = round_ticks(np.array([low, high]))
    assert 2 <= len(ticks) <= 8
    assert all(low <= at <= high and abs(float(text) - at) < 1e-9 for at, text in ticks)
    assert all(len(text) <= 4 for _, text in ticks)


def test_steps_of_the_map_are_none_and_all_only_where_it_is_so():
    assert [step_of(s) for s in (0.0, 0.001, 0.25, 0.26, 0.5, 0.51, 0.999, 1.0)] == [
        *(0, 1, 1, 2, 2, 3, 3, 4)
    ]
    assert edges_of(np.array([1.0, 2.0, 4.0]), 3).tolist() == [0.5, 1.5, 3.0, 5.0]


def test_the_folder_has_page_tables_and_pictures(answers, tmp_path):
    place = write_page(answers, tmp_path / "page", "ip")
    assert place.read_text(encoding="utf-8").startswith("<!doctype html>")
    tables = {one.name for one in place.parent.glob("*.csv")}
    assert "report_best_best.csv" in tables
    picture = (place.parent / "front.png").read_bytes()
    assert picture.startswith(b"\x89PNG")

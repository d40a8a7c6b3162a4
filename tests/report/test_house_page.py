"""The house on a page: sums of its arrows, sizes of its circles, its zones, against the summary."""

from __future__ import annotations

import dataclasses
import math
import re
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from assembly_sim.model import Pipe
from assembly_sim.model.opening import FreeArea, RoundHole
from assembly_sim.report.page import draw_house
from assembly_sim.report.page.content import Figure, Section
from assembly_sim.report.page.draw import svg
from assembly_sim.report.page.house_page import (
    Moved,
    grouped,
    holes_of,
    house_section,
    pipes_table,
    short_date,
    spaces,
    where,
)
from assembly_sim.report.page.house_plots import Flow, Hole, Holes, HousePlan, Space
from assembly_sim.report.page.render import html
from assembly_sim.report.page.run_page import run_page
from assembly_sim.report.page.tables import named_tables, table_names
from assembly_sim.solver.result import Result
from assembly_sim.verdict.moment import moment_of
from assembly_sim.verdict.summary import RunSummary, typed_summary
from tests import small_house, synthetic
from tests.report import pages

ATTACK = "<script>alert(1)</script>"


@pytest.fixture(scope="module")
def run() -> Result:
    return small_house.result()


@pytest.fixture(scope="module")
def summary(run: Result) -> RunSummary:
    return typed_summary(run)


def section(run: Result, summary: RunSummary, system: str = "si") -> Section:
    found = house_section(run, summary, system)
    assert found is not None
    return found


def drawn(of: Section, name: str) -> Figure:
    (one,) = [each for each in of.blocks if isinstance(each, Figure) and each.name == name]
    return one


def test_heat_from_the_rooms_is_the_whole(run: Result, summary: RunSummary) -> None:
    one = drawn(section(run, summary), "house-heat")
    assert isinstance(one.plot, HousePlan)
    assert summary.house is not None
    left = sum(float(row[4] or 0.0) for row in one.table.rows if row[0] == "room")
    assert left == pytest.approx(summary.house.heating_season_kwh)
    shares = [int(text) for text in re.findall(r"(\d+) %", one.says)]
    assert sum(shares) == pytest.approx(100, abs=1)
    attic = sum(float(row[4] or 0.0) for row in one.table.rows if row[1] == "attic")
    assert shares[0] == round(100.0 * attic / left)


def test_a_conducting_roof_is_what_its_zone_loses(run: Result, summary: RunSummary) -> None:
    one = drawn(section(run, summary), "house-heat")
    (roof,) = [row for row in one.table.rows if row[2] == "Roof" and row[3] == "conducted"]
    (way,) = [w for w in summary.zones[0].ways if w.name == "Roof" and w.kind == "assembly"]
    assert roof[:2] == ("attic", "outdoors")
    assert roof[4] == -way.heating_season_kwh > 0.0


def test_air_points_the_way_it_mostly_goes(run: Result, summary: RunSummary) -> None:
    """Warm air leaves by the hatch and the ridge, and comes in by the door (stack)."""
    one = drawn(section(run, summary), "house-air")
    assert isinstance(one.plot, HousePlan)
    ways = {(flow.source, flow.target) for flow in one.plot.flows}
    assert {("room", "attic"), ("attic", "outdoors"), ("outdoors", "room")} <= ways
    turned = typed_summary(small_house.with_streams(run, hatch=-1.0))
    again = drawn(section(run, turned), "house-air")
    assert isinstance(again.plot, HousePlan)
    assert ("attic", "room") in {(flow.source, flow.target) for flow in again.plot.flows}


def test_zones_are_told_with_their_hours(run: Result) -> None:
    cold = np.full(run.hours, 280.0)
    cold[-2000] = 243.15
    changed = small_house.with_zone(run, temperature=cold)
    found = spaces(changed.case, typed_summary(changed), "si")
    (attic,) = [one for one in found if one.where == "above"]
    at = short_date(moment_of(changed, run.hours - 2000))
    assert attic.lines[0] == f"-30.0 degC, {at}"


def test_a_named_pipe_has_its_row(run: Result) -> None:
    case = dataclasses.replace(run.case, pipes=(Pipe("tap", "attic", insulation=0.025),))
    summary = typed_summary(dataclasses.replace(run, case=case))
    (pipe,) = summary.zones[0].pipes
    (row,) = pipes_table(summary, "si").rows
    assert row[:2] == ("tap", "attic")
    assert row[3:] == (pipe.hours_below_0_degc, pipe.longest_below_0_degc, pipe.fails_h)


def test_each_circle_is_its_hole(run: Result) -> None:
    """40 cm2 are a circle of 71.4 mm: pi d2 / 4."""
    known = {hole.label: hole.diameter for hole, _ in holes_of(run.case)}
    assert known["hatch"] == pytest.approx(2.0 * math.sqrt(40e-4 / math.pi))
    assert known["leak of Roof"] > 0.0
    assert "leak of Ceiling" not in known
    round_one = dataclasses.replace(run.case.openings[0], shape=RoundHole(0.1))
    square = dataclasses.replace(round_one, name="other", shape=FreeArea(0.25 * math.pi * 0.01))
    case = dataclasses.replace(run.case, openings=(round_one, square))
    assert [h.diameter for h, _ in holes_of(case)][:2] == pytest.approx([0.1, 0.1])


def test_circles_are_drawn_to_one_scale() -> None:
    holes = (Hole("a", "", 0.4), Hole("b", "", 0.1), Hole("c", "", 0.02, True))
    figure = draw_house.draw_holes(Holes(holes, (0.1, "100 mm")))
    from matplotlib.patches import Circle

    (sheet,) = figure.axes
    sizes = [one.radius for one in sheet.patches if isinstance(one, Circle)]
    assert np.array(sizes) / sizes[0] == pytest.approx([1.0, 0.25, 0.05])


def test_small_flows_are_left_out_and_back_flows_turned() -> None:
    found = grouped(
        [
            Moved("room", "attic", "by air", "hatch", 10.0),
            Moved("room", "attic", "by air", "chase", 30.0),
            Moved("attic", "outdoors", "by air", "vent", -20.0),
            Moved("room", "outdoors", "conducted", "wall", 1e-3),
        ]
    )
    assert [(one.source, one.target, one.amount) for one, _ in found] == [
        ("room", "attic", 40.0),
        ("outdoors", "attic", 20.0),
    ]
    assert found[0][1] == ["chase", "hatch"]


def test_a_section_holds_spaces_wherever_they_lie() -> None:
    """Two rooms, two zones above, one below, one beside: each arrow is on the sheet."""
    names = (("a", "rooms"), ("b", "rooms"), ("left loft", "above"), ("right loft", "above"))
    more = (("crawl space", "below"), ("garage", "beside"))
    drawn_spaces = tuple(Space(name, at, ("-20 °C",)) for name, at in (*names, *more))
    pairs = [(one, two) for one in drawn_spaces for two in drawn_spaces if one.name < two.name]
    ends = [(one.name, two.name) for one, two in pairs] + [
        (s.name, "outdoors") for s in drawn_spaces
    ]
    flows = tuple(Flow(*pair, "A", 1.0, "carried", True) for pair in ends)
    made = svg(HousePlan(drawn_spaces, flows, (("A", "all"),)), "x", "title", "says")
    assert made.count(">A<") == len(flows) + 1
    assert "nan" not in made


def test_where_a_zone_lies(run: Result) -> None:
    assert where(run.case, "attic") == "above"
    drawn_floor = run.case.assemblies[1]
    down = dataclasses.replace(drawn_floor.outer, tilt=math.pi, sheltered=True)
    aside = dataclasses.replace(down, tilt=0.5 * math.pi)
    low, wall = (
        dataclasses.replace(drawn_floor, outside="crawl", outer=outer) for outer in (down, aside)
    )
    for assemblies, place in (((low, wall), "below"), ((wall,), "beside")):
        other: Any = SimpleNamespace(assemblies=assemblies)
        assert where(other, "crawl") == place


def test_no_house_no_section() -> None:
    result = synthetic.result()
    assert house_section(result, typed_summary(result), "si") is None


def test_its_page_names_each_table_and_is_small(run: Result, summary: RunSummary) -> None:
    page = run_page(run, summary)
    assert page.sections[0].anchor == "house"
    assert {name for name, _ in named_tables(page)} <= set(table_names(run.case))
    assert len(html(page).encode()) < 1.5e6
    spaces_named = (Space(pages.HOSTILE, "rooms"), Space(f"{pages.HOSTILE} 2", "above"))
    flow = Flow(spaces_named[0].name, spaces_named[1].name, "A", 1.0, "carried")
    made = svg(HousePlan(spaces_named, (flow,), (("A", pages.HOSTILE),)), "x", "title", "says")
    assert "<script" not in made
    assert "<script" not in svg(Holes((Hole(pages.HOSTILE, "", 0.1),), (0.1, "x")), "y", "t", "s")


def test_names_of_a_house_are_text_everywhere(run: Result) -> None:
    """Room, zone, assemblies and openings, on the whole page with its drawings."""
    text = small_house.TEXT
    for name in ("attic", "hatch", "Ceiling", "ridge"):
        text = text.replace(f'"{name}"', f"'{ATTACK} {name}'")
    case = small_house.read(text)
    zones = tuple(dataclasses.replace(one, zone=zone) for one, zone in zip(run.zones, case.zones))
    parts = tuple(
        dataclasses.replace(one, assembly=part)
        for one, part in zip(run.assemblies, case.assemblies)
    )
    old = {one.name: one for one in run.case.openings}
    new = dict(zip(old, case.openings))
    streams = tuple(
        dataclasses.replace(
            one,
            name=new[one.name].name if one.name in new else one.name,
            opening=new.get(one.name, one.opening),
            inside=one.inside.replace("attic", f"{ATTACK} attic"),
            outside=one.outside.replace("attic", f"{ATTACK} attic"),
        )
        for one in run.streams
    )
    named = dataclasses.replace(run, case=case, zones=zones, assemblies=parts, streams=streams)
    made = html(run_page(named, typed_summary(named)))
    assert "<script" not in made
    assert made.count("&lt;script&gt;") > 20
    drawings = re.findall(r"<svg.*?</svg>", made, re.DOTALL)
    assert any("&lt;script&gt;" in one for one in drawings)

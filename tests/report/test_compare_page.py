"""The page of a comparison: its sentences counted again, at the boundaries where they turn."""

from __future__ import annotations

import dataclasses
import math
import time

import numpy as np
import pytest

from assembly_sim.model import Thresholds
from assembly_sim.model.fuel import Cost
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.report.page.compare_bars import OTHERS, bars_figure, wrapped_name
from assembly_sim.report.page.compare_course import course_figure
from assembly_sim.report.page.compare_page import compare_page, headline, watched
from assembly_sim.report.page.compare_spots import cost_figure, margin_figure, nice_top
from assembly_sim.report.page.content import Absent, Checklist, Figure, figures, tables
from assembly_sim.report.page.plots import Bars, Curves, Spots
from assembly_sim.report.page.render import html
from assembly_sim.studies.compare import Compared
from assembly_sim.verdict.rules import LEVELS, PAST, RULES, Judged
from assembly_sim.verdict.standing import share_of_level
from tests.checks import made
from tests.report import pages
from tests.report.compared import DOLLARS, KWH, compared

DRY = made.run(temperature=285.0, humidity=0.4)
HOUR = np.arange(3 * made.YEAR)
BOARD = 0.012 * 500.0 * (0.19 + 0.08 * np.cos(2.0 * np.pi * (HOUR - 2900.0) / made.YEAR))
WET = pages.swinging(layer_water=np.stack([BOARD, 0.0 * BOARD, 0.0 * BOARD + 0.4], axis=1))
WALL = DRY.assemblies[0].assembly.name


def cost(low: float, high: float | None = None) -> Cost:
    return Cost(low, high or low, DOLLARS)


@pytest.fixture(scope="module")
def found() -> Compared:
    return compared(
        {
            "as found": (DRY, {WALL: (800.0, 200.0)}, None),
            "seal": (DRY, {WALL: (800.0, 50.0)}, cost(300.0, 500.0)),
            "fill": (WET, {WALL: (300.0, 50.0)}, cost(1500.0)),
        },
        {"fill": "Mind the fill."},
    )


def drawn(one: Figure | Absent) -> Figure:
    assert isinstance(one, Figure)
    return one


def test_the_headline_puts_no_wet_option_first(found: Compared) -> None:
    assert headline(found) == "Seal first"
    wet = compared(
        {
            "as found": (DRY, {WALL: (800.0, 200.0)}, None),
            "fill": (WET, {WALL: (300.0, 50.0)}, cost(2000.0)),
        }
    )
    assert headline(wet) == "Fill: not before its moisture is solved"
    none = compared({"as found": (DRY, {WALL: (800.0, 0.0)}, None), "more": (DRY, None, None)})
    assert headline(none) == "No option to begin with"
    worse = {"as found": (DRY, {WALL: (8.0, 0.0)}, None), "x": (DRY, {WALL: (9.0, 0.0)}, None)}
    assert headline(compared(worse)) == "No option to begin with"


def test_bars_are_the_sums_of_their_table(found: Compared) -> None:
    one = drawn(bars_figure(found, "si"))
    assert isinstance(one.plot, Bars)
    assert [part.values for part in one.plot.parts] == [pytest.approx((1000.0, 850.0, 350.0))]
    assert one.says == (
        f"As found the house takes 1000 kWh of heat in a year, of it 100 % by {WALL}; 'fill' takes "
        "least of the options, 350 kWh."
    )
    wholes = {row[0]: row[2:] for row in one.table.rows if row[1] == "all"}
    assert wholes["fill"] == pytest.approx((300.0, 50.0, 350.0))


def test_many_parts_are_drawn_as_the_largest_and_all_others_with_nothing_lost() -> None:
    heats = {f"part {at}": (10.0 * at, 1.0) for at in range(1, 10)}
    one = drawn(bars_figure(compared({"as found": (DRY, heats, None)}), "si"))
    assert isinstance(one.plot, Bars)
    assert [part.label for part in one.plot.parts][-1] == OTHERS
    assert len(one.plot.parts) == 6
    assert sum(part.values[0] for part in one.plot.parts) == pytest.approx(459.0)


def test_no_year_is_told_and_not_drawn() -> None:
    nothing = compared({"as found": (DRY, None, None), "more": (DRY, None, cost(5.0))})
    assert isinstance(bars_figure(nothing, "si"), Absent)
    assert isinstance(cost_figure(nothing, "si"), Absent)
    page = compare_page(nothing)
    assert "not computed to the end of a year" in html(page)


def test_cost_says_which_saves_most_for_its_cost(found: Compared) -> None:
    """150 kWh for 400 in the middle is worse than 650 kWh for 1500; the latter is wet."""
    one = drawn(cost_figure(found, "si"))
    assert one.says.startswith("'fill' saves most for what it costs: 650 kWh a year for $1,500")
    assert f"its moisture is not solved: {LEVELS[found.options[2].rank]}" in one.says
    assert isinstance(one.plot, Spots)
    assert [(spot.span, spot.open) for spot in one.plot.spots] == [
        ((300.0, 500.0), False),
        ((1500.0, 1500.0), True),
    ]
    money = [option.saved.money for option in found.options[1:] if option.saved]
    assert [spot.y for spot in one.plot.spots] == pytest.approx(money)
    for ray in one.plot.rays:  # on it, a cost is paid back in the years that it names
        assert 1.0 / ray.slope == pytest.approx(float(ray.label.split()[0]))


def test_a_point_lies_in_the_band_of_its_level(found: Compared) -> None:
    one = drawn(margin_figure(found, "si"))
    assert isinstance(one.plot, Spots)
    assert found.options[1].rank < PAST <= found.options[2].rank
    for spot, option in zip(one.plot.spots, found.options):
        (band,) = [each for each in one.plot.bands if each.bottom < spot.y < each.top]
        assert band.label == LEVELS[option.rank]
        assert band.hatched == spot.open == (option.rank >= PAST)
    assert [spot.x for spot in one.plot.spots] == pytest.approx([0.0, 150.0, 650.0])
    assert one.says == (
        "All parts stay within their limits with 'seal'. Some part passes a limit with 'fill'."
    )


def test_every_option_dry_is_said_only_where_every_one_is() -> None:
    heats = {WALL: (10.0, 1.0)}
    dry = compared({"as found": (DRY, heats, None), "a": (DRY, heats, None)})
    assert drawn(margin_figure(dry, "si")).says == (
        "With every option all parts of the house stay within their limits."
    )
    bare = compared({"as found": (WET, heats, None), "a": (DRY, heats, None)})
    assert drawn(margin_figure(bare, "si")).says.endswith(f"'{LEVELS[bare.options[0].rank]}'.")


@pytest.mark.parametrize(
    ("value", "rank", "share"),
    [(0.0, 0, 0.0), (0.5, 0, 0.5), (1.0, 1, 0.0), (2.0, 1, 0.5), (3.0, 3, None), (0.2, 2, 0.0)],
)
def test_the_way_to_the_next_level(value: float, rank: int, share: float | None) -> None:
    """Mould index: thin from 1, past a limit from 3; a level by what lies ahead begins at none."""
    finding = made_finding("mould index", value)
    known = share_of_level(Judged(rank, rank, 1.0, finding), Thresholds())
    assert RULES["mould index"](Thresholds(), finding) == (1.0, math.inf, 3.0, math.inf)
    if rank == 2:
        assert known == pytest.approx(value / 3.0)
    else:
        assert known == (None if share is None else pytest.approx(share))


def made_finding(check: str, value: float):
    from assembly_sim.checks.finding import Finding

    return Finding(check, "somewhere", value=value, limit=3.0, decides=True)


def test_hours_at_risk_are_counted_again(found: Compared) -> None:
    """By saturation over water: these results do not freeze at the planes that decide."""
    one = drawn(course_figure(found))
    wet = found.courses[2][0]
    (path,) = WET.assemblies[0].paths
    year = slice(2 * made.YEAR, 3 * made.YEAR)
    names = [f"{plane.name} ({path.name} path)" for plane in path.planes]
    at = next(n for n, name in enumerate(names) if wet.place.split(" (")[0] in name)
    humid = path.vapour_pressure[year, at] / saturation_pressure(path.temperature[year, at])
    warm = path.temperature[year, at] > 273.16
    counted = int((humid[warm] >= 0.95).sum())
    assert 0 < counted <= wet.hours_at_risk <= counted + int((~warm).sum())
    assert f"{wet.hours_at_risk} hours of the last year with 'fill'" in one.says
    assert one.says.endswith("and none with 'as found' and 'seal'.")
    assert isinstance(one.plot, Curves)
    assert [len(line.x) for line in one.plot.panels[0].series] == [365, 365, 365]
    assert np.mean([row[3:] for row in one.table.rows[:1]]) == pytest.approx(40.0, abs=2.0)


def test_what_to_watch_is_the_options_own(found: Compared) -> None:
    wall = found.options[2]
    told = list(watched(wall, ("Look first.",), "si"))
    assert f"{WALL} is not cleared: {LEVELS[wall.rank]}" in told
    assert "Mind the fill." in told
    assert list(watched(found.options[1], ("Look first.",), "si")) == []


def test_the_checklist_has_every_option_in_its_rank(found: Compared) -> None:
    section = next(one for one in compare_page(found).sections if one.anchor == "checklist")
    titles = [one.title for one in section.blocks if isinstance(one, Checklist)]
    assert titles[2:] == ["1. seal", "2. fill"]


def test_six_options_are_written_soon_and_small() -> None:
    heats = {f"part {at}": (10.0 * at, 1.0) for at in range(1, 10)}
    some = {"as found": (DRY, heats, None)}
    some |= {f"option {at}": (WET, heats, cost(10.0 * at)) for at in range(1, 6)}
    many = compared(some)
    begun = time.process_time()
    made_page = html(compare_page(many))
    assert time.process_time() - begun < 6.0
    assert len(made_page.encode()) < 1.5e6


def test_names_are_text_and_figures_have_names_of_their_own() -> None:
    heats = {pages.HOSTILE: (10.0, 1.0)}
    one = compared({pages.HOSTILE: (DRY, heats, None), f"{pages.HOSTILE} 2": (DRY, heats, None)})
    page = compare_page(one)
    assert "<script" not in html(page)
    names = [each.name for each in figures(page)]
    assert len(set(names)) == len(names) == 4 - 1  # no cost, no figure of it
    assert len({each.title for each in tables(page)}) == len(list(tables(page)))


def test_names_under_bars_fit_and_tops_are_round() -> None:
    assert wrapped_name("seal, then fill to 400 mm", 72.0).split("\n") == [
        *("seal, then", "fill to 400", "mm"),
    ]
    assert max(map(len, wrapped_name("x" * 80, 72.0).split("\n"))) <= 12
    assert nice_top([]) == nice_top([-3.0]) == 1.0
    for most in (0.3, 7.0, 618.0, 6300.0):
        assert most < nice_top([most]) < 2.0 * most


def test_units_change_the_numbers_and_not_what_is_said(found: Compared) -> None:
    si, ip = (drawn(bars_figure(found, system)) for system in ("si", "ip"))
    assert isinstance(si.plot, Bars)
    assert isinstance(ip.plot, Bars)
    ratio = si.plot.parts[0].values[0] / ip.plot.parts[0].values[0]
    assert ratio == pytest.approx(1e6 * 1055.056 / KWH)
    assert "MMBtu" in ip.plot.title


def test_the_page_rests_on_the_same_result_twice(found: Compared) -> None:
    again = dataclasses.replace(found)
    assert html(compare_page(found)) == html(compare_page(again))

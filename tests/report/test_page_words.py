"""What a page says beside its figures: each sentence counted again by other code, and true.

Results are written by hand, at the boundaries where a sentence would turn.
"""

from __future__ import annotations

import dataclasses
import re

import numpy as np
import pytest

from assembly_sim.checks.condensation import path_condensation
from assembly_sim.model import Thresholds
from assembly_sim.physics.moist_air import dew_point, frost_point, saturation_pressure
from assembly_sim.report.page.autumn import autumn_hours
from assembly_sim.report.page.content import Absent, Figure, Page, cell_text, figures, tables
from assembly_sim.report.page.limits import limits_figure
from assembly_sim.report.page.run_page import run_page
from assembly_sim.report.page.tables import named_tables, table_csv, table_names
from assembly_sim.report.page.typeset import typeset
from assembly_sim.report.page.view import deciding_place, view_of
from assembly_sim.studies.probe import Limit
from assembly_sim.verdict.contract import summary_json
from assembly_sim.verdict.rules import LEVELS
from assembly_sim.verdict.summary import typed_summary
from tests import synthetic
from tests.checks import made
from tests.report import pages

ALL_CLEAR = ("safe", "no risk", "no problem", "will not", "never gets wet", "guarantee")
END = 3 * made.YEAR


@pytest.fixture(scope="module")
def swinging():
    return pages.swinging()


@pytest.fixture(scope="module")
def page(swinging):
    return pages.page(swinging)


def numbers(text: str) -> list[float]:
    return [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", text)]


def words_of(page: Page) -> str:
    told = [f"{one.says} {one.reading}" for one in figures(page)]
    answers = [s.answer for s in page.sections if s.answer is not None]
    return " ".join([*told, *(line for one in answers for line in one.sentences)])


RESULTS = {
    "calm": lambda: made.run(),
    "one year": lambda: made.run(years=1),
    "frost": lambda: made.run(temperature=268.15, humidity=1.0),
    "soaked": lambda: made.run(humidity=1.0, free_water=np.full((END, 4), 0.5)),
    "synthetic": lambda: synthetic.result(),
    "several": lambda: pages.several("a", "b"),
    "no hour": lambda: pages.stopped(0),
    "an hour": lambda: pages.stopped(1),
    "stopped": lambda: pages.stopped(3000),
    "30 hours": lambda: pages.through(30),
    "54 days": lambda: pages.through(54 * 24),
    "three real years": lambda: pages.through(3 * 8760 + 24),
    "no leak": lambda: made.run(assembly=made.wall(leak=None)),
    "southern": lambda: made.run(
        case={"climate": dataclasses.replace(synthetic.climate(), latitude=-40.0)}
    ),
}


@pytest.mark.parametrize("system", ["si", "ip"])
@pytest.mark.parametrize("name", RESULTS)
def test_every_result_has_a_page_and_none_gives_an_all_clear(name, system):
    result = RESULTS[name]()
    made_of = pages.page(result, system)
    text = words_of(made_of)
    assert not [word for word in ALL_CLEAR if word in text.lower()]
    assert "nan" not in text.lower().split()
    names = [one.name for one in figures(made_of)]
    assert len(names) == len(set(names))
    for one in figures(made_of):
        assert one.says.endswith((".", "!"))
        assert one.table.rows
    if result.hours and not result.case.climate.wraps and result.hours < 8760:
        assert "last year" not in text


@pytest.mark.parametrize("name", RESULTS)
def test_tables_have_names_that_were_announced_and_even_rows(name):
    result = RESULTS[name]()
    made_of = pages.page(result)
    found = [file for file, _ in named_tables(made_of)]
    assert len(found) == len(set(found))
    assert set(found) <= set(table_names(result.case))
    for table in tables(made_of):
        assert {len(row) for row in table.rows} <= {len(table.columns)}
        assert table_csv(table).count("\n") >= len(table.rows) + 1


def test_counts_of_humidity_are_those_of_the_contract(swinging, page):
    """The sentence counts hours of condensation risk as the checks do."""
    one = typed_summary(swinging).assemblies[0]
    place = deciding_place(view_of(swinging, one, 0))
    known = path_condensation(swinging, swinging.assemblies[0], place.path)[place.position]
    said = pages.figure(page, "humidity").says
    assert f"at 95 % or more in {known.last.risk_hours};" in said
    assert said.endswith(f"and {known.years[0].risk_hours}.")
    rows = pages.figure(page, "humidity").table.rows
    assert sum(row[-1] for row in rows if row[0] == 3) == known.last.risk_hours


def test_calendar_counts_each_hour_of_the_last_year_once(swinging, page):
    shown = pages.figure(page, "calendar")
    assert (shown.plot.steps >= 0).sum() == made.YEAR
    assert sum(sum(row[1:]) for row in shown.table.rows) == made.YEAR
    path = swinging.assemblies[0].paths[0]
    place = deciding_place(view_of(swinging, typed_summary(swinging).assemblies[0], 0))
    free = path.free_water[2 * made.YEAR :, place.position] > 1e-3
    assert f"{free.sum()} hours carried free water or frost" in shown.says
    near = shown.plot.steps.T.ravel() >= 2  # day after day, midnight first
    spell = max(len(run) for run in "".join("x" if one else " " for one in near).split())
    told = re.search(r"lasted (\d+) (h|days)", shown.says)
    assert float(told[1]) * (24 if told[2] == "days" else 1) == pytest.approx(spell, abs=12)
    assert (shown.plot.steps.T.ravel() == 4).tolist() == free.tolist()


@pytest.mark.parametrize(("humidity", "step"), [(0.7999, 0), (0.8, 1), (0.9499, 1), (0.95, 2)])
def test_calendar_steps_turn_where_they_are_said_to(humidity, step):
    shown = pages.figure(pages.page(made.run(humidity=humidity + 1e-12)), "calendar")
    assert set(np.unique(shown.plot.steps)) == {step}
    assert ("In no hour" in shown.says) == (step < 2)


def test_thresholds_of_a_case_that_cross_are_told_in_order():
    limits = Thresholds(condensation_humidity=0.7)
    shown = pages.figure(
        pages.page(made.run(humidity=0.75, case={"thresholds": limits})), "calendar"
    )
    assert [label for _, label in shown.plot.legend][1] == "70 to 70 %"
    assert set(np.unique(shown.plot.steps)) == {2}


def test_mould_that_does_not_decide_is_told_where_it_is_worse():
    """Siding with dense mould before clean boards: its index may not pass in silence."""
    result = pages.swinging()
    one = typed_summary(result).assemblies[0]
    worst = max(f.value for f in one.findings if f.check == "mould index" and f.value is not None)
    siding = tuple(
        dataclasses.replace(f, decides=False)
        if f.check == "mould index" and f.value == worst
        else f
        for f in one.findings
    )
    summary = typed_summary(result)
    changed = dataclasses.replace(one, findings=siding)
    shown = pages.figure(
        run_page(result, dataclasses.replace(summary, assemblies=(changed,))), "growth"
    )
    assert f"not drawn, reached {worst:.2f}" in shown.says


def test_years_are_drawn_one_over_another(page):
    shown = pages.figure(page, "growth")
    labels = [one.label for one in shown.plot.panels[0].series]
    assert labels == ["first year", "year 2", "last year (3)"]
    strokes = {one.stroke for one in shown.plot.panels[0].series}
    assert len(strokes) == 3  # told apart without colour


def test_autumn_is_counted_where_drying_ends(swinging, page):
    shown = pages.figure(page, "autumn")
    assert [row[0] for row in shown.table.rows] == ["start", "year 1", "year 2", "year 3"]
    path = swinging.assemblies[0].paths[0]
    ends = [path.initial_layer_water.sum()]
    ends += [path.layer_water[year * made.YEAR - 1].sum() for year in (1, 2, 3)]
    assert [row[1] for row in shown.table.rows] == pytest.approx(ends)
    last = 1000 * (ends[3] + path.free_water[-1, 1:].sum() - ends[2])
    last -= 1000 * path.free_water[2 * made.YEAR - 1, 1:].sum()
    word = "more" if last > 0 else "less"
    assert f"{abs(last):.0f} g/m2 {word} than a year before" in shown.says


@pytest.mark.parametrize(
    ("step", "words"), [(0.0, "as much as"), (9e-4, "as much as"), (2e-3, "2 g")]
)
def test_a_change_of_water_is_told_from_a_gram(step, words):
    water = np.ones((END, 3))
    water[2 * made.YEAR :, 0] += step
    shown = pages.figure(pages.page(made.run(layer_water=water)), "autumn")
    told = shown.says.partition("of water, ")[2]
    assert told.startswith(words)


def test_autumn_of_the_south_begins_in_april():
    result = RESULTS["southern"]()
    assert [int(result.month[hour]) for hour in autumn_hours(result)] == [4, 4, 4]
    assert "1 April" in pages.figure(pages.page(result), "autumn").says


@pytest.mark.parametrize(
    ("begins", "hours", "count"),
    [
        ("2019-10-01T00:00", 8784, 2),  # begins with one and ends at the next
        ("2019-10-01T01:00", 8784, 1),
        ("2019-09-30T23:00", 8784, 1),
        ("2019-09-30T23:00", 8785, 2),
    ],
)
def test_autumns_of_a_window_are_those_of_its_dates(begins, hours, count):
    assert len(autumn_hours(pages.through(hours, begins))) == count


def test_margin_is_that_of_the_dew_point_or_frost_point(swinging, page):
    """One cell again by the two formulas of ISO 13788, hour by hour."""
    shown = pages.figure(page, "margin")
    path, air = swinging.assemblies[0].paths[0], swinging.assemblies[0].drivers
    room = air.room_vapour_pressure[0]
    dew = dew_point(room) if room >= saturation_pressure(273.15) else frost_point(room)
    january = (swinging.month == 1) & (np.arange(END) >= 2 * made.YEAR)
    expected = (path.temperature[january, 1] - dew).mean()
    row = next(row for row in shown.table.rows if row[0] == "sheathing | batt")
    head = [column.head for column in shown.table.columns]
    assert row[head.index("Jan, K")] == pytest.approx(expected, abs=1e-9)
    least = min(min(row[3:]) for row in shown.table.rows if row[2] != "outdoor air")
    assert f"{abs(least):.1f} K {'warmer' if least >= 0 else 'colder'}" in shown.says


@pytest.mark.parametrize(
    ("margin", "step"), [(-0.1, 3), (0.01, 2), (0.99, 2), (1.01, 1), (2.99, 1), (3.01, 0)]
)
def test_margins_turn_where_the_legend_says(margin, step):
    pressure = 1000.0
    dew = float(dew_point(pressure))
    result = made.run(temperature=dew + margin, drivers={"room_vapour_pressure": pressure})
    shown = pages.figure(pages.page(result), "margin")
    reached = [at for at, row in enumerate(shown.table.rows) if row[2] == "room air"]
    assert {step} == {one for at in reached for one in shown.plot.steps[at]}
    assert ("are below it" in shown.says) == (margin < 0.0)


def test_months_of_heat_add_up_to_the_contract(swinging, page):
    figures_of = summary_json(typed_summary(swinging))["assemblies"][0]
    total = pages.figure(page, "heat").table.rows[-1]
    assert total[0] == "all"
    assert total[1] + total[2] == pytest.approx(figures_of["annual_heat_loss_total_kwh_m2"])
    assert total[2] == pytest.approx(figures_of["annual_heat_loss_carried_kwh_m2"])
    assert total[3] + total[4] == pytest.approx(figures_of["annual_heat_gain_total_kwh_m2"])


@pytest.mark.parametrize(
    ("carried", "words"),
    [(0.0, "none of the loss went with air"), (-1.0, "off the loss"), (1.0, "air carried 10 %")],
)
def test_air_that_takes_from_the_loss_is_not_told_as_a_share(carried, words):
    flux = np.full(END, 9.0)
    result = made.run(heat_flux_room=flux, carried_heat=np.full(END, carried))
    assert words in pages.figure(pages.page(result), "heat").says


def test_what_a_gap_does_is_what_resistances_say(swinging, page):
    """The shift of a surface by hand: (T_i - T_e) R_si (1/R_gap - 1/R) (ISO 6946, from memory)."""
    rows = pages.figure(page, "camera").table.rows
    built, gap = rows[0], rows[-1]
    said = numbers(pages.figure(page, "camera").says.partition("with ")[2])
    inside, outside = said[0], said[1]
    with_batt = 0.13 + 0.012 / 0.12 + 0.14 / 0.12 + 0.0125 / 0.12 + 0.04
    without = with_batt - 0.14 / 0.12 + 0.18  # a cavity of 140 mm, level flow: 0.18 m2K/W
    shift = (inside - outside) * 0.13 * (1.0 / without - 1.0 / with_batt)
    assert built[2] - gap[2] == pytest.approx(shift, rel=0.05)
    assert gap[-1] == "estimate by hand"


def test_the_probe_is_told_as_limits_and_nothing_is_drawn_beyond_it(swinging):
    made_of = pages.page(swinging, probed=True)
    shown = pages.figure(made_of, "limits")
    assert "dry up to 45 % RH" in shown.says
    for area in shown.plot.areas:
        level = {0: "dry", 2: "within", 4: "past"}[area.step]
        if level == "past":  # past is drawn from where a run was past, upward alone
            assert area.right > np.sqrt(2e-3) - 1e-9 or area.bottom >= 62.5 - 1e-9
        if level == "dry":  # dry only up to what was tried as dry
            assert area.right <= np.sqrt(2.8e-4) + 1e-9
            assert area.top <= 45.0 + 1e-9 or area.top <= 40.0 + 1e-9


@pytest.mark.parametrize(
    ("dry", "wet", "within", "past"),
    [
        (None, 0.1, None, 0.1),  # not even the lowest is within limits
        (None, 0.1, 0.5, 0.525),
        (0.8, None, 0.8, None),  # the highest is dry
        (0.5, 0.525, 0.5, 0.525),  # from dry to past in one step
        (0.3, 0.325, 0.8, None),
    ],
)
def test_regions_of_the_map_do_not_overlap(swinging, dry, wet, within, past):
    summary = typed_summary(swinging)
    humidity = Limit("winter humidity of the room", "1", dry, wet, 0.1, 0.8, within, past)
    leak = pages.probing("wall").limits[1]
    probing = dataclasses.replace(pages.probing("wall"), limits=(humidity, leak))
    view = view_of(swinging, summary.assemblies[0], 0, probing=probing)
    shown = limits_figure(view)
    assert isinstance(shown, Figure)
    own = [a for a in shown.plot.areas if a.right - a.left < 0.001 and a.left > 0.0]
    spans = sorted((a.bottom, a.top, a.step) for a in own if a.step != 4 or a.bottom > 41.0)
    assert all(before[1] <= after[0] + 0.7 for before, after in zip(spans, spans[1:]))
    steps = [step for *_, step in spans]
    assert steps == sorted(steps)


def test_a_map_that_is_not_there_says_why(swinging):
    one = typed_summary(swinging).assemblies[0]
    assert "--probe" in limits_figure(view_of(swinging, one, 0)).why
    none = dataclasses.replace(pages.probing("wall"), level=None)
    assert "no verdict" in limits_figure(view_of(swinging, one, 0, probing=none)).why
    still = dataclasses.replace(pages.probing("wall"), limits=pages.probing("w").limits[:1])
    assert "no cavity" in limits_figure(view_of(swinging, one, 0, probing=still)).why
    window = pages.through(54 * 24)
    view = view_of(window, typed_summary(window).assemblies[0], 0)
    assert isinstance(limits_figure(view), Absent)
    assert "window" in limits_figure(view).why


@pytest.mark.parametrize("name", ["calm", "frost", "soaked", "one year", "stopped"])
def test_the_drawing_marks_what_is_not_dry_and_says_so(name):
    result = RESULTS[name]()
    drawn = pages.figure(pages.page(result), "build")
    found = typed_summary(result).assemblies[0].verdict
    assert bool(drawn.plot.marks) == bool(found.rank)
    assert ("nothing that decides here comes near" in drawn.says) == (found.rank == 0)
    assert ("no verdict" in drawn.says) == (found.level is None)


def test_the_first_screen_is_the_answer_of_the_text(swinging):
    section = pages.part(pages.page(swinging))
    one = typed_summary(swinging).assemblies[0]
    assert section.answer.steps == LEVELS
    assert section.answer.step == one.verdict.rank
    assert section.answer.sentences[0].startswith("In the 3 years computed")
    gauge = section.answer.gauge
    finding = one.verdict.finding
    ratio = gauge.value_share / gauge.limit_share
    assert ratio == pytest.approx(finding.value / finding.limit)
    assert 0.0 <= gauge.value_share <= 1.0
    assert 0.0 <= gauge.limit_share <= 1.0


def test_planes_match_the_contract_to_the_printed_digit(swinging, page):
    planes = summary_json(typed_summary(swinging))["assemblies"][0]["planes"]
    (table,) = [one for one in tables(page) if one.name == "planes"]
    for row, plane in zip(table.texts(), planes, strict=True):
        assert row[4] == f"{100.0 * plane['max_relative_humidity']:.1f}"
        assert row[5:8] == (
            f"{plane['condensation_risk_hours']}",
            f"{plane['wet_hours']}",
            "-" if plane["dew_point_hours"] is None else f"{plane['dew_point_hours']}",
        )
        assert row[9] == f"{plane['mould_index_max']:.2f}"


def test_numbers_that_are_none_are_dashes_and_nothing_is_negative_zero():
    from assembly_sim.report.page.content import Column

    assert cell_text(None, Column("x", 1)) == "-"
    assert cell_text(float("nan"), Column("x", 1)) == "-"
    assert cell_text(-0.04, Column("x", 1)) == "0.0"
    assert cell_text(3, Column("x", 0)) == "3"


@pytest.mark.parametrize(
    ("plain", "printed"),
    [
        ("0.2 L/(s m2) at 75 Pa", "0.2 L/(s m\u00b2) at 75 Pa"),
        ("20 degC", "20 \u00b0C"),
        ("W/(m2 K), kg/m3, 3 ft2", "W/(m\u00b2 K), kg/m\u00b3, 3 ft\u00b2"),
        ("inside 0.13 m2K/W", "inside 0.13 m\u00b2 K/W"),
        ("beam2 board", "beam2 board"),
    ],
)
def test_units_are_set_as_in_print(plain, printed):
    assert typeset(plain) == printed

"""A house of zones compared: sums on both sides of its attic, what ducts, gables and holes decide.

The house is the shipped example, six ways of it and three more, one year on a coarse mesh; every
run is made once for all that is asked of it. The README's figures are held to it.
"""

from __future__ import annotations

import csv
import dataclasses
import io
import json
import math
from pathlib import Path

import numpy as np
import pytest

from assembly_sim.boundary.openings import law
from assembly_sim.changes import DuctsIndoors, SealBetween, SealOpening, Set, applied
from assembly_sim.changes.comparison import Comparison, Option
from assembly_sim.checks.house import into_zone, ways_out
from assembly_sim.files.case.comparison import read_comparison
from assembly_sim.hand.degree_days import daily_means, transmission_heat
from assembly_sim.model import (
    AirLeak,
    Assembly,
    Case,
    Constant,
    Opening,
    OuterSurface,
    Room,
    Zone,
)
from assembly_sim.model.opening import FreeArea
from assembly_sim.report.compare.amounts import years
from assembly_sim.report.compare.checklist import checklist_text
from assembly_sim.report.compare.contract import compare_csv, compare_json
from assembly_sim.report.compare.house_tables import boundary_notes, sealing_lines
from assembly_sim.report.compare.sentences import (
    UNKNOWN,
    against_found,
    answer,
    moisture_in_short,
)
from assembly_sim.report.compare.text import compare_text
from assembly_sim.report.compare.work import FIRE_WORK, LIGHT_WORK, OWN_WORK, named_work
from assembly_sim.report.page.compare_page import compare_page
from assembly_sim.report.page.content import tables
from assembly_sim.report.page.tables import compared_names, named_tables
from assembly_sim.solver.identity import case_sha256
from assembly_sim.solver.run import run
from assembly_sim.studies import compare as comparing
from assembly_sim.studies.band import DAMPER, LESS_LEAK, MORE_LEAK, leaks_times
from assembly_sim.studies.compare import compare, tightens
from assembly_sim.studies.house_parts import HELD
from assembly_sim.studies.moisture_change import NO_VERDICT
from assembly_sim.studies.option_year import house_year
from assembly_sim.studies.parts import parts_of, pieces
from assembly_sim.studies.ranking import is_bad
from assembly_sim.verdict.rules import PAST
from tests import small_house
from tests.outcomes.built import climate, layer

EXAMPLE = Path(__file__).parents[2] / "examples" / "attic_or_roof.toml"
README = " ".join((EXAMPLE.parents[1] / "README.md").read_text(encoding="utf-8").split())
KWH = 3.6e6
ROOM = Room(Constant(293.15), Constant(0.3))
COARSE = 0.25  # of the usual cells: heat of a year moves by 0.5 %, what is told of it does not


def a_year(weather: str | None = None) -> Comparison:
    """The example, one year of its three."""
    asked = read_comparison(EXAMPLE, weather)
    return dataclasses.replace(asked, case=dataclasses.replace(asked.case, years=1))


ASKED = a_year()
CASE = ASKED.case
DUCTS = tuple(DuctsIndoors(one.name) for one in CASE.ducts)
TIGHT_FLOOR = SealBetween("room", "attic", 0.9)
FILL = Set('assembly."Attic floor".layer."loose fill".thickness', 0.4)
MORE = (
    Option("indoors", DUCTS),
    Option("indoors, filled", (FILL,), "indoors"),
    Option("twin", (TIGHT_FLOOR, *DUCTS)),
)
SHORT = {  # names of the example's options, as they are called here
    "found": "as found",
    "sealed": "seal the floor",
    "slope": "foam the slopes, not the gables",
    "roof": "foam slopes and gables",
    "indoors, sealed": "seal the floor, ducts into the rooms",
    "indoors, roof": "foam slopes and gables, ducts into the rooms",
}


def ran_once(asked: Comparison):
    """A comparison, and the result of every run by the hash of its inputs."""
    kept = {}

    def run_kept(case, told, workers):
        kept[case_sha256(case)] = run(case, told, workers=workers, refine=COARSE)
        return kept[case_sha256(case)]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(comparing, "run", run_kept)
        return compare(asked, workers=2), kept


@pytest.fixture(scope="module")
def ran():
    return ran_once(dataclasses.replace(ASKED, options=(*ASKED.options, *MORE)))


@pytest.fixture(scope="module")
def found(ran):
    return ran[0]


@pytest.fixture(scope="module")
def heating(found):
    long = {name: short for short, name in SHORT.items()}
    years = ((one.option.name, one.year.heating / KWH) for one in found.options)
    return {long.get(name, name): heat for name, heat in years}


def test_parts_sum_to_the_whole_on_both_sides_of_the_attic(found):
    """What is held beyond the floor is what its storage explains: a first year that starts damp
    dries fill and boards by some hundred kWh (latent heat by hand: 2.5 MJ/kg of 0.2 t)."""
    for one in found.options:
        year = one.year
        assert one.converged
        assert year.misses < 1e-9
        total = sum(part.heating.total for part in year.parts)
        assert total == pytest.approx(year.heating, rel=1e-3)
        into = sum(part.heating.total for part in year.parts if part.beyond)
        (held,) = (part for part in year.beyond if part.name == HELD)
        out = sum(part.heating.total for part in year.beyond)
        assert out == pytest.approx(into, abs=1e-3 * year.heating)
        assert abs(held.heating.total) < 0.05 * year.heating


def test_the_attic_gets_what_it_gives(ran):
    """The heat balance of the attic's air, solved in the march, from what its neighbours report.

    Leak air counts as it is outdoors here; boards that warm it on its way make some 0.2 %.
    """
    for result in ran[1].values():
        flows = [one.heat for one in into_zone(result, "attic")]
        gross = sum(np.abs(one).sum() for one in flows)
        assert abs(sum(one.sum() for one in flows)) < 5e-3 * gross


def test_the_same_option_has_the_same_digits(found):
    """The same changes in another order of options: the same inputs, one run for both."""
    named = {one.option.name: one for one in found.options}
    twin, other = named["twin"], named[SHORT["indoors, sealed"]]
    assert twin.inputs_sha256 == other.inputs_sha256
    assert twin.year.heating == other.year.heating
    assert twin.saved.money == other.saved.money
    assert found.runs == len(found.options) - 1


def test_ducts_in_the_attic_speak_for_the_roof(heating):
    """With ducts in the attic the roof gains on the floor, as their heat stays inside (common
    practice, no source); a roof around them leaves little to be won by moving them."""
    with_ducts = heating["sealed"] - heating["roof"]
    without = heating["indoors, sealed"] - heating["indoors, roof"]
    assert with_ducts > without + 0.1 * heating["found"]
    moved = heating["found"] - heating["indoors"]
    assert heating["roof"] - heating["indoors, roof"] < 0.25 * moved


def test_gables_forgotten_cost_a_named_share(found, heating):
    """Bare boards beside a foamed slope: by U A alone they are most of what is left."""
    share = 1.0 - (heating["found"] - heating["slope"]) / (heating["found"] - heating["roof"])
    assert share > 0.3
    u = {one.name: one.u_value_w_m2k * one.area_m2 for one in found.options[2].summaries}
    year = found.options[2].year
    gable, slope = (
        next(part.heating.conducted for part in year.beyond if part.name == name)
        for name in ("West gable", "South slope")
    )
    assert u["West gable"] > u["South slope"]
    assert gable > slope


def test_sealing_beats_batts_where_holes_are_large(heating):
    """The chase alone is a hole of 0.039 m2. Sealing first (common practice, no source)."""
    sealed = heating["indoors"] - heating["indoors, sealed"]
    filled = heating["indoors"] - heating["indoors, filled"]
    assert sealed > filled > 0.0


def test_the_readme_tells_what_comes_out(found, heating):
    """Its five lines, digit for digit, but for moisture, which needs all three years."""
    named = {one.option.name: one for one in found.options}

    def share(name):
        return f"{100.0 * (1.0 - heating[name] / heating['found']):.0f} %"

    def back(name):
        return years(named[SHORT[name]].saved.payback)

    bare = sum(
        part.heating.total for part in named[SHORT["slope"]].year.beyond if "gable" in part.name
    )
    for told in (
        f"({heating['found'] / 1e3:.1f} MWh a year as found)",
        f"foamed roof saves {share('roof')} and the sealed floor {share('sealed')}",
        f"{heating['indoors, roof'] / 1e3:.1f} and {heating['indoors, sealed'] / 1e3:.1f} MWh",
        f"{share('slope')} are left of {share('roof')}, for {bare / KWH / 1e3:.0f} MWh leave",
        f"paid back in {back('indoors, sealed')} years, the roof in {back('roof')}",
    ):
        assert told in README
    lost = 1.0 - (heating["found"] - heating["slope"]) / (heating["found"] - heating["roof"])
    assert 0.85 < lost < 0.9  # "nearly nine tenths"


def test_a_real_typical_year_answers_otherwise():
    """In Greensboro (TMY3) the bare gables eat more than foamed slopes save."""
    asked = a_year("greensboro")
    few = [one for one in asked.options if one.name in (SHORT["found"], SHORT["slope"])]
    made = ran_once(dataclasses.replace(asked, options=tuple(few)))[0]
    more = -100.0 * made.options[1].saved.share
    assert f"slopes without gables cost {more:.0f} % more than today" in README
    assert not made.options[1].saved.saves
    assert answer(made).startswith("None of these options saves heat")


def test_moisture_of_every_assembly_stands_beside(found):
    """The deck over the attic loses no heat of a room, and decides with all others."""
    names = {one.name for one in CASE.assemblies}
    for one in found.options:
        assert {each.part for each in one.moisture} == names
        assert "South slope" not in {part.name for part in one.year.parts}


def made(found, ranks):
    """The comparison as if these parts had come out at these levels, as found all at none."""
    options = []
    for one in found.options:
        rank = ranks.get(one.option.name, {})
        moisture = tuple(
            dataclasses.replace(each, rank=rank.get(each.part, 0), before=0)
            for each in one.moisture
        )
        options.append(dataclasses.replace(one, moisture=moisture))
    return dataclasses.replace(found, options=tuple(options))


def test_a_wet_deck_is_said_before_its_saving(found):
    """An option whose deck is past a limit is not called first without that."""
    best = found.options[found.ranked[0]].option.name
    bad = made(found, {best: {"South slope": PAST}})
    assert is_bad(bad.options[found.ranked[0]].moisture)
    said = answer(bad)
    assert "not before its moisture is solved: South slope" in said
    assert "first:" not in said
    assert "first:" in answer(made(found, {}))


def test_nothing_is_new_or_as_found_without_a_verdict(found):
    """Runs of one year have no verdict; nobody knows then what is wetter, drier or as it was."""
    for one in found.options[1:]:
        for each in one.moisture:
            assert each.rank == each.before == NO_VERDICT
            assert each.wetter is None
            said = against_found(each, "si"), moisture_in_short(each, one)
            assert "no verdict" in said[0]
            assert "as it was found" not in "".join(said)
            known = dataclasses.replace(each, rank=0)
            assert against_found(known, "si") == UNKNOWN


def test_what_the_page_says(found):
    """Tables of a house, in both systems; a negative part is explained only where there is one."""
    page = compare_text(found)
    for told in ("out of the rooms", "out of the house", "roof of attic", "ducts in attic", HELD):
        assert told in page
    assert "roofs let in" in page
    assert "attic up to" in page
    assert any("Below zero" in one for one in boundary_notes(found))
    alone = dataclasses.replace(found, options=found.options[:1])
    assert not any("Below zero" in one for one in boundary_notes(alone))
    other = compare_text(found, "ip")
    assert "kWh" not in other.replace("per kWh", "")
    assert "MMBtu" in other
    assert "degC" not in other
    listed = checklist_text(found)
    assert "chimney chase" in listed
    assert FIRE_WORK in " ".join(listed.split())
    assert all(len(line) <= 100 for line in (*page.splitlines(), *listed.splitlines()))


def test_openings_of_the_house_by_what_they_lose(found):
    """Equal holes by hand: 1 in x 60 in is 0.0387 m2, a circle of 222 mm."""
    said = compare_json(found)["options"][0]["parts"]
    (chase,) = (one for one in said if one["name"] == "chimney chase")
    area = 0.0254 * 60 * 0.0254
    assert chase["equal_hole_m"] == pytest.approx(math.sqrt(4.0 * area / math.pi), rel=1e-6)
    assert chase["work"] == FIRE_WORK
    assert chase["beyond"] == "attic"
    assert named_work("6 x recessed light") == LIGHT_WORK
    assert named_work("attic hatch") == OWN_WORK


def test_json_and_table_are_complete(found):
    said = compare_json(found)
    json.dumps(said, allow_nan=False)
    for one in said["options"]:
        inner, outer = (
            one["boundaries"][side] for side in ("out_of_rooms_kwh", "out_of_house_kwh")
        )
        assert sum(inner.values()) == pytest.approx(one["heating_season_kwh"], rel=1e-3)
        assert sum(outer.values()) == pytest.approx(one["heating_season_kwh"], rel=1e-3)
        assert one["summer"]["roof_peak"]["power_w"] > 0.0
        assert set(one["summer"]["hottest_of_zones"]) == {"attic"}
    rows = list(csv.DictReader(io.StringIO(compare_csv(found, "ip"))))
    for one in found.options:
        own = [row for row in rows if row["option"] == one.option.name]
        for side in ("out of the rooms", "whole"):
            heat = sum(float(row["heating (MMBtu)"]) for row in own if row["side"] == side)
            assert heat == pytest.approx(one.year.heating / 1.05505585e9, rel=1e-3)
        assert any(row["side"] == "out of a zone" for row in own)


@pytest.fixture(scope="module")
def banded():
    """A smaller house whose hatch is sealed, with a band."""
    case = dataclasses.replace(small_house.read(), years=1)
    options = (Option("as found"), Option("seal", (SealOpening("hatch", 0.9),)))

    def coarse(case, told, workers):
        return run(case, told, workers=workers, refine=COARSE)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(comparing, "run", coarse)
        return compare(Comparison(case, options, "as found"), workers=2, band=True)


def test_a_band_of_a_house_is_made_by_runs_of_it(banded):
    """Three further runs of each option; a hatch of twice the size saves more when it is sealed."""
    assert banded.runs == 8
    one = banded.options[1]
    saved = {"as it is": one.saved.heating} | dict(one.band.savings)
    assert 0.0 < saved[LESS_LEAK] < saved["as it is"] < saved[MORE_LEAK]
    assert one.saved.span == (min(saved.values()), max(saved.values()))
    assert set(dict(one.band.ranks)) == {LESS_LEAK, MORE_LEAK, DAMPER}
    assert "by leak and humidity" in compare_text(banded)


def test_a_sealed_hole_is_ranked_by_what_it_saves(banded):
    """By an option of its own: the air of the door changes with it, but holes save what they lose.

    Two holes are one way for the wind: with the hatch sealed the door lets out less, too.
    """
    (line,) = sealing_lines(banded, "si")
    assert line.startswith("hatch: 90.0 % of it sealed: saves ")
    assert line.endswith(f"({OWN_WORK})")
    lost = sum(
        one.heating.total for one in banded.as_found.year.parts if one.name in ("hatch", "door")
    )
    assert 0.5 * lost < banded.options[1].saved.heating < lost
    assert line[:60] in " ".join(compare_text(banded).split())
    assert "Seal, by what it saves alone" in checklist_text(banded)
    assert [one["seals_alone"] for one in compare_json(banded)["options"]] == [None, "hatch"]


def test_tables_of_many_options_have_names_of_their_own(banded):
    """More options than stand beside each other begin each table anew."""
    first, sealed = banded.options
    more = [
        dataclasses.replace(sealed, option=dataclasses.replace(sealed.option, name=f"seal {at}"))
        for at in range(8)
    ]
    options = (first, *more)
    many = dataclasses.replace(
        banded,
        options=options,
        ranked=tuple(range(1, len(options))),
        alone=(None,) * len(options),
        courses=(banded.courses[0], *[banded.courses[1]] * len(more)),
    )
    page = compare_page(many)
    names = [name for name, _ in named_tables(page)]
    assert len(set(names)) == len(names)
    assert set(names) <= set(compared_names(len(options)))
    assert "report_options_house_out_of_the_rooms_2.csv" in names
    assert len({one.title for one in tables(page)}) == len(names)


def test_a_band_scales_holes_and_leaves_vents():
    twice = leaks_times(CASE, 2.0)
    before = {one.name: one.shape for one in CASE.openings}
    after = {one.name: one.shape for one in twice.openings}
    assert after["ridge vent"] == before["ridge vent"]
    for name in ("chimney chase", "attic hatch", "front door"):
        both = [law(shapes[name]).flow(4.0) for shapes in (after, before)]
        assert both[0] == pytest.approx(2.0 * both[1])
    slope = {one.name: one.leak for one in twice.assemblies}["South slope"]
    before = {one.name: one.leak for one in CASE.assemblies}["South slope"]
    assert slope.flow == pytest.approx(2.0 * before.flow)
    assert leaks_times(CASE, 1e9) is None


def test_a_house_is_one_piece_and_sealing_it_is_noticed():
    assert pieces(CASE) == (CASE,)
    assert tightens(applied(CASE, TIGHT_FLOOR), CASE)
    assert not tightens(applied(CASE, FILL), CASE)
    assert not tightens(applied(CASE, SealBetween("attic", "outdoors")), CASE)


def test_degree_days_of_a_house_without_leak_and_sun():
    """U A HDD 24 of floor and roof in a row, ISO 6946 films at each face (ASHRAE Fundamentals
    2021, ch. 19, from memory, for degree days of the base that the room has)."""
    year = climate("cold_inland")
    dark = dataclasses.replace(
        year,
        global_horizontal=np.zeros_like(year.global_horizontal),
        direct_normal=np.zeros_like(year.direct_normal),
        diffuse_horizontal=np.zeros_like(year.diffuse_horizontal),
    )

    boards = layer("spruce", 20, "boards")
    roof = OuterSurface(math.radians(30.0), 0.0, 0.0, 0.0, rain_exposure=0.0)
    below = OuterSurface(0.0, 0.0, 0.0, 0.9, rain_exposure=0.0, sheltered=True)
    slope = Assembly("slope", 70.0, roof, (boards,), None, inside="attic")
    fill = layer("mineral-wool batt", 200, "batt")
    floor = Assembly("floor", 60.0, below, (fill, boards), None, outside="attic")
    case = Case(
        *("hand", dark, ROOM, (slope, floor), 1),
        starting_humidity=0.3,  # as the room, so that nothing dries
        zones=(Zone("attic", 60.0),),
    )
    found = house_year((parts_of(run(case)),))
    u = {one.name: one.resistance for one in (*found.parts, *found.beyond) if one.resistance}
    both = 1.0 / (u["floor"] / 60.0 + u["slope"] / 70.0)
    daily = daily_means(dark)[1]
    cold = np.maximum(293.15 - daily, 0.0)[daily < case.thresholds.heating_balance_temperature]
    by_hand = transmission_heat(both, 1.0, float(cold.sum()))
    assert found.heating == pytest.approx(by_hand, rel=0.03)


def test_a_leak_between_two_rooms_is_charged_once():
    """What the air of one room brings to the other is credited there, but for the heat that it
    left in the wall: both accounts add up to that alone (energy is conserved)."""
    wall = OuterSurface(math.pi / 2, 0.0, 0.0, 0.9, rain_exposure=0.0, sheltered=True)
    layers = (layer("spruce", 12, "lining"), layer("mineral-wool batt", 90, "batt"))
    inner = Assembly(
        "partition", 12.0, wall, (*layers, layer("spruce", 12, "boards")), AirLeak(1e-3, 50.0),
        outside="wing",
    )  # fmt: skip
    wing = Room(Constant(283.15), Constant(0.4), name="wing")
    shape = FreeArea(0.02)
    openings = (
        Opening("low", shape, 0.5, None, "room", "outdoors"),
        Opening("high", shape, 5.0, None, "wing", "outdoors"),
    )
    case = Case(
        *("two rooms", climate("cold_inland"), ROOM, (inner,), 1),
        more_rooms=(wing,),
        openings=openings,
    )
    result = run(case)
    both = [one for one in ways_out(result) if one.name == "partition"]
    assert [one.room for one in both] == ["room", "wing"]
    (path,) = result.assemblies[0].paths
    (flow,) = (one.flow for one in result.streams if one.kind == "leak")
    assert np.abs(flow).max() > 1e-3
    left = 12.0 * path.leak_heat
    moved = both[0].carried + both[1].carried
    assert moved == pytest.approx(left, abs=1e-6)
    marched = parts_of(result)
    names = [part.name for part in marched.parts]
    assert len(set(names)) == len(names)
    assert house_year((marched,)).misses < 1e-9

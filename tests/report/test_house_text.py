"""What is printed of a house: each sentence with a result that would make it untrue."""

import dataclasses
import re

import numpy as np
import pytest

from assembly_sim.envelope.airways import bare_to_its_inside, describe_leak
from assembly_sim.model import AirLayer, AirLeak
from assembly_sim.model.opening import Wetted
from assembly_sim.report.answer import answer, headline
from assembly_sim.report.house import (
    house_answer,
    icings,
    named,
    share_of,
    ventilation,
    zone_lines,
)
from assembly_sim.report.text import run_text
from assembly_sim.solver.result import Outcome
from assembly_sim.verdict.house_air import HouseAir
from assembly_sim.verdict.rules import PAST
from assembly_sim.verdict.summary import typed_summary
from assembly_sim.verdict.told import leak as told_leak
from assembly_sim.verdict.told import qualifier
from assembly_sim.verdict.verdict import LeakTested, Verdict
from assembly_sim.verdict.zone_summary import IceDamSummary
from assembly_sim.words.checks import sentence
from tests import small_house

LEAK = AirLeak(2e-4, 75.0, height_above_neutral_level=7.0)


@pytest.fixture(scope="module")
def run():
    return small_house.result()


@pytest.fixture(scope="module")
def summary(run):
    return typed_summary(run)


def plain(text):
    return " ".join(text.split())


def part(summary, name):
    return next(one for one in summary.assemblies if one.name == name)


def told(result):
    return " ".join(house_answer(typed_summary(result)))


def test_the_answer_names_heat_the_largest_way_and_the_wettest_place(run, summary):
    text = " ".join(house_answer(summary))
    ways = summary.house.ways
    season = summary.house.heating_season_kwh
    assert text.startswith(f"In the heating season {season:.0f} kWh leave the rooms by what the")
    assert f"The largest way is {named(ways[0])}, {share_of(ways[0].share)}; then" in text
    worst = max(summary.assemblies, key=lambda one: one.verdict.rank)
    assert f"Wettest around the attic in the 3 years computed is {worst.name}, at" in text
    assert headline(worst) in text
    assert text in plain(run_text(run))


def test_the_wettest_place_is_that_of_the_worst_verdict_whichever_part(run, summary):
    """Each part in turn made the worst one of all."""
    for name in ("Roof", "Ceiling"):
        parts = tuple(
            dataclasses.replace(
                one,
                verdict=dataclasses.replace(
                    one.verdict,
                    judged=(
                        dataclasses.replace(
                            one.verdict.judged[0], rank=PAST if one.name == name else 0
                        ),
                    ),
                ),
            )
            for one in summary.assemblies
        )
        text = " ".join(house_answer(dataclasses.replace(summary, assemblies=parts)))
        assert f"computed is {name}, at" in text
        assert "past a limit" in text


def test_no_verdict_is_no_dry_place(summary):
    """A part without a verdict is named, and the other is not called all there is."""
    roof, ceiling = summary.assemblies
    silent = dataclasses.replace(roof, verdict=Verdict(roof.verdict.air))
    text = " ".join(house_answer(dataclasses.replace(summary, assemblies=(silent, ceiling))))
    assert "No verdict on moisture: Roof." in text
    both = (silent, dataclasses.replace(ceiling, verdict=Verdict(ceiling.verdict.air)))
    text = " ".join(house_answer(dataclasses.replace(summary, assemblies=both)))
    assert "Wettest" not in text
    assert "No verdict on moisture: Roof and Ceiling." in text


def test_a_run_that_stopped_says_so_first(run):
    ended = tuple(
        dataclasses.replace(
            one, outcome=Outcome("stopped", 5, cause="no step", cure="finer"), converged=False
        )
        for one in run.assemblies
    )
    stopped = dataclasses.replace(run, assemblies=ended)
    text = told(stopped)
    assert text.startswith("NOT CONVERGED (Roof and Ceiling): what follows is what was computed.")
    for full in (False, True):  # one march, one block
        whole = run_text(stopped, full=full)
        assert whole.count("NOT CONVERGED: Roof, Ceiling. What follows") == 1
        assert whole.count("hour   5 of the run") == 1


def test_without_an_hour_of_loss_no_way_is_called_the_largest(summary):
    house = dataclasses.replace(summary.house, heating_season_hours=0)
    text = " ".join(house_answer(dataclasses.replace(summary, house=house)))
    assert "no hour was found in which the rooms as a whole lose heat" in text
    assert "The largest way" not in text
    assert "kWh leave" not in text


def test_a_window_is_no_year(summary):
    house = dataclasses.replace(summary.house, has_year=False)
    text = " ".join(house_answer(dataclasses.replace(summary, house=house)))
    assert "in the window" in text
    assert "in the year" not in text
    assert "In the heating season" not in text


def test_heat_of_a_part_that_joins_no_room_is_not_called_the_houses(run, summary):
    for full in (False, True):
        text = run_text(run, full=full)
        roof = text[text.index("\nRoof, ") : text.index("\nCeiling, ")]
        assert "heat loss" not in roof
        assert "not of the rooms" in roof
        assert "the room" not in roof.replace("the rooms", "")
    short = run_text(run)
    assert "heat loss" in short[short.index("\nCeiling, ") :]
    table = short[short.index("where heat leaves the rooms") : short.index("\nattic, ")]
    assert "Roof" not in table


@pytest.mark.parametrize(
    ("share", "told"),
    [(0.0, "0 %"), (3e-4, "under 0.1 %"), (-3e-4, "under 0.1 %"), (6e-4, "0.1 %"), (0.4, "40 %")],
)
def test_a_small_share_is_not_written_as_nothing(share, told):
    assert share_of(share) == told


@pytest.mark.parametrize("check", ["months of humid surface", "surface condensation"])
def test_the_space_that_a_surface_looks_into_is_named(summary, check):
    for name, space in (("Roof", "the attic"), ("Ceiling", "the room")):
        found = [one for one in part(summary, name).findings if one.check == check]
        assert found
        for one in found:
            assert sentence(one).endswith(f"surface towards {space}")


# What room air comes, what leak there is, where it mixes: and what may then be said.
ATTIC = HouseAir("attic", zone=True, bare=True, room_air=0.012)
DRY_ATTIC = dataclasses.replace(ATTIC, room_air=0.0)
BEHIND_LINING = dataclasses.replace(ATTIC, bare=False)
FLOOR = HouseAir("room", passed_by=("hatch", "chase"))
SOLID = HouseAir("room")


@pytest.mark.parametrize(
    ("air", "words", "said", "unsaid"),
    [
        (
            LeakTested(LEAK, False, house=ATTIC),
            "",
            ("12 L/s of the rooms' air came in there",),
            ("not tested", "neutral level", "room air that leaks"),
        ),
        (
            LeakTested(LEAK, False, house=DRY_ATTIC),
            ", as described no room air comes into the attic",
            ("so none wets it: with a leak from the rooms it may get wetter than this",),
            ("came in there",),
        ),
        (
            LeakTested(None, house=DRY_ATTIC),
            ", as described no room air comes into the attic",
            ("so none wets it: with a leak from the rooms it may get wetter than this",),
            ("diffusion only",),
        ),
        (LeakTested(None, house=ATTIC), "", ("12 L/s of the rooms' air",), ("diffusion only",)),
        (
            LeakTested(LEAK, True, False, house=BEHIND_LINING),
            ", leak of attic air not tested",
            ("attic air that leaks out finds no cavity to mix in", "not tested"),
            ("room air that leaks",),
        ),
        (
            LeakTested(LEAK, False, house=BEHIND_LINING),
            ", leak of attic air not tested",
            ("not tested",),
            ("neutral level",),
        ),
        (
            LeakTested(None, house=BEHIND_LINING),
            ", by diffusion alone from the attic",
            ("12 L/s",),
            (),
        ),
        (
            LeakTested(LEAK, True, True, house=BEHIND_LINING),
            "",
            ("12 L/s", "under the pressures that the house's air takes"),
            ("not tested", "neutral level"),
        ),
        (
            LeakTested(None, house=FLOOR),
            ", by diffusion only: openings pass it by",
            ("openings pass it by (hatch and chase)", "diffusion only"),
            ("neutral level",),
        ),
        (LeakTested(None, house=SOLID), ", by diffusion only", ("diffusion only",), ("pass it",)),
        (
            LeakTested(LEAK, False, house=SOLID),
            ", leak of room air not tested",
            ("not tested", "under the pressures that the house's air takes"),
            ("neutral level",),
        ),
        (
            LeakTested(LEAK, True, past_defects=("gaps",), house=BEHIND_LINING),
            ", leak of attic air tested at defects alone",
            ("attic air that leaks out finds a cavity to mix in only where", "(gaps)"),
            ("room air that leaks",),
        ),
        (LeakTested(LEAK, True, True), "", ("7 m above the neutral level",), ("house's air",)),
    ],
)
def test_a_level_has_the_words_of_the_air_that_it_rests_on(summary, air, words, said, unsaid):
    one = part(summary, "Roof")
    found = Verdict(air, one.verdict.judged)
    assert qualifier(found) == words
    assert headline(dataclasses.replace(one, verdict=found)) == f"{found.level}{words}"
    sentence = told_leak(air)
    for text in said:
        assert text in sentence
    for text in unsaid:
        assert text not in sentence
    in_answer = " ".join(answer(dataclasses.replace(one, verdict=found), 3))
    for text in said:
        if text != "diffusion only":  # which the answer says in other words
            assert text.lower() in in_answer.lower()


def test_a_deck_over_an_attic_that_no_room_air_reaches_is_not_cleared_of_it(run, summary):
    """The run as it is; then with the hatch's flow taken away, as where all leaks are sealed."""
    roof = part(summary, "Roof")
    assert roof.verdict.air.house.reached
    assert "no room air" not in headline(roof)
    assert "L/s of the rooms' air came in there" in " ".join(answer(roof, 3))
    sealed = part(typed_summary(small_house.with_streams(run, hatch=0.0)), "Roof")
    assert headline(sealed).endswith(", as described no room air comes into the attic")
    hardly = part(typed_summary(small_house.with_streams(run, hatch=1e-3)), "Roof")
    assert headline(hardly).endswith(", as described no room air comes into the attic")


def test_a_ceiling_without_a_leak_is_passed_by_its_holes(run, summary):
    ceiling = part(summary, "Ceiling")
    assert headline(ceiling).endswith(", by diffusion only: openings pass it by")
    assert "An opening passes it by (hatch)." in " ".join(answer(ceiling, 3))
    shut = tuple(one for one in run.case.openings if one.name != "hatch")
    case = dataclasses.replace(run.case, openings=shut)
    tight = part(typed_summary(dataclasses.replace(run, case=case)), "Ceiling")
    assert headline(tight).endswith(", by diffusion only")


def test_what_an_opening_wets_is_not_called_diffusion_only(run):
    """The hatch's air through the fill: its words, and what they would be untrue of."""
    wets = Wetted("Ceiling", "lining")
    holes = tuple(
        dataclasses.replace(one, wets=wets) if one.name == "hatch" else one
        for one in run.case.openings
    )
    case = dataclasses.replace(run.case, openings=holes)
    ceiling = part(typed_summary(dataclasses.replace(run, case=case)), "Ceiling")
    assert "diffusion" not in headline(ceiling)
    said = " ".join(answer(ceiling, 3))
    assert "air of hatch mixes fully where the case says" in said
    assert "passes it by" not in said
    assert "diffusion only" not in said


def test_a_layer_of_air_or_insulation_keeps_attic_air_from_a_deck(run):
    roof = run.case.assemblies[0]
    fill = run.case.assemblies[1].layers[0]
    assert bare_to_its_inside(roof)
    for layer in (AirLayer("gap", 0.02), fill):
        lined = dataclasses.replace(roof, layers=(*roof.layers, layer, roof.layers[-1]))
        assert not bare_to_its_inside(lined)
    assert "attic air that leaks out wets nothing on its way" in describe_leak(roof, True)
    assert "computed with it" in describe_leak(roof, True)
    assert "no figure here tests" in describe_leak(roof)
    assert "room air" not in describe_leak(roof, True)


def test_fog_frost_and_humid_hours_of_a_zone_are_told_only_where_there_are_any(run):
    def lines(**course):
        (zone,) = typed_summary(small_house.with_zone(run, **course)).zones
        return plain(" ".join(zone_lines(zone)))

    warm = lines(temperature=285.0, relative_humidity=0.5, free_water=0.0)
    assert "below freezing for 0 h" in warm
    assert "above 95 % for 0 h" in warm
    for word in ("pipes", "fog"):
        assert word not in warm
    cold = lines(temperature=272.0, relative_humidity=0.99, free_water=2.0)
    assert "below freezing for 8760 h" in cold
    assert "above 95 % for 8760 h; fog in it, up to 2 kg" in cold
    assert "for up to 8760 h in a row, below -6.7 degC for 0 h" in cold
    assert "none of this is a time to a burst" in cold


@pytest.mark.parametrize("system", ["si", "ip"])
def test_the_criterion_for_icings_is_met_or_not_and_never_by_silence(system):
    limit = 273.15 + (30.0 - 32.0) / 1.8
    near = IceDamSummary(5, 600, limit + 0.01, 0.1, 0.25)
    text = icings(near, system)
    assert "criterion for ice at eaves not met" in text
    value, bound = re.search(r"not met: (\S+) deg. \(at most (\S+) deg", text).groups()
    assert float(value) > float(bound)
    assert "would be needed" in text
    met = icings(dataclasses.replace(near, mean_temperature_k=limit - 0.01), system)
    assert "met in the mean" in met
    assert "would be needed" not in met
    assert "in 5 h at or below" in met
    none = icings(IceDamSummary(0, 0, None, None, None), system)
    assert "no hour near" in none
    assert "met" not in none.replace("at which", "")


def test_ventilation_is_asked_for_where_air_does_not_do(summary):
    found = summary.house.ventilation
    assert found.fan_m3_s > 0.0
    assert "of it by a fan" in ventilation(found)
    enough = dataclasses.replace(found, fan_m3_s=0.0)
    assert "none by a fan" in ventilation(enough)
    unknown = dataclasses.replace(
        found, volume_m3=None, floor_m2=None, effective_m3_s=None, needed_m3_s=None, fan_m3_s=None
    )
    assert "what they need is not told" in ventilation(unknown)
    assert "none by a fan" not in ventilation(unknown)
    assert "check the local code" in ventilation(found)


def test_a_small_share_is_not_nothing():
    assert [share_of(x) for x in (0.0, 0.004, 0.0096, 0.5, None)] == [
        "0 %",
        "0.4 %",
        "1 %",
        "50 %",
        "-",
    ]


def test_a_report_of_a_house_keeps_to_its_page_and_to_one_system(run):
    for full in (False, True):
        english = run_text(run, "ip", full=full)
        body = english.partition("About the weather, in the units of its file")[0]
        for unit in (" g/m2", "kWh", " degC", "L/s", " m3", " m2", " m above"):
            assert unit not in body
        metric = run_text(run, "si", full=full)
        for unit in ("Btu", "degF", "cfm", "ft2", "ft3"):
            assert unit not in metric
    for system in ("si", "ip"):
        assert max(map(len, run_text(run, system).splitlines())) <= 100
    house = run_text(run, full=True).partition("\nRoof, ")[0]
    assert max(map(len, house.splitlines())) <= 100
    for hole in ("hatch", "door", "soffit", "ridge", "Roof (leak)"):
        assert hole in house


def test_heat_that_is_only_by_air_adds_up_in_print(summary):
    """The table's whole is the sum of its rows, as they are printed, within half a kWh each."""
    ways = summary.house.ways
    whole = summary.house.heating_season_kwh
    rows = [round(one.heating_season.total_kwh) for one in ways]
    assert abs(sum(rows) - whole) <= 0.5 * len(rows)
    assert np.isfinite(whole)

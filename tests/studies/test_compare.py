"""A comparison by its own runs: sums, shared runs, hand arithmetic, and laws that must hold."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
import math
from datetime import date

import numpy as np
import pytest

from assembly_sim.changes import Seal, Set, Times
from assembly_sim.changes.comparison import Comparison, Option
from assembly_sim.errors import InputError
from assembly_sim.hand.degree_days import daily_means, transmission_heat
from assembly_sim.hand.fuels import PRESETS
from assembly_sim.model import AirLeak, Assembly, Case, Constant, OuterSurface, Room
from assembly_sim.model.fuel import Bill, Cost, Currency, Fuel
from assembly_sim.report.compare.checklist import checklist_text
from assembly_sim.report.compare.contract import compare_csv, compare_json
from assembly_sim.report.compare.sentences import first_words
from assembly_sim.report.compare.text import compare_text
from assembly_sim.solver.identity import case_sha256
from assembly_sim.solver.result import Outcome
from assembly_sim.solver.run import run
from assembly_sim.studies import compare as comparing
from assembly_sim.studies.compare import compare
from assembly_sim.studies.parts import ELSEWHERE, pieces
from assembly_sim.verdict.summary import typed_summary
from tests.outcomes.built import PAINTED_BOARD, climate, layer
from tests.windows import joined

KWH = 3.6e6
DOLLARS = Currency("$")
OIL = PRESETS["heating oil"]
FUEL = Fuel("heating oil", "volume", "L", OIL.heat_content, 0.8, 1000.0, DOLLARS, OIL.co2)
LEAK = AirLeak(1e-3, 75.0)
ROOM = Room(Constant(293.15), Constant(0.3))
BATT = layer("glass-fibre batt", 90, "batt")


def part(name, area=50.0, leak=LEAK, tilt=0.0, sheltered=True, batt=BATT):
    outer = OuterSurface(tilt, 0.0, 0.7, 0.9, rain_exposure=0.0, sheltered=sheltered)
    return Assembly(name, area, outer, (layer("spruce", 12, "boards"), batt, *PAINTED_BOARD), leak)


FLOOR = part("floor")
GABLE = part("gable", 20.0, None, math.pi / 2, sheltered=False)
CASE = Case("made", climate("cold_inland"), ROOM, (FLOOR, GABLE), years=1)
THICK = Set('assembly."floor".layer."batt".thickness', 0.3)


RAN = {}


@pytest.fixture(autouse=True, scope="module")
def once():
    """Runs of equal inputs are kept between tests: only what is done with them is under test."""

    def kept(case, told, workers):
        key = case_sha256(case)
        if key not in RAN:
            RAN[key] = run(case, told, workers=workers)
        told(1.0, case.name)
        return RAN[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(comparing, "run", kept)
        yield


def figures(year):
    """A year without the summaries of its parts, which hold NaN."""
    parts = tuple(dataclasses.replace(part, summary=None) for part in year.parts)
    return dataclasses.replace(year, parts=parts)


def asked(*options, case=CASE, **more):
    return Comparison(case, (Option("as found"), *options), "as found", **more)


@pytest.fixture(scope="module")
def found():
    """Two parts, four options: sealed, thicker, both, and the sealed one once more."""
    cost = Cost(400.0, 900.0, DOLLARS)
    return compare(
        asked(
            Option("seal", (Seal("floor", 0.8),), cost=cost, work="yourself"),
            Option("thicker", (THICK,), cost=Cost(2000.0, 2000.0, DOLLARS)),
            Option("seal, thicker", (THICK,), "seal", Cost(2000.0, 2500.0, DOLLARS)),
            Option("seal again", (Seal("floor", 0.8),), cost=cost),
            fuel=FUEL,
        )
    )


def test_one_more_option_costs_what_it_changes(found):
    """The gable is the same in all, and an option given twice runs once."""
    assert found.runs == 1 + 4  # gable; floor as found, sealed, thicker, both
    assert len(pieces(CASE)) == 2


def test_the_same_option_twice_gives_the_same_digits(found):
    once, again = found.options[1], found.options[4]
    assert figures(once.year) == figures(again.year)
    made = compare_json(found)["options"]
    assert json.dumps(made[1]["assemblies"]) == json.dumps(made[4]["assemblies"])
    assert once.saved == again.saved
    assert once.moisture == again.moisture


def test_options_side_by_side_are_the_same_as_one_by_one(found, monkeypatch):
    monkeypatch.setattr(comparing, "run", run)  # made anew
    alone = compare(asked(Option("thicker", (THICK,))), workers=1).options[1]
    assert figures(alone.year) == figures(found.options[2].year)


def test_parts_sum_to_the_whole(found):
    for one in found.options:
        year = one.year
        for season in ("heating", "cooling"):
            parts = sum(getattr(each, season).total for each in year.parts)
            assert parts == pytest.approx(getattr(year, season), rel=1e-3)  # the promise
            assert parts == pytest.approx(getattr(year, season), rel=1e-9)  # what it keeps
        assert sum(each.peak_loss.total for each in year.parts) == pytest.approx(
            year.peak_loss.power
        )
        assert year.misses < 1e-9


def test_a_house_of_one_part_takes_what_its_run_loses():
    """The season's loss of `run` is one way hour by hour, as is the house's: the same figure."""
    single = dataclasses.replace(CASE, assemblies=(FLOOR,))
    year = compare(asked(Option("same"), case=single)).options[0].year
    (one,) = typed_summary(run(single)).assemblies
    assert year.heating == pytest.approx(
        KWH * one.area_m2 * one.energy.heating_season_loss.total, rel=0.002
    )
    assert year.peak_loss.power == pytest.approx(one.area_m2 * one.energy.peak_loss.total, rel=1e-6)


def test_degree_days_by_hand_meet_the_hourly_result():
    """U A HDD 24 of a leak-free, sunless ceiling, over the days of the heating season: 3 %.

    Degree days to the room's own temperature, since nothing else heats it (ISO 15927-6).
    """
    tight = dataclasses.replace(CASE, assemblies=(part("floor", leak=None),))
    one = compare(asked(Option("same"), case=tight)).options[0]
    daily = daily_means(CASE.climate)[1]
    cold = 293.15 - daily[daily < 273.15 + 15.5]
    (summary,) = one.summaries
    by_hand = transmission_heat(summary.u_value_w_m2k, 50.0, float(cold.sum()))
    assert one.year.heating == pytest.approx(by_hand, rel=0.03)
    assert one.year.parts[0].heating.carried == 0.0


def test_savings_do_not_add_up_and_steps_do(found):
    seal, thicker, both = (found.options[n] for n in (1, 2, 3))
    assert both.step.heating == pytest.approx(both.saved.heating - seal.saved.heating)
    alone = seal.saved.heating + thicker.saved.heating
    assert abs(both.saved.heating / alone - 1.0) > 0.005
    assert found.alone == (None, None, None, 2, None)
    assert (both.saved.cost.low, both.step.cost.low) == (2400.0, 2000.0)


def test_money_is_fuel_by_its_price(found):
    """By hand: Q / (0.8 H) litres, at 1 a litre; CO2 by its factor."""
    one = found.options[1].saved
    assert one.fuel == pytest.approx(one.heating / (0.8 * OIL.heat_content))
    assert one.money == pytest.approx(1000.0 * one.fuel)
    assert one.co2 == pytest.approx(one.heating / 0.8 * OIL.co2)
    assert one.payback.low == pytest.approx(400.0 / one.money)
    assert one.payback.high == pytest.approx(900.0 / one.money)


def test_sealing_saves_heat_wherever_the_leak_lies():
    """Air that comes in costs the house as much as air that leaves: it leaves elsewhere."""
    for height in (3.0, -3.0):
        leak = dataclasses.replace(LEAK, height_above_neutral_level=height)
        case = dataclasses.replace(CASE, assemblies=(part("floor", leak=leak),))
        found = compare(asked(Option("seal", (Seal("floor", 1.0),)), case=case))
        assert found.options[1].saved.heating > 0.05 * found.options[0].year.heating
        names = [one.name for one in found.options[0].year.parts]
        assert (ELSEWHERE in names) is True
        elsewhere = next(p for p in found.options[0].year.parts if p.name == ELSEWHERE)
        assert (elsewhere.heating.carried > 0.05 * found.options[0].year.heating) is (height < 0.0)


def test_more_insulation_and_less_leak_never_cost_heat(found):
    """A law: a thicker batt, a tighter leak."""
    assert all(found.options[n].saved.heating > 0.0 for n in (1, 2, 3, 4))
    thinner = compare(asked(Option("thin", (Times(THICK.path, 0.5),)))).options[1]
    assert thinner.saved.heating < 0.0


def test_days_are_those_of_the_weather_in_every_option(found):
    warm = Set("room.temperature", 295.15)
    other = compare(asked(Option("warmer room", (warm,))))
    assert other.options[1].year.heating > other.options[0].year.heating
    assert figures(other.options[0].year) == figures(found.options[0].year)


def test_without_three_years_no_option_is_called_dry(found):
    """One year is too short for a verdict: every first place carries that with it."""
    (answer, *_) = first_words(found)
    assert "no verdict on moisture" in answer
    assert all(one.rank == 5 for one in found.options)


def test_a_window_and_a_change_of_weather_are_refused():
    window = dataclasses.replace(
        climate("cold_inland"), begins="2021-01-01T00:00", **_rows(climate("cold_inland"), 500)
    )
    with pytest.raises(InputError, match="savings are those of a year"):
        compare(asked(case=dataclasses.replace(CASE, climate=window, years=None)))
    other = Set(("climate",), climate("wet_mild_coast"))
    with pytest.raises(InputError, match="all options share"):
        asked(Option("south", (other,)))
    with pytest.raises(InputError, match="no option above"):
        asked(Option("two", (), "three"), Option("three"))


def test_a_window_of_years_counts_its_last_year():
    """Two years in order: the first cold, the second milder by 3 K all through; that one counts,
    as a run of it alone does but for what the wall still holds of the first."""
    cold = dataclasses.replace(climate("cold_inland"), begins="2021-01-01T00:00")
    mild = dataclasses.replace(cold, temperature=cold.temperature + 3.0)
    single = dataclasses.replace(CASE, assemblies=(FLOOR,), years=None)
    option = Option("thicker", (THICK,))
    both = compare(asked(option, case=dataclasses.replace(single, climate=joined(cold, mild))))
    one, other = (
        compare(asked(option, case=dataclasses.replace(single, climate=each)))
        for each in (mild, cold)
    )
    last = both.options[0].year.heating
    assert last == pytest.approx(one.options[0].year.heating, rel=0.01)
    assert last < 0.95 * other.options[0].year.heating
    assert both.options[1].saved.heating == pytest.approx(one.options[1].saved.heating, rel=0.01)
    assert both.options[0].year.misses < 1e-9
    assert "a window of" in compare_text(both)


def _rows(weather, hours):
    return {
        one.name: getattr(weather, one.name)[:hours]
        for one in dataclasses.fields(weather)
        if isinstance(getattr(weather, one.name), np.ndarray)
    }


def bills(share):
    """Twelve bills whose heating part is this share of what a floor at 500 W/K takes."""
    dates, daily = daily_means(CASE.climate)
    months = dates.astype("datetime64[M]")
    made = []
    for month in np.unique(months):
        own = daily[months == month]
        first, last = dates[months == month][[0, -1]].tolist()
        heat = share * float(np.maximum(289.15 - own, 0.0).sum()) * 86400.0
        first, last = (date(2022, one.month, one.day) for one in (first, last))
        made.append(Bill(first, last, (heat + 2e7 * len(own)) / OIL.heat_content))
    return tuple(made)


def test_bills_speak_before_any_saving(found):
    """Bills half of what was computed: said first; a saving larger than them: refused."""
    computed = found.options[0].year.heating / 0.8
    slope = computed / (86400.0 * float(np.maximum(289.15 - daily_means(CASE.climate)[1], 0).sum()))

    def held(share):
        more = {"fuel": FUEL, "bills": bills(share * slope)}
        return compare(asked(Option("seal", (Seal("floor", 0.8),)), **more))

    right = held(1.0)
    assert right.bills.miss == pytest.approx(0.0, abs=0.01)
    assert right.fit.balance_temperature == pytest.approx(289.15, abs=0.05)
    assert not any("bills" in text for text in first_words(right))
    half = held(0.5)
    first = next(iter(first_words(half)))
    assert "100 % more fuel" in first
    assert "saves" not in first
    small = held(0.02)
    assert small.options[1].saved.beyond_bills
    assert small.options[1].saved.payback is None
    text = compare_text(small)
    assert "None of these options saves heat" in text
    assert "refused" in text


def test_a_band_holds_the_saving_and_widens_with_the_leak():
    """Of a sealed leak: half the leak saves half, twice the leak twice, nearly."""
    single = dataclasses.replace(CASE, assemblies=(FLOOR,))
    found = compare(asked(Option("seal", (Seal("floor", 1.0),)), case=single), band=True)
    one = found.options[1]
    low, high = one.saved.span
    assert low < one.saved.heating < high
    assert low == pytest.approx(0.5 * one.saved.heating, rel=0.1)
    assert high == pytest.approx(2.0 * one.saved.heating, rel=0.1)
    assert [change for change, _ in found.options[0].band.ranks][:2] == [
        "half the leak",
        "twice the leak",
    ]


def test_what_is_stopped_leaves_no_thread_at_work():
    def stop(share, name):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        compare(asked(Option("seal", (Seal("floor", 0.8),))), stop)


def test_json_holds_all_of_it_and_adds_up(found):
    made = compare_json(found)
    json.dumps(made, allow_nan=False)
    assert [one["name"] for one in made["options"]] == [o.option.name for o in found.options]
    for one in made["options"]:
        parts = sum(p["heating_conducted_kwh"] + p["heating_carried_kwh"] for p in one["parts"])
        assert parts == pytest.approx(one["heating_season_kwh"], rel=1e-9)
        assert one["assemblies"][0]["verdict"]["level"] is None
        assert one["moisture"][0]["level"] is None
    saved = made["options"][1]
    before = made["options"][0]["heating_season_kwh"]
    assert saved["saving_kwh"] == pytest.approx(before - saved["heating_season_kwh"])
    assert saved["payback_years"] == pytest.approx(650.0 / saved["saved"]["money"])
    assert made["options"][3]["alone"] == "thicker"


def test_tables_say_the_same_in_both_systems(found):
    si, ip = (list(csv.DictReader(io.StringIO(compare_csv(found, s)))) for s in ("si", "ip"))
    assert len(si) == len(ip) == sum(len(one.year.parts) + 1 for one in found.options)
    for one, other in zip(si, ip):
        assert float(other["area (ft2)"]) == pytest.approx(
            float(one["area (m2)"]) / 0.09290304, rel=1e-4
        )
        mmbtu = float(one["heating (kWh)"]) * KWH / 1055.056e6
        assert float(other["heating (MMBtu)"]) == pytest.approx(mmbtu, rel=1e-4, abs=1e-6)
    whole = [row for row in si if row["part"] == "all"]
    assert [row["option"] for row in whole] == [one.option.name for one in found.options]
    assert float(whole[1]["cost, low"]) == 400.0
    for system, unit in (("si", "kWh"), ("ip", "MMBtu")):
        text = compare_text(found, system)
        assert unit in text
        assert ("kWh" in text) is (system == "si")


def test_the_page_begins_with_its_answer_and_fits_its_width(found):
    text = compare_text(found)
    first = next(iter(first_words(found)))
    assert " ".join(text.split()).startswith(first[:60])
    assert max(len(line) for line in text.splitlines()) <= 100
    assert "The roof above floor is not computed" in " ".join(text.split())
    assert "savings do not add up" in text


def test_a_checklist_ranks_parts_and_steps(found):
    text = checklist_text(found)
    assert text.index("[ ] floor:") < text.index("[ ] gable:")
    assert "80.0 % of the air leak sealed (do it yourself)" in text
    assert "across)" in text


def test_a_run_that_stopped_saves_nothing_and_is_not_cleared(monkeypatch):
    """Its last year would have other days: no figure is told, and it ranks after what is known."""

    def stopping(case, told, workers):
        made = run(case, told, workers=workers)
        if case.assemblies[0].layers[1].thickness != 0.3:
            return made
        ended = Outcome("stopped", 8000, "main", "batt", "cotton", "no step", "look at it")
        (one,) = made.assemblies
        one = dataclasses.replace(one, outcome=ended, converged=False)
        return dataclasses.replace(made, assemblies=(one,))

    monkeypatch.setattr(comparing, "run", stopping)
    single = dataclasses.replace(CASE, assemblies=(FLOOR,))
    found = compare(
        asked(Option("thicker", (THICK,)), Option("seal", (Seal("floor", 0.8),)), case=single)
    )
    one = found.options[1]
    assert (one.year, one.saved, one.converged) == (None, None, False)
    assert found.ranked == (2, 1)
    assert "thicker: not computed to the end of a year. NOT CLEARED" in compare_text(found)
    made = compare_json(found)["options"][1]
    assert (made["heating_season_kwh"], made["saving_kwh"], made["verdict"]) == (None, None, None)
    assert "thicker" not in compare_csv(found)

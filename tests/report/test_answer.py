"""The sentences that answer, at the boundaries where a wrong word would be a false all-clear.

Results are written by hand (`tests/checks/made.py`); the levels they have are proven in
`tests/verdict/test_verdict.py`. What is tested here is that the words are true of them.
"""

import dataclasses
import itertools

import numpy as np
import pytest

from assembly_sim.model import AirLayer, Layer, Thresholds
from assembly_sim.report.answer import answer, headline, is_beside
from assembly_sim.report.text import run_text
from assembly_sim.solver.result import Outcome
from assembly_sim.verdict.rules import LEVELS, Judged
from assembly_sim.verdict.summary import typed_assembly, typed_summary
from assembly_sim.verdict.told import leak as told_leak
from assembly_sim.verdict.verdict import LeakTested, Moving, Verdict
from assembly_sim.verdict.withheld import Withheld
from assembly_sim.words.checks import TELLINGS
from tests.checks import made

END = 3 * made.YEAR
MASS = 500.0 * 0.012  # kg/m2 of the sheathing
SYSTEMS = ("si", "ip")
ALL_CLEAR = ("safe", "no risk", "no problem", "will not", "never gets wet", "guarantee")


def board(moisture):
    water = np.tile([0.0, 0.0, 0.5], (END, 1))
    water[:, 0] = MASS * np.asarray(moisture)
    return water


def by_years(*moistures):
    return board(np.repeat(moistures, made.YEAR))


def winters(low, high):
    return board(np.tile(np.repeat([high, low], made.YEAR // 2), 3))


def once(result):
    return typed_assembly(result, result.assemblies[0])


def told(result, system="si"):
    return " ".join(answer(once(result), 3, system))


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize(
    ("water", "rank", "words"),
    [
        (
            board(0.17),
            0,
            "it kept a margin to every limit that counts here, the least at sheathing",
        ),
        (board(0.19), 1, "it stayed within its limits, with a thin margin at sheathing"),
        (winters(0.14, 0.24), 3, "it passed a limit at sheathing"),
        (by_years(0.12, 0.14, 0.16), 4, "it got wetter to the end at sheathing"),
    ],
)
def test_each_level_has_its_own_words(water, rank, words, system):
    humid = {"humidity": 0.85, "temperature": 276.15} if rank == 4 else {"humidity": 0.7}
    result = made.run(layer_water=water, **humid)
    assert once(result).verdict.rank == rank
    text = told(result, system)
    assert text.startswith(f"In the 3 years computed {words}")
    assert not [other for other in all_leads() if other in text and not words.startswith(other)]
    assert headline(once(result)) == LEVELS[rank]


def all_leads():
    from assembly_sim.report import answer as module

    return (*(lead.removesuffix(" at") for lead in module.LEADS), module.FROM_START, module.AHEAD)


def test_by_how_much_is_said_on_both_sides_of_a_limit_however_near():
    for moisture, side in ((0.19996, "below"), (0.20004, "above")):
        text = told(made.run(humidity=0.7, layer_water=board(moisture)))
        assert f" points {side} its limit of 20 %" in text
        assert "0.0 points" not in text
        assert "reaches 20.0 % by mass (limit 20 %)" not in text


def test_free_water_is_told_in_the_readers_units():
    """100 g/m2 = 3.527 oz / 10.764 ft2."""
    water = np.zeros((made.YEAR, 4))
    water[3000:4000, 1] = 0.1
    result = made.run(layer_water=board(0.1), free_water=np.tile(water, (3, 1)))
    assert "it got wet, within its limits, at sheathing | batt" in told(result)
    assert "100 g/m2 (wet from 20 g/m2)" in told(result)
    assert "0.33 oz/ft2 (wet from 0.066 oz/ft2)" in told(result, "ip")
    assert "g/m2" not in told(result, "ip")


def test_what_only_the_start_did_is_not_called_within_limits_without_a_word():
    start = np.concatenate([np.repeat([0.24, 0.14], made.YEAR // 2), np.full(END - 8760, 0.12)])
    result = made.run(humidity=0.6, layer_water=board(start))
    assert once(result).verdict.rank == 2
    text = told(result)
    assert "past a limit only while it dried from its start" in text
    assert "is not past the limit again" in text
    assert "the last, which alone is 'dry with margin'" in text
    assert text.count("in the last year") == 1


def test_a_limit_that_lies_ahead_is_not_called_kept():
    celsius, humidity = np.full((END, 4), 5.0), np.full((END, 4), 0.6)
    for year in range(3):
        celsius[year * made.YEAR : year * made.YEAR + 600] = 20.0
        humidity[year * made.YEAR : year * made.YEAR + 600, 1] = 0.94
    keeps = {"thresholds": Thresholds(mould_decline=0.001)}
    result = made.run(celsius + 273.15, humidity, layer_water=board(0.1), case=keeps)
    text = told(result)
    assert "would pass one if years like the last go on" in text
    assert "it would reach 3 in year" in text


def test_what_still_rises_is_said_with_every_level():
    rising = by_years(0.10, 0.11, 0.12)  # too dry to decide: and yet not at rest
    text = told(made.run(humidity=0.6, layer_water=rising))
    assert "it kept a margin" in text
    assert "Not settled when the run ended: water in sheathing (main path) still rises" in text
    assert "later years may be worse" in text
    falls = told(made.run(humidity=0.6, layer_water=by_years(0.14, 0.13, 0.12)))
    assert "still falls" in falls
    assert "may be worse" not in falls


def test_without_a_leak_no_level_stands_alone():
    for water in (board(0.1), board(0.19), winters(0.14, 0.24)):
        result = made.run(assembly=made.wall(leak=None), layer_water=water, humidity=0.6)
        assert headline(once(result)).endswith(", by diffusion only")
        assert "No air leak was computed, as the case asks: with one it may get wetter" in told(
            result
        )


def test_a_leak_that_meets_no_cavity_is_called_untested():
    wall = made.wall()
    layers = tuple(
        dataclasses.replace(layer, material=made.BOARD)
        for layer in wall.layers
        if isinstance(layer, Layer)
    )
    solid = dataclasses.replace(wall, layers=layers)
    result = made.run(assembly=solid, layer_water=board(0.1), humidity=0.6)
    assert headline(once(result)).endswith("leak of room air not tested")
    assert "it finds no cavity to mix in, so it wets nothing here and is not tested" in told(result)


def test_without_a_verdict_nothing_is_said_of_wet_or_dry():
    short = made.run(years=2, humidity=0.6)
    ended = dataclasses.replace(
        made.run().assemblies[0],
        outcome=Outcome("stopped", 5, cause="no step", cure="a finer mesh"),
        converged=False,
    )
    stopped = dataclasses.replace(made.run(), assemblies=(ended,))
    rainless = made.run(case={"climate": dataclasses.replace(made.synthetic.climate(), rain=None)})
    for result, why in (
        (short, "3 years or more; 2 were computed"),
        (stopped, "no step; a finer mesh"),
        (rainless, "exposed to rain"),
    ):
        one = once(result)
        text = " ".join(answer(one, 2))
        assert text.startswith("No verdict: ")
        assert why in text
        assert headline(one) == "no verdict on moisture"
        for lead in all_leads():
            assert lead not in text
        report = run_text(result)
        assert "no verdict on moisture" in report
        assert not [level for level in LEVELS if level in report]


RISES, FALLS = Moving("deck", "main", 0.1, 3), Moving("deck", "main", -0.1, 3)
AIRS = (
    LeakTested(None),
    LeakTested(made.LEAK, meets_cavity=False),
    LeakTested(made.LEAK, meets_cavity=True),
    LeakTested(made.LEAK, True, True, 0.5),
    LeakTested(None, through=1e-4),
    LeakTested(made.LEAK, True, past_defects=("gaps",)),
)


@pytest.mark.parametrize(("check", "system"), [*itertools.product(TELLINGS, SYSTEMS)])
def test_every_level_by_every_check_settled_or_not_with_any_air_reads_as_what_it_is(check, system):
    """Level x settled level x at rest or not x air, by each check: whole, and without a false word.

    The words of a level go with that level alone, a better last year and unrest are told, and no
    air and an untested leak are told with the level and again in words.
    """
    template = once(made.run(humidity=0.6))
    for rank, settled, moving, air in itertools.product(
        range(5), range(5), ((), (RISES,), (FALLS, RISES)), AIRS
    ):
        if settled > rank:
            continue
        finding = dataclasses.replace(
            template.findings[0],
            **{"check": check, "place": "deck", "path": "main", "value": 3.5, "limit": 3.0},
            **{"settled": 1.0, "year": 1, "month": 3, "decides": True, "counts": COUNTS},
        )
        found = Verdict(air, (Judged(rank, settled, 1.0, finding),), (), moving)
        one = dataclasses.replace(template, verdict=found, findings=(finding,))
        text = " ".join(answer(one, 3, system))
        assert not [word for word in ALL_CLEAR if word in f"{headline(one)} {text}".lower()]
        assert ("kept a margin" in text) is (rank == 0)
        assert ("within its limits" in text) is (rank in (1, 2))
        assert ("passed a limit" in text) is (rank == 3)
        assert ("got wetter to the end" in text) is (rank == 4)
        assert ("which alone is" in text) is (settled < rank)
        assert ("Not settled" in text) is bool(moving)
        assert ("later years may be worse" in text) is (RISES in moving)
        assert ("No air leak was computed" in text) is (air == AIRS[0])
        assert ("by diffusion only" in headline(one)) is (air == AIRS[0])
        assert ("not tested" in headline(one)) is (air in AIRS[1:3])
        assert ("not tested" in text) is (air in AIRS[1:3])
        assert ("tested at defects alone" in headline(one)) is (air == AIRS[5])
        assert ("only where the insulation is not as drawn (gaps)" in text) is (air == AIRS[5])
        dried = air == AIRS[3]
        assert ("while its leak dries it" in headline(one)) is (dried and rank < 3)
        assert ("a tighter one may be wetter" in text) is dried
        assert "{" not in text
        assert "kg/kg" not in text


COUNTS = (("hours_over_limit", 100.0), ("hours_over_decay_moisture", 0.0))


@pytest.mark.parametrize(("height", "words"), [(2.5, "2.5 m above"), (-2.5, "2.5 m below")])
def test_the_side_of_the_neutral_level_is_told(height, words):
    leak = dataclasses.replace(made.LEAK, height_above_neutral_level=height)
    assert f", {words} the neutral level" in told_leak(LeakTested(leak, True, True))


@pytest.mark.parametrize("key", ["not converged", "no rain", "nothing to judge"])
def test_why_there_is_no_verdict_is_said(key):
    one = once(made.run())
    one = dataclasses.replace(one, verdict=Verdict(AIRS[0], withheld=(Withheld(key),)))
    text = " ".join(answer(one, 3))
    assert text.startswith("No verdict: ")
    assert "No air leak was computed" in text


def test_harm_that_does_not_decide_reaches_the_first_screen_and_all_checks_the_whole_report():
    siding = dataclasses.replace(made.BOARD, kinds=made.BOARD.kinds | {"cladding"})
    humidity = np.full((END, 4), 0.6)
    humidity[:, 0] = 1.0
    outer, _, lining = made.wall(siding).layers
    drawn = dataclasses.replace(made.wall(), layers=(outer, AirLayer("gap", 0.14), lining))
    result = made.run(293.15, humidity, layer_water=board(0.3), assembly=drawn)
    one = once(result)
    beside = [finding for finding in one.findings if is_beside(finding)]
    assert {finding.check for finding in beside} >= {"mould index", "wood moisture"}
    short = " ".join(run_text(result).split())
    assert "beside the verdict: outer surface (main path): mould index reaches" in short
    full = " ".join(run_text(result, full=True).split())
    for check in {finding.check for finding in one.findings}:
        assert check in full
    for finding in one.findings:
        assert finding.place in full


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_report_fits_a_screen_and_a_page_is_no_wider_than_its_table(system):
    """40 lines of 100 columns; several assemblies share what they share."""
    one = made.run(layer_water=board(0.24), humidity=0.9)
    (found,) = one.assemblies
    for count in (1, 2, 3):
        walls = tuple(
            dataclasses.replace(
                found, assembly=dataclasses.replace(found.assembly, name=f"wall {i}")
            )
            for i in range(count)
        )
        case = dataclasses.replace(one.case, assemblies=tuple(each.assembly for each in walls))
        result = dataclasses.replace(one, assemblies=walls, case=case)
        lines = run_text(result, system).splitlines()
        assert len(lines) <= (40 if count == 1 else 18 + 14 * count)
        assert max(map(len, lines)) <= 100
        summary = typed_summary(result)
        assert len(set(summary.assumptions)) == len(summary.assumptions)
        assert not any(phrase.startswith("wall 1: wind") for phrase in summary.assumptions[:1])


def test_several_assemblies_share_what_is_the_same_and_keep_what_is_not():
    one = made.run()
    (found,) = one.assemblies
    low = dataclasses.replace(found.assembly, name="low")
    high = dataclasses.replace(low, name="high", outer=dataclasses.replace(low.outer, height=20.0))
    for second, told_twice in ((dataclasses.replace(low, name="other"), False), (high, True)):
        both = tuple(dataclasses.replace(found, assembly=each) for each in (low, second))
        case = dataclasses.replace(one.case, assemblies=(low, second))
        phrases = typed_summary(dataclasses.replace(one, assemblies=both, case=case)).assumptions
        winds = [phrase for phrase in phrases if "wind is reduced" in phrase]
        assert len(winds) == (2 if told_twice else 1)
        assert winds[0].startswith("low: ") is told_twice


def test_no_unit_of_the_other_system_is_left_in_a_report():
    result = made.run(layer_water=board(0.24), humidity=0.9)
    english = run_text(result, "ip", full=True)
    body = english[: english.index("About the weather, in the units of its file")]
    for unit in (" g/m2", "kg/m2", "W/m2", "kWh", " degC", "L/(s m2)", " mm", "m2 K/W", " m above"):
        assert unit not in body
    metric = run_text(result, "si", full=True)
    for unit in ("oz/ft2", "lb/ft2", "Btu", "degF", "cfm", "inHg", "ft2"):
        assert unit not in metric

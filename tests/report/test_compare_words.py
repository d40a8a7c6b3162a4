"""Sentences of a comparison by results that tempt them: each has to stay true."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assembly_sim.checks.finding import Finding
from assembly_sim.hand.payback import Payback
from assembly_sim.model.fuel import Cost
from assembly_sim.report.compare.sentences import (
    answer,
    first_words,
    level,
    merits,
    moisture_in_short,
    paid_back,
    ranked_by,
)
from assembly_sim.report.compare.text import compare_text
from assembly_sim.report.page.compare_page import headline
from assembly_sim.studies.band import Band
from assembly_sim.studies.compare import Compared
from assembly_sim.studies.moisture_change import NO_VERDICT, MoistureChange, Moved
from assembly_sim.studies.ranking import is_bad, ranking
from assembly_sim.verdict.rules import LEVELS, PAST, Judged
from tests.checks import made
from tests.report.compared import DOLLARS, FUEL, compared

DRY = made.run(temperature=285.0, humidity=0.4)
WALL = DRY.assemblies[0].assembly.name
FOUND = {WALL: (800.0, 200.0)}


def pair(heats: dict[str, tuple[float, float]], cost: Cost | None = None) -> Compared:
    return compared({"as found": (DRY, FOUND, None), "seal": (DRY, heats, cost)})


SAVING = pair({WALL: (100.0, 10.0)})


def with_moisture(found: Compared, *moisture: MoistureChange) -> Compared:
    """The option with these parts in place of its own, ranked again."""
    first, second = found.options
    (summary,) = second.summaries
    named = tuple(dataclasses.replace(summary, name=one.part) for one in moisture)
    options = (first, dataclasses.replace(second, summaries=named, moisture=moisture))
    listed = [(one.option.name, one.saved, one.moisture) for one in options]
    return dataclasses.replace(found, options=options, ranked=ranking("as found", listed))


def test_noise_is_no_saving() -> None:
    """0.3 of 1000 kWh is less than the promise to which a house adds up (0.1 %)."""
    for heat in (799.7, 800.3, 800.0):
        found = pair({WALL: (heat, 200.0)}, Cost(0.0, 0.0, DOLLARS))
        assert answer(found) == "None of these options saves heat by a figure that may be believed."
        assert headline(found) == "No option to begin with"
        assert "cannot be told from nothing" in merits(found.options[1], found, "si")
    assert answer(pair({WALL: (790.0, 200.0)})).startswith(
        "Seal first: it saves 10 kWh of heat a year (1 %)"
    )
    assert "(0.3 %)" in answer(pair({WALL: (797.0, 200.0)}))


def test_what_takes_more_is_said_to() -> None:
    found = pair({WALL: (900.0, 200.0)}, Cost(5.0, 9.0, DOLLARS))
    assert merits(found.options[1], found, "si").startswith("costs 100 kWh of heat a year more")
    assert "None of these options" in answer(found)


def test_a_cost_that_is_missing_or_nothing() -> None:
    saved = {WALL: (700.0, 100.0)}
    unknown, free = pair(saved), pair(saved, Cost(0.0, 0.0, DOLLARS))
    assert ranked_by(unknown).endswith("heat saved (a cost or price is missing)")
    assert "pays back" not in answer(unknown)
    assert "costs nothing" in answer(free)
    assert ranked_by(free).endswith("by payback")


def test_a_price_of_nothing_pays_nothing_back() -> None:
    fuel = dataclasses.replace(FUEL, price=0.0)
    made = {
        "as found": (DRY, FOUND, None),
        "seal": (DRY, {WALL: (700.0, 100.0)}, Cost(300.0, 500.0, DOLLARS)),
    }
    found = compared(made, fuel=fuel)
    assert "is never paid back" in answer(found)
    assert ranked_by(found).endswith("heat saved (nothing is ever paid back)")


def test_a_payback_that_may_never_come() -> None:
    assert paid_back(Payback(4.0, 9.0, None)) == "pays back in 4.0 years at best and never at worst"
    assert paid_back(Payback(4.0, 9.0, 12.0)) == "pays back in 4.0 to 12 years"
    assert paid_back(Payback(None, None, None)) == "is never paid back"


def test_every_part_that_is_not_cleared_is_named() -> None:
    """An old wet wall that stays is the worst of all; the new one past a limit must not hide."""
    found = with_moisture(
        pair({WALL: (100.0, 10.0)}),
        MoistureChange("old wall", 4, 4, None, None),
        MoistureChange("new deck", PAST, 0, None, None),
    )
    said = merits(found.options[1], found, "si")
    assert "NOT CLEARED: new deck" in said
    assert "not before its moisture is solved: new deck" in answer(found)
    assert headline(found) == "Seal: not before its moisture is solved"


def test_a_house_that_is_wet_today_is_told_first_of_all() -> None:
    """It stays as it was and may rank first, but never as if it were sound."""
    found = with_moisture(pair({WALL: (100.0, 10.0)}), MoistureChange("wall", PAST, 3, None, None))
    said = answer(found)
    assert said.startswith("Seal first")
    assert LEVELS[PAST] in said
    assert f"As it is today already: wall ({LEVELS[PAST]}). Mend that before" in said
    assert headline(found) == "Seal first, once what is wet today is mended"


def test_a_level_that_tips_is_told_in_the_answer() -> None:
    found = pair({WALL: (100.0, 10.0)})
    band = Band((), (("half the leak", 0), ("twice the leak", PAST)))
    tips = dataclasses.replace(found.options[1], band=band)
    found = dataclasses.replace(found, options=(found.options[0], tips))
    assert f"It tips: '{LEVELS[PAST]}' with twice the leak." in answer(found)


def test_runs_that_did_not_converge_are_told_before_any_figure() -> None:
    found = pair({WALL: (100.0, 10.0)})
    first = dataclasses.replace(found.options[0], converged=False)
    found = dataclasses.replace(found, options=(first, found.options[1]))
    assert next(first_words(found)) == (
        "Runs that did not converge: 'as found'. What any option saves is not to be relied on."
    )
    assert " ".join(compare_text(found).split()).startswith("Runs that did not converge")


def test_a_level_carries_what_takes_its_weight() -> None:
    """A wall computed without a leak is not plainly dry."""
    found = pair({WALL: (100.0, 10.0)})
    one = found.options[1]
    (part,) = one.moisture
    (summary,) = one.summaries
    air = dataclasses.replace(summary.verdict.air, leak=None, through=0.0)
    verdict = dataclasses.replace(summary.verdict, air=air)
    tight = dataclasses.replace(one, summaries=(dataclasses.replace(summary, verdict=verdict),))
    assert part.rank < NO_VERDICT
    assert "by diffusion only" in moisture_in_short(part, tight)


def test_wetter_and_drier_at_one_plane_are_told_apart() -> None:
    """'wetter at deck, drier at deck' would say both of one thing."""
    (option,) = pair({WALL: (100.0, 10.0)}).options[1:]
    (part,) = option.moisture
    wetter, drier = (
        Moved(
            part.part, Judged(1, 1, 0.5, Finding(check, "deck | attic", "main", 1.0, 3.0)), None, by
        )
        for check, by in (("wet hours", 0.3), ("free water", -0.3))
    )
    both = dataclasses.replace(part, before=part.rank, wetter=wetter, drier=drier)
    said = moisture_in_short(both, option)
    assert "wetter at deck | attic (main path) (wet hours), drier at deck" in said
    assert "(free water)" in said
    one = moisture_in_short(dataclasses.replace(both, drier=None), option)
    assert one.endswith("wetter at deck | attic")


@pytest.mark.parametrize("cost", [None, Cost(300.0, 500.0, DOLLARS)])
def test_titles_fit_the_page(cost: Cost | None) -> None:
    assert len(ranked_by(pair({WALL: (100.0, 10.0)}, cost))) <= 100


PARTS = st.lists(
    st.tuples(st.integers(0, NO_VERDICT), st.none() | st.integers(0, NO_VERDICT)),
    min_size=1,
    max_size=4,
)


@given(PARTS)
def test_whatever_its_parts_no_option_is_first_without_what_is_wrong(
    ranks: list[tuple[int, int | None]],
) -> None:
    """A law: each part that is not cleared is named, and a level past a limit stands beside."""
    moisture = [
        MoistureChange(f"part {at}", rank, before, None, None)
        for at, (rank, before) in enumerate(ranks)
    ]
    found = with_moisture(SAVING, *moisture)
    said, short = answer(found), merits(found.options[1], found, "si")
    bad = [one.part for one in moisture if is_bad([one])]
    assert all(name in said and name in short for name in bad)
    assert ("NOT CLEARED" in short) is bool(bad)
    assert ("not before its moisture is solved" in said) is bool(bad)
    assert ("first: it saves" in said) is not bool(bad)
    worst = max(one.rank for one in moisture)
    if worst >= PAST:
        assert level(worst) in said
        assert headline(found) != "Seal first"

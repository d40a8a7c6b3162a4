"""Ranking, and moisture against as found, by verdicts written down: laws that always hold."""

from __future__ import annotations

import dataclasses
import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assembly_sim.checks.finding import Finding
from assembly_sim.hand.payback import Payback
from assembly_sim.studies.moisture_change import (
    NO_VERDICT,
    MoistureChange,
    moisture_change,
)
from assembly_sim.studies.ranking import (
    LEAST,
    Savings,
    all_priced,
    by_payback,
    is_bad,
    ranking,
    stays,
)
from assembly_sim.verdict.rules import PAST, Judged
from assembly_sim.verdict.summary import typed_summary
from assembly_sim.verdict.verdict import LeakTested, Verdict
from assembly_sim.verdict.withheld import Withheld
from tests import synthetic

(BLANK,) = typed_summary(synthetic.result(hours=100)).assemblies
MOULD = Finding("mould index", "deck", "main", 1.0, 3.0, decides=True)


def summary(*judged, withheld=False):
    verdict = Verdict(LeakTested(None), judged)
    if withheld:
        verdict = Verdict(LeakTested(None), withheld=(Withheld("not converged"),))
    return dataclasses.replace(BLANK, verdict=verdict)


def mould(value, rank=0, place="deck"):
    finding = dataclasses.replace(MOULD, value=value, place=place)
    return Judged(rank, rank, value / 3.0, finding)


def test_wetter_and_drier_with_the_plane():
    before = summary(mould(1.5, 1), mould(0.6, place="lining"))
    after = summary(mould(2.4, 1), mould(0.3, place="lining"))
    found = moisture_change(after, before)
    assert (found.rank, found.before) == (1, 1)
    assert found.wetter.planned.finding.place == "deck"
    assert found.wetter.by == pytest.approx(0.9 / 3.0)
    assert found.drier.planned.finding.place == "lining"
    assert found.drier.by == pytest.approx(-0.1)
    assert not found.made_worse


def test_what_hardly_moves_is_as_it_was():
    found = moisture_change(summary(mould(1.50, 1)), summary(mould(1.47, 1)))
    assert found.wetter is None
    assert found.drier is None
    assert stays(found)


def test_a_plane_that_is_new_counts_from_nothing():
    found = moisture_change(summary(mould(1.5, 1, "foam | deck")), summary(mould(0.1)))
    assert found.wetter.before is None
    assert found.wetter.by == pytest.approx(0.5)
    assert found.made_worse


def test_what_has_to_reach_its_limit_is_wetter_when_it_falls():
    factor = Finding("surface temperature factor", "room", "main", 0.8, 0.7, at_least=True)
    judged = [Judged(0, 0, 1.0, dataclasses.replace(factor, value=value)) for value in (0.80, 0.75)]
    assert moisture_change(summary(judged[1]), summary(judged[0])).wetter is not None
    assert moisture_change(summary(judged[0]), summary(judged[1])).drier is not None


def test_no_verdict_is_worse_than_any_level():
    found = moisture_change(summary(withheld=True), summary(mould(1.0)))
    assert found.rank == NO_VERDICT > 4
    assert is_bad([found])


@pytest.mark.parametrize(
    ("rank", "before", "wetter", "bad"),
    [
        (0, 0, False, False),
        (2, 0, True, False),  # gets wet, within its limits: told, not condemned
        (3, 0, True, True),
        (3, 3, False, False),  # a proven old wall that stays as it was is not made worse
        (3, 3, True, True),
        (3, 4, False, False),
        (4, 3, False, True),
        (5, 5, False, True),  # without a verdict nobody knows whether it stays
        (3, 5, False, True),
        (3, None, False, True),  # new, and past a limit
    ],
)
def test_what_counts_against_an_option(rank, before, wetter, bad):
    moved = moisture_change(summary(mould(2.9)), summary(mould(0.1))).wetter if wetter else None
    assert is_bad([MoistureChange("deck", rank, before, moved, None)]) is bad


def option(heating, payback, rank, before=0, beyond=False):
    paid = None if payback is None else Payback(payback, payback, payback)
    saved = Savings(heating, 0.0, 0.1, (heating, heating), payback=paid, beyond_bills=beyond)
    return saved, (MoistureChange("deck", rank, before, None, None),)


OPTIONS = st.lists(
    st.builds(
        option,
        st.floats(-1e9, 1e9),
        st.none() | st.floats(0.1, 99.0),
        st.integers(0, NO_VERDICT),
        st.none() | st.integers(0, NO_VERDICT),
        st.booleans(),
    ),
    max_size=8,
)


@given(OPTIONS)
def test_nothing_bad_ranks_before_what_saves_and_keeps_dry(options):
    listed = [("as found", None, ()), *((str(n), *one) for n, one in enumerate(options))]
    order = ranking("as found", listed)
    assert sorted(order) == list(range(1, len(listed)))  # each once, without the house as found

    def clean(number):
        return listed[number][1].saves and not is_bad(listed[number][2])

    def saves(number):
        return listed[number][1].saves

    for before, after in itertools.pairwise(order):
        assert not (clean(after) and not clean(before))
        assert not (saves(after) and not saves(before))


@given(OPTIONS)
def test_ranking_does_not_hang_on_the_order_of_the_file(options):
    listed = [(str(n), *one) for n, one in enumerate(options)]
    names = [listed[n][0] for n in ranking("", listed)]
    turned = listed[::-1]
    again = [turned[n][0] for n in ranking("", turned)]
    merit = {name: one.heating for name, one, _ in listed}
    assert {name for name in names} == {name for name in again}
    if len(set(merit.values())) == len(merit) and not by_payback([one for _, one, _ in listed]):
        savers = [name for name, one, _ in listed if one.saves]
        assert [n for n in names if n in savers] == [n for n in again if n in savers]


def test_payback_ranks_only_where_every_saving_option_has_one():
    fast, slow = option(1e6, 3.0, 0), option(9e6, 30.0, 0)
    listed = [("fast", *fast), ("slow", *slow)]
    assert ranking("as found", listed) == (0, 1)
    unknown = [("fast", *fast), ("slow", *option(9e6, None, 0))]
    assert ranking("as found", unknown) == (1, 0)
    costs_heat = [*listed, ("worse", *option(-1e6, None, 0))]
    assert ranking("as found", costs_heat) == (0, 1, 2)


def test_a_saving_beyond_the_bills_ranks_last():
    listed = [("too good", *option(9e9, 0.1, 0, beyond=True)), ("plain", *option(1e6, 9.0, PAST))]
    assert ranking("as found", listed) == (1, 0)


def test_what_is_never_paid_back_ranks_after_what_is():
    """Cooling may cost more than heating saves; by a price of zero nothing is ever paid back."""
    never = Payback(None, None, None)
    wasteful, _ = option(9e9, 1.0, 0)
    wasteful = dataclasses.replace(wasteful, payback=never)
    slow = option(1e6, 80.0, 0)
    listed = [("wasteful", wasteful, ()), ("slow", *slow)]
    assert by_payback([wasteful, slow[0]])
    assert ranking("as found", listed) == (1, 0)
    free = [dataclasses.replace(one, payback=never) for one in (slow[0], wasteful)]
    assert all_priced(free)
    assert not by_payback(free)
    assert ranking("as found", [("a", free[0], ()), ("b", free[1], ())]) == (1, 0)


def test_what_costs_nothing_comes_before_what_pays_back():
    gift, paid = option(1e6, 0.0, 0), option(9e9, 0.1, 0)
    assert ranking("as found", [("paid", *paid), ("gift", *gift)]) == (1, 0)
    gifts = [("small", *gift), ("large", *option(2e6, 0.0, 0))]
    assert ranking("as found", gifts) == (1, 0)


@pytest.mark.parametrize(
    ("share", "saves"), [(0.002, True), (LEAST, False), (1e-5, False), (-1e-5, False), (None, True)]
)
def test_a_saving_within_what_sums_close_to_is_none(share, saves):
    heating = -5.0 if share is not None and share < 0.0 else 5.0
    assert Savings(heating, 0.0, share, (heating, heating)).saves is saves

"""A probe's findings in words: what holds, what does not, and what was tried in vain."""

import dataclasses

import pytest

from assembly_sim.report.answer import what_moves_it
from assembly_sim.report.probe import forgiveness, hold_line, limit_line, move_line
from assembly_sim.studies.forgiveness import Forgiveness
from assembly_sim.studies.probe import Limit, Move, Probing
from assembly_sim.units import marked
from tests.checks.made import ranked

LEAK = "m3/(s m2) at 75 Pa"


def limit(dry, wet, unit):
    return Limit("x", unit, dry, wet, wet, wet, dry, wet)


@pytest.mark.parametrize(
    ("dry", "wet", "unit", "text"),
    [
        (0.40, 0.425, "1", "up to 40 % RH, not at 42.5 % RH"),
        (0.0, 2e-5, LEAK, "up to no leak at all, not at 0.02 L/(s m2) at 75 Pa"),
        (0.18, None, "kg/kg", "up to 18 % by mass, the highest tried"),
        (None, 0.12, "kg/kg", "not even at 12 % by mass"),
    ],
)
def test_limits(dry, wet, unit, text):
    assert limit_line(limit(dry, wet, unit)) == f"x: dry {text}; within limits {text}"


def test_limits_of_a_leak_in_inch_pound_units():
    """1 cfm/ft2 = 5.08 L/(s m2): 1 ft/min = 0.3048 m / 60 s, exactly."""
    text = limit_line(limit(2e-4, 4e-4, LEAK), "ip")
    assert "up to 0.039 cfm/ft2 at 75 Pa, not at 0.079 cfm/ft2 at 75 Pa" in text


def test_moves_name_the_change_or_all_that_was_tried():
    found = Move("foam", ranked(1, "50 mm of foam"), ("25 mm of foam", "50 mm of foam"))
    assert move_line(found) == "foam: 50 mm of foam makes it 'dry, thin margin'"
    named = dataclasses.replace(found, quantity="50 mm")
    assert move_line(named) == "50 mm of foam makes it 'dry, thin margin'"
    in_vain = move_line(dataclasses.replace(found, trial=None))
    assert "nothing tried" in in_vain
    assert "25 mm of foam; 50 mm of foam" in in_vain


def test_a_change_is_told_in_the_readers_units():
    found = Move("foam", ranked(1, f"{marked(0.0508, 'length')} of foam"), ())
    assert "2 in of foam" in move_line(found, "ip")
    assert "51 mm of foam" in move_line(found)


def test_what_holds_and_what_does_not():
    trial = ranked(1, "a cold year")
    assert hold_line(trial, "dry, thin margin") == "a cold year: it holds"
    worse = hold_line(trial, "dry with margin")
    assert worse.startswith("a cold year: 'dry, thin margin'; deck (main path): mould index")
    assert "no verdict" in hold_line(ranked(None, "a cold year"), "dry with margin")


def test_the_answer_tells_what_would_be_better_and_nothing_that_would_not():
    moves = (Move("foam", ranked(1, "foam"), ()), Move("leak", ranked(4, "a hole"), ()))
    told = " ".join(what_moves_it(Probing("wall", "past a limit", (), moves, (), (), 7)))
    assert told == "It would be 'dry, thin margin' with: foam."
    vain = Probing("wall", "past a limit", (), moves[1:], (), (), 7)
    assert what_moves_it(vain) == ["Nothing of what was tried in 7 further runs makes it better."]
    holds = (ranked(3, "twice the leak"), ranked(0, "a wet year"))
    fails = " ".join(what_moves_it(Probing("wall", "dry with margin", (), (), holds)))
    assert fails == "With twice the leak it is 'past a limit'."


@pytest.mark.parametrize(("system", "amount"), [("si", "250 g/m2"), ("ip", "0.82 oz/ft2")])
def test_forgiveness_in_both_systems(system, amount):
    """0.25 kg/m2 / 28.3495 g x 0.092903 m2 = 0.82 oz/ft2."""
    one = Forgiveness("main", "deck | batt", 0.25, (), 0.123, -1e-9)
    (line,) = forgiveness([one], system)
    assert amount in line
    assert "12 % are left at the end of August, 0 % after a year" in line
    (stopped,) = forgiveness([Forgiveness("main", "deck | batt", 0.25)], system)
    assert stopped.endswith("the run stopped")

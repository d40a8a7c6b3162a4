"""A probe's findings in words: what holds, what does not, and what was tried in vain."""

import pytest

from assembly_sim.report.probe import forgiveness, hold_line, limit_line, move_line

LEAK = "m3/(s m2) at 75 Pa"


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
    limit = {"quantity": "x", "unit": unit, "lowest": wet}
    limit |= {"dry_up_to": dry, "not_dry_from": wet, "within_limits_up_to": dry, "past_from": wet}
    assert limit_line(limit) == f"x: dry {text}; within limits {text}"


def test_moves_name_the_change_or_all_that_was_tried():
    trial = {"change": "50 mm of foam", "level": "dry, thin margin", "reason": "why"}
    found = {"quantity": "foam", "trial": trial, "tried": ["25 mm of foam", "50 mm of foam"]}
    assert move_line(found) == "foam: 50 mm of foam makes it 'dry, thin margin'"
    named = {**found, "quantity": "50 mm"}
    assert move_line(named) == "50 mm of foam makes it 'dry, thin margin'"
    in_vain = move_line({**found, "trial": None})
    assert "nothing tried" in in_vain
    assert "25 mm of foam; 50 mm of foam" in in_vain


def test_what_holds_and_what_does_not():
    trial = {"change": "a cold year", "level": "dry, thin margin", "reason": "mould index 1.2"}
    assert hold_line(trial, "dry, thin margin") == "a cold year: it holds"
    assert hold_line(trial, "dry with margin").endswith("'dry, thin margin'; mould index 1.2")
    assert "no verdict" in hold_line({**trial, "level": None}, "dry with margin")


@pytest.mark.parametrize(("system", "amount"), [("si", "0.250 kg/m2"), ("ip", "lb/ft2")])
def test_forgiveness_in_both_systems(system, amount):
    one = {"path": "main", "plane": "deck | batt", "water": 0.25}
    left = {"after_summer": 0.123, "after_year": -1e-9}
    (line,) = forgiveness([{**one, **left}], system)
    assert amount in line
    assert "12% are left at the end of August, 0% after a year" in line
    (stopped,) = forgiveness([{**one, "after_summer": None, "after_year": None}], system)
    assert stopped.endswith("the run stopped")

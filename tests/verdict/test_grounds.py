"""A level says which limits are not the usual ones, and which layers no check could judge."""

import dataclasses

import pytest

from assembly_sim.model import Thresholds
from assembly_sim.verdict.grounds import loosened
from assembly_sim.verdict.told import qualifier, reasons
from assembly_sim.verdict.verdict import verdict
from tests.checks import made

KNOWN = dataclasses.replace(made.BRICK, kinds=frozenset({"insulation"}))


def judged(lining=made.BOARD, humidity=0.6, **limits):
    """The verdict on a wall whose lining is of this material, in a case with these limits."""
    drawn = made.wall()
    outer, batt, inner = drawn.layers
    layers = (
        outer,
        dataclasses.replace(batt, material=KNOWN),
        dataclasses.replace(inner, material=lining),
    )
    assembly = dataclasses.replace(drawn, layers=layers)
    result = made.run(283.15, humidity, assembly=assembly)
    case = dataclasses.replace(result.case, thresholds=Thresholds(**limits))
    result = dataclasses.replace(result, case=case)
    return verdict(result, result.assemblies[0])


def test_usual_limits_and_known_layers_need_no_words():
    assert qualifier(judged()) == ""


@pytest.mark.parametrize(
    ("limits", "named"),
    [
        ({"wood_moisture": 0.6}, ("wood_moisture",)),
        ({"wet_hours": 8000.0, "mould_decline": 1.0}, ("mould_decline", "wet_hours")),
        ({"freezing_temperature": 260.0}, ("freezing_temperature",)),
        ({"wood_moisture": 0.18, "mould_index": 1.0, "metal_humidity": 0.9}, ()),  # stricter
    ],
)
def test_limits_that_let_more_pass_are_named(limits, named):
    """A case could set wood moisture to 60 % and be 'dry with margin' without a word."""
    assert loosened(Thresholds(**limits)) == named


def test_a_level_by_looser_limits_says_so():
    found = judged(wood_moisture=0.6, mould_index=6.0)
    assert qualifier(found) == ", by limits looser than usual"
    assert any("wood_moisture" in one and "mould_index" in one for one in reasons(found))


@pytest.mark.parametrize(
    "lining",
    [
        dataclasses.replace(made.BOARD, mould_class=None, kinds=frozenset()),
        dataclasses.replace(made.BOARD, storage=None, liquid=None),
    ],
)
def test_a_layer_that_no_check_can_judge_is_named_in_the_headline(lining):
    """A board of one's own, without a class or a storage curve: what lies beside it is judged."""
    found = judged(lining)
    assert qualifier(found) == ", lining not judged"
    assert any(one.endswith(": lining") for one in reasons(found))


def test_past_a_limit_it_needs_no_such_words():
    wet = judged(dataclasses.replace(made.BOARD, mould_class=None), 0.97, wet_hours=8000.0)
    assert wet.level == "past a limit"
    assert qualifier(wet) == ""

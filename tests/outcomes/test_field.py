"""Build-ups whose fate the field knows, each with its reason (common practice, no source).

The thresholds of wetness that are ours (20 g/m2, 168 and 720 h) are calibrated against the first
list: none of it may end past a limit. The second must; none of it may ever be called dry.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from assembly_sim.model import (
    AirLayer,
    AirLeak,
    Assembly,
    Bridge,
    Case,
    Constant,
    OuterSurface,
    Room,
    SineOverYear,
)
from assembly_sim.solver.run import run
from assembly_sim.verdict.rules import PAST, WET
from assembly_sim.verdict.verdict import verdict
from tests.outcomes.built import LEAK, MATERIALS, climate, gap, layer, sheet

COLD, COAST, HUMID = "cold_inland", "wet_mild_coast", "hot_humid"
TIGHT, LEAKY = AirLeak(0.05e-3, 75.0), AirLeak(1.0e-3, 75.0)
SLOPE = math.atan(0.5)
LINING = (layer("gypsum board", 12.5), sheet("latex paint, primer and two coats"))
POLY, KRAFT = sheet("polyethylene film 0.15 mm", airtight=True), sheet("kraft facing")
WRAP, FELT = sheet("spun-bonded polyolefin wrap"), sheet("asphalt felt no. 15")
FOIL = sheet("aluminium foil facing")
CEDAR, OSB = layer("western red cedar", 19), layer("osb", 11, "sheathing")
PLY = layer("plywood, exterior grade", 12.7, "sheathing")
SHINGLES, DECK = layer("asphalt shingles, dark", 5), layer("plywood, exterior grade", 12.7, "deck")
SPRUCE = MATERIALS["spruce"]
STUDS = layer("glass-fibre batt", 140, bridges=(Bridge("studs", 0.23, SPRUCE),))
BATT = layer("glass-fibre batt", 140)


def winter(humidity: float) -> SineOverYear:
    """A room of this humidity in midwinter and 20 points more at the end of July."""
    return SineOverYear(humidity + 0.10, 0.10, 213.0)


def wall(layers, weather, humidity, leak=LEAK, **outer) -> Case:
    return _case(OuterSurface(math.pi / 2, 0.0, 0.6, 0.9, **outer), layers, weather, humidity, leak)


def roof(layers, weather, humidity, leak=LEAK) -> Case:
    return _case(OuterSurface(SLOPE, 0.0, 0.85, 0.9), layers, weather, humidity, leak)


def _case(outer, layers, weather, humidity, leak) -> Case:
    room = Room(Constant(293.15), humidity)
    return Case("field", climate(weather), room, (Assembly("sample", 1.0, outer, layers, leak),))


def judged(case: Case):
    result = run(case, workers=2)
    return verdict(result, result.assemblies[0])


def foam_between(rafters: bool):
    bridges = (Bridge("rafters", 0.1, SPRUCE),) if rafters else ()
    return layer("spray foam, closed-cell", 150, bridges=bridges)


PROVEN = {
    "2x6 with polyethylene, tight, in a dry winter room: vapour and air are both kept in": wall(
        (CEDAR, gap(30.0), WRAP, OSB, STUDS, POLY, *LINING), COLD, winter(0.30), TIGHT
    ),
    "the same at the usual leak: frost on cold sheathing that dries in spring": wall(
        (CEDAR, gap(30.0), WRAP, OSB, STUDS, POLY, *LINING), COLD, winter(0.30)
    ),
    "2x6 with kraft facing on a mild coast: the sheathing is never cold for long": wall(
        (CEDAR, gap(30.0), WRAP, OSB, STUDS, KRAFT, *LINING), COAST, winter(0.40), TIGHT
    ),
    "4 in of foam above the deck: the deck is warmer than the room's dew point": roof(
        (SHINGLES, FELT, layer("polyiso", 100), DECK, layer("glass-fibre batt", 90), *LINING),
        COLD,
        winter(0.35),
    ),
    "6 in of closed-cell foam under the deck: next to no vapour, no air gets there": roof(
        (SHINGLES, FELT, DECK, foam_between(rafters=False), *LINING), COLD, winter(0.35)
    ),
    "and beside its rafters: their own moisture leaves in the first years": roof(
        (SHINGLES, FELT, DECK, foam_between(rafters=True), *LINING), COLD, winter(0.35)
    ),
    "a vented slope in the cold: what gets up is carried off": roof(
        (
            *(SHINGLES, FELT, DECK, AirLayer("channel", 0.05, air_changes=60.0), WRAP),
            *(layer("glass-fibre batt", 240), POLY, *LINING),
        ),
        COLD,
        winter(0.30),
    ),
    "a vented slope on a mild coast": roof(
        (
            *(SHINGLES, FELT, DECK, AirLayer("channel", 0.05, air_changes=60.0), WRAP),
            *(layer("glass-fibre batt", 240), POLY, *LINING),
        ),
        COAST,
        winter(0.40),
    ),
    "a brick cavity wall: the outer leaf may be wet, the cavity drains and airs": wall(
        (
            *(layer("brick", 102), AirLayer("cavity", 0.05, air_changes=10.0)),
            *(layer("lightweight concrete", 100), layer("gypsum plaster", 13)),
        ),
        COAST,
        winter(0.45),
    ),
    "solid brick as found: it dries to both sides": wall(
        (layer("brick, old soft", 330), layer("lime plaster", 15)), COLD, winter(0.35)
    ),
}

JOIST = (Bridge("joist", 0.1, SPRUCE),)
FAILED = {
    "an unvented deck over batt in a damp, leaky house": roof(
        (SHINGLES, FELT, DECK, BATT, *LINING), COLD, Constant(0.5), LEAKY
    ),
    "dense-packed cellulose under an unvented deck at 45 %": roof(
        (SHINGLES, FELT, DECK, layer("cellulose, dense-packed", 240), *LINING), COLD, Constant(0.45)
    ),
    "stucco on sheathing that nothing drains: the retarder inside is no drainage plane": wall(
        (layer("portland stucco", 22), OSB, BATT, KRAFT, layer("gypsum board", 12.5)),
        COLD,
        Constant(0.5),
        LEAKY,
    ),
    "cold plywood before foil-faced foam inside": wall(
        (CEDAR, PLY, layer("glass-fibre batt", 90), FOIL, layer("polyiso", 25), FOIL, *LINING),
        COLD,
        Constant(0.5),
        LEAKY,
    ),
    "joist ends in brick that is insulated inside, with a leak": wall(
        (
            layer("brick", 330),
            layer("lime plaster", 15, bridges=JOIST),
            layer("mineral-wool batt", 100, bridges=JOIST),
            POLY,
            layer("gypsum board", 12.5),
        ),
        COLD,
        Constant(0.5),
        LEAKY,
    ),
    "2x6 without polyethylene at 50 %, leaky": wall(
        (CEDAR, gap(30.0), WRAP, OSB, STUDS, *LINING), COLD, Constant(0.5), LEAKY
    ),
}


@pytest.mark.parametrize("name", PROVEN)
def test_what_the_field_has_proven_is_not_past_a_limit(name):
    found = judged(PROVEN[name])
    assert found.rank < PAST, found.reasons


@pytest.mark.parametrize("name", FAILED)
def test_what_the_field_knows_to_fail_is_past_a_limit(name):
    found = judged(FAILED[name])
    assert found.rank >= PAST, found.reasons
    assert found.level is not None
    assert "dry" not in found.level


def test_the_same_foam_in_six_inches_has_no_cavity_and_says_the_leak_is_not_tested():
    found = judged(
        PROVEN["6 in of closed-cell foam under the deck: next to no vapour, no air gets there"]
    )
    assert "wets nothing here and is not tested" in found.leak_statement


def test_leaked_rain_onto_the_boards_never_makes_an_empty_wall_drier():
    """0.1 % onto the boards once turned "wets" into "dry": the wetted plane no longer decided."""
    boards = layer("board sheathing, softwood", 19, "boards")
    parts = (CEDAR, boards, AirLayer("empty", 0.09), layer("gypsum plaster", 20))
    none, some, more = (
        judged(
            wall(parts, COLD, Constant(0.5), LEAKY, leaked_rain=share, leaked_rain_layer="boards")
        )
        for share in (0.0, 0.001, 0.02)
    )
    assert none.rank <= some.rank <= more.rank


def test_old_brick_with_foam_inside_says_how_far_its_transient_has_come():
    """Rain that no longer dries inward takes the wall more than ten years to come to rest."""
    brick = (
        layer("brick, old soft", 330),
        layer("lime plaster", 15),
        layer("xps", 50),
        layer("gypsum board", 12.5),
    )
    asked = wall(brick, COLD, winter(0.35))
    early, late = judged(replace(asked, years=3)), judged(asked)
    for found, year in ((early, 3), (late, 10)):
        assert found.level == "keeps getting wetter"
        assert any("still rises, by" in one and f"in year {year}" in one for one in found.unsettled)
        assert any(one.startswith("not settled when the run ended") for one in found.reasons)
    assert judged(wall(brick, COLD, winter(0.35), rain_exposure=0.0)).rank <= WET

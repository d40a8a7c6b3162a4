"""A rafter bay with foil-faced foam below: what the leak does, and foam outside the deck.

Common practice, no source: room air that finds a cold deck wets it whatever the retarder stops;
a deck kept warm from outside stays dry up to the humidity its share of insulation was made for;
a deck between foam and foil has nowhere to dry to.
"""

import functools

import numpy as np
import pytest

from assembly_sim.studies.closing import starting_humidity
from tests.outcomes.built import (
    LEAK,
    MATERIALS,
    PAINTED_BOARD,
    case,
    climate,
    layer,
    level,
    moisture,
    sheet,
    solved,
)

ROOFING = (layer("asphalt shingles, dark", 5), sheet("asphalt felt no. 15"))
BELOW = (
    layer("glass-fibre batt", 140),
    sheet("aluminium foil facing", airtight=True),
    layer("polyiso", 50),
    sheet("aluminium foil facing", airtight=True),
    *PAINTED_BOARD,
)
OUTSIDE = (layer("xps", 155),)  # half of all resistance, the foam below counted inboard


@functools.cache
def roof(foamed=False, humidity=0.38, leak=LEAK, start=None):
    deck = layer("plywood, exterior grade", 12.7, "deck", starting_humidity=start)
    layers = (*ROOFING, *(OUTSIDE if foamed else ()), deck, *BELOW)
    return solved(case(layers, climate("cold_inland"), humidity, leak=leak))


def test_by_diffusion_alone_it_is_dry():
    result = roof(leak=None)
    assert level(result).startswith("dry")
    assert moisture(result, "deck").max() < 0.12


def test_with_the_usual_leak_it_is_wet():
    result = roof()
    assert level(result) == "past a limit"
    assert moisture(result, "deck").max() > 0.22


def test_with_half_the_insulation_outside_it_is_dry_in_spite_of_the_leak():
    found = roof(foamed=True)
    share = sum_of_r(OUTSIDE) / sum_of_r((*OUTSIDE, *BELOW))
    assert share == pytest.approx(0.5, abs=0.03)
    assert level(found) == "dry with margin"
    assert moisture(found, "deck").max() < 0.13


def test_that_share_does_not_suffice_in_a_room_as_damp_as_a_bath():
    """At 50 % it is 17 % by mass, two points below a thin margin; the table presumes 35 %."""
    found = roof(foamed=True, humidity=0.55)
    assert level(found) not in ("dry with margin", None)
    assert moisture(found, "deck").max() > moisture(roof(foamed=True), "deck").max() + 0.04


def test_started_wet_the_foamed_deck_does_not_dry():
    """By diffusion; a leak that mixes fully would carry the water out in a season."""
    start = starting_humidity(MATERIALS["plywood, exterior grade"], 0.25)
    found = roof(foamed=True, leak=None, start=start)
    assert moisture(found, "deck").max() > 0.20
    assert moisture(found, "deck").min() > 0.16
    assert level(found) == "past a limit"


def sum_of_r(layers):
    """Resistance of the insulating layers, m2K/W at 0 degC."""
    insulation = [one for one in layers if getattr(one, "thickness", 0.0) > 0.02]
    curves = [one.material.conductivity for one in insulation]
    return sum(
        one.thickness / np.interp(273.15, curve.x, curve.y)
        for one, curve in zip(insulation, curves)
    )

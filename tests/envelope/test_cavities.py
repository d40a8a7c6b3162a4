"""Where leak air mixes when several runs of layers let it through."""

import math

from assembly_sim.envelope.airways import airways, describe_leak
from assembly_sim.model import AirLayer, AirLeak, Assembly, Layer, Membrane, OuterSurface
from tests.outcomes.built import gap, layer, sheet

SHINGLES, FELT = layer("asphalt shingles, dark", 5), sheet("asphalt felt no. 15")
DECK, BATT, LINING = layer("osb", 11), layer("glass-fibre batt", 140), layer("gypsum board", 12.5)
STILL = AirLayer("still", 0.02)
FOAM, SPACE = layer("polyiso", 50), AirLayer("space", 0.025)


def way(*layers):
    outer = OuterSurface(math.radians(45.0), 0.0, 0.8, 0.9)
    return airways(Assembly("any", 1.0, outer, layers, AirLeak(2e-4, 75.0)))


def test_sheets_are_no_cavity():
    """With airtight spray foam under the deck the leak finds nowhere to mix, and says so."""
    layers = (SHINGLES, FELT, FELT, DECK, layer("spray foam, closed-cell", 152), LINING)
    assert (way(*layers).outward, way(*layers).inward) == (None, None)
    outer = OuterSurface(math.radians(45.0), 0.0, 0.8, 0.9)
    words = describe_leak(Assembly("any", 1.0, outer, layers, AirLeak(2e-4, 75.0)))
    assert "no cavity" in words
    assert "tests" in words


def test_of_several_cavities_the_coldest_is_wetted():
    """The leak is of the whole assembly: what passes the foam's joints goes on to the deck."""
    found = way(SHINGLES, FELT, DECK, BATT, FOAM, SPACE, LINING)
    assert found.outward == 3
    assert found.inward == 6
    assert found.reach[3:7] == ("room", "room", "room", "room")


def test_leaky_foam_leads_to_the_deck_and_tight_foam_does_not():
    from dataclasses import replace

    leaky = replace(FOAM, airtight=False)
    assert way(SHINGLES, FELT, DECK, leaky, LINING).outward == 3
    assert way(SHINGLES, FELT, DECK, FOAM, LINING).outward is None


def test_what_vented_air_washes_is_outdoors():
    found = way(SHINGLES, gap(30.0), DECK, BATT, LINING)
    assert found.outward == 3
    assert found.reach[:3] == ("outdoors", "outdoors", "outdoors")


def test_a_membrane_named_airtight_ends_a_cavity():
    tight = Membrane("wrap", sheet("spun-bonded polyolefin wrap").sheet, airtight=True)
    found = way(SHINGLES, gap(30.0), tight, BATT, LINING)
    assert found.outward == 3


def test_an_open_layer_alone_is_no_cavity():
    boards = Layer("boards", layer("board sheathing, softwood", 19).material, 0.019, airtight=False)
    assert way(SHINGLES, FELT, DECK, boards, LINING).outward is None


def test_air_let_into_a_gap_inside_of_insulation_takes_no_leak_away():
    """A service gap of 0.05 air changes an hour once kept all room air from the cold sheathing."""
    for changes in (0.05, 5.0):
        found = way(SHINGLES, FELT, DECK, BATT, LINING, gap(changes), LINING)
        assert found.outward == 3
        assert found.reach[3:5] == ("room", "room")
    rainscreen = way(SHINGLES, gap(30.0), DECK, BATT, gap(0.05), LINING)
    assert rainscreen.outward == 3
    assert rainscreen.reach[:3] == ("outdoors", "outdoors", "outdoors")


def test_a_gap_that_is_hardly_vented_carries_no_leak_off():
    """20 mm at 0.2 changes an hour pass a twentieth of a usual leak: as still air would, it mixes.

    At 60 changes an hour they pass eleven times as much, as the channel of a vented slope does.
    """
    for roof in (lambda air: way(SHINGLES, FELT, DECK, air, BATT, LINING), empty_studs):
        assert roof(STILL).outward == roof(gap(0.2)).outward == roof(gap(20.0)).outward == 3
        assert roof(gap(60.0)).outward is None
    rainscreen = way(SHINGLES, gap(0.2), FELT, DECK, BATT, LINING)  # before what may get wet
    assert rainscreen.outward == 4


def test_a_drained_gap_behind_thin_foam_is_outdoors_to_the_sheathing():
    """There the leak meets the sheathing first; it must not be put behind the foam."""
    found = way(SHINGLES, layer("eps", 50), gap(5.0), DECK, BATT, LINING)
    assert found.outward == 4


def empty_studs(air):
    layers = (layer("western red cedar", 19), FELT, DECK, air, LINING)
    outer = OuterSurface(math.pi / 2, 0.0, 0.8, 0.9)
    return airways(Assembly("any", 1.0, outer, layers, AirLeak(2e-4, 75.0)))

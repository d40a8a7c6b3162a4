"""What is cladding, and where a wall drains, read off its layers."""

import math
from dataclasses import replace

import pytest

from assembly_sim.envelope.rain import cladding_layers, drainage_plane, spared_layers, takes_no_rain
from assembly_sim.errors import InputError
from assembly_sim.model import AirLayer, Assembly, OuterSurface
from tests.outcomes.built import gap, layer, sheet

CEDAR, STUCCO, BRICK = (
    layer("western red cedar", 19),
    layer("portland stucco", 22),
    layer("brick", 100),
)
OSB, BATT, GYPSUM = layer("osb", 11), layer("glass-fibre batt", 140), layer("gypsum board", 12.5)
BOARDS = layer("board sheathing, softwood", 19)
WRAP, KRAFT = sheet("spun-bonded polyolefin wrap"), sheet("kraft facing")
FOIL, FOAM = sheet("aluminium foil facing"), layer("polyiso", 25)
SHINGLES, FELT = layer("asphalt shingles, dark", 5), sheet("asphalt felt no. 15")
STILL = AirLayer("still air", 0.02)


def upright(*layers, **outer):
    return Assembly("wall", 1.0, OuterSurface(math.pi / 2, 0.0, 0.6, 0.9, **outer), layers, None)


def slope(*layers, **outer):
    return Assembly("roof", 1.0, OuterSurface(math.pi / 4, 0.0, 0.6, 0.9, **outer), layers, None)


@pytest.mark.parametrize(
    ("layers", "plane"),
    [
        ((CEDAR, gap(30.0), WRAP, OSB, BATT, GYPSUM), 2),
        ((CEDAR, WRAP, OSB, BATT, GYPSUM), 1),
        ((CEDAR, STILL, OSB, BATT, GYPSUM), 2),  # behind the air, on the sheathing
        ((CEDAR, gap(30.0), FOAM, WRAP, OSB, GYPSUM), 2),  # outside the foam, not behind it
        ((BRICK, gap(5.0), WRAP, OSB, BATT, GYPSUM), 2),
        ((STUCCO, OSB, BATT, KRAFT, GYPSUM), None),  # face-sealed: the retarder drains nothing
        ((CEDAR, OSB, BATT, FOIL, FOAM, GYPSUM), None),
        ((CEDAR, FOAM, WRAP, OSB, BATT, GYPSUM), None),
        ((BRICK, layer("lime plaster", 15), BATT, KRAFT, GYPSUM), None),  # a mass wall
        ((OSB, STILL, BATT, GYPSUM), None),  # bare sheathing is no cladding
    ],
)
def test_the_drainage_plane_lies_outside_all_insulation_and_board(layers, plane):
    assert drainage_plane(upright(*layers)) == plane


def test_a_coat_of_paint_drains_nothing():
    coat = sheet("acrylic house paint, exterior")
    assert drainage_plane(upright(CEDAR, coat, OSB, BATT, GYPSUM)) is None


def test_a_roof_drains_on_its_roofing_unless_the_case_names_a_layer():
    layers = (SHINGLES, FELT, OSB, BATT, GYPSUM)
    assert drainage_plane(slope(*layers)) is None
    assert drainage_plane(slope(*layers, leaked_rain_layer=FELT.name)) == 1


def test_none_and_names_are_the_users():
    layers = (CEDAR, gap(30.0), WRAP, OSB, BATT, GYPSUM)
    assert drainage_plane(upright(*layers, leaked_rain_layer="none")) is None
    assert drainage_plane(upright(*layers, leaked_rain_layer="osb")) == 3
    with pytest.raises(InputError, match="'tin' is the name of 0 layers"):
        upright(*layers, leaked_rain_layer="tin")
    twice = (CEDAR, gap(30.0), OSB, OSB, BATT, GYPSUM)
    with pytest.raises(InputError, match="2 layers"):
        upright(*twice, leaked_rain_layer="osb")


def test_named_rain_stays_with_its_layer_when_others_come_or_go():
    """A number would have meant another layer after each of these."""
    wall = upright(CEDAR, gap(30.0), WRAP, OSB, BATT, GYPSUM, leaked_rain_layer="osb")
    drains = {
        "a layer in front": ((CEDAR, gap(30.0), WRAP, FOAM, OSB, BATT, GYPSUM), 4),
        "a layer less": ((CEDAR, WRAP, OSB, BATT, GYPSUM), 2),
        "another order": ((CEDAR, OSB, gap(30.0), WRAP, BATT, GYPSUM), 1),
    }
    for layers, plane in drains.values():
        changed = replace(wall, layers=layers)
        assert drainage_plane(changed) == plane
        assert changed.layers[plane].name == "osb"
    with pytest.raises(InputError, match="'osb' is the name of 0 layers"):
        replace(wall, layers=(CEDAR, gap(30.0), WRAP, BATT, GYPSUM))


@pytest.mark.parametrize(
    ("part", "found"),
    [
        (upright(CEDAR, OSB, BATT, GYPSUM), {0}),
        (upright(STUCCO, OSB, BATT, GYPSUM), {0}),
        (upright(BRICK, gap(5.0), OSB, BATT, GYPSUM), {0, 1}),  # and battens in its gap
        (upright(BRICK, STILL, OSB, BATT, GYPSUM), set()),
        # Air let in behind it makes no cladding of a board: empty stud cavities, a service gap.
        (upright(CEDAR, FELT, OSB, gap(1.0), GYPSUM), {0}),
        (upright(CEDAR, FELT, BOARDS, gap(1.0), GYPSUM), {0}),
        (upright(CEDAR, WRAP, OSB, BATT, gap(0.05), GYPSUM), {0}),
        (upright(BRICK, OSB, gap(5.0), GYPSUM), set()),
        (upright(layer("brick", 220), gap(1.0), GYPSUM), set()),  # a wall, whose frost counts
        (upright(STUCCO, layer("cement board", 12), gap(20.0), WRAP, OSB), {0, 1, 2}),
        (upright(BRICK, BATT, GYPSUM), set()),  # the wall itself: its frost counts
        (upright(OSB, BATT, GYPSUM), set()),
        (upright(layer("spruce", 120), GYPSUM), set()),  # logs
        (upright(OSB, BATT, CEDAR), set()),  # cedar lining inside is no cladding
        (upright(CEDAR, OSB, GYPSUM, sheltered=True), set()),
        (slope(SHINGLES, FELT, OSB, BATT, GYPSUM), {0}),
        (slope(SHINGLES, gap(30.0), OSB, BATT, GYPSUM), {0}),
        (slope(CEDAR, gap(30.0), OSB, BATT, GYPSUM), set()),  # not roofing
        (slope(SHINGLES, FELT, OSB, gap(60.0), BATT, GYPSUM), {0}),  # the deck must stay dry
    ],
)
def test_cladding_and_roofing_are_what_the_weather_meets_first(part, found):
    assert cladding_layers(part) == found


def test_rain_matters_but_on_roofing_that_draws_no_water_and_in_shelter():
    roof = slope(SHINGLES, FELT, OSB, BATT, GYPSUM)
    assert takes_no_rain(roof)
    assert not takes_no_rain(slope(layer("wood shingles, cedar", 10), FELT, OSB))
    assert not takes_no_rain(upright(CEDAR, OSB, GYPSUM))
    dry = upright(CEDAR, OSB, GYPSUM)
    assert takes_no_rain(replace(dry, outer=replace(dry.outer, rain_exposure=0.0)))
    assert takes_no_rain(upright(CEDAR, OSB, GYPSUM, sheltered=True))


@pytest.mark.parametrize(
    ("layers", "spared"),
    [
        ((CEDAR, BATT, GYPSUM), set()),  # planks on fibre are the wall
        ((CEDAR, BATT, KRAFT, OSB), set()),  # what lines it on the inside is not covered by it
        ((sheet("acrylic house paint, exterior"), CEDAR, BATT, GYPSUM), set()),
        ((CEDAR, WRAP, BATT, GYPSUM), {0}),
        ((CEDAR, STILL, BATT, GYPSUM), {0}),
        ((CEDAR, BATT, WRAP, OSB, BATT, GYPSUM), {0}),  # fibre outside a sheathing
        ((CEDAR, FOAM, GYPSUM), {0}),
        ((CEDAR, OSB, BATT, GYPSUM), {0}),
        ((STUCCO, BATT, GYPSUM), {0}),
    ],
)
def test_siding_that_is_the_wall_is_judged_as_any_wood(layers, spared):
    """Planks on a batt at 24 % by mass, losing wood to decay, were 'gets wet, within limits'."""
    assert len(cladding_layers(upright(*layers))) == 1
    assert spared_layers(upright(*layers)) == spared

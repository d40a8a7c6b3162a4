"""Layers listed the wrong way round are refused, and walls that are only unusual are not.

What may face a room or the weather: common practice, no source.
"""

import dataclasses
import math

import pytest

from assembly_sim.errors import InputError
from assembly_sim.files.material import read as materials
from assembly_sim.model import AirLayer, Assembly, Layer, Membrane, OuterSurface, Sheet

KNOWN = materials.load()
GAP = AirLayer("gap", 0.02, air_changes=30.0)
SHINGLES, UNDERLAY = "asphalt shingles, dark", "asphalt felt no. 30"
BATT, PAINT, RETARDER = "glass-fibre batt", "latex paint, primer and two coats", "kraft facing"


def part(name):
    if isinstance(name, AirLayer):
        return name
    found = KNOWN[name]
    return Membrane(name, found) if isinstance(found, Sheet) else Layer(name, found, 0.012)


def assembly(*names, sheltered=False, **fields):
    outer = OuterSurface(math.pi / 2, 0.0, 0.6, 0.9, sheltered=sheltered)
    return Assembly("sample", 10.0, outer, tuple(part(name) for name in names), None, **fields)


ROOF = (SHINGLES, UNDERLAY, "plywood, exterior grade", BATT, RETARDER, "gypsum board", PAINT)
WALL = ("fibre cement", GAP, "spun-bonded polyolefin wrap", "osb", BATT, RETARDER, "gypsum board")
BRICK = ("brick", "lime plaster", BATT, "polyethylene film 0.15 mm", "gypsum board", PAINT)
SIDED = ("vinyl siding, hollow-backed", "osb", BATT, "polyethylene film 0.15 mm")
FLOOR = ("cellulose, loose in attic", RETARDER, "gypsum board", PAINT)
LINED = ("brick", "gypsum plaster", "vinyl wallpaper")


@pytest.mark.parametrize("layers", [ROOF, WALL, BRICK, SIDED, LINED])
@pytest.mark.parametrize("sheltered", [False, True])
def test_a_build_up_reads_one_way_only(layers, sheltered):
    assembly(*layers, sheltered=sheltered)
    backward = layers[::-1]
    if sheltered and layers in (BRICK, LINED):  # a board and paint may be seen in an attic
        assembly(*backward, sheltered=True)
        return
    with pytest.raises(InputError, match="outside to inside"):
        assembly(*backward, sheltered=sheltered)
    meant = assembly(*backward, sheltered=sheltered, order_meant=True)
    assert dataclasses.replace(meant, area=5.0).order_meant


def test_an_attic_floor_listed_upside_down_is_refused():
    assembly(*FLOOR, sheltered=True)
    with pytest.raises(InputError, match="from inside to outside"):
        assembly(*FLOOR[::-1], sheltered=True)


@pytest.mark.parametrize(
    ("layers", "sheltered"),
    [
        (("lime plaster", "brick", "lime plaster"), False),  # lime render outside
        ((SHINGLES, "osb", BATT, "western red cedar"), False),  # cedar lining inside
        (("gypsum board", BATT, RETARDER, "gypsum board", PAINT), True),  # knee wall, board behind
        (("aluminium foil facing", "polyiso", BATT, "gypsum board"), True),
        (("steel sheet, painted dark", BATT, "steel sheet, galvanised"), False),  # a metal shed
        (("brick", "concrete block, hollow", "cement board"), False),  # backing of tiles
        (("gypsum sheathing, glass-mat faced", BATT, "gypsum board"), False),  # cladding left out
        (("acrylic house paint, exterior", "spruce", BATT, "spruce"), False),
    ],
)
def test_what_is_only_unusual_passes(layers, sheltered):
    assembly(*layers, sheltered=sheltered)


@pytest.mark.parametrize(
    ("layers", "said"),
    [
        (("osb", BATT, "slate"), "slate is roofing and would face the room"),
        (("osb", BATT, "roll roofing", "gloss paint"), "roll roofing is roofing"),
        (("gypsum board", BATT, "spruce"), "gypsum board is a room's finish"),
        (("gypsum plaster", "brick", "spruce"), "gypsum plaster is a room's finish"),
        (("vinyl wallpaper", "brick", "spruce"), "vinyl wallpaper is a room's finish"),
        (("gloss paint", PAINT, "brick", "spruce"), "latex paint"),
        (("polyethylene film 0.15 mm", BATT, "osb", "fibre cement"), "from inside to outside"),
    ],
)
def test_each_sign_is_told_by_its_layer(layers, said):
    with pytest.raises(InputError, match=said) as refused:
        assembly(*layers)
    assert "order_meant = true" in refused.value.problems[0].cure

"""Houses that do not join, do not sum or cannot be: each told at its line with a cure."""

import pytest
from house_texts import HOUSE, LAYER, house, house_problems, line_of

from case_texts import problems  # isort: skip

# old text, new text, a piece of the line that is named, part of the cause or the cure
WRONG = [
    # assemblies and spaces that join nothing
    ('outside = "attic"', 'outside = "atic"', "atic", "did you mean 'attic'"),
    ('inside = "wing"\nleak', 'inside = "barn"\nleak', "barn", "no space 'barn'"),
    ('outside = "porch"\ninside = "wing"\nleak', 'outside = "wing"\ninside = "wing"\nleak',
     'outside = "wing"', "joins nothing"),
    ('inside = "porch"\nazimuth', 'inside = "outdoors"\nazimuth', 'inside = "outdoors"',
     "outdoors"),
    ('name = "porch"\nvolume', 'name = "shed"\nvolume', 'inside = "porch"', "no space 'porch'"),
    ('[roof]', '[[zone]]\nname = "cellar"\nvolume = "9 m3"\n[roof]', "[[zone]]\nname = \"cellar\"",
     "no assembly joins it"),
    ('[roof]', '[[zone]]\nname = "attic"\nvolume = "9 m3"\n[roof]', 'name = "attic"\nvolume',
     "another space called 'attic'"),
    ('name = "wing"', 'name = "outdoors"', 'name = "outdoors"', "another space"),
    ('outside = "attic"\nleak', 'outside = "attic"\nsheltered = false\nleak',
     "sheltered = false", "neither sun"),
    # the air's ways
    ('size = "0.2 m2"\ninside = "attic"', 'size = "0.2 m2"\ninside = "attics"',
     'inside = "attics"', "did you mean 'attic'"),
    ('on = "Hatch"', 'on = "Hach"', 'on = "Hach"', "did you mean 'Hatch'"),
    ('size = "0.2 m2"', 'size = "-0.2 m2"', "-0.2", "out of range"),
    ('size = "1/4 in x 36 in"', 'size = "-1/4 in x 36 in"', "-1/4", "out of range"),
    ('size = "attic hatch"', 'size = "atic hatch"', "atic hatch", "did you mean 'attic hatch'"),
    ('size = "exterior door"', 'size = "3 x door, 2 m"', "3 x door", "counted by"),
    ('size = "0.2 m2"', "size = 3", "size = 3", "no size"),
    ('size = "0.2 m2"', 'size = "0.2 m2"\nexponent = 0.6', "exponent", "root of pressure"),
    ('size = "0.2 m2"', 'size = "0.2 m2"\nweight = 2', "weight = 2\ninside", "a size and a weight"),
    ("weight = 2", "weight = -1", "weight = -1", "out of range"),
    ('height = "5 m"\n', "", '[[opening]]\nname = "ridge vent"', "its height is not known"),
    ('height = "1.5 m"\n', "", '[[opening]]\nname = "slot"', "to 'Porch wall'"),
    ('tilt = "0 deg"', 'tilt = "30 deg"', "30 deg", "where it faces"),
    ('outside = "porch"\nheight', 'outside = "porch"\nfacing = "0 deg"\nheight',
     'facing = "0 deg"\nheight = "1 m"', "no wind presses"),
    ('name = "slot"', 'name = "hatch"', 'name = "hatch"\nsize = "1/4', "another opening"),
    ('flow = "20 L/s"', 'name = "supply"\nflow = "20 L/s"', 'name = "supply"\nflow = "15',
     "another fan called"),
    ('[blower_door]\nair_changes = "6 ACH50"\nvolume = "300 m3"\n', "",
     '[[opening]]\nname = "joints"', "it has no size"),
    ('"6 ACH50"', '"0.05 ACH50"', "[blower_door]", "nothing is left"),
    ('volume = "300 m3"', "", "ACH50", "'volume' is missing"),
    ('volume = "300 m3"', 'flow = "1 m3/s at 50 Pa"', "[blower_door]", "two figures"),
    ('"6 ACH50"', '"6"', '"6"', "no unit"),
    ('air_changes = "6 ACH50"\nvolume = "300 m3"', 'flow = "1200 cfm"', "1200 cfm",
     "at what pressure"),
    ('from = "room"', 'from = "rom"', '"rom"', "did you mean 'room'"),
    ('from = "porch"', 'from = "wing"', 'to = "wing"', "joins nothing"),
    ('flow = "15 L/s"', 'flow = "15 L"', "15 L", "volume"),
    ('zone = "attic"', 'zone = "room"', 'zone = "room"', "no zone 'room'"),
    ('full_load_temperature = "-25 degC"', 'full_load_temperature = "30 degC"',
     "[[ducts]]", "supply heats"),
    ('supply_leak = "11 %"', 'supply_leak = "-11 %"', "-11 %", "out of range"),
    ('supply_leak = "11 %"', 'supply_leek = "11 %"', "leek", "did you mean 'supply_leak'"),
    ('on = "Porch wall"', 'on = "Porch wall"\nwets = "lining"', 'wets = "lining"',
     "not one of the solid layers of Porch wall"),
    ('on = "Porch wall"', 'on = "Porch wall"\nwets = { layer = "board sheathing, softwood", '
     'path = "studs" }', "wets", "no path 'studs'"),
    ('tilt = "0 deg"\nheight = "5 m"', 'height = "5 m"\nwets = "boards"', "wets = \"boards\"",
     "of which assembly"),
    ('on = "Porch wall"', 'on = "Porch wall"\nwets = { assembly = "Floor", '
     'layer = "board sheathing, softwood" }', "wets", "not by Floor"),
    ('zone = "porch"', 'zone = "wing"', 'zone = "wing"', "no zone 'wing'"),
    ('insulation = "1 in"', 'insulation = "1 in"\ninner_diameter = "30 mm"', "[[pipe]]",
     "as wide as the pipe"),
    # the roof and its shares
    ('part = "north slope"', 'part = "slope north"', "slope north", "its parts are"),
    ('part = "north slope"', 'part = "south slope"', 'part = "south slope"\ninside = "attic"\n'
     'solar_absorptance = 0.85\nemittance = 0.9\nleak = "none"\n' + LAYER
     + '\n[[assembly]]\nname = "Floor"', "two assemblies take the rest"),
    ('area = "0.5 m2"', 'area = "80 m2"', 'part = "attic floor"\narea', "the attic floor has 80"),
    ('area = "0.5 m2"\n', "", 'part = "attic floor"\noutside = "attic"\nleak = "none"\n' + LAYER
     + '\n[[assembly]]\nname = "Porch', "two assemblies take the rest"),
    ('name = "Floor"', 'name = "Floor"\narea = "70 m2"', 'part = "attic floor"\narea',
     "leave the area of one out"),
    ('pitch = "6/12"', 'pitch = "6/10"', "6/10", ""),
    ('pitch = "6/12"', 'pitch = "89 deg"', "89 deg", "no pitch"),
    ('form = "gable"', 'form = "dome"', "dome", "accepted values"),
    ('ridge = "east-west"', 'ridge = "along"', "along", "no direction"),
    ('length = "10 m"', "", "[roof]", "'length' is missing"),
    ('name = "porch"\nvolume = "20 m3"', 'name = "porch"', '[[zone]]\nname = "porch"',
     "only 'attic' is the attic"),
    ('area = "12 m2"\ntilt', "tilt", '[[assembly]]\nname = "Porch wall"', "'area' is missing"),
    ('ridge = "east-west"', 'ridge = "east-west"\nknee_wall = "2.1 m"', "[roof]",
     "height of the ridge"),
    ('volume = "20 m3"', 'part = "south knee space"', 'part = "south knee space"',
     "give it a knee_wall"),
    # rooms that follow one another
    ('humidity = "35 %"', 'humidity = { as = "wing" }', 'humidity = { as = "wing" }', "ring"),
    ('{ as = "room" }', '{ as = "wing" }', '{ as = "wing" }', "ring: wing as wing"),
    ('{ as = "room" }', '{ as = "rooom" }', "rooom", "did you mean 'room'"),
    ('humidity = "35 %"', 'humidity = { volume = "90 m3", air_changes = "1 1/h", '
     'generation = "5 L/day" }', '{ as = "room" }', "moisture balance"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "line", "said"), WRONG)
def test_what_is_wrong_is_named_with_its_line(old, new, line, said, tmp_path):
    found = house_problems(old, new, tmp_path)
    text = house(old, new)
    told = [one for one in found if said in f"{one.cause}; {one.cure}"]
    assert told, [str(one) for one in found]
    assert line_of(text, line) in [one.line for one in told], [str(one) for one in told]


def test_two_zones_that_only_join_each_other_are_both_told(tmp_path):
    text = house('inside = "wing"\nleak', 'inside = "loft"\nleak').replace(
        "[roof]", '[[zone]]\nname = "loft"\nvolume = "9 m3"\n[roof]', 1
    )
    text = text.replace('inside = "porch"\nazimuth', 'inside = "loft"\noutside = "porch"\nazimuth')
    found = problems(text, tmp_path)
    lost = [one for one in found if "no assembly joins it" in one.cause]
    assert [one.line for one in lost] == [
        line_of(text, f'[[zone]]\nname = "{name}"') for name in ("porch", "loft")
    ]


def test_a_zone_whose_air_has_no_way_outdoors_is_told(tmp_path):
    """Its ridge vent gone, the attic still has the hatch into the rooms; without that, nothing."""
    vent = HOUSE[HOUSE.index('[[opening]]\nname = "ridge') : HOUSE.index("[blower_door]")]
    hatch = HOUSE[
        HOUSE.index('[[opening]]\nname = "hatch') : HOUSE.index('[[opening]]\nname = "sl')
    ]
    fan = '[[fan]]\nflow = "1 L/s"\nfrom = "room"\nto = "attic"\n'
    (tmp_path / "sound").mkdir()
    text = HOUSE.replace(vent, "").replace(hatch, "").replace("[[ducts]]", f"{fan}[[ducts]]")
    (found,) = problems(text, tmp_path / "sound")
    assert "leads from 'attic' outdoors" in found.cause
    assert found.line == line_of(text, '[[zone]]\nname = "attic"')


def test_all_is_told_at_once(tmp_path):
    text = HOUSE.replace('on = "Hatch"', 'on = "Hach"').replace('from = "room"', 'from = "rom"')
    text = text.replace('zone = "attic"', 'zone = "attics"')
    assert len(problems(text, tmp_path)) == 3


def test_a_part_without_a_roof_and_a_zone_without_a_volume_are_told(tmp_path):
    roof = HOUSE[HOUSE.index("[roof]") : HOUSE.index("[[assembly]]")]
    found = problems(HOUSE.replace(roof, ""), tmp_path)
    assert {one.cause for one in found} == {
        "there is no roof to be a part of",
        "'volume' is missing",
    }

"""What a case file says of a house, and what follows from it."""

import math
from pathlib import Path

import pytest
from case_texts import problems
from house_texts import HOUSE, house

import assembly_sim as sim
from assembly_sim.boundary.openings import law
from assembly_sim.boundary.tested import sized_in_house
from assembly_sim.files.case.read import schema, starting_case
from assembly_sim.model import Constant, Fan, MeasuredFlow, Opening, Side
from assembly_sim.model.opening import FreeArea, Gap, LeakageArea, Unsized, Wetted
from assembly_sim.solver.identity import case_sha256
from assembly_sim.verdict.cautions import cautions, first_cautions

EXAMPLE = Path(__file__).parents[2] / "examples" / "cold_attic.toml"
HALF = math.pi / 2


def read(text, folder):
    path = folder / "house.toml"
    path.write_text(text)
    return sim.read_case(path)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return read(HOUSE, tmp_path_factory.mktemp("house"))


def named(items, name):
    return next(one for one in items if one.name == name)


def test_parts_of_a_roof_have_the_sizes_of_plane_geometry(made):
    """10 m by 8 m at 6 in 12: rise 2 m, rafters the root of 20 m; the hatch leaves the rest."""
    north, south = (named(made.assemblies, f"{one} slope") for one in ("North", "South"))
    assert north.area == south.area == pytest.approx(10 * math.sqrt(20))
    assert north.outer.tilt == pytest.approx(math.atan(0.5))
    assert (north.outer.azimuth, south.outer.azimuth) == pytest.approx((0.0, math.pi))
    assert north.outer.height == pytest.approx(4.0)
    floor, hatch = named(made.assemblies, "Floor"), named(made.assemblies, "Hatch")
    assert (floor.area, hatch.area) == pytest.approx((79.5, 0.5))
    assert (floor.outer.tilt, floor.outer.height) == (0.0, 3.0)
    assert named(made.zones, "attic").volume == pytest.approx(10 * 8 * 2 / 2)
    assert named(made.zones, "porch").volume == 20.0


def test_a_hip_roof_and_a_turned_ridge(tmp_path):
    """A pyramid holds a third of its box; a ridge from north to south has slopes east, west."""
    text = house('form = "gable"', 'form = "hip"').replace('length = "10 m"', 'length = "8 m"')
    made = read(text, tmp_path)
    assert named(made.zones, "attic").volume == pytest.approx(8 * 8 * 2 / 3)
    turned = house('ridge = "east-west"', 'ridge = "north-south"')
    turned = turned.replace('"north slope"', '"east slope"').replace(
        '"south slope"', '"west slope"'
    )
    slope = named(read(turned, tmp_path).assemblies, "North slope")
    assert slope.outer.azimuth == pytest.approx(HALF)


def test_the_space_behind_a_knee_wall_has_its_sizes(tmp_path):
    """1 m high under 6 in 12 along 10 m: 2 m deep, 10 m3; the slope keeps the rest of its area."""
    text = house('ridge = "east-west"', 'ridge = "east-west"\nknee_wall = "1 m"')
    text = text.replace(
        'name = "porch"\nvolume = "20 m3"', 'name = "porch"\npart = "south knee space"'
    )
    text = text.replace('part = "attic floor"\noutside', 'part = "south knee floor"\noutside', 1)
    text = text.replace('part = "attic floor"\narea', 'part = "south knee floor"\narea', 1)
    text = text.replace('area = "12 m2"\ntilt = "90 deg"\n', 'part = "south knee slope"\n', 1)
    made = read(text, tmp_path)
    attic, porch = made.zones
    assert porch.volume == pytest.approx(10.0)
    assert attic.volume == pytest.approx(80.0 - 20.0)
    by_name = {one.name: one for one in made.assemblies}
    behind, above = by_name["Porch wall"], by_name["South slope"]
    assert behind.area == pytest.approx(10.0 * math.sqrt(5.0))
    assert above.area + behind.area == pytest.approx(10.0 * math.sqrt(20.0))
    assert behind.outer.tilt == pytest.approx(math.atan(0.5))
    assert by_name["Floor"].area + by_name["Hatch"].area == pytest.approx(20.0)
    assert any("south knee east end of the roof" in note for note in made.unstated)
    assert not any("attic floor of the roof" in note for note in made.unstated)
    lost = problems(text.replace("south knee space", "south knee spce"), tmp_path)
    assert "did you mean 'south knee space'" in str(lost[0])


def test_what_lies_beneath_a_zone_is_sheltered_and_needs_no_side(made):
    assert [one.outer.sheltered for one in made.assemblies] == [
        False,
        False,
        True,
        True,
        False,
        True,
    ]
    joins = [(one.outside, one.inside) for one in made.assemblies]
    assert joins[0] == ("outdoors", "attic")
    assert joins[2] == ("attic", "room")
    assert joins[5] == ("porch", "wing")


def test_a_room_may_follow_another(made):
    wing = made.more_rooms[0]
    assert (wing.name, wing.temperature) == ("wing", Constant(283.15))
    assert wing.humidity == made.room.humidity


def test_an_opening_on_an_assembly_is_where_that_is(made):
    assert named(made.openings, "hatch") == Opening(
        "hatch", LeakageArea(30e-4), 3.0, None, "room", "attic"
    )
    slot = named(made.openings, "slot")
    assert (slot.inside, slot.outside, slot.height) == ("porch", "outdoors", 1.5)
    assert slot.side == Side(HALF, HALF)
    assert isinstance(slot.shape, Gap)
    assert (slot.shape.width, slot.shape.length) == pytest.approx((0.00635, 0.9144))
    assert named(made.openings, "porch door").side is None
    assert named(made.openings, "ridge vent").side == Side(0.0, 0.0)


def test_a_blower_door_in_every_spelling(made, tmp_path):
    """6 air changes an hour of 300 m3 are 0.5 m3/s; 1 cfm is a cubic foot a minute."""
    assert made.blower_door == MeasuredFlow(0.5, 50.0, 0.65)
    old = 'air_changes = "6 ACH50"\nvolume = "300 m3"'
    cfm = 1200 * 0.3048**3 / 60
    for told, flow in (
        ('flow = "1200 cfm at 50 Pa"', cfm),
        ('flow = "1200 CFM50"', cfm),
        ('flow = "500 L/s at 50 Pa"\nexponent = 0.6', 0.5),
        ('air_changes = "6 1/h at 50 Pa"\nvolume = "300 m3"', 0.5),
    ):
        found = read(house(old, told), tmp_path).blower_door
        assert found.flow == pytest.approx(flow)
        assert found.exponent == (0.6 if "0.6" in told else 0.65)


def test_a_test_of_the_rooms_counts_no_vent_of_the_attic(made):
    """What passes the rooms' walls adds up to the figure, by weight; the ridge vent stays apart."""
    sized = sized_in_house(made.openings, ["room", "wing"], made.blower_door)
    flows = {one.name: law(one.shape).flow(50.0) for one in sized}
    tested = ("hatch", "porch door", "joints", "more joints")
    assert sum(flows[name] for name in tested) == pytest.approx(0.5)
    assert flows["joints"] == pytest.approx(2.0 * flows["more joints"])
    assert named(sized, "ridge vent").shape == FreeArea(0.2)
    assert [one.name for one in sized] == [one.name for one in made.openings]


def test_fans_blow_from_one_space_to_another(made):
    assert made.fans == (Fan(-0.02, "room", name="fan"), Fan(0.015, "wing", "porch", "supply"))
    assert [one.way for one in made.fans] == [("room", "outdoors"), ("porch", "wing")]


def test_an_opening_may_wet_a_layer(tmp_path):
    """Of the assembly it is on, or of one beside the zone that its air comes into."""
    own = 'on = "Porch wall"\nwets = "board sheathing, softwood"'
    made = read(house('on = "Porch wall"', own), tmp_path)
    board = "board sheathing, softwood"
    assert named(made.openings, "slot").wets == Wetted("Porch wall", board)
    assert any("over all its area" in note for note in made.unstated)
    above = f'on = "Hatch"\nwets = {{ assembly = "North slope", layer = "{board}" }}'
    made = read(house('on = "Hatch"', above), tmp_path)
    assert named(made.openings, "hatch").wets == Wetted("North slope", board)


def test_ducts(made):
    (ducts,) = made.ducts
    assert (ducts.name, ducts.zone, ducts.room) == ("ducts", "attic", "room")
    assert (ducts.supply_leak, ducts.return_leak) == (0.11, 0.0)
    assert ducts.full_load_temperature == pytest.approx(248.15)
    assert ducts.resistance == pytest.approx(8 * 0.17611, rel=1e-4)


def test_a_pipe_of_half_an_inch(made):
    """Schedule 40, 1/2 in: 0.622 in of bore, 0.840 in across (ASME B36.10, from memory)."""
    (pipe,) = made.pipes
    assert (pipe.name, pipe.zone) == ("tap", "porch")
    assert pipe.inner_diameter == pytest.approx(0.622 * 0.0254, abs=1e-4)
    assert pipe.outer_diameter == pytest.approx(0.840 * 0.0254, abs=1e-4)
    assert pipe.insulation == pytest.approx(0.0254)
    assert "pipe tap: of half an inch" in made.unstated


def test_what_nobody_measured_or_said_is_told(made):
    told = "\n".join(made.unstated)
    assert "opening hatch: nobody measured it; 'attic hatch' is a preset" in told
    assert "opening joints: nobody measured it; it has a share of the blower door's" in told
    assert "opening slot" not in told
    assert "ducts: no air leaks from the return" in told
    assert "attic: nothing stands in it" in told
    assert "no assembly is the east gable of the roof: nothing passes there" in told
    assert "blower door: flow by pressure to the power 0.65" in told
    assert "neutral level" not in told


def test_a_leak_of_a_house_says_where_it_is(tmp_path):
    text = house('inside = "wing"\nleak = "none"', 'inside = "wing"')
    told = read(text, tmp_path).unstated
    assert "Door wall: {5.0 height} above ground" in told
    assert any(one.startswith("Door wall: air leak") for one in told)


@pytest.mark.parametrize("name", ["rafter_bay_foam", "attic_floor", "gable_wall"])
def test_a_case_of_one_room_is_as_before(name):
    case = sim.read_case(EXAMPLE.with_name(f"{name}.toml"))
    assert not case.breathes
    assert {one.inside for one in case.assemblies} == {"room"}


def test_the_example_is_a_house_of_two_paths_and_ten_openings():
    case = sim.read_case(EXAMPLE)
    assert len(case.assemblies) == 6
    assert len(case.openings) == 10
    assert sum(one.area for one in case.assemblies if one.outside == "attic") == pytest.approx(108)
    vents = [one.shape.area for one in case.openings if one.inside == "attic"]
    assert sum(vents) == pytest.approx(108 / 300)


def test_a_starting_house_is_sound(tmp_path):
    case = read(starting_case("my house", house=True), tmp_path)
    assert case.name == "my house"
    assert case.breathes


def test_a_fan_into_an_attic_is_called_a_defect(made, tmp_path):
    assert not any("fan of this case" in one for one in cautions(made))
    bad = read(house('to = "outdoors"', 'to = "attic"'), tmp_path)
    assert any("fan of this case" in one for one in cautions(bad))
    assert any(one.startswith("Defect: a fan") for one in first_cautions(bad))
    into_rooms = read(house('to = "outdoors"', 'to = "wing"'), tmp_path)
    assert not any("fan of this case" in one for one in cautions(into_rooms))


FIELDS = [
    ('volume = "20 m3"', 'volume = "21 m3"'),
    ('temperature = "10 degC"', 'temperature = "11 degC"'),
    ('pitch = "6/12"', 'pitch = "7/12"'),
    ('size = "attic hatch"', 'size = "attic hatch, tight"'),
    ("weight = 2", "weight = 3"),
    ('height = "5 m"', 'height = "5.1 m"'),
    ('"6 ACH50"', '"5 ACH50"'),
    ('flow = "15 L/s"', 'flow = "16 L/s"'),
    ('supply_leak = "11 %"', 'supply_leak = "10 %"'),
    ('outside = "porch"\ninside = "wing"', 'outside = "porch"\ninside = "room"'),
]


@pytest.mark.parametrize(("old", "new"), FIELDS)
def test_every_field_is_part_of_the_identity(old, new, made, tmp_path):
    assert case_sha256(read(house(old, new), tmp_path)) != case_sha256(made)


def test_two_spellings_are_one_house(made, tmp_path):
    other = read(house('pitch = "6/12"', 'pitch = "6:12"'), tmp_path)
    assert other == made
    assert case_sha256(other) == case_sha256(made)


def test_a_base_is_changed_by_names(tmp_path):
    (tmp_path / "below.toml").write_text(HOUSE)
    made = read(
        'base = "below.toml"\nname = "sealed"\n[roof]\npitch = "8/12"\n'
        '[blower_door]\nair_changes = "3 ACH50"\n'
        '[change.opening."hatch"]\nsize = "attic hatch, tight"\n'
        '[change.opening."joints"]\nsize = "20 cm2"\n'
        '[change.zone."porch"]\nair_changes = "2 1/h"\n'
        '[change.other_room."wing"]\nhumidity = "50 %"\n'
        '[change."Door wall"]\narea = "8 m2"\n',
        tmp_path,
    )
    assert named(made.openings, "hatch").shape.area == pytest.approx(18e-4)
    assert isinstance(named(made.openings, "joints").shape, FreeArea)
    assert named(made.openings, "more joints").shape == Unsized(1.0)
    assert named(made.zones, "porch").air_changes == 2.0
    assert made.more_rooms[0].humidity == Constant(0.5)
    assert named(made.assemblies, "Door wall").area == 8.0
    assert named(made.assemblies, "North slope").outer.tilt == pytest.approx(math.atan(8 / 12))
    assert made.blower_door.flow == pytest.approx(0.25)


def test_the_schema_knows_the_tables():
    known = schema()["properties"]
    assert {"zone", "other_room", "roof", "opening", "fan", "ducts", "blower_door"} <= set(known)
    fan = schema()["$defs"]["FanText"]["properties"]
    assert {"from", "to"} <= set(fan)

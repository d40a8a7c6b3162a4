"""Changes of a house: by path in Python, in words of the case file, and what sealing leaves."""

import pickle

import pytest
from case_texts import INTERNALS
from house_texts import HOUSE

import assembly_sim as sim
from assembly_sim.boundary.openings import law
from assembly_sim.boundary.tested import sized_in_house
from assembly_sim.changes import SealBetween, SealOpening, Set, Times, applied, plain
from assembly_sim.changes.opening_size import scaled
from assembly_sim.changes.path import value_at
from assembly_sim.errors import InputError
from assembly_sim.files.case.changes import from_table
from assembly_sim.files.case.text import load
from assembly_sim.model import Constant, FreeArea, MeasuredFlow
from assembly_sim.model.opening import Gap, LeakageArea, RoundHole, SquareHole
from assembly_sim.solver.identity import case_sha256

MATERIALS = sim.read_materials()
SHAPES = [
    *(Gap(0.006, 0.9), RoundHole(0.08), SquareHole(0.07), FreeArea(0.01)),
    *(LeakageArea(30e-4, 0.6), MeasuredFlow(0.5, 50.0, 0.7)),
]
CHANGES = [
    Set('zone."attic".air_changes', 2.0),
    Set('other_room."wing".temperature', 285.0),
    Set('opening."hatch".height', 3.1),
    Set('opening."slot".facing', 1.0),
    Set('fan."supply".flow', 0.03),
    Set('ducts."ducts".supply_leak', 0.02),
    Times('zone."porch".volume', 2.0),
    Times('opening."hatch".size', 0.5),
    SealOpening("joints", 0.8),
    SealOpening("hatch"),
    SealBetween("attic", "room", 0.9),
]


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    path = tmp_path_factory.mktemp("house") / "house.toml"
    path.write_text(HOUSE)
    return sim.read_case(path)


def at_fifty(case):
    """Flow (m3/s) at 50 Pa by opening, its sizes by the case's own test."""
    rooms = [one.name for one in case.rooms]
    sized = sized_in_house(case.openings, rooms, case.blower_door)
    return {one.name: law(one.shape).flow(50.0) for one in sized}


@pytest.mark.parametrize("change", CHANGES, ids=lambda one: plain(one.words))
def test_every_change_is_data_that_leaves_the_house_alone(change, made):
    before = case_sha256(made)
    changed = change.apply(made)
    assert case_sha256(made) == before != case_sha256(changed)
    assert pickle.loads(pickle.dumps(change)).apply(made) == changed
    assert "{" not in plain(change.words)


@pytest.mark.parametrize("shape", SHAPES, ids=lambda one: type(one).__name__)
@pytest.mark.parametrize("pressure", [1.0, 4.0, 50.0])
def test_a_scaled_shape_passes_that_share_at_every_pressure(shape, pressure):
    less = law(scaled(shape, 0.2)).flow(pressure)
    assert less == pytest.approx(0.2 * law(shape).flow(pressure), rel=1e-12)


@pytest.mark.parametrize("name", ["hatch", "joints", "ridge vent", "slot"])
@pytest.mark.parametrize("share", [0.0, 0.3, 1.0])
def test_sealing_one_leaves_the_others_as_they_were(name, share, made):
    """Though two share a blower door's figure: it was measured before anything was sealed."""
    before, after = at_fifty(made), at_fifty(SealOpening(name, share).apply(made))
    assert after.pop(name, 0.0) == pytest.approx((1.0 - share) * before.pop(name))
    assert after == pytest.approx(before, rel=1e-12)


def test_the_only_way_of_a_space_that_a_fan_blows_into_stays(made):
    """The wing's fan would fill it for ever: told as the option is read, not as it is run."""
    with pytest.raises(InputError, match="room wing: supply blow"):
        SealOpening("porch door", 1.0).apply(made)


def test_sealing_between_two_spaces_seals_no_vent(made):
    before, after = at_fifty(made), at_fifty(SealBetween("room", "attic", 0.9).apply(made))
    assert after["hatch"] == pytest.approx(0.1 * before["hatch"])
    assert after["ridge vent"] == before["ridge vent"]
    assert SealBetween("room", "attic", 0.9).apply(made) == SealBetween("attic", "room", 0.9).apply(
        made
    )


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda: SealOpening("hatch", 1.5), "no share"),
        (lambda: SealBetween("room", "attic", -0.1), "no share"),
        (lambda: SealOpening("hach"), "did you mean 'hatch'"),
        (lambda: SealBetween("attic", "wing"), "no opening is between"),
        (lambda: Set('zone."atic".volume', 3.0), "did you mean 'attic'"),
        (lambda: Set('zone."attic".volum', 3.0), "did you mean 'volume'"),
        (lambda: Set('zone."attic".volume', -3.0), "out of range"),
        (lambda: Set('opening."hatch".inside', "barn"), "no space 'barn'"),
        (lambda: Set('opening."hatch".facing', 1.0), "there is no side"),
        (lambda: Set('assembly."Floor".outside', "room"), "between room and room"),
        (lambda: Times('opening."joints".size', 2.0), "no number to multiply"),
    ],
)
def test_what_is_not_there_is_refused(change, said, made):
    with pytest.raises(sim.InputError, match=said):
        change().apply(made)


def read(text, case, folder):
    path = folder / "options.toml"
    path.write_text(f"[change]\n{text}\n")
    source = load(path)
    return from_table(source.entries["change"], case, source, ("change",), MATERIALS)


@pytest.mark.parametrize(
    ("text", "change"),
    [
        ('zone."attic".air_changes = "2 1/h"', Set('zone."attic".air_changes', 2.0)),
        ('zone."porch".volume_times = 2', Times('zone."porch".volume', 2.0)),
        ('opening."hatch".seal = "80 %"', SealOpening("hatch", 0.8)),
        ('opening."hatch".size = "20 cm2"', Set('opening."hatch".size', FreeArea(20 * 1e-4))),
        ('opening."hatch".size_times = 0.5', Times('opening."hatch".size', 0.5)),
        ('opening."joints".weight = 3', Set('opening."joints".weight', 3.0)),
        ('fan."supply".flow = "30 L/s"', Set('fan."supply".flow', 30 * 1e-3)),
        ('ducts."ducts".return_leak = "5 %"', Set('ducts."ducts".return_leak', 0.05)),
        ('other_room."wing".humidity = "50 %"', Set('other_room."wing".humidity', Constant(0.5))),
        (
            'seal_between = [{ one = "room", other = "attic", share = "90 %" }]',
            SealBetween("room", "attic", 0.9),
        ),
        ('seal_between = { one = "room", other = "attic" }', SealBetween("room", "attic")),
        ('assembly."Door wall".inside = "room"', Set('assembly."Door wall".inside', "room")),
    ],
)
def test_a_table_tells_a_change(text, change, made, tmp_path):
    (found,) = read(text, made, tmp_path)
    assert found == change
    assert applied(made, found) != made


def test_a_room_is_made_to_follow_another(made, tmp_path):
    (found,) = read('other_room."wing".temperature = { as = "room" }', made, tmp_path)
    assert found == Set('other_room."wing".temperature', made.room.temperature)
    (test,) = read('blower_door = { flow = "300 L/s at 50 Pa" }', made, tmp_path)
    assert value_at(applied(made, test), ("blower_door", "flow")) == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('zone."attic".volum = "2 m3"', "did you mean 'volume'"),
        ('zone."atic".volume = "2 m3"', "did you mean 'attic'"),
        ('zone."attic".volume = "-2 m3"', "out of range"),
        ('zone = "attic"', "no table"),
        ('opening."hatch".seal = "120 %"', "out of range"),
        ('opening."hatch".size = "atic hatch"', "did you mean 'attic hatch'"),
        ('opening."hatch".sise = "20 cm2"', "did you mean 'size'"),
        ('opening."hatch".on = "Floor"', "unknown entry"),
        ('openings."hatch".seal = "80 %"', "did you mean 'opening'"),
        ('seal_between = [{ one = "room" }]', "'other' is missing"),
        ('seal_between = [{ one = "room", other = "loft" }]', "no opening is between"),
        ('seal_between = [{ one = "room", other = "attic", shar = 1 }]', "'share'"),
        ('blower_door = { flow = "300 L/s" }', "at what pressure"),
        ('other_room."wing".temperature = { as = "barn" }', "no room 'barn'"),
        ('assembly."Floor".part = "attic floor"', "unknown entry"),
    ],
)
def test_a_fault_in_a_table_is_told_at_its_line(text, said, made, tmp_path):
    with pytest.raises(sim.InputError) as refused:
        read(text, made, tmp_path)
    told = refused.value.problems[0]
    assert said in f"{told.cause}; {told.cure}", str(told)
    assert told.line == 2
    assert not [word for word in INTERNALS if word in f"{told.cause}{told.cure}".lower()]

"""Each change does what it says, leaves the case as it was, and touches nothing else."""

import dataclasses
import math
import pickle

import numpy as np
import pytest

from assembly_sim.changes import (
    AddLayer,
    ChangeSheet,
    FillCavity,
    RemoveLayer,
    Seal,
    Set,
    Times,
    WinterHumidity,
    applied,
    plain,
)
from assembly_sim.changes.path import path_of, spelled, value_at
from assembly_sim.changes.room import room_columns, winter_humidity
from assembly_sim.envelope.airways import airways
from assembly_sim.envelope.rain import drainage_plane
from assembly_sim.errors import InputError
from assembly_sim.model import (
    USUAL_LEAK,
    AirLayer,
    Constant,
    Layer,
    Membrane,
    MoistureBalance,
    Points,
    Room,
    Sheet,
)
from assembly_sim.solver.identity import case_sha256
from tests import synthetic

CASE = synthetic.case()
FIRST = CASE.assemblies[0]
ROOF = 'assembly."rafter bay"'
COLD = int(CASE.climate.temperature.argmin())
WARM = int(CASE.climate.temperature.argmax())
PAPER = Sheet("paper", synthetic.flat(1e-11), air_permeance=1.0)
EVERY = (
    Set(f"{ROOF}.layer.fill.thickness", 0.2),
    Set("climate", dataclasses.replace(CASE.climate, rain=None)),
    Set(f"{ROOF}.leak", None),
    Times(f"{ROOF}.leak", 2.0),
    Times("material.batt.conductivity", 1.1),
    AddLayer("rafter bay", Layer("foam", synthetic.BATT, 0.05), "deck"),
    RemoveLayer("rafter bay", "foil"),
    FillCavity("rafter bay", "gap", synthetic.BATT),
    ChangeSheet("rafter bay", "foil", PAPER),
    Seal("rafter bay", 0.8),
    WinterHumidity(0.05),
)


@pytest.mark.parametrize("change", EVERY, ids=lambda one: type(one).__name__)
def test_every_change_is_data_that_leaves_the_case_alone(change):
    before = case_sha256(CASE)
    made = change.apply(CASE)
    assert case_sha256(CASE) == before != case_sha256(made)
    again = pickle.loads(pickle.dumps(change))
    assert again == change
    assert hash(again) == hash(change)
    assert again.apply(CASE) == made
    assert "{" not in plain(change.words)


def test_words_wait_for_their_units():
    thicker = Set(f"{ROOF}.layer.fill.thickness", 0.0508)
    assert plain(thicker.words) == "rafter bay, fill: thickness 50.8 mm"
    assert plain(thicker.words, "ip") == "rafter bay, fill: thickness 2.00 in"
    assert plain(Times("material.batt.conductivity", 1.2).words) == "batt: conductivity times 1.2"
    assert plain(Seal("rafter bay", 0.8).words) == "rafter bay: 80.0 % of the air leak sealed"
    assert plain(Set("room.humidity.mean", 0.4).words) == "room humidity mean 40.0 %"
    added = AddLayer("rafter bay", Layer("new", synthetic.BATT, 0.05), 1)
    assert plain(added.words) == "rafter bay: 50.0 mm of batt outside layer 2"
    odd = Set('assembly."{0}".azimuth', math.pi)
    assert plain(odd.words) == "{0}: azimuth 180.0 deg"


def test_a_path_reads_back():
    path = ("assembly", 'North "roof"', "layer", "foam, 2 in", "thickness")
    assert path_of(spelled(path)) == path
    for wrong in ("", "a b", "a.", "a = 1\nb", "a]"):
        with pytest.raises(InputError, match="no path"):
            path_of(wrong)


@pytest.mark.parametrize(
    ("path", "value", "where"),
    [
        ("starting_humidity", 0.9, lambda case: case.starting_humidity),
        ("code_edition", "2021", lambda case: case.code_edition),
        ("code_zone", "6", lambda case: case.code_zone),
        ("years", 4, lambda case: case.years),
        ("thresholds.mould_index", 2.0, lambda case: case.thresholds.mould_index),
        ("room.temperature.mean", 293.0, lambda case: case.room.temperature.mean),
        ("room.humidity", 0.5, lambda case: case.room.humidity.value),
        (f"{ROOF}.area", 30.0, lambda case: case.assemblies[0].area),
        (f"{ROOF}.azimuth", math.pi, lambda case: case.assemblies[0].outer.azimuth),
        (f"{ROOF}.leak_exponent", 0.7, lambda case: case.assemblies[0].leak.exponent),
        (f"{ROOF}.layer.gap.air", 0.03, lambda case: case.assemblies[0].layers[3].thickness),
        (f"{ROOF}.layer.deck.starting_humidity", 0.95, lambda case: case.assemblies[0].layers[0]
         .starting_humidity),
        (f"{ROOF}.layer.fill.bridges.framing.material", synthetic.BATT,
         lambda case: case.assemblies[0].layers[2].bridges[0].material),
        (f"{ROOF}.layer.foil.membrane", PAPER, lambda case: case.assemblies[0].layers[1].sheet),
    ],
)  # fmt: skip
def test_a_field_by_its_path_and_no_other(path, value, where):
    made = Set(path, value).apply(CASE)
    assert where(made) == value != where(CASE)
    back = Set(path, value_at(CASE, path_of(path))).apply(made)
    assert back == CASE


def test_a_measured_moisture_content_becomes_the_humidity_of_its_storage():
    wet = Set(f"{ROOF}.layer.deck.starting_moisture_content", 0.14).apply(CASE)
    # the invented board holds 70 kg/m3 at 80 %, of 500 kg/m3
    assert wet.assemblies[0].layers[0].starting_humidity == pytest.approx(0.80, abs=0.002)
    for layer, content, why in (("deck", 9.0, "cannot hold"), ("fill", 0.1, "holds no water")):
        with pytest.raises(InputError, match=why):
            Set(f"{ROOF}.layer.{layer}.starting_moisture_content", content).apply(CASE)


def test_a_material_is_changed_wherever_it_is():
    made = Times("material.board.conductivity", 2.0).apply(CASE)
    deck, _, fill, _, lining = made.assemblies[0].layers
    for board in (deck.material, fill.bridges[0].material, lining.material):
        assert board.conductivity == Points((0.0,), (0.24,))
    assert fill.material == synthetic.BATT
    halved = Times("material.foil.permeance", 0.5).apply(CASE)
    assert halved.assemblies[0].layers[1].sheet.permeance.y == (5e-13,)
    assert Set("material.board.conductivity", 0.2).apply(CASE).assemblies[0].layers[
        0
    ].material.conductivity == Points((0.0,), (0.2,))


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (Set('assembly."rafter bey".area', 1.0), "did you mean 'rafter bay'"),
        (Set(f"{ROOF}.layer.fills.thickness", 0.1), "did you mean 'fill'"),
        (Set(f"{ROOF}.layer.fill.thicknes", 0.1), "did you mean 'thickness'"),
        (Set(f"{ROOF}.azimut", 0.1), "did you mean 'azimuth'"),
        (Set("room.humidity.mean", 0.4), "Constant has no 'mean'"),
        (Set("starting_humiditty", 0.4), "did you mean 'starting_humidity'"),
        (Set("text", "other"), "Case has no 'text'"),
        (Set("code_edition", 2021.0), "is a float; give a text"),
        (Set("code_edition", "21"), "is no edition"),
        (Times("material.bord.density", 1.1), "did you mean 'board'"),
        (Times("material.board", 1.1), "names no field"),
        (Times("name", 1.1), "no number to multiply"),
        (Times("room", 1.1), "name one of its fields"),
        (Set(f"{ROOF}.layer.fill.thickness", -0.1), "out of range"),
        (Set(f"{ROOF}.layer.fill.thickness", math.nan), "out of range"),
        (Set(f"{ROOF}.layer.fill.material", "spruce"), "is a str; give Material"),
        (Set(f"{ROOF}.layer.fill.material", None), "is None; give Material"),
        (Set(f"{ROOF}.layer", 3), "is an int; give a tuple, each item Layer or"),
        (Set(("assembly", "rafter bay", "layer", 9, "thickness"), 0.1), "there are 5"),
        (RemoveLayer("rafter bay", "foam"), "nothing is called 'foam'"),
        (FillCavity("rafter bay", "fill", synthetic.BATT), "is no air layer; there are: gap"),
        (AddLayer("rafter bay", Layer("x", synthetic.BATT, 0.05), "dek"), "did you mean 'deck'"),
    ],
)
def test_what_is_not_there_or_cannot_be(change, why):
    with pytest.raises(InputError, match=why):
        change.apply(CASE)


@pytest.mark.parametrize(
    "make", [lambda: Seal("a", 1.5), lambda: Times("years", -1.0), lambda: WinterHumidity(5.0)]
)
def test_a_change_that_could_never_be(make):
    with pytest.raises(InputError):
        make()


def test_a_damper_room_is_damper_in_winter_and_as_it_was_in_summer():
    before = room_columns(CASE)[1]
    after = room_columns(WinterHumidity(0.05).apply(CASE))[1]
    assert after[COLD] - before[COLD] == pytest.approx(0.05, abs=0.001)
    assert after[WARM] - before[WARM] == pytest.approx(0.0, abs=0.001)
    assert winter_humidity(CASE) == pytest.approx(0.40)
    shown = winter_humidity(WinterHumidity(0.05).apply(CASE))
    assert shown == pytest.approx(0.45, abs=0.006)  # the season's mean lies below its middle


def test_sealing_a_leak_raises_the_humidity_of_a_room_with_a_moisture_balance():
    room = Room(Constant(294.15), MoistureBalance(300.0, 0.1, 2e-5))
    leaky = dataclasses.replace(CASE, room=room)
    assert winter_humidity(Seal("rafter bay", 1.0).apply(leaky)) > winter_humidity(leaky) + 0.005


def test_an_option_as_a_case_of_its_own_leaves_the_room_of_the_first_alone():
    """Set beside the first as a part of one house, its leak would dry the room of both."""
    room = Room(Constant(294.15), MoistureBalance(300.0, 0.1, 2e-5))
    first = dataclasses.replace(CASE, room=room)
    option = Set(f"{ROOF}.layer.fill.thickness", 0.2).apply(first)
    np.testing.assert_array_equal(room_columns(option)[1], room_columns(first)[1])
    twin = dataclasses.replace(option.assemblies[0], name="option")
    house = dataclasses.replace(first, assemblies=(FIRST, twin))
    assert winter_humidity(house) < winter_humidity(first) - 0.005


def test_leaks_by_a_factor_and_by_a_share():
    assert Times(f"{ROOF}.leak", 2.0).apply(CASE).assemblies[0].leak.flow == pytest.approx(4e-4)
    assert Seal("rafter bay", 0.75).apply(CASE).assemblies[0].leak.flow == pytest.approx(5e-5)
    tight = Seal("rafter bay", 1.0).apply(CASE)
    assert tight.assemblies[0].leak is None
    with pytest.raises(InputError, match="there is no leak"):
        Seal("rafter bay", 0.5).apply(tight)
    assert Set(f"{ROOF}.leak", USUAL_LEAK).apply(tight).assemblies[0].leak.flow == 2e-4


def test_what_replaces_a_sheet_is_as_airtight_as_that_was():
    after = ChangeSheet("rafter bay", "foil", PAPER).apply(CASE).assemblies[0]
    assert after.layers[1].sheet is PAPER
    assert airways(after) == airways(FIRST)


def test_a_sheet_is_put_in_where_there_is_none():
    after = ChangeSheet("rafter bay", "gap", PAPER).apply(CASE).assemblies[0]
    assert [type(layer) for layer in after.layers[2:4]] == [Layer, Membrane]
    assert after.layers[4:] == FIRST.layers[3:]
    assert airways(after).outward == airways(FIRST).outward


def test_leaked_rain_still_reaches_the_layer_it_did():
    rained = Set(f"{ROOF}.leaked_rain_layer", "foil").apply(CASE)
    added = Layer("added", synthetic.BATT, 0.05)
    for before in ("deck", "fill"):
        foam = AddLayer("rafter bay", added, before).apply(rained).assemblies[0]
        assert foam.layers[drainage_plane(foam)].name == "foil"
    inside = AddLayer("rafter bay", added, "foil").apply(CASE).assemblies[0]
    assert drainage_plane(inside) is drainage_plane(FIRST) is None
    inmost = AddLayer("rafter bay", added).apply(CASE).assemblies[0]
    assert inmost.layers[:-1] == FIRST.layers
    with pytest.raises(InputError, match="drains onto this layer"):
        RemoveLayer("rafter bay", "foil").apply(rained)
    other = ChangeSheet("rafter bay", "foil", PAPER).apply(rained).assemblies[0]
    assert other.layers[drainage_plane(other)].name == "paper"


def test_a_filled_cavity_is_met_by_the_rain_that_drained_behind_it():
    """Filled, nothing would count as drained any more and no rain be put anywhere: a false dry."""
    cladding = dataclasses.replace(
        synthetic.BOARD, name="planks", kinds=frozenset({"wood", "cladding"})
    )
    layers = (
        Layer("planks", cladding, 0.02),
        AirLayer("gap", 0.03, air_changes=20.0),
        Layer("sheathing", synthetic.BOARD, 0.012),
        Layer("fill", synthetic.BATT, 0.14),
        Layer("lining", synthetic.BOARD, 0.0125),
    )
    outer = dataclasses.replace(FIRST.outer, tilt=math.pi / 2)
    wall = dataclasses.replace(FIRST, layers=layers, outer=outer)
    case = dataclasses.replace(CASE, assemblies=(wall,))
    assert drainage_plane(wall) == 2
    filled = FillCavity(wall.name, "gap", synthetic.BATT).apply(case).assemblies[0]
    assert filled.layers[1] == Layer("gap", synthetic.BATT, 0.03)
    assert drainage_plane(filled) == 1


def test_the_face_of_a_cavity_follows_what_it_faces_unless_it_was_meant():
    bright = dataclasses.replace(PAPER, name="foil", emittance=0.05)
    facing = ChangeSheet("rafter bay", "gap", bright).apply(CASE)
    assert facing.assemblies[0].layers[4] == AirLayer("gap", 0.02, emittance_outer=0.05)
    gone = RemoveLayer("rafter bay", 3).apply(facing)
    assert gone.assemblies[0].layers[3] == AirLayer("gap", 0.02)
    meant = Set(f"{ROOF}.layer.gap.emittance_outer", 0.2).apply(CASE)
    kept = ChangeSheet("rafter bay", "gap", bright).apply(meant)
    assert kept.assemblies[0].layers[4].emittance_outer == 0.2
    dull = Set("material.board.emittance", 0.6).apply(CASE).assemblies[0]
    assert dull.layers[3] == AirLayer("gap", 0.02, 0.9, 0.6)


def test_a_house_of_other_parts_is_taken_as_it_is():
    """Assemblies set as a whole: none is lost, and none is matched with another's faces."""
    two = (dataclasses.replace(FIRST, name="one"), dataclasses.replace(FIRST, name="two"))
    made = Set("assembly", two).apply(CASE)
    assert made.assemblies == two
    assert Set("assembly", two[:1]).apply(made).assemblies == two[:1]


def test_changes_follow_one_another():
    made = applied(CASE, RemoveLayer("rafter bay", "gap"), Seal("rafter bay", 0.5))
    assert [one.name for one in made.assemblies[0].layers] == ["deck", "foil", "fill", "lining"]
    assert made.assemblies[0].leak.flow == pytest.approx(1e-4)
    assert applied(CASE) is CASE

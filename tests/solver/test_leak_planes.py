"""Where leak air gets to: a rafter bay, an attic floor, a wall behind a vented cladding."""

from __future__ import annotations

import dataclasses

import bench_walls as bench
import pytest

from assembly_sim.envelope.airways import airways, describe_leak, is_airtight
from assembly_sim.model import AirLayer, Layer, Membrane, Sheet

BOARD = Layer("deck", bench.material("board"), 0.02)
BATT = Layer("batt", bench.material("batt", kinds=frozenset({"insulation"})), 0.14)
FOAM = Layer(
    "foam",
    bench.material("foam", kinds=frozenset({"insulation", "air-impermeable insulation"})),
    0.05,
)
LINING = Layer("lining", bench.material("gypsum"), 0.0125)
FELT = Membrane("felt", Sheet("felt", bench.constant(3e-10)))
WRAP = Membrane("wrap", Sheet("wrap", bench.constant(3e-9), air_permeance=1e-3))
GAP = AirLayer("gap", 0.02, air_changes=30.0)


def reach(*layers):
    way = airways(bench.wall(*layers))
    return way.outward, way.inward, way.reach


def test_rafter_bay():
    """Room air gets to the deck's underside and all along the batt, not into the foam."""
    outward, inward, planes = reach(FELT, BOARD, BATT, FOAM, LINING)
    assert outward == 2
    assert inward == 3
    assert planes == ("outdoors", "none", "room", "room", "none", "room")


def test_foam_with_open_joints_lets_air_behind_it():
    loose = dataclasses.replace(FOAM, airtight=False)
    outward, _, planes = reach(FELT, BOARD, BATT, loose, LINING)
    assert outward == 2
    assert planes == ("outdoors", "none", "room", "room", "room", "room")
    before_the_deck = reach(BOARD, loose, LINING)
    assert before_the_deck[0] == 1
    assert reach(BOARD, FOAM, LINING)[0] is None


def test_attic_floor_lets_leak_air_out_through_its_fill():
    outward, inward, planes = reach(BATT, LINING)
    assert outward is None  # nothing airtight above it to wet
    assert inward == 1
    assert planes == ("room", "room", "room")
    assert "no cavity" in describe_leak(bench.wall(BATT, LINING))


def test_wall_behind_a_vented_cladding():
    layers = (BOARD, GAP, FELT, BOARD, BATT, LINING)
    outward, inward, planes = reach(*layers)
    assert outward == 4
    assert inward == 5
    assert planes == ("outdoors", "outdoors", "outdoors", "none", "room", "room", "room")
    assert "deck meets batt" in describe_leak(bench.wall(*layers))


def test_air_open_sheathing_membrane_is_no_stop():
    assert not is_airtight(WRAP)
    assert reach(BOARD, GAP, WRAP, BATT, LINING)[0] is None


@pytest.mark.parametrize(
    ("permeability", "tight"), [(4.2e-9, True), (2.5e-4, False)], ids=["gypsum", "glass batt"]
)
def test_airtight_by_air_permeability(permeability, tight):
    """Figures in kg/(Pa s m): ASHRAE Fundamentals 2021, ch. 26, table 4."""
    layer = Layer("board", bench.material(air_permeability=permeability), 0.0125)
    assert is_airtight(layer) is tight


def test_the_user_s_own_word_wins():
    assert is_airtight(dataclasses.replace(BATT, airtight=True))
    assert not is_airtight(dataclasses.replace(FELT, airtight=False))
    assert not is_airtight(GAP)

"""Which planes rain drains from, by where the roofing, the vented air and the barrier lie."""

import dataclasses
import math

from assembly_sim.model import AirLayer, Assembly, Layer, Membrane, OuterSurface, Sheet
from assembly_sim.solver.airways import airways
from tests.synthetic import BATT, BOARD, flat

SHINGLES = Layer("shingles", dataclasses.replace(BOARD, kinds=frozenset({"roofing"})), 0.005)
UNDERLAY = Membrane("underlay", Sheet("felt", flat(3e-10)))
DECK = Layer("deck", BOARD, 0.012)
VENT = AirLayer("vent", 0.05, air_changes=20.0)
FILL = Layer("fill", BATT, 0.14)


def drained(*layers, tilt=0.6, barrier=None):
    outer = OuterSurface(tilt, 0.0, 0.8, 0.9, leaked_rain_layer=barrier)
    way = airways(Assembly("any", 1.0, outer, layers, None))
    return [plane for plane, out in enumerate(way.drained) if out]


def test_a_deck_over_a_vented_layer_may_decide():
    assert drained(SHINGLES, UNDERLAY, DECK, VENT, FILL, DECK) == [0]


def test_a_vented_wall_drains_in_its_gap():
    assert drained(DECK, VENT, UNDERLAY, FILL, DECK, tilt=math.pi / 2) == [0, 1]


def test_where_leaked_rain_goes_is_the_drainage_plane_of_any_slope():
    layers = (SHINGLES, VENT, UNDERLAY, DECK, FILL)
    assert drained(*layers, barrier=2) == [0, 1, 2]
    assert drained(*layers, barrier=2, tilt=math.pi / 2) == [0, 1, 2]


def test_ballast_over_the_roofing_drains_too():
    assert drained(DECK, SHINGLES, FILL) == [0, 1]

"""A small case and plan for tests of sweeps: one board under an hour's weather, soon run."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from assembly_sim.changes import Set, Times
from assembly_sim.changes.factors import Choice, Level, Range
from assembly_sim.changes.laws import Law
from assembly_sim.changes.plan import Plan
from assembly_sim.model import Assembly, Case, Constant, Layer, OuterSurface, Room
from tests import synthetic

WALL = ("assembly", "wall")
BOARD = (*WALL, "layer", "board")


def small_case(days: int = 2) -> Case:
    """A board of 20 mm under some days of invented weather, which run once as a window."""
    weather = replace(synthetic.climate(24 * days), begins="2021-11-12T00:00")
    outer = OuterSurface(tilt=1.5, azimuth=0.0, solar_absorptance=0.5, emittance=0.9)
    wall = Assembly("wall", 1.0, outer, (Layer("board", synthetic.BOARD, 0.02),), leak=None)
    return Case("small", weather, Room(Constant(293.15), Constant(0.5)), (wall,))


THICKNESS = Range("thickness", (Set((*BOARD, "thickness"), 0.02),), Law("uniform", 0.01, 0.03))
FACES = Choice(
    "faces",
    (
        Level("north", (Set((*WALL, "azimuth"), 0.0),)),
        Level("south", (Set((*WALL, "azimuth"), 3.14),)),
    ),
)
CONDUCTIVITY = Range(
    "conductivity",
    (Times(("material", "board", "conductivity"), 1.0),),
    Law("normal", 1.0, 0.1, low=0.7, high=1.3),
)


def small_plan(**changed: Any) -> Plan:
    """24 random variants of three factors, unless said."""
    given: dict[str, Any] = {"method": "random", "counts": (24,), "seed": 5} | changed
    case = given.pop("case", None) or small_case()
    factors = given.pop("factors", (THICKNESS, FACES, CONDUCTIVITY))
    return Plan("small", case, factors, **given)

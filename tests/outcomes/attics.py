"""An attic of the trade between two slopes, over a ceiling under fill, for a window of weather."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.model import (
    Assembly,
    Bridge,
    Case,
    Climate,
    Constant,
    Ducts,
    Layer,
    OuterSurface,
    Room,
    Zone,
)
from assembly_sim.model.opening import FreeArea, Opening, Side
from assembly_sim.solver.result import Result, ZoneResult
from assembly_sim.solver.run import run
from tests.outcomes.built import DARK, MATERIALS, NORTH, SOUTH, climate, layer, sheet
from tests.windows import window

FLOOR, SLOPE, TILT = 100.0, 60.0, math.atan(8.0 / 12.0)  # m2, m2 each
EAVE, RIDGE = 2.7, 6.0  # m
DUCT_FLOW = 0.35  # m3/s


@dataclass(frozen=True)
class Attic:
    """fill: mm of cellulose; holes: m2 between room and attic; vents: m2 of net free area.

    ducts: share of the flow that leaks from each of supply and return, None: no ducts there.
    """

    weather: str = "cold_inland"
    first_day: int = 305  # 1 November
    days: int = 120
    fill: float = 150.0
    holes: float = 0.015
    vents: float = 100.0 / 300.0
    humidity: float = 0.35
    celsius: float = 20.0
    ducts: float | None = None
    start: float = 0.7
    changes: float = 0.0
    insulated_deck: bool = False


def slope(name: str, azimuth: float) -> Assembly:
    outer = OuterSurface(TILT, azimuth, DARK, 0.9, height=4.5, rain_exposure=0.0)
    layers = (
        layer("asphalt shingles, dark", 5.0),
        sheet("asphalt felt no. 15"),
        layer("plywood, exterior grade", 12.7, "deck"),
    )
    return Assembly(name, SLOPE, outer, layers, None, inside="attic")


def floor(fill: float) -> Assembly:
    outer = OuterSurface(0.0, 0.0, 0.0, 0.0, EAVE, sheltered=True)
    layers = (
        layer("cellulose, loose in attic", fill, "fill"),
        layer("gypsum board", 12.5),
        sheet("latex paint, primer and two coats"),
    )
    return Assembly("floor", FLOOR, outer, layers, None, outside="attic")


def openings(asked: Attic) -> tuple[Opening, ...]:
    """Half of the vents at each eave and half at the ridge; holes in the ceiling, gaps below."""
    low = [
        Opening(f"eave {name}", FreeArea(0.25 * asked.vents), EAVE, Side(math.pi / 2, way), "attic")
        for name, way in (("north", NORTH), ("south", SOUTH))
    ]
    ridge = Opening("ridge", FreeArea(0.5 * asked.vents), RIDGE, Side(0.0, 0.0), "attic")
    walls = [
        Opening(f"walls {name}", FreeArea(0.01), 1.2, Side(math.pi / 2, way))
        for name, way in (("north", NORTH), ("south", SOUTH))
    ]
    ceiling = Opening("ceiling", FreeArea(asked.holes), EAVE, None, "room", "attic")
    return (*((*low, ridge) if asked.vents else ()), ceiling, *walls)


def ducts(leak: float, cooling: bool) -> Ducts:
    """R-8 ducts of a furnace that runs always at -25 degC, or of a cooler that does at 35 degC."""
    kelvin = (286.15, 308.15, 297.15) if cooling else (323.15, 248.15, 288.15)
    return Ducts(
        *("ducts", "attic", DUCT_FLOW, 25.0, 12.0, 1.4),
        supply_temperature=kelvin[0],
        full_load_temperature=kelvin[1],
        balance_temperature=kelvin[2],
        supply_leak=leak,
        return_leak=leak,
    )


def case(asked: Attic) -> Case:
    weather: Climate = window(climate(asked.weather), 24 * (asked.first_day - 1), 24 * asked.days)
    parts = (slope("north", NORTH), slope("south", SOUTH), floor(asked.fill))
    pipes = () if asked.ducts is None else (ducts(asked.ducts, asked.weather == "hot_humid"),)
    return Case(
        "attic",
        weather,
        Room(Constant(273.15 + asked.celsius), Constant(asked.humidity)),
        parts,
        starting_humidity=asked.start,
        zones=(Zone("attic", 165.0, air_changes=asked.changes),),
        openings=openings(asked),
        ducts=pipes,
    )


@functools.cache
def solved(asked: Attic) -> Result:
    result = run(case(asked), workers=1)
    assert all(one.converged for one in result.assemblies)
    return result


def zone(asked: Attic) -> ZoneResult:
    return solved(asked).zones[0]


def deck(asked: Attic, name: str = "north") -> NDArray[np.float64]:
    """Moisture content of a slope's deck, kg/kg by hour."""
    (one,) = (each for each in solved(asked).assemblies if each.assembly.name == name)
    board = one.assembly.layers[2]
    assert isinstance(board, Layer)
    return one.paths[0].layer_water[:, 2] / (board.thickness * board.material.density)


__all__ = ["MATERIALS", "Attic", "Bridge", "case", "deck", "ducts", "floor", "solved", "zone"]

"""Random houses of one to three zones, through some days of a shipped climate each.

A `House` is plain values: the printed form of a failing one is all it takes to run it again:
`faults(run_house(House(...)))`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from hypothesis import strategies as st

from assembly_sim.files.climate.read import find_climate, read_climate, shipped_climates
from assembly_sim.files.material.read import load
from assembly_sim.model import (
    AirLeak,
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
from assembly_sim.model.opening import Fan, FreeArea, LeakageArea, Opening, Side
from assembly_sim.solver.result import Result
from assembly_sim.solver.run import run
from tests.windows import window

HOURS = 36
BALANCE, DEFECT = 5e-9, 1e-6
BOARDS = (
    *("plywood, exterior grade", "osb", "board sheathing, softwood"),
    *("gypsum board", "concrete", "brick", "xps", "glass-fibre batt", "cellulose, loose in attic"),
)
NAMES = ("attic", "wing", "crawl")
OUTDOORS, ROOM = "outdoors", "room"


@dataclass(frozen=True)
class Part:
    """inside, outside: spaces; tilt in degrees; thickness m; leak m3/(s m2) at 50 Pa, 0: none."""

    inside: str
    outside: str
    material: str
    thickness: float
    area: float
    tilt: float
    azimuth: float
    humidity: float
    leak: float
    framed: bool


@dataclass(frozen=True)
class Hole:
    """area m2; a leakage area where `crack`; azimuth in degrees, None: no wind."""

    inside: str
    outside: str
    area: float
    height: float
    azimuth: float | None
    crack: bool


@dataclass(frozen=True)
class House:
    """Zones: (volume m3, heat capacity J/K, air changes 1/h, gain W, moisture kg/s).

    The last two by the m2 of the smallest part, through which all of it may have to go: 500 W
    through 2 m2 are too hot for tables.
    """

    climate: str
    first_hour: int
    zones: tuple[tuple[float, float, float, float, float], ...]
    parts: tuple[Part, ...]
    holes: tuple[Hole, ...]
    fan: float
    ducts: float | None
    room_temperature: float
    room_humidity: float


def spread(low: float, high: float) -> st.SearchStrategy[float]:
    """Any size between two, by its logarithm, to three digits."""
    found = st.floats(math.log(low), math.log(high))
    return found.map(lambda x: float(f"{min(max(math.exp(x), low), high):.3g}"))


def zones() -> st.SearchStrategy[tuple[float, float, float, float, float]]:
    return st.tuples(
        spread(0.1, 500.0),
        st.sampled_from([0.0, 1e5, 1e7]),
        st.sampled_from([0.0, 0.5, 20.0]),
        st.sampled_from([0.0, 0.0, 5.0]),
        st.sampled_from([0.0, 0.0, 3e-7]),
    )


@st.composite
def part(draw: st.DrawFn, inside: str, outside: str) -> Part:
    return Part(
        inside,
        outside,
        draw(st.sampled_from(BOARDS)),
        draw(spread(0.008, 0.05)),
        draw(spread(0.5, 200.0)),
        draw(st.sampled_from([0.0, 30.0, 90.0])),
        draw(st.sampled_from([0.0, 180.0])),
        draw(st.sampled_from([0.3, 0.8, 1.0])),
        draw(st.sampled_from([0.0, 1e-4, 3e-3])),
        draw(st.booleans()),
    )


@st.composite
def hole(draw: st.DrawFn, inside: str, outside: str) -> Hole:
    wind = outside == OUTDOORS and draw(st.booleans())
    return Hole(
        inside,
        outside,
        draw(spread(1e-4, 2.0)),
        draw(st.sampled_from([-1.0, 0.5, 2.7, 6.0, 12.0])),
        draw(st.sampled_from([0.0, 120.0, 240.0])) if wind else None,
        draw(st.booleans()),
    )


@st.composite
def houses(draw: st.DrawFn) -> House:
    """One to three zones in a row from outdoors to the room, and more parts and holes between."""
    made = tuple(draw(st.lists(zones(), min_size=1, max_size=3)))
    names = list(NAMES[: len(made)])
    ways = [(names[0], OUTDOORS), *((b, a) for a, b in zip(names, names[1:])), (ROOM, names[-1])]
    spaces = [*names, ROOM]
    for _ in range(draw(st.integers(0, 2))):
        a = draw(st.integers(0, len(spaces) - 2))
        ways.append((spaces[a], OUTDOORS))
    parts = tuple(draw(part(*way)) for way in ways)
    holes = [draw(hole(name, OUTDOORS)) for name in (*names, ROOM)]
    for _ in range(draw(st.integers(0, 3))):
        a, b = draw(st.permutations(spaces))[:2]
        holes.append(draw(hole(a, b)))
    return House(
        draw(st.sampled_from(shipped_climates())),
        24 * draw(st.integers(0, 360)),
        made,
        parts,
        tuple(holes),
        draw(st.sampled_from([0.0, 0.0, 0.03, -0.03])),
        draw(st.sampled_from([None, None, 0.0, 0.1])),
        draw(st.sampled_from([10.0, 20.0, 26.0])),
        draw(st.sampled_from([0.2, 0.5, 0.8])),
    )


@cache
def climate(name: str) -> Climate:
    return read_climate(find_climate(name))


def assembly(one: Part, number: int) -> Assembly:
    sheltered = one.outside != OUTDOORS
    outer = OuterSurface(
        *(math.radians(one.tilt), math.radians(one.azimuth), 0.7, 0.9, 3.0),
        sheltered=sheltered,
    )
    bridges = (Bridge("wood", 0.1, load()["spruce"]),) if one.framed else ()
    layer = Layer("layer", load()[one.material], one.thickness, one.humidity, bridges=bridges)
    leak = AirLeak(one.leak, 50.0) if one.leak else None
    return Assembly(
        *(f"part {number}", one.area, outer, (layer,), leak),
        order_meant=True,
        outside=one.outside,
        inside=one.inside,
    )


def opening(one: Hole, number: int) -> Opening:
    shape = LeakageArea(one.area) if one.crack else FreeArea(one.area)
    side = None if one.azimuth is None else Side(0.5 * math.pi, math.radians(one.azimuth))
    return Opening(f"hole {number}", shape, one.height, side, one.inside, one.outside)


def given(
    house: House,
    name: str,
    volume: float,
    capacity: float,
    air: float,
    gain: float,
    moisture: float,
) -> Zone:
    area = min(one.area for one in house.parts)
    return Zone(name, volume, capacity, air, gain * area, moisture * area)


def built(house: House) -> Case:
    names = NAMES[: len(house.zones)]
    ducts = ()
    if house.ducts is not None:
        known = {"supply_leak": house.ducts, "return_leak": 0.5 * house.ducts}
        furnace = (0.2, 8.0, 4.0, 0.7, 323.15, 250.0, 290.0)
        ducts = (Ducts("ducts", names[0], *furnace, **known),)
    return Case(
        "random",
        window(climate(house.climate), house.first_hour, HOURS),
        Room(Constant(273.15 + house.room_temperature), Constant(house.room_humidity)),
        tuple(assembly(one, k) for k, one in enumerate(house.parts)),
        zones=tuple(given(house, name, *zone) for name, zone in zip(names, house.zones)),
        openings=tuple(opening(one, k) for k, one in enumerate(house.holes)),
        fans=(Fan(house.fan, names[0]),) if house.fan else (),
        ducts=ducts,
    )


def run_house(house: House) -> Result:
    return run(built(house), workers=1)


def faults(result: Result) -> list[str]:
    """What a run got wrong, in words; empty when it kept every promise."""
    stopped = [one.outcome for one in result.assemblies if one.outcome.name != "completed"]
    if stopped:
        return [f"stopped: {stopped[0]}"]
    found = []
    for one in result.zones:
        errors = (one.heat_balance_error, one.moisture_balance_error, one.air_balance_error)
        found += [f"balance of {one.zone.name}: {errors}"] if max(errors) > BALANCE else []
        arrays = (one.temperature, one.vapour_pressure, one.radiant_temperature)
        found += [] if all(np.isfinite(each).all() for each in arrays) else ["not finite"]
        found += ["humidity"] if (one.relative_humidity > 1.0 + 1e-3).any() else []
        found += ["fog below nothing"] if (one.free_water < 0.0).any() else []
    for one in result.assemblies:
        for path in one.paths:
            errors = (path.heat_balance_error, path.moisture_balance_error)
            found += [f"balance: {errors}"] if max(errors) > BALANCE else []
            found += [f"defect {path.state_defect}"] if path.state_defect > DEFECT else []
    return found

"""What comes into a zone is in it or has left it: air, water and heat, hour by hour and in sum."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from houses import (
    HEAT_ALONE,
    LEVEL,
    ROOM_FILMS,
    WALL,
    hole,
    house,
    known_temperatures,
    plate,
    solved,
    weather,
    windy,
    zone,
)

from assembly_sim.checks.house import into_zone, ways_out
from assembly_sim.files.case.read import read_case
from assembly_sim.model import AirLeak, Ducts, Zone
from assembly_sim.model.opening import Fan
from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY as C_P
from assembly_sim.physics.moist_air import humidity_ratio
from tests.windows import window

ROOT = Path(__file__).parents[2]
BALANCE, DEFECT = 1e-9, 1e-6


def around_freezing(hours=720, **fields):
    """A light roof over a light floor, whose midnights come to freeze over a month."""
    day = np.arange(hours) / 24
    outdoors = 273.15 - 0.15 * day + 6.0 * np.sin(2 * np.pi * day)
    parts = (
        plate("roof", 50.0, 0.3, tilt=LEVEL),
        plate("floor", 40.0, 3.0, "room", "attic", LEVEL),
    )
    return house(weather(outdoors, hours), parts, **fields)


def test_faces_meet_where_nothing_freezes():
    """The node where faces' radiation meets holds no water, whose freezing it would have to show.

    Nanometres of water on it would freeze and thaw: 0.4 J of a whole attic, yet more than the
    defect of all else, by which a run is called not converged.
    """
    case = around_freezing(openings=(hole("low", 0.02, 3.0), hole("high", 0.02, 5.0)))
    result = solved(case)
    assert (zone(result).radiant_temperature > 273.15).any()
    assert (zone(result).radiant_temperature < 273.15).any()
    assert all(one.paths[0].state_defect <= 3e-7 for one in result.assemblies)
    assert all(one.converged for one in result.assemblies)


COLD, ROOM = 258.15, 293.15
PARTS = (
    plate("roof", 50.0, 0.3, tilt=LEVEL, leak=AirLeak(2e-4, 50.0), height=5.0),
    plate("floor", 40.0, 3.0, "room", "attic", LEVEL),
    plate("knee wall", 12.0, 1.0, "porch", "attic"),
    plate("porch wall", 20.0, 0.4, "porch"),
    plate("wall", 60.0, 2.0, "room", height=1.0),
)
OPENINGS = (
    windy("soffit", 0.03, 2.8, 180.0),
    hole("ridge", 0.04, 5.5),
    hole("hatch", 0.004, 2.8, "room", "attic"),
    windy("sash", 0.006, 1.5, 90.0, "room"),
    windy("door", 0.008, 0.5, 270.0, "room"),
    hole("porch door", 0.01, 1.0, "room", "porch"),
    windy("slot", 0.01, 1.0, 90.0, "porch"),
)


def furnace(**fields) -> Ducts:
    return Ducts(
        *("ducts", "attic", 0.2, 12.0, 6.0, 0.7, 323.15),
        full_load_temperature=248.15,
        balance_temperature=288.15,
        **fields,
    )


@pytest.fixture(scope="module")
def steady():
    """Attic, porch and room through two days of the same weather: everything has settled."""
    return solved(
        house(
            *(weather(COLD, wind=4.0), PARTS),
            (Zone("attic", 60.0, heat_gain=80.0), Zone("porch", 25.0)),
            openings=OPENINGS,
            fans=(Fan(-0.02), Fan(0.01, "porch", "attic")),
            ducts=(furnace(supply_leak=0.1, return_leak=0.04),),
        ),
        nature=HEAT_ALONE,
    )


def surface_heat(result, name: str) -> float:
    """W that the room gives the face of an assembly, from its temperature: h (T_i - T_s) A."""
    (one,) = (each for each in result.assemblies if each.assembly.name == name)
    tilt, face = one.assembly.outer.tilt, one.paths[0].temperature[-1, -1]
    return one.assembly.area * ROOM_FILMS[WALL if tilt else LEVEL] * (ROOM - face)


def given_by_ducts(result) -> float:
    """W of ducts at their share of the time: UA-like conductances and leaked supply, by hand."""
    share, stream = (288.15 - COLD) / 40.0, 1.2 * 0.2 * C_P
    attic = zone(result).temperature[-1]
    kept, back = stream * 0.95, stream * 0.98
    supply = kept * (1.0 - np.exp(-12.0 / 0.7 / kept)) * (323.15 - attic)
    returned = back * (1.0 - np.exp(-6.0 / 0.7 / back)) * (ROOM - attic)
    return share * (supply + returned + 0.1 * stream * (323.15 - ROOM))


def test_the_ways_out_of_a_room_are_its_own_balance(steady):
    """Surfaces, sum m_in c_p (T_i - T_a) of all air that comes, and ducts: from states alone."""
    known = known_temperatures(steady)
    room = surface_heat(steady, "floor") + surface_heat(steady, "wall") + given_by_ducts(steady)
    came = 0.0
    for one in steady.streams:
        for into, source, way in ((one.outside, one.inside, 1), (one.inside, one.outside, -1)):
            flow = max(way * one.flow[-1], 0.0)
            if into == "room" and flow > 0.0:
                room += flow * C_P * (ROOM - known[source][-1])
                came += flow
    assert came > 0.01
    found = sum(way.total[-1] for way in ways_out(steady))
    assert found == pytest.approx(room, rel=1e-9)


def test_what_leaves_the_room_leaves_the_house(steady):
    """Steady: what rooms and gains give goes outdoors, through surfaces or with the air."""
    known, gone = known_temperatures(steady), 0.0
    for one in steady.assemblies:
        if one.assembly.outside == "outdoors":
            gone += one.assembly.area * one.paths[0].heat_flux_outdoors[-1]
            gone -= one.assembly.area * one.paths[0].leak_heat[-1]
    for stream in steady.streams:
        if stream.outside == "outdoors":
            out = max(stream.flow[-1], 0.0)
            gone += out * C_P * (known[stream.inside][-1] - COLD)
    given = sum(way.total[-1] for way in ways_out(steady)) + 80.0
    assert gone == pytest.approx(given, rel=1e-9)


@pytest.mark.parametrize("name", ["attic", "porch"])
def test_what_comes_into_a_zone_leaves_it(steady, name):
    """Each way's own heat, relative to the zone's air: they sum to nothing in a steady hour.

    Radiation between its faces is among them, and sums to nothing by itself.
    """
    ways = [one.heat[-1] for one in into_zone(steady, name)]
    assert max(ways) > 50.0
    assert sum(ways) == pytest.approx(0.0, abs=1e-7 * max(ways))


@pytest.fixture(scope="module")
def cold_attic():
    """A year of the cold attic of the examples, ducts, leaks and all."""
    case = read_case(ROOT / "examples" / "cold_attic.toml")
    return solved(replace(case, years=1))


def test_a_year_of_a_zone_adds_up(cold_attic):
    """Air, water and heat of the attic, and of all paths beside it, over the year."""
    (attic,) = cold_attic.zones
    assert attic.heat_balance_error <= BALANCE
    assert attic.moisture_balance_error <= BALANCE
    assert attic.air_balance_error <= BALANCE
    for one in cold_attic.assemblies:
        assert one.converged
        for path in one.paths:
            assert path.heat_balance_error <= BALANCE
            assert path.moisture_balance_error <= BALANCE
            assert path.state_defect <= DEFECT
    assert len(attic.temperature) == 8760
    assert np.isfinite(attic.temperature).all()
    assert (attic.relative_humidity <= 1.0 + 1e-4).all()


def test_water_that_air_brings_an_attic_is_held_or_gone(cold_attic):
    """Drawn up anew from hourly means: what comes by air and faces is held in fog, or next to none.

    Products of hourly means miss what swings within the hour: some thousandths of all that passes.
    """
    (attic,) = cold_attic.zones
    climate = cold_attic.case.climate
    start = -24 * 273  # 1 October
    pressure = np.roll(climate.pressure, start)
    outdoors = np.roll(climate.vapour_pressure, start)
    (floor,) = (one for one in cold_attic.assemblies if one.assembly.name == "Attic floor")
    states = {
        "attic": attic.vapour_pressure,
        "outdoors": 0.5 * (outdoors + np.roll(outdoors, 1)),
        "room": floor.drivers.room_vapour_pressure,
    }
    into, gross = np.zeros(8760), 0.0
    for stream in cold_attic.streams:
        for target, source, way in (
            (stream.outside, stream.inside, 1.0),
            (stream.inside, stream.outside, -1.0),
        ):
            flow = np.maximum(way * stream.flow, 0.0)
            carried = flow * humidity_ratio(states[source], pressure)
            if target == "attic":
                into += carried
                gross += carried.sum()
            if source == "attic":
                into -= carried
    for one in cold_attic.assemblies:
        outward = one.assembly.outside == "attic"
        for path in one.paths:
            area = one.assembly.area * path.share
            face = path.vapour_flux_outdoors if outward else -path.vapour_flux_room
            inward = one.drivers.leak < 0.0  # such air comes with what it took up on its way
            into += area * (face - np.where(inward, path.leak_vapour, 0.0))
    assert abs(into.sum()) <= 5e-3 * gross


def seasons(hours=480):
    """From frost to heat in twenty days: warm houses suck air in below, cold ones above."""
    day = np.arange(hours) / 24
    return 283.15 - 25.0 * np.cos(np.pi * day / 20.0) + 6.0 * np.sin(2 * np.pi * day)


def two_zones(volume: float = 25.0, hours: int = 480):
    """Attic and porch with a wall between them; the porch may hold next to nothing."""
    zones = (Zone("attic", 60.0), Zone("porch", volume))
    return house(weather(seasons(hours), hours), PARTS, zones, openings=OPENINGS)


@pytest.mark.parametrize("volume", [25.0, 0.1])
def test_two_zones_through_the_seasons(volume):
    """A stack that turns round, a wall between two floating zones: as with ten times the steps."""
    case = two_zones(volume)
    result, fine = solved(case), solved(case, steps=0.1)
    for name in ("attic", "porch"):
        found, true = zone(result, name), zone(fine, name)
        gap = found.temperature - true.temperature
        assert np.sqrt((gap**2).mean()) <= 0.01
        assert np.abs(gap).max() <= 0.1
        wet = found.vapour_pressure / true.vapour_pressure - 1.0
        assert np.sqrt((wet**2).mean()) <= 2e-3
        assert found.heat_balance_error <= BALANCE
        assert found.moisture_balance_error <= BALANCE
        assert found.air_balance_error <= BALANCE
    assert all(one.converged for one in result.assemblies)
    hatch = next(one.flow for one in result.streams if one.name == "hatch")
    assert hatch[:48].mean() > 1e-3  # up out of the warm room in winter
    assert hatch[-48:].mean() < -1e-4  # down into the cool one in summer
    statistics = result.assemblies[0].paths[0].statistics
    assert statistics["failed steps"] == 0.0


def test_a_window_of_weather_runs_as_the_year_does(cold_attic):
    """The same zone, air and all, through a window cut from the year's beginning."""
    case = cold_attic.case
    first = 24 * 273
    alone = solved(replace(case, years=None, climate=window(case.climate, first, 72)))
    gap = alone.zones[0].temperature[6:72] - cold_attic.zones[0].temperature[6:72]
    assert np.abs(gap).max() <= 0.5

"""What is known of a house before its march: leaks as openings, given air, ducts, an estimate."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "solver"))

from houses import LEVEL, PRESSURE, WALL, hole, house, plate, weather, windy

from assembly_sim.boundary.house import (
    duct_conductances,
    estimated,
    given_flows,
    house_openings,
    incoming_air,
    leak_opening,
    running,
)
from assembly_sim.boundary.openings import law
from assembly_sim.envelope.resistances import u_value
from assembly_sim.hand.zone import steady_zone
from assembly_sim.model import AirLeak, Ducts, Zone
from assembly_sim.model.opening import Fan, Opening, Unsized, blower_door
from assembly_sim.physics.airflow import air_density
from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY

COLD, ROOM = 263.15, 293.15
DUCTS = Ducts(
    *("ducts", "attic", 0.25, 12.0, 6.0, 0.7, 323.15),
    full_load_temperature=248.15,
    balance_temperature=288.15,
    supply_leak=0.1,
    return_leak=0.05,
)
ROOF = plate("roof", 50.0, 0.3, tilt=LEVEL, leak=AirLeak(2e-4, 50.0), height=5.0)
FLOOR = plate("floor", 40.0, 3.0, "room", "attic", LEVEL, leak=AirLeak(3e-4, 50.0), height=2.8)


def test_a_leak_is_an_opening_of_its_assembly_s_area():
    """Outdoors at its height and side, where wind presses; between spaces none does."""
    roof, floor = leak_opening(ROOF), leak_opening(FLOOR)
    assert roof is not None
    assert floor is not None
    assert law(roof.shape).flow(50.0) == pytest.approx(50.0 * 2e-4)
    assert (roof.inside, roof.outside, roof.height) == ("attic", "outdoors", 5.0)
    assert roof.side is not None
    assert floor.side is None
    assert leak_opening(plate("tight", 5.0, 1.0)) is None


def test_a_blower_door_measures_leaks_too():
    """At 50 Pa all ways from room to outdoors, leaks among them, pass what was measured."""
    test = blower_door(5.0, 250.0)
    wall = plate("wall", 80.0, 2.0, "room", leak=AirLeak(5e-4, 50.0))
    joints = tuple(Opening(str(k), Unsized(k + 1.0), 1.0) for k in range(2))
    case = house(weather(COLD), (ROOF, wall), openings=joints, blower_door=test)
    passed = {one.name: law(one.shape).flow(50.0) for one in house_openings(case)}
    assert passed["wall"] == pytest.approx(0.04)
    assert passed["0"] + passed["1"] + passed["wall"] == pytest.approx(test.flow)
    assert passed["1"] == pytest.approx(2.0 * passed["0"])


def test_ducts_run_by_the_weather():
    """Nothing at the balance temperature, always at full load; cooling the other way."""
    outdoors = np.array([243.15, 248.15, 268.15, 288.15, 300.0])
    assert running(DUCTS, outdoors) == pytest.approx([1.0, 1.0, 0.5, 0.0, 0.0])


def test_ducts_exchange_heat_like_any_pipe():
    """m c_p (1 - exp(-A / (R m c_p))): A / R of a short one, m c_p of an endless one."""
    supply, back = duct_conductances(DUCTS)
    stream = 1.2 * 0.25 * DRY_AIR_HEAT_CAPACITY
    kept = 0.95 * stream
    assert supply == pytest.approx(kept * (1.0 - np.exp(-12.0 / 0.7 / kept)))
    assert 0.9 * 6.0 / 0.7 < back < 6.0 / 0.7


def test_given_air_by_hand():
    """Fans by the density of what they take, ducts' leaks by their share of the time."""
    case = house(
        *(weather(COLD), (ROOF, FLOOR)),
        openings=(hole("vent", 0.05, 4.0),),
        fans=(Fan(-0.02),),
        ducts=(DUCTS,),
    )
    known = {name: np.full(48, t) for name, t in (("room", ROOM), ("attic", 270.0))}
    known["outdoors"] = case.climate.temperature
    found = {(one.source, one.target): one.flow[0] for one in given_flows(case, known)}
    share = (288.15 - COLD) / 40.0
    assert found["room", "outdoors"] == pytest.approx(0.02 * float(air_density(ROOM, PRESSURE)))
    assert found["room", "attic"] == pytest.approx(0.1 * share * 1.2 * 0.25)
    assert found["attic", "room"] == pytest.approx(0.05 * share * 1.2 * 0.25)


def test_the_estimate_of_a_steady_zone():
    """(sum UA T + m c_p T_o) / (sum) of U-values with their conventional surfaces."""
    parts = (plate("wall", 40.0, 0.5), plate("inner", 25.0, 2.0, "room", "attic", WALL))
    case = house(weather(COLD), parts, (Zone("attic", 60.0, air_changes=3.0),))
    density = float(air_density(COLD, PRESSURE))
    expected = steady_zone(
        *([u_value(one) * one.area for one in parts], (COLD, ROOM), 60.0 * 3.0 / 3600.0, COLD),
        density=density,
    )
    assert estimated(case).temperature["attic"] == pytest.approx(np.full(48, expected), abs=1e-6)


def test_the_estimate_repeats_itself():
    """Temperatures and flows in turn have come to rest: a further round moves nothing much."""
    openings = (
        *(windy("eave", 0.04, 2.8, 180.0), hole("ridge", 0.04, 5.5)),
        *(hole("hatch", 0.004, 2.8, "room", "attic"), hole("door", 0.02, 0.5, "room")),
    )
    case = house(weather(COLD, wind=3.0), (ROOF, FLOOR), openings=openings, ducts=(DUCTS,))
    found = estimated(case)
    attic = found.temperature["attic"][-1]
    assert found.flows is not None
    gains = {"roof": (COLD, u_value(ROOF) * 50.0), "floor": (ROOM, u_value(FLOOR) * 40.0)}
    airs = {"attic": attic, "room": ROOM, "outdoors": COLD}
    heat = sum(ua * (t - attic) for t, ua in gains.values())
    for one, flow in zip(found.openings, found.flows.flow[-1]):
        into = {one.outside: max(flow, 0.0), one.inside: max(-flow, 0.0)}
        source = one.inside if flow > 0.0 else one.outside
        heat += into.get("attic", 0.0) * DRY_AIR_HEAT_CAPACITY * (airs[source] - attic)
    share = (288.15 - COLD) / 40.0
    supply, back = duct_conductances(DUCTS)
    heat += share * (supply * (323.15 - attic) + back * (ROOM - attic))
    heat += share * 0.1 * 1.2 * 0.25 * DRY_AIR_HEAT_CAPACITY * (323.15 - attic)
    conductance = sum(ua for _, ua in gains.values()) + 20.0
    assert abs(heat) / conductance < 0.3  # K that the attic is off its balance


def test_air_that_comes_into_a_room():
    """m3/s at the room's temperature: by openings and given air, from wherever."""
    openings = (hole("low", 0.02, 0.5, "room"), hole("high", 0.02, 5.0, "room"))
    case = house(weather(COLD), (ROOF, FLOOR), openings=openings, ducts=(DUCTS,))
    flows = estimated(case).flows
    assert flows is not None
    into = 0.0
    for one, flow in zip(estimated(case).openings, flows.flow[-1]):
        into += max(flow, 0.0) if one.outside == "room" else 0.0
        into += max(-flow, 0.0) if one.inside == "room" else 0.0
    into += 0.05 * 1.2 * 0.25 * (288.15 - COLD) / 40.0
    found = incoming_air(case, "room")[-1]
    assert found == pytest.approx(into / float(air_density(ROOM, PRESSURE)), rel=1e-9)
    assert found > 0.02

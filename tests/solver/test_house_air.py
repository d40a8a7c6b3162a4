"""The air of a house as its march balances it: against the balance by hours, and a root finder."""

from __future__ import annotations

import numpy as np
import pytest
from houses import (
    HEAT_ALONE,
    LEVEL,
    PRESSURE,
    flow,
    hole,
    house,
    known_temperatures,
    plate,
    solved,
    weather,
    windy,
    zone,
)
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.optimize import root

from assembly_sim.boundary.network import Weather, wind_pressure, zone_flows
from assembly_sim.boundary.openings import law
from assembly_sim.errors import InputError
from assembly_sim.model import AirLeak, Ducts, Zone
from assembly_sim.model.opening import Fan
from assembly_sim.physics.airflow import REFERENCE_DENSITY, air_density, stack_pressure
from assembly_sim.solver.house import house_march
from assembly_sim.solver.kernel import air as kernel_air
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.streams import wind_column

ROOM, GRAVITY = 293.15, 9.80665
ZONES = (Zone("attic", 60.0), Zone("porch", 25.0))
PARTS = (
    plate("roof", 50.0, 0.3, tilt=LEVEL, leak=AirLeak(2e-4, 50.0), height=5.0),
    plate("floor", 40.0, 3.0, "room", "attic", LEVEL, leak=AirLeak(3e-4, 50.0), height=2.8),
    plate("knee wall", 12.0, 1.0, "porch", "attic"),
    plate("porch wall", 20.0, 0.4, "porch"),
)
OPENINGS = (
    windy("soffit", 0.03, 2.8, 180.0),
    windy("gable", 0.03, 4.5, 0.0),
    hole("ridge", 0.04, 5.5),
    hole("hatch", 0.004, 2.8, "room", "attic"),
    windy("sash", 0.006, 1.5, 90.0, "room"),
    windy("door", 0.008, 0.5, 270.0, "room"),
    hole("porch door", 0.01, 1.0, "room", "porch"),
    windy("slot", 0.01, 1.0, 90.0, "porch"),
    hole("chase", 0.002, 2.0, "porch", "attic"),
)
FANS = (Fan(-0.02), Fan(0.01, "porch", "attic"))


def leaky_house(outdoors=258.15, wind=4.0, fans=FANS, openings=OPENINGS):
    climate = weather(outdoors, wind=wind)
    return house(climate, PARTS, ZONES, openings=openings, fans=fans)


@pytest.fixture(scope="module")
def leaky():
    return solved(leaky_house(), nature=HEAT_ALONE)


def hourly_balance(result, hour: int = -1):
    """Flows (kg/s) of all openings by `boundary/network.py`, at the temperatures of the run."""
    case, known = result.case, known_temperatures(result)
    openings = [one.opening for one in result.streams if one.opening is not None]
    spaces = ("attic", "porch", "room")
    table = np.array([[known[name][hour] for name in spaces]])
    pressed = [wind_pressure(one.side, one.height, case.climate)[hour] for one in openings]
    outdoors = Weather(
        known["outdoors"][[hour]], case.climate.pressure[[hour]], np.array([pressed])
    )
    supply = np.zeros((1, 3))
    for one in (each for each in result.streams if each.kind == "given"):
        for end, sign in ((one.inside, -1.0), (one.outside, 1.0)):
            if end in spaces:
                supply[0, spaces.index(end)] += sign * one.flow[hour]
    return zone_flows(openings, spaces, table, outdoors, supply=supply)


def test_the_march_balances_as_the_hours_do(leaky):
    """The same temperatures, the same flows: kernel and `boundary/network.py` are one balance."""
    found = np.array([one.flow[-1] for one in leaky.streams if one.opening is not None])
    expected = hourly_balance(leaky).flow[0]
    assert found == pytest.approx(expected, abs=1e-9)
    assert np.abs(expected).min() > 1e-5
    assert zone(leaky).temperature[-1] - 258.15 > 1.0


def test_every_space_keeps_its_air(leaky):
    """Openings, leaks and fans of each space sum to nothing in every hour."""
    for space in ("attic", "porch", "room"):
        net = sum(
            (1.0 * (one.outside == space) - 1.0 * (one.inside == space)) * one.flow
            for one in leaky.streams
        )
        assert np.abs(net).max() <= 1e-9
    assert all(one.air_balance_error <= 1e-9 for one in leaky.zones)


def misses(pressures, temperatures, streams, climate, fans):
    """Net kg/s out of attic, porch and room, sharp orifices and power laws, no smoothing."""
    spaces = ["attic", "porch", "room", "outdoors"]
    density = [float(air_density(t, PRESSURE)) for t in temperatures]
    excess, net = [*pressures, 0.0], np.zeros(4)
    for one in streams:
        a, b = spaces.index(one.inside), spaces.index(one.outside)
        buoyant = GRAVITY * (density[b] - density[a]) * one.opening.height
        pressed = wind_pressure(one.opening.side, one.opening.height, climate)[-1]
        dp, rule = excess[a] - excess[b] + buoyant - pressed, law(one.opening.shape)
        blown = density[a if dp > 0 else b] / REFERENCE_DENSITY
        passed = rule.coefficient * np.sign(dp) * abs(dp) ** rule.exponent
        passed *= REFERENCE_DENSITY * blown**rule.exponent
        net[a] += passed
        net[b] -= passed
    for fan in fans:
        source, target = (spaces.index(end) for end in fan.way)
        net[source] += abs(fan.flow) * density[source]
        net[target] -= abs(fan.flow) * density[source]
    return net[:3]


def test_a_root_finder_finds_the_same(leaky):
    """MINPACK's hybrid method on the balance written anew (Bernoulli, ASHRAE 2021 ch. 16)."""
    known = known_temperatures(leaky)
    temperatures = [known[name][-1] for name in ("attic", "porch", "room", "outdoors")]
    streams = [one for one in leaky.streams if one.opening is not None]
    case = leaky.case
    asked = (temperatures, streams, case.climate, case.fans)
    found = root(misses, hourly_balance(leaky).excess[0] + 0.3, asked, tol=1e-12)
    assert found.success
    assert hourly_balance(leaky).excess[0] == pytest.approx(found.x, abs=2e-3)  # Pa


def test_stack_and_neutral_level_of_an_attic():
    """Low and high holes of one size: level and stack of ASHRAE Fundamentals 2021, ch. 16, and the
    flow of an orifice under the stack above it."""
    openings = (hole("low", 0.03, 2.8), hole("high", 0.03, 6.3))
    parts = (plate("roof", 50.0, 0.3, tilt=LEVEL), plate("floor", 40.0, 1.0, "room", "attic"))
    result = solved(house(weather(263.15), parts, openings=openings), nature=HEAT_ALONE)
    air = zone(result).temperature[-1]
    level = 2.8 + 3.5 / (1.0 + air / 263.15)
    pressure = float(stack_pressure(air, 263.15, PRESSURE, 6.3 - level))
    passed = 0.6 * 0.03 * np.sqrt(2.0 * float(air_density(air, PRESSURE)) * pressure)
    assert flow(result, "high")[-1] == pytest.approx(passed, rel=1e-3)
    assert flow(result, "low")[-1] == pytest.approx(-passed, rel=1e-3)
    assert air > 264.15


@pytest.fixture
def plain(monkeypatch):
    """The balance as plain Python, which a test can call on its own."""
    for name, function in vars(kernel_air).items():
        if hasattr(function, "py_func"):
            monkeypatch.setattr(kernel_air, name, function.py_func)
    return kernel_air


def balanced(air, plain, temperature):
    assert plain.balance_air(air, np.asarray(temperature), 0)
    return air.flow.copy()


@pytest.mark.parametrize("wind", [0.0, 5.0])
@pytest.mark.parametrize("outdoors", [258.15, 303.15])
def test_slopes_by_temperature(plain, wind, outdoors):
    """dm/dT of every stream by each zone's temperature, pressures following, by differences."""
    march = house_march(leaky_house(outdoors, wind))
    air = march.joined.mesh.chain.border.air
    air.row[:] = air.rows[4]
    start = np.array([outdoors + 4.0, outdoors + 9.0])
    balanced(air, plain, start)
    slopes = air.by_temperature.copy()
    for z, step in enumerate(0.02 * np.eye(2)):
        ahead, behind = balanced(air, plain, start + step), balanced(air, plain, start - step)
        by_difference = (ahead - behind) / 0.04
        assert slopes[:, z] == pytest.approx(by_difference, abs=2e-3 * np.abs(slopes).max())
        assert np.abs(slopes[:, z]).max() > 1e-5


@pytest.fixture(scope="module")
def march():
    return house_march(leaky_house(wind=8.0))


temperatures = st.floats(240.0, 320.0)


@given(st.lists(temperatures, min_size=2, max_size=2), temperatures, st.floats(0.0, 2.0))
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
def test_any_temperatures_find_a_balance(plain, march, zones, outdoors, wind):
    """Whatever the temperatures and the wind: no residual, and a start from anywhere ends there."""
    air = march.joined.mesh.chain.border.air
    air.row[:] = air.rows[4]
    air.row[numbers.AIR_TEMPERATURE] = outdoors
    pressed = slice(wind_column(1), wind_column(1) + len(air.ends))
    air.row[pressed] *= wind
    air.excess[:] = 0.0
    first = balanced(air, plain, zones)
    air.excess[:] = [50.0, -80.0, 30.0]
    again = balanced(air, plain, zones)
    assert again == pytest.approx(first, abs=1e-9)
    for space in range(3):
        ends = 1.0 * (air.ends[:, 0] == space) - 1.0 * (air.ends[:, 1] == space)
        assert abs(first @ ends) <= 1e-10 + 1e-11 * np.abs(first) @ np.abs(ends)


def test_air_that_comes_in_and_cannot_leave_is_refused():
    """A fan into a zone without a way out would fill it for ever."""
    parts = (plate("roof", 50.0, 0.3, tilt=LEVEL), plate("floor", 40.0, 3.0, "room", "attic"))
    with pytest.raises(InputError, match="no other way"):
        house(weather(263.15), parts, fans=(Fan(0.01, "attic", "room"),))
    ducts = Ducts(
        *("ducts", "attic", 0.2, 12.0, 6.0, 0.7, 323.15),
        full_load_temperature=263.15,
        balance_temperature=288.15,
        supply_leak=0.1,
    )
    with pytest.raises(InputError, match="ducts"):
        house(weather(263.15), parts, ducts=(ducts,))
    vented, fans = hole("vent", 0.05, 4.0), (Fan(0.01, "attic", "room"),)
    with pytest.raises(InputError, match="room room: fan blow"):
        house(weather(263.15), parts, fans=fans, openings=(vented,))
    house(weather(263.15), parts, fans=fans, openings=(vented, hole("door", 0.01, 1.0, "room")))


@pytest.mark.parametrize("blown", [0.02, -0.02])
def test_air_changes_take_up_what_fans_blow(blown):
    """Without openings: what comes in leaves, and the balance by hand holds either way."""
    parts = (plate("floor", 40.0, 1.0, "room", "attic"), plate("wall", 30.0, 0.5))
    zones = (Zone("attic", 60.0, air_changes=2.0),)
    inlet = hole("inlet", 0.02, 1.0, "room")
    case = house(weather(263.15), parts, zones, fans=(Fan(blown, "attic"),), openings=(inlet,))
    result = solved(case, nature=HEAT_ALONE)
    changed = 60.0 * 2.0 / 3600.0 * float(air_density(263.15, PRESSURE))
    into, out = (flow(result, f"air changes of attic{end}")[-1] for end in ("", ", out"))
    fan = next(one.flow[-1] for one in result.streams if one.name.startswith("fan"))
    assert fan > 0.01
    gained = fan if blown > 0.0 else -fan
    assert out - into == pytest.approx(gained, abs=1e-12)
    assert min(out, into) == pytest.approx(changed, rel=1e-9)
    assert zone(result).air_balance_error <= 1e-9

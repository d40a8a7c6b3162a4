"""A house's air and zones: who blows where, and what is known of the zones before a run.

Every leak of an assembly is an opening between the spaces that the assembly lies between, at the
assembly's height, beside the openings that the case names; fans, ducts and fixed air changes are
flows that are given. Zones' temperatures follow in the run itself, with the flows that depend on
them; before it they are estimated hour by hour from steady conductances,

    T = (sum UA T_beyond + sum m c_p T_from + gains) / (sum UA + sum m c_p)                   (1)

for the humidity of rooms, which follows from air changes, the air that fans take from zones, and
the state a run starts from. The sun on the roof is left out of (1), as is all storage.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.network import AirFlows, Weather, weather_at, zone_flows
from assembly_sim.boundary.room_temperature import rooms_temperature
from assembly_sim.boundary.tested import sized_in_house
from assembly_sim.envelope.resistances import u_value
from assembly_sim.model import Assembly, Case, Ducts, MeasuredFlow, Opening, Side, Zone
from assembly_sim.model.assembly import OUTDOORS
from assembly_sim.physics.airflow import REFERENCE_DENSITY, air_density
from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY

Array = NDArray[np.float64]
ROUNDS = 4  # of temperatures and flows in turn; the last moves a zone by some 0.1 K


@dataclass(frozen=True, eq=False)
class Given:
    """Air (kg/s of dry air by hour) that goes from one space to another whatever the pressures."""

    name: str
    source: str
    target: str
    flow: Array


@dataclass(frozen=True, eq=False)
class Gains:
    """What is given off in a zone by hour: heat W, water kg/s; and its ducts', W/(m2 K) and K."""

    heat: Array
    water: Array
    duct_conductance: Array
    duct_temperature: Array


@dataclass(frozen=True, eq=False)
class Estimate:
    """Zones before a run: temperature (K) by name and hour; openings with sizes, and their flows.

    `flows` are of `spaces`, the rooms and zones from which air can get outdoors.
    """

    temperature: dict[str, Array]
    openings: tuple[Opening, ...]
    spaces: tuple[str, ...]
    flows: AirFlows | None


def leak_opening(assembly: Assembly) -> Opening | None:
    """An assembly's leak as an opening between the spaces it lies between; None without one."""
    leak, outer = assembly.leak, assembly.outer
    if leak is None or leak.flow == 0.0:
        return None
    shape = MeasuredFlow(leak.flow * assembly.area, leak.reference_pressure, leak.exponent)
    side = Side(outer.tilt, outer.azimuth) if assembly.outside == OUTDOORS else None
    return Opening(assembly.name, shape, outer.height, side, assembly.inside, assembly.outside)


def house_openings(case: Case) -> tuple[Opening, ...]:
    """The leaks of all assemblies, in their order, then the case's openings, all with a size.

    A blower door measures leaks too: openings without a size share what these leave.
    """
    leaks = [found for one in case.assemblies if (found := leak_opening(one)) is not None]
    rooms = {room.name for room in case.rooms}
    return sized_in_house((*leaks, *case.openings), rooms, case.blower_door)


def given_flows(case: Case, temperature: dict[str, Array]) -> tuple[Given, ...]:
    """Fans, leaks of ducts and fixed air changes of zones; `temperature` by space and hour.

    Where a zone has air changes and no openings, what fans and ducts bring to it leaves with these
    to outdoors, and what they take comes in with these.
    """
    pressure = case.climate.pressure
    density = {name: air_density(t, pressure) for name, t in temperature.items()}
    found = []
    for fan in case.fans:
        source, target = fan.way
        name = f"{fan.name}, {source} to {target}"
        found.append(Given(name, source, target, abs(fan.flow) * density[source]))
    for one in case.ducts:
        air = REFERENCE_DENSITY * one.flow * running(one, case.climate.temperature)
        if one.supply_leak > 0.0:
            name = f"{one.name}, supply leak"
            found.append(Given(name, one.room, one.zone, one.supply_leak * air))
        if one.return_leak > 0.0:
            name = f"{one.name}, return leak"
            found.append(Given(name, one.zone, one.room, one.return_leak * air))
    blown, open_ = tuple(found), _opened(case)
    for zone in (one for one in case.zones if one.air_changes > 0.0):
        air = zone.volume * zone.air_changes / 3600.0 * density[OUTDOORS]
        gained = np.zeros_like(air) if zone.name in open_ else _gained(zone.name, blown)
        into, out = air + np.maximum(-gained, 0.0), air + np.maximum(gained, 0.0)
        found.append(Given(f"air changes of {zone.name}", OUTDOORS, zone.name, into))
        found.append(Given(f"air changes of {zone.name}, out", zone.name, OUTDOORS, out))
    return tuple(found)


def _opened(case: Case) -> set[str]:
    """Spaces whose air can move as pressures ask."""
    leaks = (leak_opening(one) for one in case.assemblies)
    openings = (*(one for one in leaks if one is not None), *case.openings)
    return {end for one in openings for end in (one.inside, one.outside)}


def _gained(space: str, blown: Sequence[Given]) -> Array:
    """What given flows bring to a space over what they take, kg/s."""
    zero = np.zeros_like(blown[0].flow) if blown else np.zeros(1)
    into = sum((one.flow for one in blown if one.target == space), zero)
    return into - sum((one.flow for one in blown if one.source == space), zero)


def running(ducts: Ducts, outdoors: Array) -> Array:
    """Share of each hour that ducts carry air: 0 at their balance temperature, 1 at full load."""
    span = ducts.full_load_temperature - ducts.balance_temperature
    share = (outdoors - ducts.balance_temperature) / span
    return np.clip(share, 0.0, 1.0)


def duct_conductances(ducts: Ducts) -> tuple[float, float]:
    """W/K by which running supply and return exchange heat with their zone, m c_p (1 - exp(-N)).

    N = A / (R m c_p): the air cools along the duct (ASHRAE Fundamentals 2021, ch. 21, from
    memory). Half of what leaks is taken to have left before.
    """
    whole = REFERENCE_DENSITY * ducts.flow * DRY_AIR_HEAT_CAPACITY

    def one(area: float, leak: float) -> float:
        capacity = whole * (1.0 - 0.5 * leak)
        return capacity * -float(np.expm1(-area / (ducts.resistance * capacity)))

    return (
        one(ducts.supply_area, ducts.supply_leak),
        one(ducts.return_area, ducts.return_leak),
    )


def gains(case: Case, zone: Zone, rooms: dict[str, Array]) -> Gains:
    """What a zone's own sources and ducts give off, by hour; `rooms` K.

    Air that leaks from a supply leaves its room as room air; what it was heated by is a gain.
    """
    hours = case.climate.hours
    heat = np.full(hours, zone.heat_gain)
    conductance, weighed = np.zeros(hours), np.zeros(hours)
    for one in (ducts for ducts in case.ducts if ducts.zone == zone.name):
        share = running(one, case.climate.temperature)
        lost = one.supply_leak * REFERENCE_DENSITY * one.flow * DRY_AIR_HEAT_CAPACITY
        heat = heat + lost * share * (one.supply_temperature - rooms[one.room])
        supply, back = duct_conductances(one)
        conductance = conductance + share * (supply + back)
        weighed = weighed + share * (supply * one.supply_temperature + back * rooms[one.room])
    safe = np.where(conductance > 0.0, conductance, 1.0)
    temperature = np.where(conductance > 0.0, weighed / safe, case.climate.temperature)
    return Gains(heat, np.full(hours, zone.moisture), conductance, temperature)


@lru_cache(maxsize=8)  # the room's humidity, the rows and the start ask for the same
def estimated(case: Case) -> Estimate:
    """Zones and flows before a run, by (1); InputError where air has nowhere to go.

    Rooms' temperatures must be rules of their own, which all are.
    """
    rooms = rooms_temperature(case)
    outdoors = case.climate.temperature
    openings = house_openings(case)
    spaces = _open_spaces(openings, (*(z.name for z in case.zones), *rooms))
    blown = tuple(one for one in openings if {one.inside, one.outside} <= {*spaces, OUTDOORS})
    zones = {zone.name: 0.5 * (outdoors + rooms[case.room.name]) for zone in case.zones}
    weather = weather_at(blown, case.climate) if blown else None
    flows: AirFlows | None = None
    for _ in range(ROUNDS if zones else 1):
        temperature = {**zones, **rooms, OUTDOORS: outdoors}
        given = given_flows(case, temperature)
        flows = _flows(blown, spaces, temperature, weather, given)
        zones = _steady(case, temperature, blown, flows, given, rooms)
    return Estimate(zones, blown, spaces, flows)


def _open_spaces(openings: tuple[Opening, ...], spaces: tuple[str, ...]) -> tuple[str, ...]:
    """Those of the spaces that have any opening: another holds its air whatever presses."""
    ends = {end for one in openings for end in (one.inside, one.outside)}
    return tuple(space for space in spaces if space in ends)


def _flows(
    openings: tuple[Opening, ...],
    spaces: tuple[str, ...],
    temperature: dict[str, Array],
    weather: Weather | None,
    given: tuple[Given, ...],
) -> AirFlows | None:
    if weather is None:
        return None
    table = np.column_stack([temperature[name] for name in spaces])
    supply = np.zeros_like(table)
    for one in given:
        for end, sign in ((one.source, -1.0), (one.target, 1.0)):
            if end in spaces:
                supply[:, spaces.index(end)] += sign * one.flow
    return zone_flows(openings, spaces, table, weather, supply=supply)


def _steady(
    case: Case,
    temperature: dict[str, Array],
    openings: tuple[Opening, ...],
    flows: AirFlows | None,
    given: tuple[Given, ...],
    rooms: dict[str, Array],
) -> dict[str, Array]:
    """Zones' temperatures (K) by (1), from those of their neighbours as they were."""
    air = [(one.source, one.target, one.flow) for one in given]
    for number, one in enumerate(openings if flows is not None else ()):
        flow = flows.flow[:, number]  # type: ignore[union-attr]
        air.append((one.inside, one.outside, np.maximum(flow, 0.0)))
        air.append((one.outside, one.inside, np.maximum(-flow, 0.0)))
    found = {}
    for zone in case.zones:
        own = gains(case, zone, rooms)
        weight = own.duct_conductance + 1e-9
        total = own.duct_conductance * own.duct_temperature + own.heat
        total = total + 1e-9 * temperature[zone.name]
        for part in case.assemblies:
            ends = {part.inside, part.outside}
            if zone.name in ends:
                (other,) = ends - {zone.name}
                conductance = u_value(part) * part.area
                weight, total = weight + conductance, total + conductance * temperature[other]
        for source, target, flow in air:
            if target == zone.name:
                capacity = DRY_AIR_HEAT_CAPACITY * flow
                weight, total = weight + capacity, total + capacity * temperature[source]
        found[zone.name] = total / weight
    return found


def incoming_air(case: Case, room: str) -> Array:
    """Air (m3/s at room temperature) that comes into a room from elsewhere, (hours,)."""
    estimate = estimated(case)
    rooms = rooms_temperature(case)
    temperature = {**estimate.temperature, **rooms, OUTDOORS: case.climate.temperature}
    mass = np.zeros(case.climate.hours)
    for one in given_flows(case, temperature):
        mass = mass + (one.flow if one.target == room else 0.0)
    for number, opening in enumerate(estimate.openings):
        assert estimate.flows is not None
        flow = estimate.flows.flow[:, number]
        mass = mass + (np.maximum(flow, 0.0) if opening.outside == room else 0.0)
        mass = mass + (np.maximum(-flow, 0.0) if opening.inside == room else 0.0)
    return mass / air_density(rooms[room], case.climate.pressure)

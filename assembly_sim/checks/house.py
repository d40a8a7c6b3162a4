"""Where heat leaves the rooms of a house, and what comes into a zone, hour by hour.

A room's heating delivers what its surfaces conduct, what air costs and what its ducts lose. Air is
charged as in `boundary/carried.py`: what leaves at T_i with the warming of its replacement from
outdoors, m_out c_p (T_i - T_o); what enters at T_a is credited with c_p m_in (T_a - T_o). As the
flows of a room balance, the sum over its ways is its own balance, sum m_in c_p (T_i - T_a), each
way counted once. Sun through windows, people and appliances are left out: they are the same for
every option.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.house_rows import from_start
from assembly_sim.boundary.room_temperature import rooms_temperature
from assembly_sim.boundary.stamps import from_states, on_half_hours
from assembly_sim.model import Case, MoistureBalance
from assembly_sim.model.assembly import OUTDOORS
from assembly_sim.physics.airflow import air_density
from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY
from assembly_sim.solver.result import AssemblyResult, Result, StreamResult

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Way:
    """One way by which heat leaves a room: W, hourly means, (hours,), positive out of the room.

    kind: `assembly`, `opening`, `fan`, `ducts` or `ventilation`; beyond: the space it leads to;
    area: m2, 0 of what has none. conducted + carried is its share of what is delivered.
    """

    name: str
    kind: str
    room: str
    beyond: str
    conducted: Array
    carried: Array
    area: float = 0.0

    @property
    def total(self) -> Array:
        """Conducted and carried together, W."""
        return self.conducted + self.carried


@dataclass(frozen=True, eq=False)
class Into:
    """What a zone gets by one way: W, hourly means, (hours,), positive into the zone."""

    name: str
    kind: str
    heat: Array


def temperatures(result: Result) -> dict[str, Array]:
    """Air temperature (K) of every space by name, hourly means of the run."""
    case, hours = result.case, result.hours
    states = {**rooms_temperature(case), OUTDOORS: case.climate.temperature}
    known = {name: hourly(case, state, hours) for name, state in states.items()}
    return known | {one.zone.name: one.temperature[:hours] for one in result.zones}


def hourly(case: Case, state: Array, hours: int) -> Array:
    """Hourly means of the run, (hours,), of states at the hours' ends of the weather."""
    rows = from_start(case, on_half_hours(case.climate, from_states, state))
    return np.resize(0.25 * (rows[:-1:2] + 2.0 * rows[1::2] + rows[2::2]), hours)


def ways_out(result: Result) -> tuple[Way, ...]:
    """Every way by which heat leaves the rooms of a house, each once."""
    known = temperatures(result)
    rooms = {one.name for one in result.case.rooms}
    ducts = {f"{one.name}, {side} leak" for one in result.case.ducts for side in _SIDES}
    found: list[Way] = []
    for one in result.assemblies:
        found += _of_assembly(result, one, rooms)
    for stream in result.streams:
        if stream.kind != "leak" and stream.name not in ducts:
            found += _of_stream(stream, rooms, known, result.hours)
    return (*found, *_of_ducts(result, rooms, known), *_of_ventilation(result, known))


_SIDES = ("supply", "return")


def _of_assembly(result: Result, found: AssemblyResult, rooms: set[str]) -> Iterator[Way]:
    """What an assembly takes from the room inside it, and from one outside it."""
    one, hours = found.assembly, result.hours

    def mean(name: str) -> Array:
        paths = [path.share * getattr(path, name)[:hours] for path in found.paths]
        return one.area * np.sum(paths, axis=0)

    if one.inside in rooms:
        conducted, moved = mean("heat_flux_room"), mean("carried_heat")
        if one.outside in rooms and result.case.breathes:
            moved = _leaked(result, found, one.inside, mean("leak_heat"))
        yield Way(one.name, "assembly", one.inside, one.outside, conducted, moved, one.area)
    if one.outside in rooms:
        conducted = -mean("heat_flux_outdoors")
        moved = _leaked(result, found, one.outside, mean("leak_heat"))
        yield Way(one.name, "assembly", one.outside, one.inside, conducted, moved, one.area)


def _leaked(result: Result, found: AssemblyResult, room: str, left: Array) -> Array:
    """What an assembly's leak carries out of a room beside it, W, by the account above.

    Air that comes in through it is credited with what it still has: `left` stayed in the layers.
    """
    one, hours = found.assembly, result.hours
    own = [each for each in result.streams if each.kind == "leak" and each.name == one.name]
    if not own:
        return np.zeros(hours)
    _, heat = carried(own[0], room, temperatures(result), hours)
    inward = own[0].flow[:hours] * (1.0 if room == one.outside else -1.0) > 0.0
    return heat + np.where(inward, left, 0.0)


def carried(
    stream: StreamResult, room: str, known: dict[str, Array], hours: int
) -> tuple[str, Array]:
    """The space beyond a stream of a room, and what it carries out of it by the account, W."""
    outward = stream.inside == room
    beyond = stream.outside if outward else stream.inside
    flow = (1.0 if outward else -1.0) * stream.flow[:hours]
    out, into = np.maximum(flow, 0.0), np.maximum(-flow, 0.0)
    outdoors = known[OUTDOORS]
    heat = out * (known[room] - outdoors) - into * (known[beyond] - outdoors)
    kept = np.where(into > 0.0, left_on_the_way(stream, hours), 0.0)
    return beyond, DRY_AIR_HEAT_CAPACITY * heat + kept


def left_on_the_way(stream: StreamResult, hours: int) -> Array | float:
    """Heat (W) that a stream left on its way, at planes that it wets: it comes in without that."""
    return 0.0 if stream.left_heat is None else stream.left_heat[:hours]


def _of_stream(
    stream: StreamResult, rooms: set[str], known: dict[str, Array], hours: int
) -> Iterator[Way]:
    kind = "fan" if stream.kind == "given" else stream.kind
    for room in sorted(rooms & {stream.inside, stream.outside}):
        beyond, heat = carried(stream, room, known, hours)
        yield Way(stream.name, kind, room, beyond, np.zeros(hours), heat)


def _of_ducts(result: Result, rooms: set[str], known: dict[str, Array]) -> Iterator[Way]:
    """What the ducts in each zone lose: through their walls, and by air that leaks."""
    for zone in result.zones:
        own = [one for one in result.case.ducts if one.zone == zone.zone.name]
        if not own:
            continue
        leaks = {f"{one.name}, {side} leak" for one in own for side in _SIDES}
        heat = zone.heat_gain[: result.hours] - zone.zone.heat_gain
        for stream in (each for each in result.streams if each.name in leaks):
            (room,) = rooms & {stream.inside, stream.outside}
            heat = heat + carried(stream, room, known, result.hours)[1]
        name = f"ducts in {zone.zone.name}"
        conducted = zone.duct_heat[: result.hours]
        yield Way(name, "ducts", own[0].room, zone.zone.name, conducted, heat)


def _of_ventilation(result: Result, known: dict[str, Array]) -> Iterator[Way]:
    """The air changes that a room's moisture balance states, beside what its openings pass."""
    for room in result.case.rooms:
        rule = room.humidity
        if isinstance(rule, MoistureBalance) and rule.air_changes > 0.0:
            pressure = hourly(result.case, result.case.climate.pressure, result.hours)
            air = rule.volume * rule.air_changes / 3600.0 * air_density(known[room.name], pressure)
            heat = DRY_AIR_HEAT_CAPACITY * air * (known[room.name] - known[OUTDOORS])
            nothing = np.zeros(result.hours)
            name = f"ventilation of {room.name}"
            yield Way(name, "ventilation", room.name, OUTDOORS, nothing, heat)


def into_zone(result: Result, zone: str) -> tuple[Into, ...]:
    """What comes into a zone, and what leaves it (negative): all but what its air stores."""
    known, hours = temperatures(result), result.hours
    (own,) = (one for one in result.zones if one.zone.name == zone)
    found = []
    for one in result.assemblies:
        side = {one.assembly.inside: -1.0, one.assembly.outside: 1.0}.get(zone)
        if side is not None:
            name = "heat_flux_room" if one.assembly.inside == zone else "heat_flux_outdoors"
            paths = [path.share * getattr(path, name)[:hours] for path in one.paths]
            heat = side * one.assembly.area * np.sum(paths, axis=0)
            found.append(Into(one.assembly.name, "assembly", heat))
    for stream in (one for one in result.streams if zone in (one.inside, one.outside)):
        inward = stream.outside == zone
        flow = np.maximum((1.0 if inward else -1.0) * stream.flow[:hours], 0.0)
        source = known[stream.inside if inward else stream.outside]
        heat = DRY_AIR_HEAT_CAPACITY * flow * (source - known[zone])
        heat = heat - np.where(flow > 0.0, left_on_the_way(stream, hours), 0.0)
        found.append(Into(stream.name, stream.kind, heat))
    if own.duct_heat.any():
        found.append(Into("ducts", "ducts", own.duct_heat[:hours]))
    if own.heat_gain.any():
        found.append(Into("gains and what ducts lost", "gain", own.heat_gain[:hours]))
    return tuple(found)

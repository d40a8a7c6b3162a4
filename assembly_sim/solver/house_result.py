"""What a march of zones gives back: paths in the words of a result, zones, and air between them.

A face at a zone has its flux from the film and the radiation it exchanges there; leak air its heat
and vapour from the streams (`kernel/zones.py` orders both). What air carries out of a room is
charged against outdoors (`boundary/carried.py`), also where it comes from a zone or goes there: the
room's replacement comes from outdoors, and what a zone's air brings is credited.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.drivers import Drivers, hourly_drivers
from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY
from assembly_sim.physics.moist_air import humidity_ratio
from assembly_sim.solver.house import HouseMarch, PathAt
from assembly_sim.solver.join import part_of, place_of
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.march import March
from assembly_sim.solver.path_result import path_result
from assembly_sim.solver.result import PathResult, StreamResult, ZoneResult

Floats = NDArray[np.float64]
LITTLE_AIR = 1e-3  # kg/s, less than any hole of a square centimetre passes in a wind


class _Passing(NamedTuple):
    """Hourly flows of what passes the border, (hours, n, 3): links, brought; (hours, n): streams.

    gains, ducts: (hours, zones, 3).
    """

    links: Floats
    brought: Floats
    streams: Floats
    gains: Floats
    ducts: Floats


def _passing(found: March) -> _Passing:
    kinds = found.mesh.chain.kinds
    by_kind = [
        found.flows[:, kinds == kind]
        for kind in (numbers.LINKED, numbers.BROUGHT, numbers.BLOWN, numbers.GAINED, numbers.DUCTED)
    ]
    return _Passing(by_kind[0], by_kind[1], by_kind[2][:, :, 0], by_kind[3], by_kind[4])


def zone_states(found: March, house: HouseMarch) -> dict[str, tuple[Floats, Floats]]:
    """Hourly mean temperature (K) and vapour pressure (Pa) of each zone by name."""
    first = len(found.mesh.chain.plane_node) - _border_nodes(found)
    return {
        zone.name: (found.planes[0][:, first + z], found.planes[1][:, first + z])
        for z, zone in enumerate(house.case.zones)
    }


def _border_nodes(found: March) -> int:
    border = found.mesh.chain.border
    assert border is not None
    return int(border.columns.shape[1])


def house_drivers(found: March, house: HouseMarch, number: int) -> Drivers:
    """What an assembly at a zone faced: rows as hours, its zones as they came to be."""
    case, surface = house.case, house.numbers.index(number)
    rows = house.rows[:, surface]
    years = -(-found.hours // ((len(rows) - 1) // 2))
    faced = hourly_drivers(rows, max(years, 1))
    faced = Drivers(**{name: values[: found.hours] for name, values in vars(faced).items()})
    states, assembly = zone_states(found, house), case.assemblies[number]
    if assembly.outside in states:
        outside = states[assembly.outside]
        faced = replace(faced, outdoor_temperature=outside[0], outdoor_vapour_pressure=outside[1])
    if assembly.inside in states:
        inside = states[assembly.inside]
        faced = replace(faced, room_temperature=inside[0], room_vapour_pressure=inside[1])
    if number not in house.leaks:
        return faced
    leak = _passing(found).streams[:, house.leaks[number]] / assembly.area
    warming = DRY_AIR_HEAT_CAPACITY * (faced.room_temperature - _outdoors(found, house)[0])
    return replace(faced, leak=leak, incoming_heat=np.maximum(-leak, 0.0) * warming)


def _outdoors(found: March, house: HouseMarch) -> tuple[Floats, Floats, Floats]:
    """Hourly means of outdoor temperature (K), vapour pressure and atmospheric pressure (Pa)."""
    border = house.joined.mesh.chain.border
    assert border is not None
    rows = border.air.rows[:, : numbers.AIR_ROOMS]
    hourly = 0.25 * (rows[:-1:2] + 2.0 * rows[1::2] + rows[2::2])
    years = -(-found.hours // len(hourly))
    return tuple(np.tile(hourly, (years, 1))[: found.hours].T)


def read_path(found: March, house: HouseMarch, part: int) -> PathResult:
    """One path of the march in the words of a result."""
    at, passing = house.paths[part], _passing(found)
    rows = house.rows[:, house.numbers.index(at.number)]
    own = part_of(found, house.joined, part)
    plain = path_result(own, at.path, at.share, rows, 0.0)
    drivers = house_drivers(found, house, at.number)
    known: dict[str, Any] = {
        **_faces(found, house, part, passing),
        **_leaked(found, house, part, at, passing, drivers),
    }
    return replace(plain, **known)


def _faces(found: March, house: HouseMarch, part: int, passing: _Passing) -> dict[str, Floats]:
    """Fluxes at the faces that look at a zone, positive from inside to outside."""
    border = found.mesh.chain.border
    assert border is not None
    parts = house.joined.parts
    first, nodes = place_of(parts, part), border.links[:, numbers.NODE]
    last = first + len(parts[part].mesh.depth) - 1
    given = {}
    for node, side, sign in ((first, "outdoors", 1.0), (last, "room", -1.0)):
        links = nodes == node
        if links.any():
            given[f"heat_flux_{side}"] = sign * passing.links[:, links, 2].sum(axis=1)
            given[f"vapour_flux_{side}"] = sign * passing.links[:, links, 0].sum(axis=1)
    return given


def _leaked(
    found: March,
    house: HouseMarch,
    part: int,
    at: PathAt,
    passing: _Passing,
    drivers: Drivers,
) -> dict[str, Floats]:
    """What leak air left in the path, and what it carries out of the space inside.

    What the air of openings left there is counted with it; what that carries is the openings'.
    """
    border = found.mesh.chain.border
    assert border is not None
    items = border.air.items
    first = place_of(house.joined.parts, part)
    here = items[:, numbers.TARGET] - first
    mine = (here >= 0) & (here < len(house.joined.parts[part].mesh.depth))
    left = passing.brought[:, mine].sum(axis=1)
    given = {"leak_vapour": left[:, 0], "leak_heat": left[:, 2]} if mine.any() else {}
    if at.number not in house.leaks:
        return given
    inward = mine & (items[:, numbers.WAY] < 0)
    inward &= items[:, numbers.STREAM] == house.leaks[at.number]
    left_inward = passing.brought[:, inward].sum(axis=1)
    outdoors, damp, pressure = _outdoors(found, house)
    cold, dry = drivers.outdoor_temperature, drivers.outdoor_vapour_pressure
    out, into = np.maximum(drivers.leak, 0.0), np.maximum(-drivers.leak, 0.0)
    base = humidity_ratio(damp, pressure)
    heat = out * (drivers.room_temperature - outdoors) - into * (cold - outdoors)
    water = out * (humidity_ratio(drivers.room_vapour_pressure, pressure) - base)
    water = water - into * (humidity_ratio(dry, pressure) - base)
    return given | {
        "carried_heat": DRY_AIR_HEAT_CAPACITY * heat + left_inward[:, 2],
        "carried_vapour": water + left_inward[:, 0],
    }


def zone_results(found: March, house: HouseMarch) -> tuple[ZoneResult, ...]:
    """Each zone through the run, with the balances of its heat, water and air."""
    first = len(found.mesh.chain.plane_node) - _border_nodes(found)
    passing = _passing(found)
    return tuple(
        ZoneResult(
            zone=zone,
            temperature=found.planes[0][:, first + z],
            vapour_pressure=found.planes[1][:, first + z],
            relative_humidity=found.humidity[:, first + z],
            radiant_temperature=_radiant(found, house, z),
            free_water=found.film[:, first + z],
            heat_gain=passing.gains[:, z, 2],
            duct_heat=passing.ducts[:, z, 2],
            heat_balance_error=_balance(found, house, passing, z, 1),
            moisture_balance_error=_balance(found, house, passing, z, 0),
            air_balance_error=_air_balance(house, passing, z),
        )
        for z, zone in enumerate(house.case.zones)
    )


def _radiant(found: March, house: HouseMarch, zone: int) -> Floats:
    """Temperature (K) at which a zone's faces meet; every zone has faces that radiate."""
    first = len(found.mesh.chain.plane_node) - _border_nodes(found)
    return found.planes[0][:, first + len(house.case.zones) + zone]


def _balance(found: March, house: HouseMarch, passing: _Passing, zone: int, field: int) -> float:
    """|stored - net inflow| / gross inflow of a zone's water (field 0) or enthalpy (1)."""
    border, kept = found.mesh.chain.border, found.kept
    assert border is not None
    assert kept is not None
    node = len(found.mesh.depth) - _border_nodes(found) + zone
    links = border.links[:, numbers.ZONE] == zone
    target = border.air.items[:, numbers.TARGET] == node
    into = np.column_stack(
        (
            passing.links[:, links, field] * border.sizes[links, numbers.AREA],
            passing.brought[:, target, field],
            passing.gains[:, zone, field],
            passing.ducts[:, zone, field],
        )
    )
    after = (kept.arrays.water, kept.arrays.heat)[field][node]
    stored = after - kept.before[field][node]
    gross = 3600.0 * np.maximum(into, 0.0).sum()
    return float(abs(stored - 3600.0 * into.sum()) / max(gross, abs(after), 1e-12))


def _air_balance(house: HouseMarch, passing: _Passing, zone: int) -> float:
    """Largest hourly |sum of streams| of a zone over all that flowed in the year's mean.

    Of what hardly flows: over `LITTLE_AIR`.
    """
    border = house.joined.mesh.chain.border
    assert border is not None
    ends = border.air.ends
    sign = 1.0 * (ends[:, 1] == zone) - 1.0 * (ends[:, 0] == zone)
    net = np.abs(passing.streams @ sign).max(initial=0.0)
    hours = max(len(passing.streams), 1)
    gross = (np.abs(passing.streams) @ np.abs(sign)).sum() / hours
    return float(net / max(gross, LITTLE_AIR))


def stream_results(found: March, house: HouseMarch) -> tuple[StreamResult, ...]:
    """Air between the spaces of the house, openings and leaks first, then what is given."""
    passing, openings = _passing(found), house.estimate.openings
    flows, leaks = passing.streams, set(house.leaks.values())
    named = [
        StreamResult(
            *(one.name, "leak" if k in leaks else "opening", one.inside, one.outside),
            *(flows[:, k], one, None if one.wets is None else _left(found, passing, k)),
        )
        for k, one in enumerate(openings)
    ]
    more = [
        StreamResult(one.name, "given", one.source, one.target, flows[:, len(openings) + k])
        for k, one in enumerate(house.given)
    ]
    return (*named, *more)


def _left(found: March, passing: _Passing, stream: int) -> Floats:
    """Heat (W) that a stream's air left at the planes that it wets, by hour."""
    border = found.mesh.chain.border
    assert border is not None
    items = border.air.items
    first = len(found.mesh.depth) - _border_nodes(found)
    own = (items[:, numbers.STREAM] == stream) & (items[:, numbers.TARGET] < first)
    return passing.brought[:, own, 2] @ found.mesh.node_area[items[own, numbers.TARGET]]


def space_leaks(found: March, house: HouseMarch, hours: int) -> dict[int, Floats]:
    """Last year's leak flow (kg/s by hour) of each assembly by its number, from run's start."""
    flows = _passing(found).streams
    return {number: flows[-hours:, stream] for number, stream in house.leaks.items()}

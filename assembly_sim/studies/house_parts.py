"""A house whose air and attics are solved together, in parts: ways out of its rooms, and beyond.

What leads to a zone leaves that zone to outdoors by its slopes, gables and vents. Both sides are
the same heat and are told apart: what the rooms lose by the floor, its leaks and ducts adds up to
what leaves by roof, gables and vents, with what the zone and its floor held and gave back. Air is
charged on both sides against outdoors (`boundary/carried.py`), so that the two meet.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from assembly_sim.checks.house import Way, carried, temperatures, ways_out
from assembly_sim.model.assembly import OUTDOORS
from assembly_sim.solver.result import AssemblyResult, Result
from assembly_sim.studies.part import Array, Marched, Part, way_out

HELD = "held in zones and floors"
"""What zones, their floors and what is stored there take up and give back in the counted hours."""
VENTS = "vents"
LEAVES = {"opening": "leak", "fan": "fan", "ducts": "ducts", "ventilation": "ventilation"}


def parts_of_house(result: Result, year: slice, alone: Marched) -> Marched:
    """The parts of a house; `alone` as if each assembly stood by itself, with its summaries."""
    known = {one.name: one for one in alone.parts}
    parts = tuple(_way(one, year, result, known) for one in ways_out(result))
    air = temperatures(result)
    room = air[result.case.room.name]
    return replace(
        alone,
        parts=parts,
        colder=air[OUTDOORS][year] < room[year],
        beyond=_beyond(result, year, parts, known, air),
        zones=tuple((one.zone.name, air[one.zone.name][year]) for one in result.zones),
    )


def _way(one: Way, year: slice, result: Result, known: dict[str, Part]) -> Part:
    """A way out of a room as a part; named with its room where there are several."""
    zones = {zone.name for zone in result.case.zones}
    own = known.get(one.name) if one.kind == "assembly" else None
    openings = {each.name: each.opening for each in result.streams if each.kind == "opening"}
    return Part(
        name=f"{one.name}, of {one.room}" if result.case.more_rooms else one.name,
        area=one.area,
        leaves=own.leaves if own is not None else LEAVES[one.kind],
        conducted=one.conducted[year],
        carried=one.carried[year],
        resistance=None if own is None else own.resistance,
        summary=None if own is None else own.summary,
        kind=one.kind,
        beyond=one.beyond if one.beyond in zones else "",
        opening=openings.get(one.name) if one.kind == "opening" else None,
    )


def _beyond(
    result: Result,
    year: slice,
    parts: tuple[Part, ...],
    known: dict[str, Part],
    air: dict[str, Array],
) -> tuple[Part, ...]:
    """Ways out of all zones to outdoors, then what is left: held there, in these hours."""
    zones = {one.zone.name for one in result.zones}
    if not zones:
        return ()
    ways = [*_slopes(result, year, zones, known), *_vents(result, year, zones, air)]
    from_rooms = [part for part in parts if part.beyond]
    nothing = np.zeros(year.stop - year.start)
    came, left = (
        sum((one.conducted + one.carried for one in some), nothing) for some in (from_rooms, ways)
    )
    return (*ways, Part(HELD, 0.0, "storage", came - left, nothing, kind="held"))


def _slopes(result: Result, year: slice, zones: set[str], known: dict[str, Part]) -> Iterator[Part]:
    """What assemblies between a zone and outdoors take from it, with their leaks.

    Those between two zones are told too, without heat: both sides are beyond the rooms.
    """
    for found in result.assemblies:
        one = found.assembly
        if one.inside not in zones:
            continue
        outdoors = one.outside == OUTDOORS
        if not outdoors and one.outside not in zones:
            continue  # a room outside of it: that room's own way
        yield Part(
            name=one.name,
            area=one.area,
            leaves=way_out(one),
            conducted=_whole(found, "heat_flux_room", year) * outdoors,
            carried=_whole(found, "carried_heat", year) * outdoors,
            resistance=known[one.name].resistance,
            summary=known[one.name].summary,
            beyond=one.inside,
        )


def _whole(found: AssemblyResult, name: str, year: slice) -> Array:
    paths = [path.share * getattr(path, name)[year] for path in found.paths]
    return found.assembly.area * np.sum(paths, axis=0)


def _vents(result: Result, year: slice, zones: set[str], air: dict[str, Array]) -> Iterator[Part]:
    """What air takes out of a zone to outdoors by its vents; then what is given off there."""
    for stream in result.streams:
        ends = {stream.inside, stream.outside}
        zone = next(iter(zones & ends), "")
        if zone and OUTDOORS in ends and stream.kind != "leak":
            heat = carried(stream, zone, air, result.hours)[1][year]
            nothing = np.zeros(len(heat))
            yield Part(
                stream.name,
                0.0,
                VENTS,
                nothing,
                heat,
                kind=stream.kind,
                beyond=zone,
                opening=stream.opening,
            )
    for one in result.zones:
        if one.zone.heat_gain:
            given = np.full(year.stop - year.start, -one.zone.heat_gain)
            name = f"given off in {one.zone.name}"
            yield Part(name, 0.0, "gain", given, 0.0 * given, kind="gain", beyond=one.zone.name)

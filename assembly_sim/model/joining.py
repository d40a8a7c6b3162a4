"""Whether rooms, zones, assemblies, openings, fans and ducts of a case join to one house."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Protocol

from assembly_sim.model.assembly import OUTDOORS, Assembly
from assembly_sim.model.opening import Fan, Opening
from assembly_sim.model.ranges import refused
from assembly_sim.model.room import Room
from assembly_sim.model.wetting import refuse_wet_nowhere
from assembly_sim.model.zone import Ducts, Pipe, Zone


class House(Protocol):
    """What of a case lies around its air."""

    @property
    def rooms(self) -> tuple[Room, ...]: ...
    @property
    def zones(self) -> tuple[Zone, ...]: ...
    @property
    def assemblies(self) -> tuple[Assembly, ...]: ...
    @property
    def openings(self) -> tuple[Opening, ...]: ...
    @property
    def fans(self) -> tuple[Fan, ...]: ...
    @property
    def ducts(self) -> tuple[Ducts, ...]: ...
    @property
    def pipes(self) -> tuple[Pipe, ...]: ...


def refuse_unjoined(house: House) -> None:
    """InputError where a name is taken twice or of nothing, or a zone touches nothing.

    A zone needs an assembly, and a way for heat to a room or to outdoors.
    """
    rooms, zones = [one.name for one in house.rooms], [one.name for one in house.zones]
    _refuse_twice("space", [OUTDOORS, *rooms, *zones])
    for things in (house.openings, house.ducts, house.pipes):
        _refuse_twice("opening, duct or pipe", [one.name for one in things])
    for where, name in _ends(house):
        if name not in (OUTDOORS, *rooms, *zones):
            known = ", ".join(map(str, [OUTDOORS, *rooms, *zones]))
            raise refused(where, f"there is no space '{name}'", f"name one of {known}")
    for one in house.ducts:
        if one.zone not in zones or one.room not in rooms:
            cause, cure = f"from {one.room} through {one.zone}", "let them serve a room from a zone"
            raise refused(f"ducts {one.name}", cause, cure)
    for pipe in (one for one in house.pipes if one.zone not in zones):
        cause, cure = (
            f"there is no zone '{pipe.zone}'",
            f"name one of {', '.join(zones) or 'yours'}",
        )
        raise refused(f"pipe {pipe.name}", cause, cure)
    for lost in sorted(set(zones) - _reached(house.assemblies, {OUTDOORS, *rooms})):
        cure = f'let an assembly have inside = "{lost}" or outside = "{lost}"'
        raise refused(f"zone {lost}", "no assembly joins it to a room or to outdoors", cure)
    _refuse_trapped(house)
    for opening in house.openings:
        refuse_wet_nowhere(opening, house.assemblies, house.zones)


def _refuse_trapped(house: House) -> None:
    """Refuse a space that air is blown into, or out of, and that has no other way for it.

    A zone's air changes are one; those of a room's moisture balance are not, as they balance.
    Fans are of so many m3/s of the air that they take, so that two never cancel to the last gram.
    """
    leaky = [one for one in house.assemblies if one.leak is not None and one.leak.flow > 0.0]
    ways = {end for one in leaky for end in (one.inside, one.outside)}
    ways |= {end for one in house.openings for end in (one.inside, one.outside)}
    ways |= {one.name for one in house.zones if one.air_changes > 0.0}
    closed = {*(one.name for one in house.zones), *(one.name for one in house.rooms)} - ways
    for space in sorted(closed):
        blown = [one.name for one in house.fans if space in one.way and one.flow != 0.0]
        blown += [
            one.name
            for one in house.ducts
            if space in (one.zone, one.room) and one.supply_leak != one.return_leak
        ]
        if blown:
            zone = space in {one.name for one in house.zones}
            cause = f"{', '.join(blown)} blow air into it or out of it, and it has no other way"
            cure = f"give it an opening, or an assembly that leaks{' or air_changes' * zone}"
            raise refused(f"{'zone' if zone else 'room'} {space}", cause, cure)


def _refuse_twice(what: str, names: Sequence[str]) -> None:
    for name in names:
        if names.count(name) > 1:
            raise refused(name, f"two of kind {what} have this name", "give each its own")


def _ends(house: House) -> Iterator[tuple[str, str]]:
    """What names a space, and the name."""
    for one in house.assemblies:
        yield from ((f"{one.name}.outside", one.outside), (f"{one.name}.inside", one.inside))
    for opening in house.openings:
        yield f"opening {opening.name}.inside", opening.inside
        yield f"opening {opening.name}.outside", opening.outside
    for fan in house.fans:
        yield from (("fan.zone", fan.zone), ("fan.other", fan.other))


def _reached(assemblies: Iterable[Assembly], found: set[str]) -> set[str]:
    """The spaces that assemblies join to those found, near or far."""
    more = {
        end
        for one in assemblies
        for end, other in ((one.inside, one.outside), (one.outside, one.inside))
        if other in found and end not in found
    }
    return _reached(list(assemblies), found | more) if more else found

"""What the air of a house is to one of its assemblies: what a verdict may say of its leak.

Beneath a zone what rooms leak reaches a roof by the zone's own air, which is computed with it. So
a deck over an attic is tested with room air if, and only if, room air gets into the attic.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.planes import last_span, last_year
from assembly_sim.envelope.airways import bare_to_its_inside
from assembly_sim.model import Assembly, Case
from assembly_sim.physics.airflow import REFERENCE_DENSITY
from assembly_sim.solver.result import Result, StreamResult

LEAST_ROOM_AIR = 1e-5  # m3/s, a hundredth of a litre a second: less is none, ours
ROUNDS = 50  # of shares handed on from zone to zone


@dataclass(frozen=True)
class HouseAir:
    """The air of a house around one assembly.

    inside: the space it looks into; zone: whether that is one, whose air floats; bare: whether
    nothing in the assembly keeps that air from its cold layers; room_air: m3/s of the rooms' air
    that came into the zone in the mean of the last year, by itself or in the air of other zones;
    passed_by: openings between the same two spaces, and wetted_by: those whose air wets it;
    span: what room_air is a mean of.
    """

    inside: str
    zone: bool = False
    bare: bool = False
    room_air: float = 0.0
    passed_by: tuple[str, ...] = ()
    span: str = "the last year"
    wetted_by: tuple[str, ...] = ()

    @property
    def reached(self) -> bool:
        """Whether room air comes into the zone at all."""
        return self.room_air >= LEAST_ROOM_AIR


def house_air(result: Result, assembly: Assembly) -> HouseAir | None:
    """The air around an assembly; None where the case does not balance its air."""
    case = result.case
    if not case.breathes:
        return None
    floats = assembly.inside in {zone.name for zone in case.zones}
    return HouseAir(
        inside=assembly.inside,
        zone=floats,
        bare=bare_to_its_inside(assembly),
        room_air=room_air_into(result, assembly.inside) if floats else 0.0,
        passed_by=passed_by(case, assembly),
        span=last_span(result),
        wetted_by=wetted_by(case, assembly),
    )


def passed_by(case: Case, assembly: Assembly) -> tuple[str, ...]:
    """Openings between the two spaces that an assembly lies between, whose air wets it nowhere."""
    ends, wet = {assembly.inside, assembly.outside}, wetted_by(case, assembly)
    beside = (one for one in case.openings if {one.inside, one.outside} == ends)
    return tuple(one.name for one in beside if one.name not in wet)


def wetted_by(case: Case, assembly: Assembly) -> tuple[str, ...]:
    """Openings whose air wets a plane of an assembly."""
    name = assembly.name
    return tuple(one.name for one in case.openings if one.wets and one.wets.assembly == name)


def room_air_into(result: Result, zone: str) -> float:
    """Air of the rooms that came into a zone, m3/s of 1.2 kg/m3, mean of the last year.

    Of what comes from another zone the share that is the rooms', by mean flows: all of it mixed.
    """
    hours = np.zeros(result.hours, dtype=bool)
    hours[last_year(result)] = True
    into = inflows(result.streams, hours)
    rooms = {room.name for room in result.case.rooms}
    zones = {one.name for one in result.case.zones}
    share = {**dict.fromkeys(rooms, 1.0), **dict.fromkeys(zones, 0.0)}
    for _ in range(ROUNDS):
        share |= {name: _share(into.get(name, {}), share) for name in zones}
    own = into.get(zone, {})
    found = sum(flow * share.get(source, 0.0) for source, flow in own.items())
    return float(found) / REFERENCE_DENSITY


def _share(sources: dict[str, float], share: dict[str, float]) -> float:
    whole = sum(sources.values())
    return sum(f * share.get(one, 0.0) for one, f in sources.items()) / whole if whole else 0.0


def inflows(
    streams: Iterable[StreamResult], hours: NDArray[np.bool_]
) -> dict[str, dict[str, float]]:
    """Mean flow (kg/s) into each space by the space it comes from, over some hours of the run."""
    found: dict[str, dict[str, float]] = {}
    for one in streams:
        flow = one.flow[: len(hours)][hours]
        out, back = (float(np.maximum(sign * flow, 0.0).mean()) for sign in (1.0, -1.0))
        ways = ((one.inside, one.outside, out), (one.outside, one.inside, back))
        for source, target, mean in ways:
            into = found.setdefault(target, {})
            into[source] = into.get(source, 0.0) + mean
    return found

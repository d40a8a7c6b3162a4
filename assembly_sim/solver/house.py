"""The part of a case that floats: every assembly at a zone, all zones and all air, in one march."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.forcing import boundary_rows
from assembly_sim.boundary.house import Estimate, Given, estimated, given_flows, leak_opening
from assembly_sim.boundary.house_rows import air_rows
from assembly_sim.boundary.openings import law
from assembly_sim.boundary.room_state import rooms_rows
from assembly_sim.boundary.room_temperature import rooms_temperature
from assembly_sim.envelope.airways import airways
from assembly_sim.envelope.resistances import path_shares
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import AirLayer, Assembly, Case, Membrane
from assembly_sim.model.assembly import OUTDOORS
from assembly_sim.model.opening import Unsized
from assembly_sim.physics.airflow import air_density
from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY
from assembly_sim.physics.enclosure import radiant_emissivities
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.physics.surface import still_air_convection, vapour_film_coefficient
from assembly_sim.solver.chain import Mesh
from assembly_sim.solver.join import Face, Joined, Part, Zone, join, part_of, place_of
from assembly_sim.solver.march import Kept, March, Nature, constants_row, march
from assembly_sim.solver.mesh import HELD_FILM, build_mesh
from assembly_sim.solver.streams import HouseAir, Leakage, Stream
from assembly_sim.solver.wetting import wetted_by

Floats = NDArray[np.float64]
SIDES = ("outer", "inner")


class PathAt(NamedTuple):
    """A path that marches with the zones: the case's assembly of that number, and its share."""

    number: int
    path: str
    share: float


@dataclass(frozen=True, eq=False)
class HouseMarch:
    """All that marches together: what it is of, its mesh, rows, and streams by name.

    rows (stamps, surfaces, COLUMNS), a surface for each of `numbers`; `leaks`: the stream of each
    assembly's leak, by the assembly's number.
    """

    case: Case
    estimate: Estimate
    given: tuple[Given, ...]
    numbers: tuple[int, ...]
    paths: tuple[PathAt, ...]
    joined: Joined
    rows: Floats
    leaks: dict[int, int]

    def part(self, found: March, number: int) -> March:
        """The march of one path out of that of all."""
        return part_of(found, self.joined, number)

    def march(
        self,
        hours: int,
        month: Callable[[int], None] | None,
        nature: Nature,
        profiles: bool,
        steps: float,
        kept: Kept | None,
    ) -> March:
        """March all of it `hours` further."""
        layers = sum(part.layers for part in self.joined.parts)
        row = constants_row(nature, HELD_FILM)
        return march(
            *(self.joined.mesh, self.rows, hours, row, layers),
            progress=month,
            profiles=profiles,
            steps=steps,
            kept=kept,
        )


def at_zone(case: Case, assembly: Assembly) -> bool:
    """Whether an assembly marches with the zones: at one, or wetted by the air of an opening."""
    zones = {zone.name for zone in case.zones}
    wetted = {one.wets.assembly for one in case.openings if one.wets is not None}
    return bool(zones & {assembly.inside, assembly.outside}) or assembly.name in wetted


def room_air(case: Case, estimate: Estimate, space: str) -> tuple[Floats, Floats]:
    """Temperature (K) and vapour pressure (Pa) of a room, or what a zone starts from, by hour."""
    if space in estimate.temperature:
        temperature = estimate.temperature[space]
        damp = np.minimum(case.climate.vapour_pressure, 0.9 * saturation_pressure(temperature))
        return temperature, damp
    return rooms_rows(case)[space]


def house_march(case: Case, refine: float = 1.0) -> HouseMarch:
    """Everything at the zones of a case, joined; InputError where it cannot be."""
    estimate = estimated(case)
    rooms = rooms_temperature(case)
    temperature = {**estimate.temperature, **rooms, OUTDOORS: case.climate.temperature}
    given = given_flows(case, temperature)
    numbers = tuple(k for k, one in enumerate(case.assemblies) if at_zone(case, one))
    for one in (case.assemblies[k] for k in numbers):
        if one.air_through != 0.0:
            cause = f"'{one.name}' passes air through its layers, at a zone"
            raise InputError(Problem(cause, "give it a leak instead of air_through", case.file))
    paths = tuple(
        PathAt(k, path, share)
        for k in numbers
        for path, share in path_shares(case.assemblies[k]).items()
    )
    parts = [_part(case, at, numbers, refine) for at in paths]
    streams, leaks = _streams(case, estimate, given, paths, parts)
    air = HouseAir(streams, len(rooms), air_rows(case, estimate, given))
    joined = join(parts, _zones(case, estimate), _faces(case, paths), air)
    rows = [space_rows(case, _without_leak(case.assemblies[k]), estimate) for k in numbers]
    return HouseMarch(case, estimate, given, numbers, paths, joined, np.stack(rows, axis=1), leaks)


def space_rows(case: Case, assembly: Assembly, estimate: Estimate) -> Floats:
    """Boundary rows of an assembly between any two spaces; of zones what they start from."""
    outside = None if assembly.outside == OUTDOORS else room_air(case, estimate, assembly.outside)
    return boundary_rows(case, assembly, room_air(case, estimate, assembly.inside), outside)


def _without_leak(assembly: Assembly) -> Assembly:
    """The same without its leak: air that leaks there is a stream of the house."""
    return replace(assembly, leak=None)


def _part(case: Case, at: PathAt, numbers: Sequence[int], refine: float) -> Part:
    assembly = case.assemblies[at.number]
    mesh = build_mesh(_without_leak(assembly), at.path, case.starting_humidity, refine)
    area = assembly.area * at.share
    return Part(mesh, len(assembly.layers), numbers.index(at.number), area)


def _zones(case: Case, estimate: Estimate) -> list[Zone]:
    """Zones with their air's heat; they start at the humidity that everything starts at."""
    found = []
    for zone in case.zones:
        density = float(air_density(estimate.temperature[zone.name][0], case.climate.pressure[0]))
        air = zone.volume * density * DRY_AIR_HEAT_CAPACITY
        found.append(Zone(air + zone.heat_capacity, case.starting_humidity))
    return found


def _faces(case: Case, paths: Sequence[PathAt]) -> list[Face]:
    """Every face at a zone, with its film and what it radiates at the zone's other faces."""
    names = [zone.name for zone in case.zones]
    found: list[Face] = []
    for zone, name in enumerate(names):
        own = [
            (part, side)
            for part, at in enumerate(paths)
            for side, space in zip(SIDES, _ends(case.assemblies[at.number]))
            if space == name
        ]
        assemblies = [case.assemblies[paths[part].number] for part, _ in own]
        whole = _by_face(own, paths, assemblies)
        for (part, side), one in zip(own, assemblies):
            found.append(_face(one, part, side, zone, whole[paths[part].number, side]))
    return found


def _by_face(
    own: Sequence[tuple[int, str]], paths: Sequence[PathAt], assemblies: Sequence[Assembly]
) -> dict[tuple[int, str], float]:
    """Emissivity to the radiant node of each assembly's face; its paths are one plane together."""
    faces = {
        (paths[part].number, side): (one.area, _emittance(one, side))
        for (part, side), one in zip(own, assemblies)
    }
    emissivities = radiant_emissivities(*zip(*faces.values())) if faces else ()
    return dict(zip(faces, map(float, emissivities)))


def _ends(assembly: Assembly) -> tuple[str, str]:
    return assembly.outside, assembly.inside


def _emittance(assembly: Assembly, side: str) -> float:
    """Of the layer that a zone sees."""
    layer = assembly.layers[0 if side == "outer" else -1]
    assert not isinstance(layer, AirLayer)
    return float((layer.sheet if isinstance(layer, Membrane) else layer.material).emittance)


def _face(assembly: Assembly, part: int, side: str, zone: int, emissivity: float) -> Face:
    """Still air's film: up where the warmer of face and air lies below the other."""
    tilt, outer = assembly.outer.tilt, side == "outer"
    warmer = still_air_convection(tilt, outward=outer)
    colder = still_air_convection(tilt, outward=not outer)
    permeance = float(vapour_film_coefficient(0.5 * (warmer + colder)))
    return Face(part, side, zone, warmer, permeance, colder, emissivity)


def _streams(
    case: Case,
    estimate: Estimate,
    given: Sequence[Given],
    paths: Sequence[PathAt],
    parts: Sequence[Part],
) -> tuple[tuple[Stream, ...], dict[int, int]]:
    """Openings of the estimate, leaks of assemblies among them, and then what is given.

    An opening's air mixes where it wets a plane; none of it anywhere of one that wets none.
    """
    spaces = [*(zone.name for zone in case.zones), *(r.name for r in case.rooms), OUTDOORS]
    leaky = [k for k, one in enumerate(case.assemblies) if leak_opening(one) is not None]
    leaks, found = dict(zip(leaky, range(len(leaky)))), []
    for number, opening in enumerate(estimate.openings):
        assert not isinstance(opening.shape, Unsized)
        rule = law(opening.shape)
        ends = spaces.index(opening.inside), spaces.index(opening.outside)
        through: tuple[Leakage, ...] = ()
        if number < len(leaky):
            through = _leakage(case, leaky[number], paths, parts)
        else:
            through = wetted_by(opening, case.assemblies, paths, parts)
        found.append(Stream(*ends, rule.coefficient, rule.exponent, opening.height, through))
    for one in given:
        found.append(Stream(spaces.index(one.source), spaces.index(one.target)))
    return tuple(found), leaks


def _leakage(
    case: Case, number: int, paths: Sequence[PathAt], parts: Sequence[Part]
) -> tuple[Leakage, ...]:
    """Where an assembly's leak mixes on each of its paths that march here."""
    assembly = case.assemblies[number]
    way = airways(assembly)

    def node(part: int, mesh: Mesh, plane: int | None) -> int | None:
        return None if plane is None else place_of(parts, part) + int(mesh.chain.plane_node[plane])

    return tuple(
        Leakage(
            at.share,
            assembly.area,
            node(part, parts[part].mesh, way.outward),
            node(part, parts[part].mesh, way.inward),
        )
        for part, at in enumerate(paths)
        if at.number == number
    )

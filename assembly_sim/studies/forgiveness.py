"""Forgiveness: what becomes of water that got in by accident, to compare build-ups.

Water is put at a plane on 1 October, on top of what is there, and the same year is run with and
without it. What still makes a difference is what is left, wherever it has moved to. The amounts
are ours (common practice, no source); a leak that goes on is another question.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.forcing import boundary_rows
from assembly_sim.boundary.stamps import month_days
from assembly_sim.checks.planes import place_of
from assembly_sim.envelope.airways import airways
from assembly_sim.envelope.insulation_split import condensing_plane
from assembly_sim.envelope.orientation import is_roof
from assembly_sim.envelope.resistances import path_shares
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Assembly, Case
from assembly_sim.solver.chain import Mesh
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.kernel.grids import SATURATED
from assembly_sim.solver.march import March, Nature, constants_row, march, starting_state
from assembly_sim.solver.mesh import FILM_SPRING, HELD_FILM, build_mesh

Array = NDArray[np.float64]
Progress = Callable[[int], None]

ROOF_WATER, WALL_WATER = 0.25, 0.10  # kg/m2
AUTUMN = 10  # the month at whose start the water is put in
SUMMER = 11  # months until the end of August


@dataclass(frozen=True)
class Forgiveness:
    """Shares (0-1) of the water put in at a plane of a path that are left later.

    water: kg/m2; months: (12,) share left at the end of each month from October on; after_summer:
    at the end of August, after_year: at the end of September. None where the march stopped.
    """

    path: str
    plane: str
    water: float
    months: tuple[float, ...] = ()
    after_summer: float | None = None
    after_year: float | None = None


def wet_plane(assembly: Assembly) -> int:
    """Index of the plane that water is put at: where leaking room air arrives.

    Without one, the outer face of the insulation, or its inner face where the outer is outdoors.
    """
    plane = airways(assembly).outward
    if plane:
        return plane
    layer = condensing_plane(assembly)
    if layer is None:
        return max(1, len(assembly.layers) - 1)
    return layer or 1


def forgiveness(
    case: Case,
    at: int = 0,
    plane: int | None = None,
    water: float | None = None,
    progress: Progress | None = None,
) -> tuple[Forgiveness, ...]:
    """Run the year from 1 October with and without water at a plane, for every path.

    plane: its index, outside to inside, by default `wet_plane`; water: kg/m2, by default 0.25 in
    roofs and 0.10 in walls; progress: called about once a simulated month with the hours done of
    each march. InputError where the plane or the amount is not possible.
    """
    assembly = case.assemblies[at]
    plane = wet_plane(assembly) if plane is None else plane
    water = (ROOF_WATER if is_roof(assembly) else WALL_WATER) if water is None else water
    if not 0 <= plane <= len(assembly.layers):
        cure = f"planes count from 0 outdoors to {len(assembly.layers)} in the room"
        raise InputError(Problem(f"no plane {plane}", cure, case.file, field=assembly.name))
    if not 0.0 < water <= 10.0:
        raise InputError(Problem(f"{water:g} kg/m2 of water", "give more than 0, at most 10"))
    autumn = replace(case, start_month=AUTUMN, years=1)
    rows = boundary_rows(autumn, assembly)
    return tuple(
        _of_path(autumn, assembly, path, rows, plane, water, progress)
        for path in path_shares(assembly)
    )


def _of_path(
    case: Case,
    assembly: Assembly,
    path: str,
    rows: Array,
    plane: int,
    water: float,
    progress: Progress | None,
) -> Forgiveness:
    dry = march_with_water(case, assembly, path, rows, plane, 0.0, water, progress)
    wet = march_with_water(case, assembly, path, rows, plane, water, water, progress)
    told = Forgiveness(path, place_of(wet.mesh.planes[position(wet.mesh, plane)]), water)
    if dry.code != numbers.COMPLETED or wet.code != numbers.COMPLETED:
        return told
    left = (held(wet) - held(dry)) / water
    days = np.roll(month_days(case.climate.hours), 1 - AUTUMN)
    months = tuple(float(left[24 * day - 1]) for day in np.cumsum(days))
    return replace(told, months=months, after_summer=months[SUMMER - 1], after_year=months[-1])


def position(mesh: Mesh, plane: int) -> int:
    """Where a path has the plane of this index of the drawn assembly, or the next one inwards."""
    return next(at for at, one in enumerate(mesh.planes) if one.index >= plane)


def held(found: March) -> Array:
    """Water in all layers and films, kg/m2 at each hour's end, (hours,)."""
    return found.layers.sum(axis=1) + np.maximum(found.film, 0.0).sum(axis=1)


def march_with_water(
    case: Case,
    assembly: Assembly,
    path: str,
    rows: Array,
    plane: int,
    water: float,
    room_for: float,
    progress: Progress | None = None,
) -> March:
    """A path marched through the case's years, started with a film of `water` kg/m2 at a plane.

    Every plane can hold `room_for` more than usual before water runs off, so that what was put
    in is not drained at once: it stands for water that joints and framing hold back.
    """
    mesh = build_mesh(assembly, path, case.starting_humidity)
    start = starting_state(mesh, rows)
    if water > 0.0:
        start[1, mesh.chain.plane_node[position(mesh, plane)]] = SATURATED - water / FILM_SPRING
    row = constants_row(Nature(), HELD_FILM + room_for)
    hours = (case.years or 1) * case.climate.hours
    return march(mesh, rows, hours, row, len(assembly.layers), start, progress)

"""What a run marches: a path alone, or all that floats together; each marches on and reads out."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.carried import mass_through
from assembly_sim.boundary.drivers import Drivers, hourly_drivers
from assembly_sim.envelope.resistances import path_shares
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Assembly, Case
from assembly_sim.solver.house import HouseMarch
from assembly_sim.solver.house_result import house_drivers, read_path
from assembly_sim.solver.march import Kept, March, Nature, constants_row, march
from assembly_sim.solver.mesh import HELD_FILM, build_mesh
from assembly_sim.solver.path_result import path_outcome, path_result
from assembly_sim.solver.result import Outcome, PathResult

Floats = NDArray[np.float64]
MOST_NODES = 2000  # of a path; a roof of nine layers has 60, five metres of one material 180


class Options(NamedTuple):
    """How a run marches; see `run`."""

    nature: Nature
    profiles: bool = False
    refine: float = 1.0
    steps: float = 1.0


class Read(NamedTuple):
    """A path as a result has it: of the case's assembly of that number, and how its march ended."""

    number: int
    path: PathResult
    outcome: Outcome


class PathJob(NamedTuple):
    """One path to march alone, of the case's assembly of that number, under its rows."""

    case: Case
    number: int
    path: str
    rows: Floats
    options: Options

    @property
    def assembly(self) -> Assembly:
        """The assembly that the path belongs to."""
        return self.case.assemblies[self.number]

    @property
    def name(self) -> str:
        """What is being computed."""
        return self.assembly.name

    @property
    def paths(self) -> int:
        """How many paths march."""
        return 1

    def march(
        self, hours: int, month: Callable[[int], None] | None, kept: Kept | None = None
    ) -> March:
        """March `hours`, on from what was kept of a march before."""
        assembly, (nature, profiles, refine, steps) = self.assembly, self.options
        mesh = build_mesh(assembly, self.path, self.case.starting_humidity, refine)
        if len(mesh.depth) > MOST_NODES * max(refine, 1.0):
            cause = f"'{assembly.name}' takes {len(mesh.depth)} cells, which is no wall or roof"
            cure = f"keep its layers below {MOST_NODES} cells"
            raise InputError(Problem(cause, cure, self.case.file))
        return march(
            mesh,
            self.rows,
            hours,
            constants_row(nature, HELD_FILM),
            len(assembly.layers),
            progress=month,
            profiles=profiles,
            steps=steps,
            kept=kept,
        )

    def read(self, found: March) -> Iterator[Read]:
        """The path in the words of a result."""
        assembly = self.assembly
        share, air = path_shares(assembly)[self.path], mass_through(assembly)
        path = path_result(found, self.path, share, self.rows, air)
        yield Read(self.number, path, path_outcome(found, assembly, self.path))

    def drivers(self, found: March, number: int) -> Drivers:
        """What the assembly faced, in whole years."""
        years = -(-found.hours // ((len(self.rows) - 1) // 2))
        return hourly_drivers(self.rows, max(years, 1), mass_through(self.assembly))


class HouseJob(NamedTuple):
    """All that marches with the zones of a case."""

    house: HouseMarch
    options: Options

    @property
    def name(self) -> str:
        """What is being computed."""
        return " and ".join(zone.name for zone in self.house.case.zones)

    @property
    def paths(self) -> int:
        """How many paths march."""
        return len(self.house.paths)

    def march(
        self, hours: int, month: Callable[[int], None] | None, kept: Kept | None = None
    ) -> March:
        """March `hours`, on from what was kept of a march before."""
        nature, profiles, _, steps = self.options
        return self.house.march(hours, month, nature, profiles, steps, kept)

    def read(self, found: March) -> Iterator[Read]:
        """All paths in the words of a result."""
        for part, at in enumerate(self.house.paths):
            assembly = self.house.case.assemblies[at.number]
            own = self.house.part(found, part)
            outcome = path_outcome(own, assembly, at.path)
            yield Read(at.number, read_path(found, self.house, part), outcome)

    def drivers(self, found: March, number: int) -> Drivers:
        """What an assembly faced, with its zones as they came to be."""
        return house_drivers(found, self.house, number)


Job = PathJob | HouseJob

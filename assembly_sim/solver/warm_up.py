"""Compile the kernel, or find it compiled, before threads or processes need it."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from assembly_sim.solver.kernel import cache

if TYPE_CHECKING:
    from assembly_sim.solver.chain import Mesh

log = logging.getLogger(__name__)
UNKEPT = (
    "compiling the solver, up to a minute at every start: there is no folder to keep it in that is "
    "yours and closed to others; set NUMBA_CACHE_DIR to one that only you can write to"
)
PATHS, ZONES = "paths", "zones"  # kinds of chain: numba compiles the march for each
_one_at_a_time = threading.Lock()
_ready: set[str] = set()


def ready(kind: str = PATHS) -> None:
    """Let the kernel be compiled for a kind of chain: what starts processes calls this first.

    Processes that start at once compile one after the other's finding, so once in all: half a
    written cache has stopped programs before (numba issue 10128).
    """
    with _one_at_a_time:
        if kind not in _ready and not _is_loaded(kind):
            compile_once(cache.folder(), _MARCHES[kind], keep_nothing, kind)
        _ready.add(kind)


def _is_loaded(kind: str) -> bool:
    """Whether this process holds the compiled kernel already, or will do without."""
    from assembly_sim.solver.kernel import hours

    return not hasattr(hours.march, "signatures") or (
        kind == PATHS and bool(hours.march.signatures)
    )


def compile_once(
    place: Path | None,
    compiling: Callable[[], None],
    keep_nothing: Callable[[], object] = int,
    kind: str = PATHS,
) -> None:
    """Call `compiling` unless `place` holds its whole outcome; one process at a time.

    What is damaged there is dropped and made anew; where it cannot be kept, `keep_nothing` is
    called and each process compiles for itself.
    """
    if place is None:
        log.warning(UNKEPT)
        compiling()
        return
    if not cache.is_whole(place, kind):
        with cache.alone(place):
            if not cache.is_whole(place, kind):
                held = cache.held(place)
                if not held:
                    cache.empty(place)
                log.warning("compiling the solver, once on this machine: up to a minute")
                try:
                    compiling()
                    cache.seal(place, {*held, kind})
                except OSError as error:
                    log.warning("the compiled solver cannot be kept (%s)", error)
                    keep_nothing()
                    compiling()
                cache.remove_unused(place)
    cache.mark_used(place)


def keep_nothing() -> None:
    """Let the kernel neither read nor write kept code in this process."""
    from assembly_sim.solver.kernel import compiled

    compiled.keep_nothing()


def march_one_hour() -> None:
    """March one centimetre of material through one hour, which compiles all that a run calls.

    And let mould grow for one, which compiles what its check calls.
    """
    from assembly_sim.solver.kernel import hours
    from assembly_sim.solver.march import Nature, constants_row, march
    from assembly_sim.solver.mesh import HELD_FILM

    mesh, rows = _board()
    march(mesh, rows, 1, constants_row(Nature(), HELD_FILM), layers=1)
    one = np.zeros(1)
    hours.grow(one, one, one, 1.0, 1.0, np.zeros(1))


def march_a_zone() -> None:
    """The same with a zone beside the board, and air in it."""
    from assembly_sim.solver.join import Face, Part, Zone, join
    from assembly_sim.solver.march import Nature, constants_row, march
    from assembly_sim.solver.mesh import HELD_FILM
    from assembly_sim.solver.streams import HouseAir, Stream, columns

    mesh, rows = _board()
    air = np.zeros((3, columns(zones=1, rooms=0, streams=1)))
    air[:, :3] = 283.0, 600.0, 101325.0
    house = HouseAir((Stream(0, 1, 0.01),), 0, air)
    faces = [Face(0, "inner", 0, 5.0, 1e-8, 2.0, 0.9)]
    joined = join([Part(mesh, 1)], [Zone(1e5)], faces, house)
    march(joined.mesh, rows, 1, constants_row(Nature(), HELD_FILM), layers=1)


def _board() -> tuple[Mesh, NDArray[np.float64]]:
    """One centimetre of board between still air, and rows for an hour."""
    from assembly_sim.model import Assembly, Layer, Material, OuterSurface, Points
    from assembly_sim.solver.kernel import numbers
    from assembly_sim.solver.mesh import build_mesh

    board = Material(
        "board", 500.0, 1500.0, Points((283.0,), (0.1,)), Points((0.5,), (1e-11,)), 0.5
    )
    outer = OuterSurface(tilt=0.0, azimuth=0.0, solar_absorptance=0.5, emittance=0.9)
    assembly = Assembly("board", 1.0, outer, (Layer("board", board, 0.01),), leak=None)
    rows = np.zeros((3, numbers.COLUMNS))
    rows[:, [numbers.OUTDOOR_TEMPERATURE, numbers.ROOM_TEMPERATURE]] = 283.0
    rows[:, [numbers.OUTDOOR_VAPOUR_PRESSURE, numbers.ROOM_VAPOUR_PRESSURE]] = 600.0
    rows[:, [numbers.OUTDOOR_CONVECTION, numbers.ROOM_HEAT_COEFFICIENT]] = 8.0
    rows[:, numbers.ATMOSPHERIC_PRESSURE] = 101325.0
    return build_mesh(assembly, "main", 0.5), rows


_MARCHES = {PATHS: march_one_hour, ZONES: march_a_zone}

"""Compile the kernel, or find it compiled, before threads or processes need it."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from pathlib import Path

import numpy as np

from assembly_sim.solver.kernel import cache

log = logging.getLogger(__name__)
UNKEPT = (
    "compiling the solver, up to a minute at every start: there is no folder to keep it in that is "
    "yours and closed to others; set NUMBA_CACHE_DIR to one that only you can write to"
)
_one_at_a_time = threading.Lock()
_ready = False


def ready() -> None:
    """Let the compiled kernel be there: a process that starts others calls this first.

    Processes that start at once compile one after the other's finding, so once in all: half a
    written cache has stopped programs before (numba issue 10128).
    """
    global _ready
    with _one_at_a_time:
        if not _ready and not _is_loaded():
            compile_once(cache.folder(), march_one_hour, keep_nothing)
        _ready = True


def _is_loaded() -> bool:
    """Whether this process holds the compiled kernel already, or will do without."""
    from assembly_sim.solver.kernel import hours

    return bool(getattr(hours.march, "signatures", True))


def compile_once(
    place: Path | None, compiling: Callable[[], None], keep_nothing: Callable[[], object] = int
) -> None:
    """Call `compiling` unless `place` holds its whole outcome; one process at a time.

    What is damaged there is dropped and made anew; where it cannot be kept, `keep_nothing` is
    called and each process compiles for itself.
    """
    if place is None:
        log.warning(UNKEPT)
        compiling()
        return
    if not cache.is_whole(place):
        with cache.alone(place):
            if not cache.is_whole(place):
                cache.empty(place)
                log.warning("compiling the solver, once on this machine: up to a minute")
                try:
                    compiling()
                    cache.seal(place)
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
    """March one centimetre of material through one hour, which compiles all that a run calls."""
    from assembly_sim.model import Assembly, Layer, Material, OuterSurface, Points
    from assembly_sim.solver.kernel import numbers
    from assembly_sim.solver.march import Nature, constants_row, march
    from assembly_sim.solver.mesh import HELD_FILM, build_mesh

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
    row = constants_row(Nature(), HELD_FILM)
    march(build_mesh(assembly, "main", 0.5), rows, 1, row, layers=1)

"""Compile the kernel, or find it compiled, before threads or processes need it."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from pathlib import Path

import numpy as np

from assembly_sim.solver.kernel import cache

log = logging.getLogger(__name__)
_one_at_a_time = threading.Lock()
_ready = False


def ready() -> None:
    """Let the compiled kernel be there: a process that starts others calls this first.

    Processes that start at once compile one after the other's finding, so once in all: half a
    written cache has stopped programs before (numba issue 10128).
    """
    global _ready
    with _one_at_a_time:
        if not _ready:
            compile_once(cache.folder(), march_one_hour)
        _ready = True


def compile_once(place: Path | None, compiling: Callable[[], None]) -> None:
    """Call `compiling` unless `place` says that it was done there; one process at a time."""
    if place is None:
        log.warning(
            "compiling the solver, up to a minute at every start: no folder is writable to keep "
            "it in; set NUMBA_CACHE_DIR to one that is"
        )
        compiling()
        return
    mark = place / f"{_processor()}.done"
    if not mark.exists():
        with cache.alone(place):
            if not mark.exists():
                log.warning("compiling the solver, once on this machine: up to a minute")
                compiling()
                mark.touch()
                cache.remove_unused(place)
    cache.mark_used(place)


def _processor() -> str:
    """Name of the processor that code is compiled for."""
    from llvmlite.binding import get_host_cpu_name

    return str(get_host_cpu_name())


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

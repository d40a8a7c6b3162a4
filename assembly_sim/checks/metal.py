"""Metal: hours of wetness at planes where fasteners sit."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.finding import Finding
from assembly_sim.checks.planes import has_year, humidity_at, last_year, per_year, place_of
from assembly_sim.checks.wood import WOOD_KINDS
from assembly_sim.model import Assembly
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.solver.result import PathResult, Plane, Result

Array = NDArray[np.float64]

WETNESS_CLASSES = ((10.0, "tau1"), (250.0, "tau2"), (2500.0, "tau3"), (5500.0, "tau4"))
FASTENED_KINDS = WOOD_KINDS | {"metal"}


def time_of_wetness(temperature: Array, humidity: Array, limit: float) -> int:
    """Hours above `limit` (0-1) and above 0 degC, of (hours,) K and 0-1."""
    return int(((humidity > limit) & (temperature > ICE_POINT)).sum())


def wetness_class(hours_a_year: float) -> str:
    """Class tau1 to tau5 of a time of wetness, h/year (ISO 9223:2012, from memory)."""
    return next((name for limit, name in WETNESS_CLASSES if hours_a_year <= limit), "tau5")


def holds_fasteners(plane: Plane) -> bool:
    """Whether fasteners cross or end at a plane: it touches metal or the wood they hold in."""
    touching = (plane.outer_material, plane.inner_material)
    return any(m is not None and FASTENED_KINDS & m.kinds for m in touching)


def metal_findings(result: Result, assembly: Assembly, path: PathResult) -> tuple[Finding, ...]:
    """Time of wetness in the last year at planes that touch metal or wood; shown, not decisive."""
    return tuple(
        _finding(result, assembly, path, position)
        for position, plane in enumerate(path.planes)
        if holds_fasteners(plane)
    )


def _finding(result: Result, assembly: Assembly, path: PathResult, position: int) -> Finding:
    year, plane = last_year(result), path.planes[position]
    hours = time_of_wetness(
        path.temperature[year, position],
        humidity_at(path, position)[year],
        result.case.thresholds.metal_humidity,
    )
    return Finding(
        check="time of wetness of metal",
        place=place_of(plane),
        path=path.name,
        value=hours,
        limit=WETNESS_CLASSES[2][0] if has_year(result) else None,
        unit=per_year(result, "h"),
        note=f"ISO 9223 class {wetness_class(hours)}"
        if has_year(result)
        else "of the run: a class of ISO 9223 needs a whole year",
    )

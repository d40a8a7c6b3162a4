"""Metal: hours of wetness at planes where fasteners sit."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.finding import Finding
from assembly_sim.checks.planes import last_year, may_decide, place_of
from assembly_sim.checks.wood import WOOD_KINDS
from assembly_sim.model import Assembly
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.solver.result import PathResult, Plane, Result

Array = NDArray[np.float64]

WETNESS_CLASSES = ((10.0, "tau1"), (250.0, "tau2"), (2500.0, "tau3"), (5500.0, "tau4"))
FASTENED_KINDS = WOOD_KINDS | {"metal"}


def time_of_wetness(temperature: Array, humidity: Array, limit: float) -> NDArray[np.int64]:
    """Hours above `limit` (0-1) and above 0 degC, over the first axis of K and 0-1."""
    return ((humidity > limit) & (temperature > ICE_POINT)).sum(axis=0)


def wetness_class(hours_a_year: float) -> str:
    """Class tau1 to tau5 of a time of wetness, h/year (ISO 9223:2012, from memory)."""
    return next((name for limit, name in WETNESS_CLASSES if hours_a_year <= limit), "tau5")


def holds_fasteners(plane: Plane) -> bool:
    """Whether fasteners cross or end at a plane: it touches metal or the wood they hold in."""
    touching = (plane.outer_material, plane.inner_material)
    return any(m is not None and FASTENED_KINDS & m.kinds for m in touching)


def metal_findings(
    result: Result, assembly: Assembly, path: PathResult, humidity: Array
) -> tuple[Finding, ...]:
    """Time of wetness in the last year at planes that touch metal or wood; limit: class tau3."""
    year = last_year(result)
    hours = time_of_wetness(
        path.temperature[year],
        humidity[year],
        result.case.thresholds.metal_humidity,
    )
    return tuple(
        Finding(
            check="time of wetness of metal",
            place=place_of(plane),
            path=path.name,
            value=int(count),
            limit=WETNESS_CLASSES[2][0],
            unit="h/year",
            decides=may_decide(assembly, plane),
            note=f"ISO 9223 class {wetness_class(count)}",
        )
        for plane, count in zip(path.planes, hours)
        if holds_fasteners(plane)
    )

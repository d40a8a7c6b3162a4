"""Hourly answers of checks at the planes of a path, kept beside the result they were drawn from."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.mould import path_mould_index
from assembly_sim.checks.planes import face_planes, humidity_of
from assembly_sim.checks.wood import path_boards
from assembly_sim.model import Assembly, Thresholds
from assembly_sim.solver.result import PathResult

Array = NDArray[np.float64]


def hourly_checks(assembly: Assembly, path: PathResult, thresholds: Thresholds) -> dict[str, Array]:
    """Return relative humidity, mould index and wood moisture at every plane and hour.

    Arrays are (hours, planes), 0-1, 0-6 and kg/kg; NaN where no material there has a mould class,
    or is wood. Where two boards meet, the moisture is that of the inner one.
    """
    humidity = humidity_of(path)
    wood = np.full_like(path.temperature, np.nan)
    for board in path_boards(assembly, path, humidity):
        wood[:, list(face_planes(assembly, path, board.layer))] = board.faces
    return {
        "relative_humidity": humidity.over_liquid,
        "mould_index": path_mould_index(path, humidity, thresholds.mould_decline),
        "wood_moisture": wood,
    }

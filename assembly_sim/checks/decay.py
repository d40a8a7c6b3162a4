"""Decay of wood: when it sets in, and how much mass it takes.

Viitanen et al., Eur. J. Wood Prod. 68 (2010) 303 (equations from memory): small pieces of spruce
and pine sapwood under brown rot, 0-30 degC and 95-100 % humidity.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.checks.finding import Finding
from assembly_sim.checks.planes import face_planes, humidity_at, when, years_of
from assembly_sim.checks.wood import BoardMoisture
from assembly_sim.envelope.rain import cladding_layers, spared_layers
from assembly_sim.model import Assembly
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.solver.result import PathResult, Result

Array = NDArray[np.float64]

HOURS_PER_MONTH = 720.0
"""The month that the hourly coefficients of `decay_rate` stand for (0.45 / 6.25e-4)."""
HOURS_TO_LOSE_ACTIVATION = 17520.0


def decay_onset_months(celsius: ArrayLike, percent: ArrayLike) -> Array:
    """Months of constant conditions (degC, % RH) before wood loses mass; inf where it never does.

    (2.3 T + 0.035 RH - 0.024 T RH) / (-42.9 + 0.14 T + 0.45 RH).
    """
    t, rh = np.asarray(celsius, dtype=float), np.asarray(percent, dtype=float)
    slope = -42.9 + 0.14 * t + 0.45 * rh
    usable = np.where(slope > 0.0, slope, 1.0)
    return np.where(slope > 0.0, (2.3 * t + 0.035 * rh - 0.024 * t * rh) / usable, np.inf)


def decay_rate(celsius: ArrayLike, percent: ArrayLike) -> Array:
    """Mass loss of wood in which decay has set in, % an hour, never below zero."""
    loss = -5.96e-2 + 1.96e-4 * np.asarray(celsius) + 6.25e-4 * np.asarray(percent)
    return np.maximum(loss, 0.0)


def mass_loss(temperature: Array, humidity: Array) -> Array:
    """Mass loss (%) at each hour's end, (hours,), of wood at K and 0-1 humidity.

    Activation rises by 1 / onset time in hours above 95 % and 0 degC, falls by 1/17520 an hour in
    all others, and stays between 0 and 1; at 1 mass is lost. Outside 0-30 degC the
    model has no data: warmer hours count as 30 degC.
    """
    celsius = np.minimum(temperature - ICE_POINT, 30.0)
    percent = np.minimum(100.0 * humidity, 100.0)
    hours = np.flatnonzero((celsius > 0.0) & (percent > 95.0))
    lost = np.zeros(len(celsius))
    if len(hours):
        t, rh = celsius[hours], percent[hours]
        rises = 1.0 / (HOURS_PER_MONTH * decay_onset_months(t, rh))
        falls = (np.diff(hours, prepend=hours[0]) - 1) / HOURS_TO_LOSE_ACTIVATION
        lost[hours] = np.where(_active(rises, falls), decay_rate(t, rh), 0.0)
    return np.cumsum(lost)


def _active(rises: Array, falls: Array) -> NDArray[np.bool_]:
    """Whether decay has set in, in each hour that favours it."""
    level, active = 0.0, []
    for rise, fall in zip(rises.tolist(), falls.tolist()):
        level = min(1.0, max(0.0, level - max(fall, 0.0)) + rise)
        active.append(level >= 1.0)
    return np.array(active)


def decay_findings(
    result: Result,
    assembly: Assembly,
    path: PathResult,
    boards: tuple[BoardMoisture, ...],
) -> tuple[Finding, ...]:
    """Mass lost over the whole run at the wetter face of every wood layer that is no cladding."""
    return tuple(_decay(result, assembly, path, board) for board in boards)


def _decay(
    result: Result,
    assembly: Assembly,
    path: PathResult,
    board: BoardMoisture,
) -> Finding:
    faces: tuple[int, ...] = face_planes(assembly, path, board.layer)
    if board.layer in cladding_layers(assembly) - spared_layers(assembly):
        faces = faces[1:]  # its outer face is weathered by design
    losses = [mass_loss(path.temperature[:, i], humidity_at(path, i)) for i in faces]
    worst = max(losses, key=lambda loss: float(loss[-1]))
    hour = int(np.flatnonzero(worst > 0.0)[0]) if worst[-1] > 0.0 else None
    year = years_of(result)[-1]
    before = float(worst[year.start - 1]) if year.start else 0.0
    return Finding(
        check="decay, mass loss of the wetter face",
        place=board.name,
        path=path.name,
        value=float(worst[-1]),
        limit=0.0,
        unit="%",
        **when(result, hour),
        decides=board.layer not in spared_layers(assembly),
        note="over the whole run; model for small sapwood pieces",
        settled=float(worst[-1]) - before,
    )

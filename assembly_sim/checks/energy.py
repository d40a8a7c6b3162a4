"""Heat through the room-side surface in the last year: losses and gains apart, by season."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.planes import hour_means, last_year
from assembly_sim.solver.result import AssemblyResult, Drivers, Result

Array = NDArray[np.float64]

KWH_PER_W_HOUR = 1e-3


@dataclass(frozen=True)
class Energy:
    """Sensible heat at the room-side surface in the last year, mean over the paths' area.

    Losses (outward) and gains (inward) are one-way integrals, kWh/m2, both positive; season
    values count only the days of that season; peaks are hours, W/m2.
    """

    heat_loss: float
    heat_gain: float
    heating_season_loss: float
    cooling_season_gain: float
    peak_loss: float
    peak_gain: float


def season_hours(
    drivers: Drivers, day: NDArray[np.int64], heating_below: float, cooling_above: float
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Hours of the heating and of the cooling season, (hours,) each, from weather alone.

    A day belongs to one by its mean outdoor temperature (K) against a balance temperature, so
    that every option of a comparison has the same seasons.
    """
    _, which = np.unique(day, return_inverse=True)
    daily = np.bincount(which, hour_means(drivers.outdoor_temperature)) / np.bincount(which)
    return (daily < heating_below)[which], (daily > cooling_above)[which]


def energy(result: Result, found: AssemblyResult) -> Energy:
    """The last year's losses, gains and peaks of one assembly (see `Energy`)."""
    limits, year = result.case.thresholds, last_year(result)
    heating, cooling = season_hours(
        found.drivers,
        result.day,
        limits.heating_balance_temperature,
        limits.cooling_balance_temperature,
    )
    loss, gain = one_way(found)
    return Energy(
        heat_loss=KWH_PER_W_HOUR * float(loss[year].sum()),
        heat_gain=KWH_PER_W_HOUR * float(gain[year].sum()),
        heating_season_loss=KWH_PER_W_HOUR * float(loss[year][heating[year]].sum()),
        cooling_season_gain=KWH_PER_W_HOUR * float(gain[year][cooling[year]].sum()),
        peak_loss=float(loss[year].max()),
        peak_gain=float(gain[year].max()),
    )


def one_way(found: AssemblyResult) -> tuple[Array, Array]:
    """Outward and inward heat flux at the room-side surface, W/m2, (hours,), area-weighted.

    Each path's two directions are kept apart: a gain through framing does not cancel a loss
    beside it.
    """
    flux = np.stack([path.heat_flux_room for path in found.paths])
    share = np.array([path.share for path in found.paths])
    return share @ np.maximum(flux, 0.0), share @ np.maximum(-flux, 0.0)

"""Heat out of and into the room in the last year: conducted, carried by air, total, by season.

Each path's hourly total, q_c + q_a of `boundary/carried.py`, is a loss where it is positive and a
gain where it is negative. Conducted and carried heat are summed over the hours in which the total
is a loss (or a gain), whatever their own signs, so that

    conducted + carried = total     in every row,      loss - gain = the signed sum,

and the signed sums of a house's parts add up to the room's own balance. Were each of the three
integrated one way by its own sign, neither would hold. Paths and assemblies are kept apart: a gain
through framing does not cancel a loss beside it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.drivers import Drivers
from assembly_sim.boundary.stamps import start_hour
from assembly_sim.checks.planes import hour_means, last_year
from assembly_sim.model import Case
from assembly_sim.model.assembly import OUTDOORS
from assembly_sim.physics.constants import LATENT_HEAT_EVAPORATION
from assembly_sim.solver.result import AssemblyResult, Result

Array = NDArray[np.float64]
Hours = NDArray[np.bool_]

KWH_PER_W_HOUR = 1e-3


@dataclass(frozen=True)
class Heat:
    """One figure of heat and its parts, positive the way it is named (kWh/m2, or W/m2 of a peak).

    total = conducted + carried. Apart from them: `surface`, the flux at the room-side surface
    integrated one way by its own sign (the total where no air flows); `latent`, humidity that
    air carried, likewise, times the heat of evaporation at 0 degC; `incoming_air`, what warmed the
    air that came in here (of a gain: cooled it), which is counted where air leaves the house.
    Of a peak, surface is its own largest hour; all else is of the hour of the largest total.
    """

    total: float
    conducted: float
    carried: float
    surface: float
    latent: float
    incoming_air: float


@dataclass(frozen=True)
class Energy:
    """Heat of the last year, mean over the paths' area; seasons count their own days only."""

    heat_loss: Heat
    heat_gain: Heat
    heating_season_loss: Heat
    cooling_season_gain: Heat
    peak_loss: Heat
    peak_gain: Heat


@dataclass(frozen=True)
class Hourly:
    """The parts of `Heat` hour by hour, one way, area-weighted: W/m2, (hours,) each."""

    total: Array
    conducted: Array
    carried: Array
    surface: Array
    latent: Array
    incoming_air: Array

    def over(self, hours: Hours) -> Heat:
        """Sums over these hours, kWh/m2."""
        return Heat(**{k: KWH_PER_W_HOUR * float(v[hours].sum()) for k, v in vars(self).items()})

    def peak(self, hours: Hours) -> Heat:
        """The hour of the largest total among these, W/m2; nothing where no hour has any."""
        parts = {name: values[hours] for name, values in vars(self).items()}
        worst = int(np.argmax(parts["total"]))
        some = parts["total"][worst] > 0.0
        found = {name: float(values[worst]) if some else 0.0 for name, values in parts.items()}
        return Heat(**found | {"surface": float(parts["surface"].max())})


def season_hours(
    drivers: Drivers, day: NDArray[np.int64], heating_below: float, cooling_above: float
) -> tuple[Hours, Hours]:
    """Hours of the heating and of the cooling season, (hours,) each, from weather alone.

    A day belongs to one by its mean outdoor temperature (K) against a balance temperature, so
    that every option of a comparison has the same seasons.
    """
    _, which = np.unique(day, return_inverse=True)
    daily = np.bincount(which, hour_means(drivers.outdoor_temperature)) / np.bincount(which)
    return (daily < heating_below)[which], (daily > cooling_above)[which]


def seasons_of(result: Result, found: AssemblyResult) -> tuple[Hours, Hours]:
    """Hours of the heating and of the cooling season, (hours,) each, for one assembly of a run.

    By outdoor air also where the assembly itself faces a zone or another room.
    """
    limits, drivers = result.case.thresholds, found.drivers
    if found.assembly.outside != OUTDOORS:
        outdoors = states(result.case, result.case.climate.temperature, result.hours)
        drivers = replace(drivers, outdoor_temperature=outdoors)
    return season_hours(
        drivers,
        result.day,
        limits.heating_balance_temperature,
        limits.cooling_balance_temperature,
    )


def states(case: Case, state: Array, hours: int) -> Array:
    """States of the weather at the ends of the run's hours, (hours,)."""
    return np.resize(np.roll(state, -start_hour(case)), hours)


def energy(result: Result, found: AssemblyResult) -> Energy:
    """The last year's losses, gains and peaks of one assembly (see `Energy`)."""
    heating, cooling = seasons_of(result, found)
    year = np.zeros(len(result.day), dtype=bool)
    year[last_year(result)] = True
    loss, gain = one_way(found, 1.0), one_way(found, -1.0)
    return Energy(
        heat_loss=loss.over(year),
        heat_gain=gain.over(year),
        heating_season_loss=loss.over(year & heating),
        cooling_season_gain=gain.over(year & cooling),
        peak_loss=loss.peak(year),
        peak_gain=gain.peak(year),
    )


def one_way(found: AssemblyResult, sign: float) -> Hourly:
    """Heat out of the room (sign 1) or into it (sign -1) by the hour, each path by itself."""
    share = np.array([path.share for path in found.paths])
    conducted = sign * np.stack([path.heat_flux_room for path in found.paths])
    carried = sign * np.stack([path.carried_heat for path in found.paths])
    vapour = sign * np.stack([path.carried_vapour for path in found.paths])
    counts = conducted + carried > 0.0
    conducted_part, carried_part = share @ (conducted * counts), share @ (carried * counts)
    return Hourly(
        total=conducted_part + carried_part,
        conducted=conducted_part,
        carried=carried_part,
        surface=share @ np.maximum(conducted, 0.0),
        latent=LATENT_HEAT_EVAPORATION * (share @ np.maximum(vapour, 0.0)),
        incoming_air=np.maximum(sign * found.drivers.incoming_heat, 0.0),
    )

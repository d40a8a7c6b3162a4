"""Temperature factor of the inner surface, and the least one that keeps it below 80 % RH.

The monthly procedure of ISO 13788:2012 (from memory; its steps also in BS 5250 annex D).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.surface import required_factor
from assembly_sim.envelope.resistances import steady_layers
from assembly_sim.hand.monthly_air import MonthlyAir
from assembly_sim.model import Assembly

Array = NDArray[np.float64]
MOULD_SURFACE_RESISTANCE = 0.25  # m2K/W, ISO 13788 for opaque surfaces, from memory


@dataclass(frozen=True)
class SurfaceFactor:
    """The element's own factor (worst path), the least one needed, and the month that decides.

    needed and month (1-12) are None where no month is colder outdoors than in the room, or where
    the weather has not all months.
    """

    element: float
    path: str
    needed: float | None
    month: int | None


def needed_factor(air: MonthlyAir, humidity: float = 0.8) -> Array:
    """Least temperature factor by month, (months,), of the means of both sides' air.

    NaN in months that are no colder outdoors than in the room, where the factor says nothing.
    """
    inside, outside = air.inside_temperature, air.outside_temperature
    below = np.where(inside > outside, outside, np.nan)
    return required_factor(inside, below, air.inside_pressure, humidity)


def element_factor(
    resistance: float, outer_surface: float, inner_surface: float = MOULD_SURFACE_RESISTANCE
) -> float:
    """Temperature factor of a plane element: f = (1/U - R_si) U; resistances in m2K/W."""
    total = resistance + outer_surface + inner_surface
    return (total - inner_surface) / total


def surface_factor(
    assembly: Assembly, air: MonthlyAir | None, humidity: float = 0.8
) -> SurfaceFactor:
    """Factor of the worst path beside the one that the room and climate ask for.

    One-dimensional: corners and edges of framing are colder than any path says.
    """
    steady = steady_layers(assembly)
    factors = [element_factor(r, steady.outer_surface) for r in steady.resistances.sum(axis=1)]
    worst = int(np.argmin(factors))
    by_month = np.array([np.nan]) if air is None else needed_factor(air, humidity)
    known = bool(np.isfinite(by_month).any())
    return SurfaceFactor(
        element=float(factors[worst]),
        path=steady.paths[worst],
        needed=float(np.nanmax(by_month)) if known else None,
        month=int(np.nanargmax(by_month)) + 1 if known else None,
    )

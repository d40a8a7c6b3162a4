"""The dew-point method: one steady state, saturation against vapour pressure plane by plane.

As in ASHRAE Fundamentals 2021, ch. 27 (worked there as example 8): films are layers, nothing is
cut, and planes that would exceed saturation are held at it. It leaves out storage, liquid flow,
air leaks and sun, so it tells where water would gather and how fast, not how wet it gets.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.envelope.resistances import (
    MAIN_PATH,
    ROUNDED_AIR_PERMEABILITY,
    steady_layers,
    vapour_thickness,
)
from assembly_sim.hand.monthly_air import MonthlyAir, coldest_month
from assembly_sim.hand.monthly_condensation import condensing, taut_string
from assembly_sim.model import Assembly
from assembly_sim.physics.moist_air import saturation_pressure_over_stable_phase

Array = NDArray[np.float64]
INNER_FILM_PERMEANCE = 9.2e-9  # kg/(m2 s Pa), ASHRAE Fundamentals 2021, ch. 27, example 8
OUTER_FILM_PERMEANCE = 5.7e-8  # kg/(m2 s Pa), same place


@dataclass(frozen=True)
class DewPointProfile:
    """States at both airs and the planes between, (layers + 1,), inside to outside.

    temperature K; saturation, uncorrected (straight line) and pressure (held at saturation where
    the line exceeds it), Pa; condensation at the planes, (layers - 1,), kg/(m2 s).
    """

    temperature: Array
    saturation: Array
    uncorrected: Array
    pressure: Array
    condensation: Array


def _spread(resistances: Array, first: float, last: float) -> tuple[Array, Array]:
    """Cumulative resistance from zero, and the straight line from first to last over it."""
    passed = np.concatenate(([0.0], np.cumsum(resistances)))
    return passed, first + (last - first) * passed / passed[-1]


def dew_point_profile(
    resistances: ArrayLike,
    permeances: ArrayLike,
    inside: tuple[float, float],
    outside: tuple[float, float],
) -> DewPointProfile:
    """Profile through layers listed inside to outside, films among them.

    resistances m2K/W and permeances kg/(m2 s Pa), (layers,) each; inside and outside:
    temperature (K) and vapour pressure (Pa).
    """
    _, temperature = _spread(np.asarray(resistances, float), inside[0], outside[0])
    x, line = _spread(1.0 / np.asarray(permeances, float), inside[1], outside[1])
    saturation = saturation_pressure_over_stable_phase(temperature)
    ceiling = np.concatenate(([inside[1]], saturation[1:-1], [outside[1]]))
    ends = np.zeros(len(x), dtype=bool)
    ends[[0, -1]] = True
    pressure = taut_string(x, ceiling, ends)
    return DewPointProfile(temperature, saturation, line, pressure, condensing(x, pressure))


def coldest_month_profile(
    assembly: Assembly, air: MonthlyAir, path: str = MAIN_PATH
) -> DewPointProfile:
    """The method on one path of an assembly at the means of the coldest month, 50 % RH permeances.

    Planes run from the inner surface to the outer one.
    """
    steady, month = steady_layers(assembly), coldest_month(air)
    row = steady.resistances[steady.paths.index(path), ::-1]
    permeances = [
        ROUNDED_AIR_PERMEABILITY / vapour_thickness(layer, path) for layer in steady.layers[::-1]
    ]
    return dew_point_profile(
        [steady.inner_surface, *row, steady.outer_surface],
        [INNER_FILM_PERMEANCE, *permeances, OUTER_FILM_PERMEANCE],
        (float(air.inside_temperature[month]), float(air.inside_pressure[month])),
        (float(air.outside_temperature[month]), float(air.outside_pressure[month])),
    )

"""Spaces that float between a house and outdoors, by hand: what solved zones are held against.

Conductances in W/K, areas m2, temperatures in K, flows m3/s; hourly arrays broadcast. Steady
balances leave out storage, sun within the hour and moisture.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY

Array = NDArray[np.float64]
HOUR = 3600.0


def ventilation_conductance(flow: ArrayLike, density: ArrayLike = 1.2) -> Array:
    """What air carries a kelvin, W/K: rho c_p Q, flow m3/s of air of that density (kg/m3)."""
    return np.asarray(density, float) * DRY_AIR_HEAT_CAPACITY * np.asarray(flow, float)


def steady_zone(
    conductances: Sequence[ArrayLike],
    temperatures: Sequence[ArrayLike],
    flow: ArrayLike = 0.0,
    outdoors: ArrayLike = 0.0,
    gain: ArrayLike = 0.0,
    density: ArrayLike = 1.2,
) -> Array:
    """Air temperature (K) of a space: (sum UA_i T_i + rho c Q T_o + gain) / (sum UA_i + rho c Q).

    conductances UA_i to airs of temperatures T_i; flow (m3/s) of outdoor air; gain in W. The
    textbook balance of an unheated space (ASHRAE Fundamentals 2021, ch. 18, from memory). Raises
    ValueError where nothing joins the space to anything.
    """
    air = ventilation_conductance(flow, density)
    ua = [np.asarray(one, dtype=float) for one in conductances]
    whole = sum(ua) + air
    if (np.asarray(whole) <= 0.0).any():
        raise ValueError("a space that nothing joins to anything has no temperature")
    carried = sum(one * np.asarray(t, dtype=float) for one, t in zip(ua, temperatures, strict=True))
    into = carried + air * np.asarray(outdoors, dtype=float) + np.asarray(gain, dtype=float)
    return np.asarray(into / whole)


@dataclass(frozen=True)
class Side:
    """One side of a space: area m2, U (W/(m2 K)) from its face to the air beyond, that air's T (K).

    convection and radiation: W/(m2 K) of its face, to the air and to the radiant node.
    """

    area: float
    u_beyond: float
    beyond: float
    convection: float
    radiation: float

    @property
    def total(self) -> float:
        """All that holds the face's temperature, W/(m2 K)."""
        return self.u_beyond + self.convection + self.radiation


def two_nodes(
    sides: Sequence[Side],
    flow: float = 0.0,
    outdoors: float = 0.0,
    gain: float = 0.0,
    density: float = 1.2,
) -> tuple[float, float, tuple[float, ...]]:
    """Air, radiant node and faces (K) of a space whose faces exchange radiation.

    A face: U (T_i - T_s) + h_c (T_a - T_s) + h_r (T_r - T_s) = 0. The air: sum A h_c (T_s - T_a) +
    rho c Q (T_o - T_a) + gain = 0. The radiant node, which all faces see by their areas alone:
    sum A h_r (T_s - T_r) = 0. Faces eliminated, two equations are left, solved by Cramer's rule
    (derived). Raises ValueError where nothing fixes the temperatures.
    """
    air = float(ventilation_conductance(flow, density))
    radiates = any(side.radiation > 0.0 for side in sides)
    by_air = sum(s.area * s.convection * (1.0 - s.convection / s.total) for s in sides) + air
    between = sum(s.area * s.convection * s.radiation / s.total for s in sides)
    radiant = sum(s.area * s.radiation * (1.0 - s.radiation / s.total) for s in sides)
    radiant = radiant if radiates else 1.0
    beyond = [s.area * s.u_beyond * s.beyond / s.total for s in sides]
    to_air = sum(b * s.convection for b, s in zip(beyond, sides)) + air * outdoors + gain
    to_radiant = sum(b * s.radiation for b, s in zip(beyond, sides))
    determinant = by_air * radiant - between**2
    if determinant <= 1e-12 * by_air * radiant:
        raise ValueError("nothing beyond its faces fixes the temperatures of this space")
    t_air = (to_air * radiant + between * to_radiant) / determinant
    t_radiant = (by_air * to_radiant + between * to_air) / determinant if radiates else t_air
    faces = tuple(
        (s.u_beyond * s.beyond + s.convection * t_air + s.radiation * t_radiant) / s.total
        for s in sides
    )
    return t_air, t_radiant, faces


def time_constant(capacity: float, conductance: float) -> float:
    """Hours in which a space comes to 1/e of its difference: C (J/K) / UA (W/K) / 3600."""
    return capacity / conductance / HOUR


def turned_down(start: float, end: float, hours: ArrayLike, constant: float) -> Array:
    """Temperature (K) of a wing some hours after its heating is turned off.

    end + (start - end) exp(-t / tau), tau in h: one capacity that has one temperature, surroundings
    that stay as they are (textbook). Real rooms fall faster at first, by their air and linings.
    """
    return end + (start - end) * np.exp(-np.asarray(hours, dtype=float) / constant)


def hours_until(start: float, end: float, wanted: float, constant: float) -> float:
    """Hours until it has fallen to `wanted` (K), the inverse; infinite where it never does."""
    share = (wanted - end) / (start - end)
    return constant * float(np.log(1.0 / share)) if 0.0 < share <= 1.0 else float("inf")

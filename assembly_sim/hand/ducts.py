"""Ducts in an attic or crawl space by hand: conduction along them, leaks, and what arrives.

A steady balance of the kind of ANSI/ASHRAE 152 (from memory, derived again in the tests):
delivered fraction = a_s [B_s - (T_i - T_z) / dT_e (1 - a_r B_r B_s)], with a the share of air that
is not lost, B = exp(-UA / (m c_p)), dT_e the rise across the equipment and T_z the air around the
ducts. Leaves out storage at starts, and that lost heat warms the zone unless T_z says so.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.hand.zone import ventilation_conductance

Array = NDArray[np.float64]
BARE = 0.17
"""m2 K/W of a duct of bare metal: its surfaces, inside and outside (common practice)."""


@dataclass(frozen=True)
class DuctRun:
    """Supply or return ducts: area m2, R with their surfaces m2 K/W, share of air that leaks."""

    area: float
    resistance: float
    leak: float = 0.0

    @property
    def conductance(self) -> float:
        """UA, W/K."""
        return self.area / self.resistance


@dataclass(frozen=True)
class Delivery:
    """What a furnace or an air conditioner makes of its heat; temperatures K, heats W.

    fraction: of the equipment's heat, delivered above the room's temperature; to_zone: what the
    ducts and their leaks leave around them, less what the returns take from there.
    """

    fraction: float
    inlet: float
    outlet: float
    register: float
    equipment: float
    delivered: float
    to_zone: float


def along(inlet: ArrayLike, around: ArrayLike, conductance: ArrayLike, stream: ArrayLike) -> Array:
    """Temperature (K) at the end of a duct: T_z + (T_1 - T_z) exp(-UA / (m c_p)).

    conductance UA and stream m c_p in W/K (textbook heat exchanger of one stream).
    """
    zone = np.asarray(around, dtype=float)
    return zone + (np.asarray(inlet, dtype=float) - zone) * passed(conductance, stream)


def passed(conductance: ArrayLike, stream: ArrayLike) -> Array:
    """B = exp(-UA / (m c_p)): the share of the difference that is left at the duct's end."""
    return np.exp(-np.asarray(conductance, float) / np.asarray(stream, float))


def delivery(
    supply: DuctRun, returns: DuctRun, flow: float, rise: float, room: float, zone: float
) -> Delivery:
    """Steady delivery by ducts in a zone (K): fan flow m3/s, rise K (negative: cooling).

    Leaks lose supply air at the registers' temperature, and the returns draw in the zone's air
    beside the equipment.
    """
    stream = float(ventilation_conductance(flow))
    kept_r, kept_s = 1.0 - returns.leak, 1.0 - supply.leak
    back = float(along(room, zone, returns.conductance, stream))
    inlet = kept_r * back + returns.leak * zone
    outlet = inlet + rise
    register = float(along(outlet, zone, supply.conductance, stream))
    equipment, delivered = stream * rise, kept_s * stream * (register - room)
    lost = stream * (outlet - register) + supply.leak * stream * (register - zone)
    taken = kept_r * stream * (back - room)
    return Delivery(
        fraction=delivered / equipment,
        inlet=inlet,
        outlet=outlet,
        register=register,
        equipment=equipment,
        delivered=delivered,
        to_zone=lost - taken,
    )


def loss_factor(fraction: ArrayLike) -> Array:
    """What ducts add to the load, as a share of it: 1 / delivered fraction - 1."""
    return 1.0 / np.asarray(fraction, dtype=float) - 1.0


def with_unbalanced(infiltration: ArrayLike, unbalanced: ArrayLike) -> Array:
    """Air change (m3/s) of a house whose fans or duct leaks are not balanced.

    max(Q_u, Q_i + Q_u / 2) (ASHRAE Fundamentals 2021, ch. 17): supply leaks that exceed return
    leaks draw as much outdoor air in.
    """
    q, u = np.asarray(infiltration, dtype=float), np.abs(np.asarray(unbalanced, dtype=float))
    return np.maximum(u, q + 0.5 * u)

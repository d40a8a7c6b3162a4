"""The coldest months' mean temperature at the plane where moist room air would condense.

The other way of the code tables for unvented roofs (IRC R806.5, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

from assembly_sim.envelope.insulation_split import (
    insulation_split,
    is_attic_floor,
    is_vented_below_deck,
)
from assembly_sim.envelope.orientation import is_roof
from assembly_sim.hand.monthly_air import MonthlyAir, three_coldest_months
from assembly_sim.model import Assembly

ROOM_OF_CODE = 293.15  # K, IRC R806.5, from memory
LEAST_INTERFACE = (45.0 + 459.67) / 1.8  # K, 45 F (7.2 degC), same place


def interface_temperature(inside: float, outside: float, inboard: float, outboard: float) -> float:
    """T = T_i - (T_i - T_o) R_in/(R_in + R_out), K; each R (m2K/W) with its surface's film."""
    return inside - (inside - outside) * inboard / (inboard + outboard)


@dataclass(frozen=True)
class InterfaceCheck:
    """Temperature (K) of that plane over the three coldest months, room at 20 degC, and limit.

    met: None for walls and vented roofs, of which the code does not ask it.
    """

    temperature: float
    limit: float
    outside: float
    met: bool | None = None


def interface_check(assembly: Assembly, air: MonthlyAir) -> InterfaceCheck | None:
    """IRC R806.5's alternative to its table (from memory): at least 45 F at that plane of a roof.

    By resistances at 10 degC, nearer to winter than a label's: polyiso has less in the cold. None
    without air-permeable insulation, and for an attic floor.
    """
    split = None if is_attic_floor(assembly) else insulation_split(assembly)
    if split is None:
        return None
    outside = three_coldest_months(air)
    plane = interface_temperature(ROOM_OF_CODE, outside, split.inboard, split.outboard)
    asked = is_roof(assembly) and not is_vented_below_deck(assembly)
    met = plane >= LEAST_INTERFACE if asked else None
    return InterfaceCheck(plane, LEAST_INTERFACE, outside, met)

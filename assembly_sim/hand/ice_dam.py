"""Icings at eaves by hand: whether the attic stays cold enough that snow on the roof does not melt.

Criterion of Tobiasson, Buska and Greatorex, "Guidelines for ventilating attics and cathedral
ceilings to avoid icings at their eaves": ventilation is sized for 22 degF outdoors, since icings
seldom grow when it is warmer and ventilation works better when it is colder (abstract read); the
attic's air should then stay at or below 30 degF (from memory). It presumes snow on the roof,
and air that is mixed; valleys, sun and warm chimneys are left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from assembly_sim.hand.zone import steady_zone, ventilation_conductance
from assembly_sim.physics.constants import ICE_POINT

FAHRENHEIT_22 = ICE_POINT + (22.0 - 32.0) / 1.8
FAHRENHEIT_30 = ICE_POINT + (30.0 - 32.0) / 1.8


@dataclass(frozen=True)
class IceDam:
    """Attic air (K) at the design outdoors, what it may be, and the outdoor air (m3/s) that needs.

    flow_needed 0: none; met: whether the attic is cold enough as it is.
    """

    attic: float
    limit: float
    flow_needed: float

    @property
    def met(self) -> bool:
        """Whether the attic is at or below its limit."""
        return self.attic <= self.limit


def ice_dam(
    ceiling: float,
    roof: float,
    flow: float,
    indoors: float,
    gain: float = 0.0,
    density: float = 1.3,
) -> IceDam:
    """The criterion for an attic: UA (W/K) of its ceiling and roof, outdoor air through it (m3/s).

    T = (UA_c T_i + UA_r T_o + rho c Q T_o + gain) / sum at 22 degF; gain in W is what ducts or
    leaks of room air bring. Air of 22 degF weighs 1.3 kg/m3.
    """
    out, limit = FAHRENHEIT_22, FAHRENHEIT_30
    attic = steady_zone((ceiling, roof), (indoors, out), flow, out, gain, density)
    surplus = ceiling * (indoors - limit) + gain - roof * (limit - out)
    needed = surplus / (limit - out) / float(ventilation_conductance(1.0, density))
    return IceDam(float(attic), limit, max(needed, 0.0))


def melting_hours(attic: ArrayLike, outdoors: ArrayLike) -> int:
    """Hours in which snow would melt on the roof and freeze again at the eaves.

    Attic air (K, (hours,)) above 30 degF while outdoors is at or below 22 degF. Counts no snow.
    """
    warm = np.asarray(attic, dtype=float) > FAHRENHEIT_30
    return int(np.count_nonzero(warm & (np.asarray(outdoors, dtype=float) <= FAHRENHEIT_22)))

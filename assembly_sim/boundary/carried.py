"""Heat and humidity that air carries out of the room through an assembly, hour by hour.

The room's heat balance, by its surfaces k of area A_k and by the air that comes in through them:

    loss = sum A_k (q_c + m_in c_p (T_i - T_a))                                             (1)

with q_c conducted at the surface, m_in the air that enters (kg/(m2 s)) and T_a the temperature at
which it arrives. Air that leaves at T_i takes no more than it had. So (1) charges a leak where air
enters, though that is also where the assembly warms it: a leak that lets air out would cost
nothing, and would even seem to save, since it warms the assembly. Each assembly is therefore
given

    q_a = m_out c_p (T_i - T_o) - m_in c_p (T_a - T_o)                                      (2)

Air that leaves is charged with the warming of its replacement from outdoors (T_o); air that
enters is credited with what the assembly gave it. The two differ by m c_p (T_i - T_o), once with
m_in and once with m_out: where the flows of a house balance, sum A_k (q_c + q_a) is (1) exactly.

Leak air mixes fully at its plane and goes on at the plane's temperature, so T_a is that of the
plane where it meets the first airtight layer: m_in c_p (T_o - T_a) is the heat that it left there
(negative in winter), which the kernel sums as `LEAK_INWARD`. Without such a plane T_a = T_o. Air
that flows inward through the layers leaves at the room-side surface: T_a is the surface's, and
what it left is what came in outdoors less what went out there. Humidity is the same with x
for c_p T. The heat capacity of the vapour in the air (1 % of the air's) is left out, as in q.

Of an assembly alone (2) rises with a leak that lets air out: q_c falls by at most a quarter of
what m_out c_p (T_i - T_o) adds. With air that comes in it falls: the assembly gives its heat back.
What that air still costs, m_in c_p (T_i - T_o), is counted where it leaves; with it added
(`incoming_heat`) the sum rises with any leak. `tests/solver/test_carried.py` shows all three.

Hourly means are by Simpson's rule over each half hour between rows: exact for what is
linear times linear, but for the half hour in which a leak turns. Any fixed rule adds up exactly.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.columns import (
    ATMOSPHERIC_PRESSURE,
    LEAK,
    OUTDOOR_TEMPERATURE,
    OUTDOOR_VAPOUR_PRESSURE,
    ROOM_TEMPERATURE,
    ROOM_VAPOUR_PRESSURE,
)
from assembly_sim.model import Assembly
from assembly_sim.physics.airflow import air_density
from assembly_sim.physics.constants import (
    DRY_AIR_HEAT_CAPACITY,
    ICE_POINT,
    MOLAR_MASS_RATIO,
    STANDARD_PRESSURE,
)
from assembly_sim.physics.moist_air import humidity_ratio

Array = NDArray[np.float64]


class Streams(NamedTuple):
    """Hourly means of one year of rows, (hours,), of leak and of air through the layers.

    outgoing_heat: m_out c_p (T_i - T_o), W/m2; incoming_heat: m_in c_p (T_i - T_o), W/m2;
    outgoing_vapour: m_out (x_i - x_o), kg/(m2 s).
    """

    outgoing_heat: Array
    incoming_heat: Array
    outgoing_vapour: Array


def mass_through(assembly: Assembly) -> float:
    """Air through the layers, kg/(m2 s), positive outward, at the density of 10 degC."""
    return assembly.air_through * float(air_density(ICE_POINT + 10.0, STANDARD_PRESSURE))


def streams(rows: Array, through: float) -> Streams:
    """What air costs or saves before it meets the assembly, from boundary rows (see above).

    Leak air's humidity is per dry air; air through the layers has the kernel's, 0.622 p / P.
    """
    leak, total = _with_middles(rows[:, LEAK]), _with_middles(rows[:, ATMOSPHERIC_PRESSURE])
    room = _with_middles(rows[:, ROOM_VAPOUR_PRESSURE])
    outdoors = _with_middles(rows[:, OUTDOOR_VAPOUR_PRESSURE])
    warmer = _with_middles(rows[:, ROOM_TEMPERATURE] - rows[:, OUTDOOR_TEMPERATURE])
    warming = DRY_AIR_HEAT_CAPACITY * warmer
    more = humidity_ratio(room, total) - humidity_ratio(outdoors, total)
    diluted = MOLAR_MASS_RATIO * (room - outdoors) / total
    outward, through_outward = np.maximum(leak, 0.0), max(through, 0.0)
    return Streams(
        outgoing_heat=_hour_means((outward + through_outward) * warming),
        incoming_heat=_hour_means((outward - leak + through_outward - through) * warming),
        outgoing_vapour=_hour_means(outward * more + through_outward * diluted),
    )


def _with_middles(values: Array) -> Array:
    """Half-hour values and those half-way between them."""
    both = np.empty(2 * len(values) - 1)
    both[::2] = values
    both[1::2] = 0.5 * (values[:-1] + values[1:])
    return both


def _hour_means(values: Array) -> Array:
    """Means of hours from values at quarter hours, by Simpson's rule over each half hour."""
    halves = (values[:-2:2] + 4.0 * values[1::2] + values[2::2]) / 6.0
    return 0.5 * (halves[::2] + halves[1::2])

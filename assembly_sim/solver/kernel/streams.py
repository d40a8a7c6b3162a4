"""What air brings and takes: moist air of one space's, or of one node's, state into a node.

A stream m (kg/s of dry air) from space a to space b takes m h_a out of a, and brings it to b. One
that leaks through an assembly mixes at a plane on its way: it brings m h_a there, takes m h_i
along, and comes to b with that. Each of these is a row here: c m h of a state into a target, c = 1
or -1 for a zone, over the assembly's area for a node of a path, which stands for 1 m2. What leaves
one is what comes to another to the last digit, since both rows hold the same state and the same m.
"""

from __future__ import annotations

from assembly_sim.solver.kernel.compiled import inner
from assembly_sim.solver.kernel.numbers import (
    AIR_HEAT,
    AIR_PRESSURE,
    AIR_ROOMS,
    AIR_TEMPERATURE,
    AIR_VAPOUR_PRESSURE,
    BROUGHT_FIELDS,
    DUCT_CONDUCTANCE,
    DUCT_TEMPERATURE,
    E_T,
    E_U,
    G_T,
    G_U,
    GAIN_HEAT,
    GAIN_WATER,
    GAINS,
    ICE_POINT_K,
    LATENT_EVAPORATION,
    MASS_RATIO,
    P_T,
    P_U,
    PER_E,
    PER_G,
    PER_Q,
    Q_T,
    STATE,
    STREAM,
    VAPOUR_HEAT,
    WAY,
    E,
    G,
    P,
    Q,
)


@inner
def moist_air(theta, p, pressure, const):
    """Humidity ratio x, enthalpy and sensible heat per kg of dry air; slopes of x by p, h by T."""
    dry = pressure - p
    x = const[MASS_RATIO] * p / dry
    x_p = const[MASS_RATIO] * pressure / (dry * dry)
    latent = const[LATENT_EVAPORATION] + const[VAPOUR_HEAT] * theta
    sensible = const[AIR_HEAT] * theta
    return x, sensible + x * latent, sensible, x_p, const[AIR_HEAT] + x * const[VAPOUR_HEAT], latent


@inner
def boundary_air(air, space):
    """Temperature (K) and vapour pressure (Pa) of a room, or of outdoors."""
    row, zones, spaces = air.row, air.by_temperature.shape[1], len(air.excess)
    if space == spaces:
        return row[AIR_TEMPERATURE], row[AIR_VAPOUR_PRESSURE]
    room = AIR_ROOMS + space - zones
    return row[room], row[room + spaces - zones]


@inner
def bring(air, work, temperature, const):
    """Fill the rows of what streams bring, with slopes by the state and per kg/s of the stream."""
    for f in range(len(air.items)):
        for field in range(BROUGHT_FIELDS):
            air.brought[f, field] = 0.0
        m = air.items[f, WAY] * air.flow[air.items[f, STREAM]]
        if m <= 0.0:
            continue
        c, i = air.factors[f], air.items[f, STATE]
        if i >= 0:
            t, p = temperature[i], work[i, P]
        else:
            t, p = boundary_air(air, -1 - i)
        x, h, s, x_p, h_t, latent = moist_air(
            t - const[ICE_POINT_K], p, air.row[AIR_PRESSURE], const
        )
        air.brought[f, G] = c * m * x
        air.brought[f, E] = c * m * h
        air.brought[f, Q] = c * m * s
        if i >= 0:
            air.brought[f, G_T] = c * m * x_p * work[i, P_T]
            air.brought[f, G_U] = c * m * x_p * work[i, P_U]
            air.brought[f, E_T] = c * m * (h_t + latent * x_p * work[i, P_T])
            air.brought[f, E_U] = c * m * latent * x_p * work[i, P_U]
            air.brought[f, Q_T] = c * m * const[AIR_HEAT]
        c *= air.items[f, WAY]
        air.brought[f, PER_G] = c * x
        air.brought[f, PER_E] = c * h
        air.brought[f, PER_Q] = c * s


@inner
def gain(air, z, temperature, const):
    """Heat (W) and water (kg/s) given off in zone z; heat of its ducts and their slope by T."""
    zones, spaces, streams = air.by_temperature.shape[1], len(air.excess), len(air.ends)
    at = AIR_ROOMS + 2 * (spaces - zones) + 2 * streams + GAINS * z
    row = air.row
    ducts = row[at + DUCT_CONDUCTANCE] * (row[at + DUCT_TEMPERATURE] - temperature)
    theta = temperature - const[ICE_POINT_K]
    latent = const[LATENT_EVAPORATION] + const[VAPOUR_HEAT] * theta
    water = row[at + GAIN_WATER]
    slope = const[VAPOUR_HEAT] * water
    return row[at + GAIN_HEAT], water, water * latent, slope, ducts, -row[at + DUCT_CONDUCTANCE]

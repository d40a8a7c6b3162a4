"""Flows into a node from outside the chain: surfaces, rain, leaks, vents, drains."""

from __future__ import annotations

from assembly_sim.solver.kernel.compiled import inner
from assembly_sim.solver.kernel.grids import SATURATED
from assembly_sim.solver.kernel.nodes import frost_share
from assembly_sim.solver.kernel.numbers import (
    ABSORBED_LONG_WAVE,
    ABSORBED_SUN,
    AIR_AT_OUTER,
    AIR_AT_ROOM,
    AIR_HEAT,
    AIR_THROUGH,
    ATMOSPHERIC_PRESSURE,
    DRAIN,
    EMITTANCE,
    FREEZING,
    HELD,
    ICE_POINT_K,
    LATENT_EVAPORATION,
    LEAK,
    LEAK_INWARD,
    LEAK_OUTWARD,
    LEAKED_RAIN,
    MASS_RATIO,
    OUTDOOR_CONVECTION,
    OUTDOOR_TEMPERATURE,
    OUTDOOR_VAPOUR_FILM,
    OUTDOOR_VAPOUR_PRESSURE,
    OUTER_SURFACE,
    P_T,
    P_U,
    RADIATION,
    RAIN,
    RAIN_LEAKED,
    RAIN_ON_SURFACE,
    ROOM_HEAT_COEFFICIENT,
    ROOM_SURFACE,
    ROOM_TEMPERATURE,
    ROOM_VAPOUR_FILM,
    ROOM_VAPOUR_PRESSURE,
    VAPOUR_HEAT,
    VENT,
    WATER_HEAT,
    P,
)

RUN_OFF = 0.1  # kg/(m2 s) per unit of u past saturation
DRAIN_TIME = 1800.0  # s in which water above what a face holds runs away


@inner
def air_exchange(row, work, i, air, source_temperature, source_pressure, theta, const):
    """Air (kg/(m2 s)) comes at the source's state, mixes fully and leaves at the node's."""
    ratio = const[MASS_RATIO]
    pressure = row[ATMOSPHERIC_PRESSURE]
    brought = ratio * source_pressure / (pressure - source_pressure)
    dry = pressure - work[i, P]
    held = ratio * work[i, P] / dry
    held_p = ratio * pressure / (dry * dry)
    vapour_heat = const[VAPOUR_HEAT]
    air_heat = const[AIR_HEAT]
    latent = const[LATENT_EVAPORATION] + vapour_heat * theta
    source_theta = source_temperature - const[ICE_POINT_K]
    source_latent = const[LATENT_EVAPORATION] + vapour_heat * source_theta
    g_p = -air * held_p
    q = air * air_heat * (source_theta - theta)
    return (
        air * (brought - held),
        g_p * work[i, P_T],
        g_p * work[i, P_U],
        q + air * (brought * source_latent - held * latent),
        -air * (air_heat + held * vapour_heat) + g_p * work[i, P_T] * latent,
        g_p * work[i, P_U] * latent,
        q,
        -air * air_heat,
    )


@inner
def surface_film(work, i, q, q_t, film, air_pressure, theta, air_theta, const):
    """Heat q into the surface node with its slope, and vapour through its air film."""
    g = film * (air_pressure - work[i, P])
    g_t = -film * work[i, P_T]
    g_u = -film * work[i, P_U]
    latent = const[LATENT_EVAPORATION] + const[VAPOUR_HEAT] * 0.5 * (theta + air_theta)
    return (
        g,
        g_t,
        g_u,
        q + latent * g,
        q_t + latent * g_t + 0.5 * const[VAPOUR_HEAT] * g,
        latent * g_u,
        q,
        q_t,
    )


@inner
def air_through_end(row, work, i, air, source_temperature, source_pressure, theta, const):
    """Air through the layers enters (air > 0) at the source's state or leaves at the node's."""
    ratio = const[MASS_RATIO] / row[ATMOSPHERIC_PRESSURE]
    if air > 0.0:
        source_theta = source_temperature - const[ICE_POINT_K]
        x = ratio * source_pressure
        latent = const[LATENT_EVAPORATION] + const[VAPOUR_HEAT] * source_theta
        q = air * const[AIR_HEAT] * source_theta
        return air * x, 0.0, 0.0, q + air * x * latent, 0.0, 0.0, q, 0.0
    x = ratio * work[i, P]
    latent = const[LATENT_EVAPORATION] + const[VAPOUR_HEAT] * theta
    q_t = air * const[AIR_HEAT]
    g_t = air * ratio * work[i, P_T]
    g_u = air * ratio * work[i, P_U]
    e_t = q_t + g_t * latent + air * x * const[VAPOUR_HEAT]
    return air * x, g_t, g_u, q_t * theta + air * x * latent, e_t, g_u * latent, q_t * theta, q_t


@inner
def no_flow():
    """Nothing, in the shape of a flow."""
    return 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0


@inner
def flow(kind, value, row, own, work, i, temperature, u, spring, const):
    """One flow into node i from outside the chain: (water, enthalpy, sensible heat), slopes.

    row and own: the boundary values and the constants of the flow's surface.
    """
    zero = const[ICE_POINT_K]
    theta = temperature - zero
    outdoors, outdoor_p = row[OUTDOOR_TEMPERATURE], row[OUTDOOR_VAPOUR_PRESSURE]
    room, room_p = row[ROOM_TEMPERATURE], row[ROOM_VAPOUR_PRESSURE]
    if kind == ROOM_SURFACE:
        h = row[ROOM_HEAT_COEFFICIENT]
        q = h * (room - temperature)
        return surface_film(
            work, i, q, -h, row[ROOM_VAPOUR_FILM], room_p, theta, room - zero, const
        )
    if kind == OUTER_SURFACE:
        h = row[OUTDOOR_CONVECTION]
        radiance = const[RADIATION] * own[EMITTANCE] * temperature**3
        q = h * (outdoors - temperature) + row[ABSORBED_SUN] + row[ABSORBED_LONG_WAVE]
        q -= radiance * temperature
        q_t = -h - 4.0 * radiance
        film = row[OUTDOOR_VAPOUR_FILM]
        return surface_film(work, i, q, q_t, film, outdoor_p, theta, outdoors - zero, const)
    if kind == RAIN:
        rain = row[RAIN_ON_SURFACE]
        past = max(0.0, SATURATED - u)
        slope = RUN_OFF if past > 0.0 else 0.0
        heat = const[WATER_HEAT]
        off = RUN_OFF * past
        e = heat * ((outdoors - zero) * rain - theta * off)
        return rain - off, 0.0, slope, e, -heat * off, heat * theta * slope, 0.0, 0.0
    if kind == LEAK_OUTWARD and row[LEAK] > 0.0:
        return air_exchange(row, work, i, row[LEAK], room, room_p, theta, const)
    if kind == LEAK_INWARD and row[LEAK] < 0.0:
        return air_exchange(row, work, i, -row[LEAK], outdoors, outdoor_p, theta, const)
    if kind == LEAKED_RAIN:
        rain = row[RAIN_LEAKED]
        e = const[WATER_HEAT] * (outdoors - zero) * rain
        return rain, 0.0, 0.0, e, 0.0, 0.0, 0.0, 0.0
    if kind == VENT:
        return air_exchange(row, work, i, value, outdoors, outdoor_p, theta, const)
    if kind == DRAIN:
        over = spring * (SATURATED - u) - const[HELD]
        if over > 0.0:
            frost, frost_t = frost_share(theta, const[FREEZING])
            g = -over * (1.0 - frost) / DRAIN_TIME
            g_t = over * frost_t / DRAIN_TIME
            g_u = spring * (1.0 - frost) / DRAIN_TIME
            heat = const[WATER_HEAT]
            e_t = heat * (g + theta * g_t)
            return g, g_t, g_u, heat * theta * g, e_t, heat * theta * g_u, 0.0, 0.0
    if kind == AIR_AT_OUTER:
        air = -own[AIR_THROUGH]
        return air_through_end(row, work, i, air, outdoors, outdoor_p, theta, const)
    if kind == AIR_AT_ROOM:
        air = own[AIR_THROUGH]
        return air_through_end(row, work, i, air, room, room_p, theta, const)
    return no_flow()

"""What the numbers in the kernel's arrays mean: kinds of flow, outcomes, columns of weather."""

from __future__ import annotations

from assembly_sim.boundary.columns import (  # noqa: F401, the kernel takes all numbers from here
    ABSORBED_LONG_WAVE,
    ABSORBED_SUN,
    ATMOSPHERIC_PRESSURE,
    COLUMNS,
    LEAK,
    OUTDOOR_CONVECTION,
    OUTDOOR_TEMPERATURE,
    OUTDOOR_VAPOUR_FILM,
    OUTDOOR_VAPOUR_PRESSURE,
    RAIN_LEAKED,
    RAIN_ON_SURFACE,
    ROOM_HEAT_COEFFICIENT,
    ROOM_TEMPERATURE,
    ROOM_VAPOUR_FILM,
    ROOM_VAPOUR_PRESSURE,
)

# Kinds of flow between a node and what lies outside the chain
ROOM_SURFACE, OUTER_SURFACE, RAIN, LEAK_OUTWARD, LEAK_INWARD = 0, 1, 2, 3, 4
LEAKED_RAIN, VENT, DRAIN, AIR_AT_OUTER, AIR_AT_ROOM = 5, 6, 7, 8, 9

# How a march ended
COMPLETED, NO_STEP, NOT_FINITE, OUT_OF_RANGE = 0, 1, 2, 3

# Switches and constants of nature that the kernel is given (tests turn them off one by one)
LATENT_EVAPORATION, LATENT_FUSION, WATER_HEAT, ICE_HEAT, VAPOUR_HEAT, AIR_HEAT = 0, 1, 2, 3, 4, 5
VAPOUR_GAS, ICE_POINT_K, RADIATION, MASS_RATIO, SURFACE_EMITTANCE, AIR_THROUGH = 6, 7, 8, 9, 10, 11
FREEZING, HELD = 12, 13  # HELD kg/m2; AIR_THROUGH kg/(m2 s), positive outward; the rest SI
CONSTANTS = 14

# Statistics of a march
STEPS, ITERATIONS, REJECTED, FAILED, EULER, WORST_DEFECT = 0, 1, 2, 3, 4, 5
STATISTICS = 6

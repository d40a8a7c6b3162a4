"""What the numbers in the kernel's arrays mean: kinds of flow, columns of weather, outcomes."""

from __future__ import annotations

# Kinds of flow between a node and what lies outside the chain
ROOM_SURFACE, OUTER_SURFACE, RAIN, LEAK_OUTWARD, LEAK_INWARD = 0, 1, 2, 3, 4
LEAKED_RAIN, VENT, DRAIN, AIR_AT_OUTER, AIR_AT_ROOM = 5, 6, 7, 8, 9

# Columns of the boundary rows, at half-hour stamps
OUTDOOR_TEMPERATURE, OUTDOOR_VAPOUR_PRESSURE, OUTDOOR_CONVECTION, OUTDOOR_VAPOUR_FILM = 0, 1, 2, 3
ABSORBED_SUN, ABSORBED_LONG_WAVE, ROOM_TEMPERATURE, ROOM_VAPOUR_PRESSURE = 4, 5, 6, 7
ROOM_HEAT_COEFFICIENT, ROOM_VAPOUR_FILM, LEAK, ATMOSPHERIC_PRESSURE = 8, 9, 10, 11
RAIN_ON_SURFACE, RAIN_LEAKED = 12, 13
COLUMNS = 14

# How a march ended
COMPLETED, NO_STEP, NOT_FINITE = 0, 1, 2

# Switches and constants of nature that the kernel is given (tests turn them off one by one)
LATENT_EVAPORATION, LATENT_FUSION, WATER_HEAT, ICE_HEAT, VAPOUR_HEAT, AIR_HEAT = 0, 1, 2, 3, 4, 5
VAPOUR_GAS, ICE_POINT_K, RADIATION, MASS_RATIO, SURFACE_EMITTANCE, AIR_THROUGH = 6, 7, 8, 9, 10, 11
FREEZING, COORDINATE_SATURATED, COORDINATE_STEP, HELD = 12, 13, 14, 15
CONSTANTS = 16

# Statistics of a march
STEPS, ITERATIONS, REJECTED, FAILED, EULER, WORST_DEFECT = 0, 1, 2, 3, 4, 5
STATISTICS = 6

"""What the numbers in the kernel's arrays mean: kinds of flow, columns of weather, outcomes."""

from __future__ import annotations

# Kinds of flow between a node and what lies outside the chain
ROOM_SURFACE, OUTER_SURFACE, RAIN, LEAK_OUTWARD, LEAK_INWARD = 0, 1, 2, 3, 4
LEAKED_RAIN, VENT, DRAIN, AIR_AT_OUTER, AIR_AT_ROOM = 5, 6, 7, 8, 9

# Columns of the boundary rows, at half-hour stamps
OUTDOOR_TEMPERATURE = 0  # K
OUTDOOR_VAPOUR_PRESSURE = 1  # Pa
OUTDOOR_CONVECTION = 2  # W/(m2 K)
OUTDOOR_VAPOUR_FILM = 3  # kg/(m2 s Pa)
ABSORBED_SUN = 4  # W/m2
ABSORBED_LONG_WAVE = 5  # W/m2, what the surface itself emits not taken off
ROOM_TEMPERATURE = 6  # K
ROOM_VAPOUR_PRESSURE = 7  # Pa
ROOM_HEAT_COEFFICIENT = 8  # W/(m2 K), convection and radiation
ROOM_VAPOUR_FILM = 9  # kg/(m2 s Pa)
LEAK = 10  # kg/(m2 s) of dry air, positive outward
ATMOSPHERIC_PRESSURE = 11  # Pa
RAIN_ON_SURFACE = 12  # kg/(m2 s) that the surface gets, from this row to the next
RAIN_LEAKED = 13  # kg/(m2 s) that gets past the cladding, likewise
COLUMNS = 14

# How a march ended
COMPLETED, NO_STEP, NOT_FINITE, OUT_OF_RANGE = 0, 1, 2, 3

# Switches and constants of nature that the kernel is given (tests turn them off one by one)
LATENT_EVAPORATION, LATENT_FUSION, WATER_HEAT, ICE_HEAT, VAPOUR_HEAT, AIR_HEAT = 0, 1, 2, 3, 4, 5
VAPOUR_GAS, ICE_POINT_K, RADIATION, MASS_RATIO, SURFACE_EMITTANCE, AIR_THROUGH = 6, 7, 8, 9, 10, 11
FREEZING, HELD = 12, 13  # HELD kg/m2; AIR_THROUGH kg/(m2 s), positive outward; the rest SI
NEWTON = 14  # the size of a Newton update that is taken as converged
CONSTANTS = 15

# Statistics of a march
STEPS, ITERATIONS, REJECTED, FAILED, EULER, WORST_DEFECT = 0, 1, 2, 3, 4, 5
STATISTICS = 6

"""What the numbers in the kernel's arrays mean: kinds of flow, columns, outcomes, scratch."""

from __future__ import annotations

from assembly_sim.boundary import columns

# Kinds of flow between a node and what lies outside the chain
ROOM_SURFACE, OUTER_SURFACE, RAIN, LEAK_OUTWARD, LEAK_INWARD = 0, 1, 2, 3, 4
LEAKED_RAIN, VENT, DRAIN, AIR_AT_OUTER, AIR_AT_ROOM = 5, 6, 7, 8, 9

# Columns of the boundary rows, [stamp, surface, column], at half-hour stamps
OUTDOOR_TEMPERATURE = columns.OUTDOOR_TEMPERATURE
OUTDOOR_VAPOUR_PRESSURE = columns.OUTDOOR_VAPOUR_PRESSURE
OUTDOOR_CONVECTION = columns.OUTDOOR_CONVECTION
OUTDOOR_VAPOUR_FILM = columns.OUTDOOR_VAPOUR_FILM
ABSORBED_SUN = columns.ABSORBED_SUN
ABSORBED_LONG_WAVE = columns.ABSORBED_LONG_WAVE
ROOM_TEMPERATURE = columns.ROOM_TEMPERATURE
ROOM_VAPOUR_PRESSURE = columns.ROOM_VAPOUR_PRESSURE
ROOM_HEAT_COEFFICIENT = columns.ROOM_HEAT_COEFFICIENT
ROOM_VAPOUR_FILM = columns.ROOM_VAPOUR_FILM
LEAK = columns.LEAK
ATMOSPHERIC_PRESSURE = columns.ATMOSPHERIC_PRESSURE
RAIN_ON_SURFACE = columns.RAIN_ON_SURFACE
RAIN_LEAKED = columns.RAIN_LEAKED
COLUMNS = columns.COLUMNS

# How a march ended
COMPLETED, NO_STEP, NOT_FINITE, OUT_OF_RANGE = 0, 1, 2, 3

# Switches and constants of nature that the kernel is given (tests turn them off one by one)
LATENT_EVAPORATION, LATENT_FUSION, WATER_HEAT, ICE_HEAT, VAPOUR_HEAT, AIR_HEAT = 0, 1, 2, 3, 4, 5
VAPOUR_GAS, ICE_POINT_K, RADIATION, MASS_RATIO, FREEZING, HELD = 6, 7, 8, 9, 10, 11
NEWTON = 12  # the size of a Newton update that is taken as converged
CONSTANTS = 13  # HELD kg/m2, the rest SI

# Columns of a surface's own row: of what lies between one outdoors and one room
EMITTANCE, AIR_THROUGH = 0, 1  # AIR_THROUGH kg/(m2 s), positive outward
SURFACE_FIELDS = 2

# Statistics of a march
STEPS, ITERATIONS, REJECTED, FAILED, EULER, WORST_DEFECT = 0, 1, 2, 3, 4, 5
STATISTICS = 6

# Columns of the scratch array, one row a node: first what is looked up, then the march's own
P, P_T, P_U, MW, MW_U, MH, MH_T, MH_U = 0, 1, 2, 3, 4, 5, 6, 7
PHI, PHI_T, PHI_U = 8, 9, 10
OUTER_SIDE, INNER_SIDE = 11, 20  # nine each: Phi, delta, lambda and their slopes over T and u
AT_T, AT_U, ROW_T, ROW_U, FROZEN = 29, 30, 31, 32, 33  # where looked up, where moved to since
BASE_W, BASE_H, X_T, X_U, Y_T, Y_U, U_TT, U_TU, U_UT, U_UU = 34, 35, 36, 37, 38, 39, 40, 41, 42, 43
F_W, F_H, NEW_W, NEW_H, OLD_T, OLD_U, STEP_T, STEP_U = 44, 45, 46, 47, 48, 49, 50, 51
STILL = 52  # 1: kept where its row was made, X_T and X_U count from there
LINK_KEPT = 53  # ten, of the link inwards
SCRATCH = 63

# Columns of a node's own row, and of its row of numbers
WIDTH, CAPACITY, OVERFLOW, LINK, ADSORBED = 0, 1, 2, 3, 4
OUTER_MATERIAL, INNER_MATERIAL, LAYER, LINK_SHEET, SURFACE = 0, 1, 2, 3, 4

# Columns of a flow's row: water, enthalpy and sensible heat into the node, with slopes
G, G_T, G_U, E, E_T, E_U, Q, Q_T = 0, 1, 2, 3, 4, 5, 6, 7
FLOW_FIELDS = 8

# Columns of a link's row: water and enthalpy from node i to node j, with slopes
J_W, J_H, W_IT, W_IU, W_JT, W_JU, H_IT, H_IU, H_JT, H_JU = 0, 1, 2, 3, 4, 5, 6, 7, 8, 9
LINK_FIELDS = 10

# Columns of a link to a zone: numbers, and sizes; its flux has a link's and its sensible heat's
NODE, ZONE, SHEET, KIND = 0, 1, 2, 3
FILM, RADIATION_LINK = 0, 1
FROM_FACE, TO_FACE, AREA = 0, 1, 2  # W/(m2 K) as the face is warmer, as the air is; emissivity; m2
J_Q, Q_IT, Q_JT = 10, 11, 12
BORDER_FIELDS = 13

# Streams of air between spaces: a law of flow, and what one brings or takes as it goes its way
COEFFICIENT, EXPONENT, HEIGHT = 0, 1, 2
STREAM, WAY, TARGET, STATE = 0, 1, 2, 3
PER_G, PER_E, PER_Q = 8, 9, 10  # after those of a flow: the same per kg/s of the stream
BROUGHT_FIELDS = 11

# The row of a house's air: outdoors, then rooms, streams and zones one after the other
AIR_TEMPERATURE, AIR_VAPOUR_PRESSURE, AIR_PRESSURE, AIR_ROOMS = 0, 1, 2, 3
GAIN_HEAT, GAIN_WATER, DUCT_CONDUCTANCE, DUCT_TEMPERATURE, GAINS = 0, 1, 2, 3, 4

# Kinds of what is reported beside the flows from outside: see `kernel/zones.py`
LINKED, BROUGHT, BLOWN, GAINED, DUCTED = 20, 21, 22, 23, 24

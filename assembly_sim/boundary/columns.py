"""What the columns of the boundary rows hold: values at half-hour stamps, in SI."""

from __future__ import annotations

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

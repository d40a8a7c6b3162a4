"""Boundary rows of a house's air, at half-hour stamps: what `solver/streams.py` has columns for."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.house import Estimate, Given, gains
from assembly_sim.boundary.network import wind_pressure
from assembly_sim.boundary.room_state import rooms_rows
from assembly_sim.boundary.stamps import from_states, on_half_hours, start_hour
from assembly_sim.model import Case

Array = NDArray[np.float64]


def air_rows(case: Case, estimate: Estimate, given: Sequence[Given]) -> Array:
    """(2 hours + 1, columns): outdoors, rooms, wind and given flow of each stream, zones' gains.

    Streams are the openings of the estimate and then what is given. Rows start where the run does.
    """
    climate, rooms = case.climate, rooms_rows(case)
    still = np.zeros(climate.hours)
    wind = [wind_pressure(one.side, one.height, climate) for one in estimate.openings]
    temperature = {name: state[0] for name, state in rooms.items()}
    own = [gains(case, zone, temperature) for zone in case.zones]
    columns = [
        *(climate.temperature, climate.vapour_pressure, climate.pressure),
        *(state[0] for state in rooms.values()),
        *(state[1] for state in rooms.values()),
        *(*wind, *(still for _ in given)),
        *(*(still for _ in estimate.openings), *(one.flow for one in given)),
        *(
            column
            for one in own
            for column in (one.heat, one.water, one.duct_conductance, one.duct_temperature)
        ),
    ]
    rows = np.column_stack([on_half_hours(climate, from_states, column) for column in columns])
    return from_start(case, rows)


def from_start(case: Case, rows: Array) -> Array:
    """Rows of a year turned to begin where the run does; those of a window as they are."""
    if not case.climate.wraps:
        return rows
    turned = np.roll(rows[:-1], -2 * start_hour(case), axis=0)
    return np.concatenate([turned, turned[:1]])

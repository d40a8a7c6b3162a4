"""The grids of the tables: the kernel indexes what `curve_tables.py` fills."""

from __future__ import annotations

import numpy as np

from assembly_sim.physics.pore_water import (
    DRIEST_HUMIDITY,
    REFERENCE_TEMPERATURE,
    SUCTION_OFFSET,
    coordinate,
    suction,
)

SUCTION_NODES = 128
SATURATED = float(np.log(SUCTION_OFFSET))  # u at s = 0
DRIEST = float(coordinate(suction(DRIEST_HUMIDITY, REFERENCE_TEMPERATURE)))
SUCTION_STEP = (DRIEST - SATURATED) / (SUCTION_NODES - 1)

COLDEST, TEMPERATURE_STEP, TEMPERATURE_NODES = 183.15, 1.0, 241  # K
WARMEST = COLDEST + TEMPERATURE_STEP * (TEMPERATURE_NODES - 1)  # K
COARSE_STEP, COARSE_NODES = 5.0, 49  # the grid of slowly varying material curves
HUMIDITY_NODES = 65  # of permeance against mean humidity

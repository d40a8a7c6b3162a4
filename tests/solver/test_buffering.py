"""Moisture buffering under a square wave, one third of the time high (Rode et al. 2005).

Moisture effusivity and the uptake in a cycle are NORDTEST's (formula from memory, checked by
computation): G = 0.56804 b_m dp sqrt(period). The cycle lasts ten days instead of one, so that the
half hour in which boundary rows change does not count.
"""

from __future__ import annotations

import bench_walls as bench
import numpy as np
import pytest

from assembly_sim.model import TwoPointStorage
from assembly_sim.physics.moist_air import saturation_pressure

PERIOD, HIGH, CYCLES = 240, 80, 25  # h, h, count
PERMEABILITY, CAPACITY = 2e-11, 30.0  # kg/(m s Pa), kg/m3


def test_uptake_in_a_cycle():
    layer = bench.material(
        permeability=bench.constant(PERMEABILITY),
        storage=TwoPointStorage(0.8 * CAPACITY * (1.0 - 1e-6), CAPACITY),
    )
    hours = PERIOD * CYCLES
    phase = (0.5 * np.arange(2 * hours + 1)) % PERIOD
    humidity = np.where((phase > 0.0) & (phase <= HIGH), 0.75, 0.33)
    boundary = bench.rows(hours, (293.15, 0.5), (293.15, humidity), outdoor_films=bench.SEALED)
    march = bench.marched(
        bench.wall((layer, 0.25)), boundary, hours, (293.15, 0.47), bench.DRY_STILL, 2.0
    )
    held = march.layers[-PERIOD:, 0]
    saturated = saturation_pressure(293.15)
    effusivity = np.sqrt(PERMEABILITY * CAPACITY / saturated)
    expected = 0.56804 * effusivity * 0.42 * saturated * np.sqrt(3600.0 * PERIOD)
    assert held.max() - held.min() == pytest.approx(expected, rel=0.01)

"""Vapour sorption of a sheet at one temperature: Crank, The Mathematics of Diffusion.

The formulas are the book's (from memory), the numbers computed from them. In building terms
D = delta psat / xi for a straight isotherm w = xi phi, the surface number is L = beta l / delta.
"""

from __future__ import annotations

import bench_walls as bench
import numpy as np
import pytest

from assembly_sim.model import TwoPointStorage
from assembly_sim.physics.moist_air import saturation_pressure

HALF, PERMEABILITY, SCALE = 0.02, 2e-11, 100  # m, kg/(m s Pa), h in which D t / l^2 grows by one
CAPACITY = PERMEABILITY * saturation_pressure(293.15) * 3600.0 * SCALE / HALF**2  # xi, kg/m3
FACES_HELD = {0.05: 0.252313, 0.1: 0.356823, 0.2: 0.504088, 0.5: 0.763950, 1.0: 0.931260}
THROUGH_FILM = {  # L: {D t / l^2: share}, computed
    0.1: {0.1: 0.009767, 0.5: 0.047426, 1.0: 0.092413, 2.0: 0.176111},
    1.0: {0.1: 0.080403, 0.5: 0.318895, 1.0: 0.529603, 2.0: 0.775606},
    10.0: {0.1: 0.273882, 0.5: 0.684984, 1.0: 0.886504, 2.0: 0.985267},
}


def share_taken_up(film: float, numbers) -> np.ndarray:
    """Mt / Minf of a sheet stepped from 50 to 60 % on both sides, at each D t / l^2."""
    sheet = bench.material(
        permeability=bench.constant(PERMEABILITY),
        storage=TwoPointStorage(0.8 * CAPACITY * (1.0 - 1e-6), CAPACITY),  # straight
    )
    hours = round(max(numbers) * SCALE)
    films = (bench.HELD_HEAT, film)
    boundary = bench.rows(hours, (293.15, 0.6), (293.15, 0.6), films, films)
    march = bench.marched(
        bench.wall((sheet, 2.0 * HALF)), boundary, hours, (293.15, 0.5), bench.DRY_STILL, 4.0
    )
    gained = march.layers[:, 0] - march.initial_layers[0]
    at = [round(number * SCALE) - 1 for number in numbers]
    return gained[at] / (0.1 * CAPACITY * 2.0 * HALF)


def test_faces_held():
    found = share_taken_up(bench.HELD_VAPOUR, FACES_HELD)
    assert found == pytest.approx(np.array(list(FACES_HELD.values())), abs=0.002)


@pytest.mark.parametrize("number", THROUGH_FILM)
def test_through_air_films(number):
    expected = THROUGH_FILM[number]
    found = share_taken_up(number * PERMEABILITY / HALF, expected)
    assert found == pytest.approx(np.array(list(expected.values())), abs=0.002)

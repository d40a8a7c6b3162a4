"""A sine of 24 hours outdoors against ISO 13786's heat transfer matrices.

The formulas are the standard's (from memory); the numbers are computed from them, not its printed
examples. Hourly mean fluxes are turned back into waves: the mean of an hour weakens a daily wave
by sin(x)/x, x = pi / 24, and stands for the middle of the hour.
"""

from __future__ import annotations

import bench_walls as bench
import numpy as np
import pytest

from assembly_sim.hand.daily_swing import chain, layer_matrix, resistance_matrix
from assembly_sim.solver.kernel import numbers

DAYS = 12
CONCRETE = (0.20, 1.8, 2400.0, 1000.0)
INSULATION = (0.10, 0.04, 30.0, 1400.0)
COATING = (0.005, 1.0, 1200.0, 1500.0)
GYPSUM = (0.0125, 0.25, 900.0, 1000.0)
WOOL = (0.20, 0.036, 20.0, 1030.0)
BOARD = (0.022, 0.13, 600.0, 1700.0)
# inside to outside: |Y12| W/(m2 K), lag h, |Y22|, lead h; computed
CASES = {
    "concrete": ((CONCRETE,), 1.82707, 5.676, 11.5919, 1.873),
    "insulated outside": ((CONCRETE, INSULATION, COATING), 0.06056, 8.109, 0.8470, 4.032),
    "insulated inside": ((COATING, INSULATION, CONCRETE), 0.11816, 7.426, 12.0538, 1.779),
    "timber frame": ((GYPSUM, WOOL, BOARD), 0.16088, 2.414, 1.6669, 4.962),
}


def swung(layers):
    """Complex amplitudes, per K outdoors, of heat that enters at the room and outdoors."""
    hours = 24 * DAYS
    omega = 2.0 * np.pi / 24.0
    stamps = 0.5 * np.arange(2 * hours + 1)
    outdoors = 283.15 + 10.0 * np.cos(omega * stamps)
    parts = [
        (bench.material(str(n), density=r, specific_heat=c, conductivity=bench.constant(k)), d)
        for n, (d, k, r, c) in enumerate(layers)
    ]
    boundary = bench.rows(hours, (outdoors, 0.3), (283.15, 0.3), (25.0, 0.0), (1.0 / 0.13, 0.0))
    march = bench.marched(bench.wall(*parts[::-1]), boundary, hours, (283.15, 0.3), bench.DRY_STILL)
    middle = np.arange(24) + 0.5
    mean = np.sinc(1.0 / 24.0)
    return tuple(
        (bench.flow(march, kind, 2)[-24:] * np.exp(-1j * omega * middle)).mean() * 2 / 10.0 / mean
        for kind in (numbers.ROOM_SURFACE, numbers.OUTER_SURFACE)
    )


@pytest.mark.parametrize("name", CASES)
def test_daily_wave(name):
    layers, through, lag, outside, lead = CASES[name]
    room, outdoors = swung(layers)
    hours = 24.0 / (2.0 * np.pi)
    assert abs(room) == pytest.approx(through, rel=0.01)
    assert np.angle(-room) * hours % 24.0 == pytest.approx(24.0 - lag, abs=0.05)
    assert abs(outdoors) == pytest.approx(outside, rel=0.01)
    assert np.angle(outdoors) * hours == pytest.approx(lead, abs=0.05)


@pytest.mark.parametrize("name", CASES)
def test_the_same_by_the_package_s_own_matrices(name):
    layers = CASES[name][0]
    films = resistance_matrix(0.13), resistance_matrix(0.04)
    (_, z12), (_, z22) = chain([films[0], *(layer_matrix(*part) for part in layers), films[1]])
    room, outdoors = swung(layers)
    assert abs(room - 1.0 / z12) < 0.01 * abs(1.0 / z12)
    assert abs(outdoors + z22 / z12) < 0.01 * abs(z22 / z12)

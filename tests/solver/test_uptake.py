"""Water drawn in from a face under heavy rain grows with the root of time; the rest runs off.

Exponential diffusivity from an uptake coefficient: Kuenzel 1995 (from memory); its exact uptake,
1.0085 times the coefficient, and profile are computed by Boltzmann's transformation. Constant
diffusivity: Crank's A = 2 dw sqrt(D / pi), from memory.
"""

from __future__ import annotations

import bench_walls as bench
import numpy as np
import pytest

from assembly_sim.model import (
    ConstantDiffusivity,
    RetentionCurve,
    RetentionTerm,
    UptakeCoefficient,
)
from assembly_sim.solver.kernel import numbers

SATURATION, COEFFICIENT = 200.0, 0.1  # kg/m3, kg/(m2 s^0.5)
CURVE = RetentionCurve(SATURATION, (RetentionTerm(1.0, 1e-5, 2.0, 0.5),))
# x / sqrt(t) times w_sat / A: w / w_sat, computed
PROFILE = {0.2: 0.97071, 0.4: 0.93424, 0.6: 0.88635, 0.8: 0.81758, 1.0: 0.69835, 1.1: 0.58143}


def soaked(liquid, monkeypatch, hours: int = 24):
    bench.cells_from_to(monkeypatch, 0.001, 0.002)
    brick = bench.material(storage=CURVE, liquid=liquid)
    boundary = bench.rows(hours, (293.15, 0.1), (293.15, 0.1), (bench.HELD_HEAT, 0.0), bench.SEALED)
    boundary[:, numbers.RAIN_ON_SURFACE] = 0.02
    return bench.marched(bench.wall((brick, 0.3)), boundary, hours, (293.15, 0.1), bench.DRY_STILL)


def test_uptake_of_an_exponential_diffusivity(monkeypatch):
    march = soaked(UptakeCoefficient(COEFFICIENT), monkeypatch)
    gained = march.layers[:, 0] - march.initial_layers[0]
    seconds = 3600.0 * np.arange(1, 25)
    slope = np.polyfit(np.sqrt(seconds), gained, 1)[0]
    assert slope == pytest.approx(1.00853 * COEFFICIENT, rel=0.005)
    scaled = np.array(list(PROFILE)) * COEFFICIENT / SATURATION * np.sqrt(seconds[-1])
    found = bench.water_contents(march, 24, scaled) / SATURATION
    assert found == pytest.approx(np.array(list(PROFILE.values())), abs=0.01)


def test_uptake_of_a_constant_diffusivity(monkeypatch):
    diffusivity = 1e-7
    march = soaked(ConstantDiffusivity(diffusivity), monkeypatch)
    gained = march.layers[:, 0] - march.initial_layers[0]
    expected = 2.0 * SATURATION * np.sqrt(diffusivity / np.pi * 3600.0 * np.array([4, 12, 24]))
    assert gained[[3, 11, 23]] == pytest.approx(expected, rel=0.005)

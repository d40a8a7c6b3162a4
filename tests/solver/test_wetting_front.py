"""EN 15026:2007 annex A: heat and moisture uptake of a semi-infinite region, to a year.

Material functions, boundary values and times are the standard's. The profiles are computed from
its equations as a similarity solution in x / sqrt(t) (secondary code, confirmed by a transient
one); limits here are far tighter than the standard's 2.5 %.
"""

from __future__ import annotations

import bench_walls as bench
import numpy as np
import pytest

from assembly_sim.model import ConductivityPoints, Points, RetentionCurve, RetentionTerm
from assembly_sim.physics import pore_water
from assembly_sim.solver import grading
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.march import March, Nature

DAYS = (7, 30, 365)
# x (mm): water content (kg/m3) after 7, 30 and 365 days, computed
WATER = {
    2.5: (108.45, 120.26, 126.30),
    5.0: (80.28, 109.31, 124.06),
    7.5: (60.85, 96.08, 121.57),
    10.0: (51.90, 82.13, 118.83),
    15.0: (45.16, 62.21, 112.64),
    20.0: (43.39, 52.77, 105.62),
    25.0: (43.01, 48.03, 97.94),
    30.0: (42.95, 45.52, 89.86),
    40.0: (42.94, 43.51, 74.83),
    50.0: (42.94, 43.04, 64.09),
    60.0: (42.94, 42.96, 57.20),
    80.0: (42.94, 42.94, 49.63),
    100.0: (42.94, 42.94, 46.04),
}
# x (m): temperature (degC) likewise
TEMPERATURE = {
    0.05: (29.670, 29.850, 29.965),
    0.10: (29.322, 29.681, 29.921),
    0.20: (28.631, 29.346, 29.825),
    0.50: (26.640, 28.347, 29.536),
    1.00: (23.839, 26.748, 29.055),
    2.00: (20.813, 24.003, 28.106),
    4.00: (20.005, 20.922, 26.302),
    6.00: (20.000, 20.115, 24.696),
}
UPTAKE = 5.7924e-4  # kg/(m2 s^0.5), computed
SURFACE_HEAT = 11809.6  # W s^0.5 / m2 into the wall, computed


def conductivity(w: np.ndarray) -> np.ndarray:
    """The standard's K(w), s: flux = K dPc/dx."""
    d = w - 73.0
    powers = 0.0704 * d - 1.7420e-4 * d**2 - 2.7953e-6 * d**3 - 1.1566e-7 * d**4 + 2.5969e-9 * d**5
    return np.exp(-39.2619 + powers)


def permeability(w: np.ndarray) -> np.ndarray:
    """The standard's delta_p(w) at 293.15 K, s."""
    free = 1.0 - w / 146.0
    return 26.1e-6 / 200.0 / (461.52 * 293.15) * free / (0.503 * free**2 + 0.497)


def annex_a_material():
    humidity = np.concatenate((np.linspace(0.001, 0.9, 200), 1.0 - np.logspace(-1, -5, 200)[1:]))
    suction = -461.52e3 * 293.15 * np.log(humidity)
    held = 146.0 / (1.0 + (8e-8 * suction) ** 1.6) ** 0.375
    water = np.linspace(0.5, 145.9, 400)
    return bench.material(
        density=2145.88,
        specific_heat=850.0,
        conductivity=Points((293.15,), (1.5,)),
        conductivity_per_water=15.8e-3,
        permeability=Points(tuple(humidity), tuple(np.maximum(permeability(held), 1e-20))),
        permeability_temperature_exponent=-1.0,
        storage=RetentionCurve(146.0, (RetentionTerm(1.0, 8e-8, 1.6, 0.375),)),
        liquid=ConductivityPoints(tuple(water), tuple(conductivity(water))),
    )


@pytest.fixture(scope="module")
def year() -> March:
    with pytest.MonkeyPatch.context() as patch:
        bench.cells_from_to(patch, 0.0005, 0.2)
        patch.setattr(grading, "GROWTH", 1.08)
        part = bench.wall((annex_a_material(), 20.0))
        hours = 24 * DAYS[-1]
        boundary = bench.rows(hours, (303.15, 0.95), (293.15, 0.5), room_films=bench.SEALED)
        nature = Nature(vapour_heat=0.0, latent_evaporation=2.5e6)
        return bench.marched(part, boundary, hours, (293.15, 0.5), nature)


@pytest.mark.parametrize("column", range(3), ids=[f"{d} days" for d in DAYS])
def test_water_content(year, column):
    found = bench.water_contents(year, 24 * DAYS[column], np.array(list(WATER)) / 1000.0)
    expected = np.array([row[column] for row in WATER.values()])
    assert np.abs(found - expected).max() < 0.3  # kg/m3


@pytest.mark.parametrize("column", range(3), ids=[f"{d} days" for d in DAYS])
def test_temperature(year, column):
    found = bench.temperatures(year, 24 * DAYS[column], np.array(list(TEMPERATURE))) - 273.15
    expected = np.array([row[column] for row in TEMPERATURE.values()])
    assert np.abs(found - expected).max() < 0.02  # K


def test_uptake_and_surface_heat_follow_the_root_of_time(year):
    for days in DAYS:
        seconds = 86400.0 * days
        taken_up = year.layers[24 * days - 1, 0] - year.initial_layers[0]
        assert taken_up == pytest.approx(UPTAKE * np.sqrt(seconds), rel=0.005)
        into_wall = 3600.0 * bench.flow(year, numbers.OUTER_SURFACE, 1)[: 24 * days].sum()
        carried = UPTAKE * 4187.0 * 30.0  # the water's own heat, which the standard leaves out
        expected = (2.0 * SURFACE_HEAT + carried) * np.sqrt(seconds)
        assert into_wall == pytest.approx(expected, rel=0.001)
    assert year.moisture_balance_error < 1e-9
    assert year.heat_balance_error < 1e-9


def test_spot_values_of_storage():
    """Computed from the standard's w(Pc) with Kelvin's law at each temperature."""
    curve = annex_a_material().storage
    for humidity, temperature, expected in ((0.5, 293.15, 42.943), (0.95, 303.15, 128.298)):
        suction = pore_water.suction(humidity, temperature)
        assert pore_water.water_content(curve, suction) == pytest.approx(expected, abs=2e-3)

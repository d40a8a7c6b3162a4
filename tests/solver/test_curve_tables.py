"""What the kernel reads is what `physics` says, for every shipped material."""

from __future__ import annotations

import bench_walls as bench
import numpy as np
import pytest

from assembly_sim.files.material.read import load
from assembly_sim.model import ConductivityPoints, Material, Points, RetentionCurve, RetentionTerm
from assembly_sim.physics import pore_water
from assembly_sim.physics.ice import freezing_suction
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.solver import curve_tables
from assembly_sim.solver.kernel import curves as read
from assembly_sim.solver.kernel import grids

SHIPPED = [m for m in load().values() if isinstance(m, Material)]
HOLDING = [m for m in SHIPPED if m.storage is not None]
U = np.linspace(grids.SATURATED, grids.DRIEST - 1e-6, 400)
SUCTION = np.maximum(np.exp(U) - pore_water.SUCTION_OFFSET, 0.0)
WATER, POTENTIAL, PERMEABILITY, SUCTIONS = range(4)


def curves(material, column):
    """Value of a column at U, as the kernel evaluates its table."""
    table = curve_tables.build_tables([material], [Points((0.5,), (1e-9,))]).curves
    return np.array([read.material_state.py_func(table, 0, u)[2 * column] for u in U])


@pytest.mark.parametrize("material", HOLDING, ids=lambda m: m.name)
def test_water_content(material):
    found = curves(material, WATER)
    exact = pore_water.water_content(material.storage, SUCTION)
    assert np.abs(found - exact).max() < 0.01 * material.storage.saturation
    assert (np.diff(found) <= 1e-9).all()


def test_suction_and_permeability():
    (osb,) = (m for m in SHIPPED if m.name == "osb")
    assert curves(osb, SUCTIONS) == pytest.approx(SUCTION, rel=1e-3, abs=0.5)
    humidity = pore_water.relative_humidity(SUCTION, 293.15)
    exact = np.exp(np.interp(humidity, osb.permeability.x, np.log(osb.permeability.y)))
    assert curves(osb, PERMEABILITY) == pytest.approx(exact, rel=0.03)


def test_potential_is_the_integral_of_conductivity():
    """K = 1e-12 (w / w_sat)^2 with w = w_sat / (1 + s / MPa): 1e-6 / (1 + s / MPa) from s on."""
    water = np.linspace(0.01, 100.0, 4000)
    porous = bench.material(
        storage=RetentionCurve(100.0, (RetentionTerm(1.0, 1e-6, 1.0, 1.0),)),
        liquid=ConductivityPoints(tuple(water), tuple(1e-12 * (water / 100.0) ** 2)),
    )
    found = curves(porous, POTENTIAL)
    exact = 1e-6 / (1.0 + SUCTION / 1e6)
    assert found - found[-1] == pytest.approx(exact - exact[-1], rel=2e-3, abs=1e-10)


def test_no_liquid_without_liquid_transport():
    assert (curves(bench.material(), POTENTIAL) == 0.0).all()


def test_saturation_pressure_and_freezing():
    made = curve_tables.build_tables([None], [Points((0.5,), (1e-9,))])
    at = np.linspace(230.0, 330.0, 1001)
    found = np.array([read.saturation_state.py_func(made.state, t) for t in at])
    assert found[:, 0] == pytest.approx(saturation_pressure(at), rel=1e-5)
    cold = at < 273.15
    assert found[cold, 2] == pytest.approx(freezing_suction(at[cold]), rel=1e-4, abs=50.0)
    slopes = np.gradient(saturation_pressure(at), at)
    assert found[1:-1, 1] == pytest.approx(slopes[1:-1], rel=1e-3)


def test_conductivity_and_permeability_over_temperature():
    warm = bench.material(
        conductivity=Points((273.15, 293.15), (0.03, 0.04)), permeability_temperature_exponent=1.8
    )
    still = bench.material()
    made = curve_tables.build_tables([still, warm], [Points((0.5,), (1e-9,))])
    grid = grids.COLDEST + grids.COARSE_STEP * np.arange(grids.COARSE_NODES)
    k = int(np.argmin(np.abs(grid - 283.15)))
    assert made.thermal[1, k] == pytest.approx([0.035, (283.15 / 293.15) ** 1.8])
    assert list(made.wet[:, 1]) == [0.0, 1.0]


def test_sheets_are_log_linear_in_humidity():
    made = curve_tables.build_tables([None], [Points((0.25, 0.75), (1e-12, 1e-10))])
    middle = grids.HUMIDITY_NODES // 2
    assert made.sheets[0, middle] == pytest.approx(1e-11, rel=1e-9)
    assert made.sheets[0, [0, -1]] == pytest.approx([1e-12, 1e-10])

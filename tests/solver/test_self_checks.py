"""What must hold whatever the wall: balances, steady sums, equilibrium, mirror images."""

from __future__ import annotations

import bench_walls as bench
import numpy as np
import pytest

from assembly_sim.model import (
    Membrane,
    RetentionCurve,
    RetentionTerm,
    Sheet,
    SorptionPoints,
    UptakeCoefficient,
)
from assembly_sim.solver.kernel import numbers

BRICK = bench.material(
    "brick",
    density=1800.0,
    conductivity=bench.constant(0.8),
    conductivity_per_water=0.002,
    permeability=bench.constant(2e-11),
    storage=RetentionCurve(190.0, (RetentionTerm(1.0, 1e-6, 1.8, 0.444),)),
    liquid=UptakeCoefficient(0.1),
)
WOOD = bench.material(
    "wood",
    density=450.0,
    specific_heat=1600.0,
    conductivity=bench.constant(0.12),
    permeability=bench.constant(3e-12),
    storage=SorptionPoints((0.3, 0.6, 0.8, 0.95), (22.0, 45.0, 65.0, 110.0), 300.0),
)
BATT = bench.material(
    "batt", density=20.0, conductivity=bench.constant(0.04), permeability=bench.constant(1.6e-10)
)
FOIL = Membrane("retarder", Sheet("retarder", bench.constant(1e-10)))


@pytest.mark.parametrize("extra", [0.0, 0.05], ids=["two layers", "three layers"])
def test_steady_wall_is_the_sum_of_its_resistances(extra):
    """Dry, with films: q = dT / R to 1e-9 (series resistances, ISO 6946)."""
    layers = [(BATT, 0.1), (WOOD, 0.02)] + ([(BRICK, extra)] if extra else [])
    dry = [
        (bench.material(m.name, conductivity=m.conductivity, density=m.density), d)
        for m, d in layers
    ]
    boundary = bench.rows(900, (268.15, 0.3), (293.15, 0.3), (25.0, 0.0), (1 / 0.13, 0.0))
    march = bench.marched(bench.wall(*dry), boundary, 900, (280.0, 0.3), bench.DRY_STILL)
    total = 0.04 + 0.13 + sum(d / m.conductivity.y[0] for m, d in dry)
    for kind, sign in ((numbers.ROOM_SURFACE, 1.0), (numbers.OUTER_SURFACE, -1.0)):
        found = sign * bench.flow(march, kind, 2)[-1]
        assert found == pytest.approx(25.0 / total, rel=1e-9)


def test_steady_vapour_is_the_sum_of_its_resistances():
    """Materials of constant permeability that hold nothing: g = dp / Z (ISO 13788)."""
    films = 2.5e-8, 1.7e-8
    part = bench.wall((BATT, 0.1), FOIL, (BATT, 0.05))
    boundary = bench.rows(400, (293.15, 0.3), (293.15, 0.6), (25.0, films[0]), (8.0, films[1]))
    march = bench.marched(part, boundary, 400, (293.15, 0.4), bench.DRY_STILL)
    resistance = 1 / films[0] + 1 / films[1] + 0.15 / 1.6e-10 + 1 / 1e-10
    difference = boundary[0, numbers.ROOM_VAPOUR_PRESSURE] - boundary[0, 1]
    found = bench.flow(march, numbers.ROOM_SURFACE)[-1]
    assert found == pytest.approx(difference / resistance, rel=1e-6)


def test_equilibrium_stays():
    part = bench.wall((BRICK, 0.1), (WOOD, 0.02), FOIL, (BATT, 0.1))
    films = (25.0, 1.5e-7), (8.0, 2e-8)
    boundary = bench.rows(240, (293.15, 0.8), (293.15, 0.8), *films)
    march = bench.marched(part, boundary, 240, (293.15, 0.8))
    assert np.abs(march.profile[:, 0] - 293.15).max() < 1e-6
    change = np.abs(march.layers - march.initial_layers)
    assert (change <= 1e-6 * march.initial_layers).all()  # the tables' own digits


def test_balances_of_a_wall_that_wets_freezes_and_dries():
    hours = 24 * 30
    day = np.arange(2 * hours + 1) / 48.0
    outdoors = 273.15 + 5.0 * np.cos(2 * np.pi * day) + 8.0 * np.cos(2 * np.pi * day / 11.0)
    part = bench.wall((BRICK, 0.1), (BATT, 0.1), FOIL, (WOOD, 0.02))
    boundary = bench.rows(hours, (outdoors, 0.8), (293.15, 0.5), (20.0, 1.3e-7), (8.0, 2e-8))
    boundary[110:120, numbers.RAIN_ON_SURFACE] = 3e-4  # just before it freezes
    march = bench.marched(part, boundary, hours, (283.15, 0.8))
    assert march.ice.max() > 0.3  # kg/m2
    assert march.heat_balance_error < 1e-9
    assert march.moisture_balance_error < 1e-9
    assert march.state_defect < 1e-6


def test_mirrored_wall_gives_the_mirrored_answer():
    hours = 24 * 10
    day = np.arange(2 * hours + 1) / 48.0
    cold = 278.15 + 6.0 * np.cos(2 * np.pi * day), 0.85
    warm = 294.15 + 1.0 * np.sin(2 * np.pi * day), 0.55
    films = (20.0, 1.3e-7), (8.0, 2e-8)
    layers = [(BRICK, 0.1), (BATT, 0.1), FOIL, (WOOD, 0.02)]
    start = (283.15, 0.7)
    one = bench.marched(bench.wall(*layers), bench.rows(hours, cold, warm, *films), hours, start)
    other = bench.marched(
        bench.wall(*layers[::-1]), bench.rows(hours, warm, cold, *films[::-1]), hours, start
    )
    assert other.profile[-1, 0, ::-1] == pytest.approx(one.profile[-1, 0], abs=1e-3)
    assert other.layers[:, ::-1] == pytest.approx(one.layers, abs=1e-4)
    assert bench.flow(other, numbers.OUTER_SURFACE, 2) == pytest.approx(
        bench.flow(one, numbers.ROOM_SURFACE, 2), abs=0.02
    )

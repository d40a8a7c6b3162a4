"""Four walls and roofs that break time steppers, each through three years without a failed hour.

Real typical years are Greensboro and Sand Point (TMY3); the hot humid summer is an invented one.
What each needs (rain that runs off, ice, condensate between layers that hold no liquid) must have
happened, or the run proves nothing.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from assembly_sim.files.case.read import read_case
from assembly_sim.files.climate.read import find_climate, read_climate
from assembly_sim.files.material.read import load
from assembly_sim.model import (
    AirLeak,
    Assembly,
    Case,
    Constant,
    Layer,
    Membrane,
    OuterSurface,
    Room,
    SineOverYear,
)
from assembly_sim.solver.result import AssemblyResult
from assembly_sim.solver.run import run

EXAMPLES = Path(__file__).parents[2] / "examples"
YEARS = 3
LEAK = AirLeak(flow=0.2e-3, reference_pressure=75.0)
WARM_ROOM = Room(Constant(294.15), SineOverYear(0.45, 0.10))
COOLED_ROOM = Room(Constant(294.15), Constant(0.50))


def wall(name: str, *layers: tuple[str, float | str], **outer: float) -> Assembly:
    """A wall facing south of shipped materials (name, thickness m) and sheets (name, label)."""
    shipped = load()
    parts = tuple(
        Layer(material, shipped[material], size)
        if isinstance(size, float)
        else Membrane(size, shipped[material])
        for material, size in layers
    )
    surface = {"tilt": np.pi / 2, "azimuth": np.pi, "solar_absorptance": 0.7, "emittance": 0.9}
    return Assembly(name, 10.0, OuterSurface(**{**surface, **outer}), parts, LEAK)


def completed(case: Case) -> AssemblyResult:
    """Run a case; it must go through all its hours with balances closed."""
    result = run(case)
    (found,) = result.assemblies
    assert found.outcome.name == "completed", found.outcome
    assert result.hours == case.years * case.climate.hours
    for path in found.paths:
        assert path.heat_balance_error <= 1e-9
        assert path.moisture_balance_error <= 1e-9
        assert path.state_defect <= 1e-6
        assert np.isfinite(path.temperature).all()
        assert np.isfinite(path.vapour_pressure).all()
    assert found.converged
    return found


def brick_in_the_rain() -> Case:
    part = wall(
        "solid brick",
        ("brick, retention curve", 0.22),
        ("mineral-wool batt", 0.10),
        ("gypsum board", 0.0127),
        rain_exposure=1.5,
        azimuth=np.radians(225.0),
    )
    return Case("rain", read_climate(find_climate("greensboro")), WARM_ROOM, (part,), years=YEARS)


def soaked_brick(place: str) -> Case:
    part = wall(
        "brick soaked in autumn",
        ("brick, retention curve", 0.22),
        ("mineral-wool batt", 0.15),
        ("gypsum board", 0.0127),
        azimuth=0.0,
    )
    brick = replace(part.layers[0], starting_humidity=0.99999)
    part = replace(part, layers=(brick, *part.layers[1:]))
    return Case(
        "ice", read_climate(find_climate(place)), WARM_ROOM, (part,), years=YEARS, start_month=12
    )


def batt_against_foam(place: str) -> Case:
    part = wall(
        "cooled room",
        ("fibre cement", 0.008),
        ("mineral-wool batt", 0.09),
        ("xps", 0.025),
        ("gypsum board", 0.0127),
        ("vinyl wallpaper", "wallpaper"),
    )
    return Case("summer", read_climate(find_climate(place)), COOLED_ROOM, (part,), years=YEARS)


def foamed_rafter_bay(place: str) -> Case:
    return replace(read_case(EXAMPLES / "rafter_bay_foam.toml", climate=place), years=YEARS)


def cases() -> dict[str, Case]:
    """All four, in each of their climates, by name."""
    return {
        "rafter bay, greensboro": foamed_rafter_bay("greensboro"),
        "rafter bay, sand point": foamed_rafter_bay("sand point"),
        "brick in the rain": brick_in_the_rain(),
        "soaked brick, cold inland": soaked_brick("cold_inland"),
        "soaked brick, sand point": soaked_brick("sand point"),
        "batt against foam, hot humid": batt_against_foam("hot_humid"),
        "batt against foam, greensboro": batt_against_foam("greensboro"),
    }


@pytest.mark.parametrize("place", ["greensboro", "sand point"])
def test_rafter_bay_with_foam(place):
    found = completed(foamed_rafter_bay(place))
    assert {path.name for path in found.paths} == {"main", "rafters"}


def test_brick_wall_in_the_rain():
    path = completed(brick_in_the_rain()).paths[0]
    offered = 3600.0 * path.rain.sum()
    assert offered > 50.0  # kg/m2 taken in over three years
    assert path.layer_water[:, 0].max() > 1.5 * path.initial_layer_water[0]


@pytest.mark.parametrize("place", ["cold_inland", "sand point"])
def test_wet_brick_in_the_cold(place):
    path = completed(soaked_brick(place)).paths[0]
    assert path.layer_ice[:, 0].max() > 10.0  # kg/m2
    assert path.layer_ice[-3000:, 0].min() < 1e-3  # thawed in the last summer


@pytest.mark.parametrize("place", ["hot_humid", "greensboro"])
def test_batt_against_foam_in_a_humid_summer(place):
    path = completed(batt_against_foam(place)).paths[0]
    assert path.free_water[:, 2].max() > (1e-3 if place == "hot_humid" else 0.0)

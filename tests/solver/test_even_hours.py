"""An hour is taken in one step only where its weather is straight: every driver is looked at."""

from __future__ import annotations

import numpy as np
import pytest

from assembly_sim.boundary import columns
from assembly_sim.solver.kernel import weather

WEATHER = {
    columns.OUTDOOR_TEMPERATURE: 268.15,
    columns.OUTDOOR_VAPOUR_PRESSURE: 300.0,
    columns.OUTDOOR_CONVECTION: 20.0,
    columns.ROOM_TEMPERATURE: 293.15,
    columns.ROOM_VAPOUR_PRESSURE: 900.0,
    columns.ROOM_HEAT_COEFFICIENT: 7.7,
    columns.LEAK: 1e-3,
}
# How far its middle row lies off the line: 12 W/m2, 25 Pa, any rain
BENDS = {
    columns.OUTDOOR_TEMPERATURE: 0.6,
    columns.OUTDOOR_VAPOUR_PRESSURE: 25.0,
    columns.ABSORBED_SUN: 12.0,
    columns.ABSORBED_LONG_WAVE: 12.0,
    columns.ROOM_TEMPERATURE: 1.6,
    columns.ROOM_VAPOUR_PRESSURE: 25.0,
    columns.LEAK: 4.8e-4,
    columns.RAIN_ON_SURFACE: 1e-9,
    columns.RAIN_LEAKED: 1e-9,
}


@pytest.fixture
def even(monkeypatch):
    """As plain Python: compiled, none but the march can call it."""
    for name in ("off_line", "even"):
        function = getattr(weather, name)
        monkeypatch.setattr(weather, name, getattr(function, "py_func", function))
    return weather.even


def rows() -> np.ndarray:
    """Three rows of two surfaces whose drivers rise along a line, a leak that turns round too."""
    found = np.zeros((3, 2, columns.COLUMNS))
    for column, value in WEATHER.items():
        found[:, :, column] = value
    found[:, :, columns.OUTDOOR_TEMPERATURE] += np.array([-5.0, 0.0, 5.0])[:, None]
    found[:, 1, columns.LEAK] = [-1e-3, 0.0, 1e-3]
    return found


def test_straight_weather_is_even_however_fast_it_goes(even):
    assert even(rows(), 0)


@pytest.mark.parametrize("surface", [0, 1])
@pytest.mark.parametrize("column", BENDS)
def test_an_hour_whose_middle_is_off_the_line_is_not(even, column, surface):
    bent = rows()
    bent[1, surface, column] += BENDS[column]
    assert not even(bent, 0)


@pytest.mark.parametrize("column", [c for c in BENDS if c < columns.RAIN_ON_SURFACE])
def test_what_matters_little_does_not_bend_an_hour(even, column):
    bent = rows()
    bent[1, 0, column] += 0.5 * BENDS[column]
    assert even(bent, 0)

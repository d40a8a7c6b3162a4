"""Driven rain: the design rain of ANSI/ASHRAE 160, and vectors on slopes."""

import numpy as np
import pytest

from assembly_sim.physics.rain import airfield_index, rain_on_surface

WALL, NORTH, SOUTH = np.pi / 2, 0.0, np.pi


def test_wall_in_the_wind() -> None:
    """FE FD 0.2 U r: 1.0 x 0.35 x 0.2 x 5 m/s x 3 mm/h = 1.05 mm/h (ASHRAE 160, from memory)."""
    assert rain_on_surface(3.0, 5.0, NORTH, WALL, NORTH) == pytest.approx(1.05)
    doubled = rain_on_surface(3.0, 5.0, NORTH, WALL, NORTH, exposure=1.4, deposition=0.5)
    assert doubled == pytest.approx(2.1)


def test_wall_by_angle() -> None:
    """Goes with the cosine, and nothing beyond 90 degrees."""
    angles = np.radians([0.0, 60.0, 90.0, 120.0, 180.0, 300.0])
    struck = rain_on_surface(1.0, 10.0, angles, WALL, NORTH, deposition=0.5)
    assert struck == pytest.approx([1.0, 0.5, 0.0, 0.0, 0.0, 0.5], abs=1e-12)


def test_level_roof_gets_what_falls_and_soffits_nothing() -> None:
    assert rain_on_surface(2.0, 20.0, NORTH, 0.0, NORTH) == pytest.approx(2.0)
    assert rain_on_surface(2.0, 0.0, NORTH, np.pi, NORTH) == 0.0


def test_slopes_share_the_rain_of_their_plan() -> None:
    """Two slopes of a ridge: together, with full deposition, what falls through their plan.

    Geometry (derived): while neither is in the lee shadow, the driven parts cancel.
    """
    tilt, rain, wind = np.radians(20.0), 4.0, 3.0
    windward, leeward = (
        rain_on_surface(rain, wind, NORTH, tilt, azimuth, 1.0, 1.0) for azimuth in (NORTH, SOUTH)
    )
    assert windward > leeward > 0.0
    assert windward + leeward == pytest.approx(2.0 * rain * np.cos(tilt))


def test_airfield_index() -> None:
    """2/9 v r^(8/9) cos (ISO 15927-3, from memory), summed by hand over three hours.

    9 m/s and 1 mm head on: 2.0; the same at 60 degrees: 1.0; from behind: none.
    """
    direction = np.radians([0.0, 60.0, 180.0])
    index = airfield_index(np.ones(3), np.full(3, 9.0), direction, NORTH, years=2.0)
    assert index == pytest.approx(1.5)
    heavier = airfield_index(np.array([8.0]), np.array([4.5]), np.array([0.0]), NORTH)
    assert heavier == pytest.approx(8.0 ** (8 / 9))

"""What comes into a zone is in it or has left it: air, water and heat, hour by hour and in sum."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from houses import HEAT_ALONE, LEVEL, WALL, flow, hole, house, plate, solved, weather, windy, zone

from assembly_sim.model import AirLeak, Ducts, Zone
from assembly_sim.model.opening import Fan

BALANCE, DEFECT = 1e-9, 1e-6


def around_freezing(hours=720, **fields):
    """A light roof over a light floor, whose midnights come to freeze over a month."""
    day = np.arange(hours) / 24
    outdoors = 273.15 - 0.15 * day + 6.0 * np.sin(2 * np.pi * day)
    parts = (
        plate("roof", 50.0, 0.3, tilt=LEVEL),
        plate("floor", 40.0, 3.0, "room", "attic", LEVEL),
    )
    return house(weather(outdoors, hours), parts, **fields)


def test_faces_meet_where_nothing_freezes():
    """The node where faces' radiation meets holds no water, whose freezing it would have to show.

    Nanometres of water on it would freeze and thaw: 0.4 J of a whole attic, yet more than the
    defect of all else, by which a run is called not converged.
    """
    case = around_freezing(openings=(hole("low", 0.02, 3.0), hole("high", 0.02, 5.0)))
    result = solved(case)
    assert (zone(result).radiant_temperature > 273.15).any()
    assert (zone(result).radiant_temperature < 273.15).any()
    assert all(one.paths[0].state_defect <= 3e-7 for one in result.assemblies)
    assert all(one.converged for one in result.assemblies)

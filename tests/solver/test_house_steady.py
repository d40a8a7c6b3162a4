"""Zones in steady surroundings against balances by hand, and a wing that is turned down.

Plates without vapour to speak of. Where the hand formula knows no radiation, none is sent.
"""

from __future__ import annotations

import numpy as np
import pytest
from houses import (
    HEAT_ALONE,
    LEVEL,
    OUTER_FILM,
    ROOM_FILMS,
    WALL,
    flow,
    hole,
    house,
    plate,
    solved,
    weather,
    zone,
)

from assembly_sim.hand.zone import Side, steady_zone, time_constant, turned_down, two_nodes
from assembly_sim.model import Ducts, Zone
from assembly_sim.model.opening import Fan
from assembly_sim.physics.airflow import air_density
from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY, STEFAN_BOLTZMANN
from assembly_sim.physics.enclosure import radiant_emissivities


@pytest.fixture
def no_radiation(monkeypatch):
    """Faces at zones that send next to nothing: no material is so bright."""
    found = "assembly_sim.solver.house.radiant_emissivities"
    monkeypatch.setattr(found, lambda areas, emittances: np.full(len(areas), 1e-9))


ROOM, COLD, VOLUME = 293.15, 263.15, 60.0
DENSITY = float(air_density(COLD, 101325.0))
FILM = 2.5  # W/(m2 K) of an upright face in still air (ISO 6946 annex)


def to_outdoors(resistance: float) -> float:
    """W/(m2 K) of an upright plate between a zone's air and outdoors, without radiation."""
    return 1.0 / (1.0 / FILM + resistance + 1.0 / OUTER_FILM)


def to_room(resistance: float) -> float:
    return 1.0 / (1.0 / FILM + resistance + 1.0 / ROOM_FILMS[WALL])


def cold_closet(zone_fields=(), **fields):
    """40 m2 of plate to outdoors, 25 m2 to the room."""
    parts = (plate("out", 40.0, 0.5), plate("in", 25.0, 2.0, inside="room", outside="attic"))
    return house(weather(COLD), parts, (Zone("attic", VOLUME, **dict(zone_fields)),), **fields)


UA = (40.0 * to_outdoors(0.5), 25.0 * to_room(2.0))


@pytest.mark.parametrize("changes", [0.0, 0.5, 6.0])
@pytest.mark.parametrize("gain", [0.0, 300.0])
def test_a_steady_zone(no_radiation, changes, gain):
    """(UA_1 T_1 + UA_2 T_2 + rho c Q T_o + gain) / (sum), ASHRAE Fundamentals 2021, ch. 18."""
    case = cold_closet({"air_changes": changes, "heat_gain": gain})
    found = zone(solved(case, nature=HEAT_ALONE)).temperature[-1]
    blown = VOLUME * changes / 3600.0
    expected = steady_zone(UA, (COLD, ROOM), blown, COLD, gain, DENSITY)
    assert found == pytest.approx(float(expected), abs=1e-4)
    assert expected - COLD > 0.5


def test_a_zone_that_holes_vent(no_radiation):
    """Its own stack blows: the balance by hand with the flow that the run found."""
    case = cold_closet(openings=(hole("low", 0.02, 0.0), hole("high", 0.02, 4.0)))
    result = solved(case, nature=HEAT_ALONE)
    blown = flow(result, "high")[-1]
    expected = steady_zone(UA, (COLD, ROOM), blown / DENSITY, COLD, density=DENSITY)
    assert zone(result).temperature[-1] == pytest.approx(float(expected), abs=1e-3)
    assert -flow(result, "low")[-1] == pytest.approx(blown, rel=1e-8)
    still = float(steady_zone(UA, (COLD, ROOM)))
    assert expected < still - 1.0


def test_two_zones_of_a_row(no_radiation):
    """Room, first zone, second zone, outdoors: conductances in series, a fan's air on its way."""
    parts = (
        plate("a", 20.0, 1.0, inside="room", outside="first"),
        plate("b", 15.0, 0.4, inside="first", outside="second"),
        plate("c", 30.0, 0.7, inside="second"),
    )
    openings = (hole("gap", 0.01, 1.0, "first", "second"), hole("out", 0.02, 1.0, "second"))
    fans = (Fan(0.01, "first", "room"),)
    inlet = hole("inlet", 0.02, 1.0, "room")
    zones = (Zone("first", 30.0), Zone("second", 40.0))
    case = house(weather(COLD), parts, zones, openings=(*openings, inlet), fans=fans)
    result = solved(case, nature=HEAT_ALONE)
    air = 0.01 * float(air_density(ROOM, 101325.0)) * DRY_AIR_HEAT_CAPACITY
    a, c = 20.0 * to_room(1.0), 30.0 * to_outdoors(0.7)
    b = 15.0 / (1.0 / FILM + 0.4 + 1.0 / FILM)
    matrix = np.array([[a + b + air, -b], [-b - air, b + c + air]])
    expected = np.linalg.solve(matrix, [(a + air) * ROOM, c * COLD])
    found = [zone(result, name).temperature[-1] for name in ("first", "second")]
    assert found == pytest.approx(expected, abs=2e-4)


EMITTANCES = {"roof": 0.9, "floor": 0.8, "gable": 0.05}


def radiating():
    """A roof, a floor over the room and a shiny gable, whose faces see each other."""
    parts = (
        plate("roof", 50.0, 0.3, tilt=LEVEL, emittance=EMITTANCES["roof"]),
        plate("floor", 40.0, 1.0, "room", "attic", LEVEL, EMITTANCES["floor"]),
        plate("gable", 12.0, 0.6, emittance=EMITTANCES["gable"]),
    )
    return house(weather(COLD), parts, (Zone("attic", VOLUME, air_changes=3.0),))


FILMS = ((0.7, 5.0), (5.0, 0.7), (2.5, 2.5))
"""W/(m2 K) where the face is warmer than the air, and where it is colder (ISO 6946 annex)."""


def film(films: tuple[float, float], difference: float) -> float:
    """A face's coefficient turns with the way of its heat, over half a kelvin: our own joining."""
    turned = 0.5 * (1.0 + np.tanh(difference / 0.5))
    return films[0] * turned + films[1] * (1.0 - turned)


def by_two_nodes(beyond) -> tuple[float, float, tuple[float, ...]]:
    """Air, radiant node and faces by hand, each face's h_r that of its own temperatures.

    E sigma (T^4 - T_r^4) = h_r (T - T_r) with h_r = E sigma (T^2 + T_r^2) (T + T_r), repeated.
    """
    areas = [area for area, _, _ in beyond]
    strengths = radiant_emissivities(areas, list(EMITTANCES.values()))
    faces, air, radiant = [264.0, 275.0, 264.0], 268.0, 270.0
    for _ in range(200):
        sides = []
        for (area, u, t), films, e, face in zip(beyond, FILMS, strengths, faces):
            h_r = e * STEFAN_BOLTZMANN * (face**2 + radiant**2) * (face + radiant)
            sides.append(Side(area, u, t, film(films, face - air), h_r))
        air, radiant, faces = two_nodes(sides, VOLUME * 3.0 / 3600.0, COLD, density=DENSITY)
    return air, radiant, faces


def test_radiation_between_faces():
    """Air, radiant node and every face of a steady attic, against the solution with two nodes."""
    result = solved(radiating(), nature=HEAT_ALONE)
    beyond = [
        (50.0, 1.0 / (0.3 + 1.0 / OUTER_FILM), COLD),
        (40.0, 1.0 / (1.0 + 1.0 / ROOM_FILMS[LEVEL]), ROOM),
        (12.0, 1.0 / (0.6 + 1.0 / OUTER_FILM), COLD),
    ]
    air, radiant, faces = by_two_nodes(beyond)
    assert zone(result).temperature[-1] == pytest.approx(air, abs=1e-3)
    assert zone(result).radiant_temperature[-1] == pytest.approx(radiant, abs=1e-3)
    for one, side, face in zip(result.assemblies, (-1, 0, -1), faces):
        assert one.paths[0].temperature[-1, side] == pytest.approx(face, abs=1e-3)
    without, _, _ = two_nodes(
        [Side(a, u, t, h, 0.0) for (a, u, t), h in zip(beyond, (5.0, 5.0, 2.5))],
        *(VOLUME * 3.0 / 3600.0, COLD, 0.0, DENSITY),
    )
    assert abs(without - air) > 0.1
    assert faces[1] - faces[0] > 2.0


def test_ducts_warm_the_zone_that_they_lie_in(no_radiation):
    """m c_p (1 - exp(-UA / m c_p)) of each duct, and what the supply leaks, by hand."""
    ducts = Ducts(
        *("ducts", "attic", 0.2, 12.0, 6.0, 0.7, 323.15),
        full_load_temperature=COLD,
        balance_temperature=288.15,
        supply_leak=0.1,
    )
    openings = (hole("vent", 0.05, 2.0), hole("inlet", 0.02, 2.0, "room"))
    case = cold_closet(ducts=(ducts,), openings=openings)
    result = solved(case, nature=HEAT_ALONE)
    stream = 1.2 * 0.2 * DRY_AIR_HEAT_CAPACITY
    kept = 0.95 * stream
    supply = kept * (1.0 - np.exp(-12.0 / 0.7 / kept))
    back = stream * (1.0 - np.exp(-6.0 / 0.7 / stream))
    leaked = 0.1 * stream
    known = [*zip(UA, (COLD, ROOM)), (supply, 323.15), (back, ROOM), (leaked, 323.15)]
    expected = sum(c * t for c, t in known) / sum(c for c, _ in known)
    assert zone(result).temperature[-1] == pytest.approx(expected, abs=1e-3)
    assert flow(result, "vent")[-1] == pytest.approx(0.1 * 1.2 * 0.2, rel=1e-6)


def test_a_wing_that_is_turned_down(no_radiation):
    """exp(-t / tau) of one capacity: outdoors falls within an hour, the wing in its own time."""
    capacity, hours = 2e7, 96
    outdoors = np.where(np.arange(hours) < 1, ROOM, COLD)
    wing = (plate("wall", 60.0, 1.5, inside="wing"),)
    zones = (Zone("wing", 50.0, heat_capacity=capacity),)
    case = house(weather(outdoors, hours), wing, zones)
    found = zone(solved(case, nature=HEAT_ALONE), "wing").temperature
    held = capacity + 50.0 * float(air_density(ROOM, 101325.0)) * DRY_AIR_HEAT_CAPACITY
    constant = time_constant(held, 60.0 * to_outdoors(1.5))
    assert 10.0 < constant < 400.0
    mid = np.arange(hours) + 0.5  # middle of each hour; outdoors fell over the second one
    expected = turned_down(ROOM, COLD, mid[3:] - 1.5, constant)
    assert found[3:] == pytest.approx(expected, abs=0.05)
    assert found[-1] < ROOM - 10.0

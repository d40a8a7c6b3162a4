"""Air of an opening that wets a plane on its way: the same as a leak there, its heat, its water."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from houses import HEAT_ALONE, LEVEL, WALL, house, plate, solved, stuff, weather, zone

from assembly_sim.checks.house import into_zone, ways_out
from assembly_sim.errors import InputError
from assembly_sim.files.material.read import load
from assembly_sim.model import AirLeak, Assembly, Bridge, Layer, OuterSurface, Zone
from assembly_sim.model.opening import FreeArea, MeasuredFlow, Opening, Side, Wetted
from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY as C_P
from assembly_sim.solver.mesh import HELD_FILM

COLD, ROOM = 258.15, 293.15
BALANCE = 1e-9
SHIPPED = load()
SIDE = Side(WALL, 0.0)


def boarded(name: str, inside: str, leak: AirLeak | None = None, share: float = 0.0) -> Assembly:
    """Boards, batts and a lining, upright; `share`: of the batts that are a bay of their own."""
    batt = SHIPPED["glass-fibre batt"]
    bay = (Bridge("bay", share, batt),) if share else ()
    layers = (
        Layer("boards", SHIPPED["plywood, exterior grade"], 0.0127),
        Layer("batts", batt, 0.089, bridges=bay),
        Layer("lining", SHIPPED["gypsum board"], 0.0125),
    )
    outer = OuterSurface(WALL, 0.0, 0.0, 0.9, 4.0, rain_exposure=0.0)
    return Assembly(name, 20.0, outer, layers, leak, inside=inside)


FLOOR = plate("floor", 40.0, 3.0, "room", "attic", LEVEL)
ROOF = plate("roof", 50.0, 0.3, tilt=LEVEL)
HATCH = Opening("hatch", FreeArea(0.004), 2.5, None, "room", "attic")
DOOR = Opening("door", FreeArea(0.006), 0.5, None, "room")


def attic(parts, openings, hours=72, **fields):
    return house(weather(COLD, hours), (ROOF, FLOOR, *parts), openings=openings, **fields)


def path(result, name, number=0):
    (one,) = (each for each in result.assemblies if each.assembly.name == name)
    return one.paths[number]


def test_an_opening_wets_as_the_leak_of_its_size_and_place_does():
    """Attic air out through a gable: described as its leak, or as an opening onto its boards."""
    leak = AirLeak(4e-4, 50.0)
    hole = Opening(
        *("slot", MeasuredFlow(4e-4 * 20.0, 50.0), 4.0, SIDE, "attic"),
        wets=Wetted("gable", "boards"),
    )
    by_leak = solved(attic((boarded("gable", "attic", leak),), (HATCH, DOOR)))
    by_hole = solved(attic((boarded("gable", "attic"),), (HATCH, DOOR, hole)))
    (slot,) = (one for one in by_hole.streams if one.name == "slot")
    assert slot.flow.min() > 1e-4  # kg/s, outward all the time
    for name in ("temperature", "vapour_pressure", "leak_vapour", "leak_heat"):
        found, expected = (getattr(path(one, "gable"), name) for one in (by_hole, by_leak))
        assert found == pytest.approx(expected, rel=1e-6, abs=1e-12)
    assert zone(by_hole).temperature == pytest.approx(zone(by_leak).temperature, abs=1e-6)
    assert slot.left_heat == pytest.approx(20.0 * path(by_hole, "gable").leak_heat, rel=1e-9)


def test_air_that_comes_in_past_a_wall_is_credited_with_what_the_wall_gave_it():
    """Surfaces and sum m c_p (T_i - T_a), T_a that of the plane: the room's balance, from states.

    The wall lies at no zone: it marches with the zones for its opening's sake.
    """
    outer = OuterSurface(WALL, 0.0, 0.0, 0.0, 1.0, sheltered=False)
    halves = tuple(Layer(name, stuff(1.0), 0.02) for name in ("out", "in"))
    wall = Assembly("wall", 30.0, outer, halves, None)
    slot = replace(DOOR, wets=Wetted("wall", "out"))
    high = Opening("flue", FreeArea(0.006), 6.0, None, "room")
    case = attic((wall,), (HATCH, slot, high), hours=48)
    result = solved(case, nature=HEAT_ALONE)
    flow = next(one.flow[-1] for one in result.streams if one.name == "door")
    plane = path(result, "wall").temperature[-1, 1]
    assert flow < -1e-3
    assert plane > COLD + 1.0
    faces = {"wall": (30.0, 1 / 0.13), "floor": (40.0, 1 / 0.10)}
    room = sum(a * h * (ROOM - path(result, n).temperature[-1, -1]) for n, (a, h) in faces.items())
    room += -flow * C_P * (ROOM - plane)
    assert max(abs(one.flow[-1]) for one in result.streams if one.name == "hatch") < 1e-9
    assert sum(way.total[-1] for way in ways_out(result)) == pytest.approx(room, rel=1e-9)


def test_what_wets_a_deck_over_a_chase_is_the_attic_s_too():
    """Room air that comes up under a bay of the deck: its zone's heat and water add up."""
    hole = Opening(
        *("chase", FreeArea(0.004), 2.5, None, "room", "attic"),
        wets=Wetted("gable", "lining", "bay"),
    )
    vent = Opening("vent", FreeArea(0.02), 4.0, None, "attic")
    case = attic((boarded("gable", "attic", share=0.05),), (DOOR, hole, vent))
    still = solved(replace(case, openings=(DOOR, replace(hole, wets=None), vent)))
    result = solved(case)
    main, bay = (path(result, "gable", number) for number in (0, 1))
    for name, more in (("temperature", 1.0), ("vapour_pressure", 20.0)):  # K, Pa
        beside, met, dry = (
            getattr(one, name)[-1, -1] for one in (main, bay, path(still, "gable", 1))
        )
        assert met > beside + more
        assert met > dry + more
    for one in (still, result):
        assert zone(one).heat_balance_error <= BALANCE
        assert zone(one).moisture_balance_error <= BALANCE
        for assembly in one.assemblies:
            for each in assembly.paths:
                assert max(each.heat_balance_error, each.moisture_balance_error) <= BALANCE
    ways = [one.heat[-1] for one in into_zone(result, "attic")]
    stored = np.diff(zone(result).temperature[-2:])[0] * 60.0 * 1.4 * C_P / 3600.0
    assert sum(ways) == pytest.approx(stored, abs=0.02 * max(ways))


def test_all_of_it_in_one_bay_wets_more_than_spread_over_the_wall():
    """The same air on a twentieth of the boards: their moisture there, kg/m2."""
    wet = Wetted("gable", "boards")
    hole = Opening("slot", FreeArea(0.002), 4.0, SIDE, "attic", wets=wet)
    part = boarded("gable", "attic", share=0.05)

    def water(opening):
        return path(solved(attic((part,), (HATCH, DOOR, opening), 240)), "gable", 1).layer_water

    spread, gathered = water(hole), water(replace(hole, wets=replace(wet, path="bay")))
    none = water(replace(hole, wets=None))
    assert gathered[-1, 0] > spread[-1, 0] > none[-1, 0]
    assert gathered[-1, 0] - none[-1, 0] > 2.0 * (spread[-1, 0] - none[-1, 0])


@pytest.mark.parametrize(
    ("wets", "ends", "said"),
    [
        (Wetted("shed", "boards"), ("attic", "outdoors"), "no assembly 'shed'"),
        (Wetted("gable", "boards 2"), ("attic", "outdoors"), "not one of the solid layers"),
        (Wetted("gable", "boards", "joists"), ("attic", "outdoors"), "no path 'joists'"),
        (Wetted("gable", "boards"), ("room", "outdoors"), "not by gable"),
    ],
)
def test_what_its_air_does_not_come_by_is_refused(wets, ends, said):
    inside, outside = ends
    hole = Opening("slot", FreeArea(0.002), 4.0, None, inside, outside, wets)
    with pytest.raises(InputError, match=said):
        attic((boarded("gable", "attic"),), (HATCH, DOOR, hole))


def test_without_a_zone_a_leak_has_to_stand_for_it():
    hole = replace(DOOR, wets=Wetted("wall", "boards"))
    with pytest.raises(InputError, match="give wall a leak"):
        house(weather(COLD), (boarded("wall", "room"),), zones=(), openings=(hole,))


def test_a_zone_beside_it_is_enough():
    """Room air let out into a porch meets the porch's wall only as it comes in."""
    hole = Opening("slot", FreeArea(0.002), 1.0, None, "room", "attic", Wetted("gable", "lining"))
    case = attic((boarded("gable", "attic"),), (HATCH, DOOR, hole))
    assert case.openings[-1].wets is not None
    assert Zone("attic", 60.0) in case.zones


def test_dew_runs_off_a_face_at_a_zone_as_off_any_other():
    """Else a floor over wet ground holds more than its pores: plywood once at 566 % by mass."""
    wood = SHIPPED["plywood, exterior grade"]
    outer = OuterSurface(np.pi, 0.0, 0.0, 0.9, 0.0, sheltered=True)
    part = Assembly("floor", 40.0, outer, (Layer("wood", wood, 0.018),), None, outside="attic")
    damp = Zone("attic", 60.0, moisture=2e-3)
    case = house(weather(288.15, 400, 0.9), (ROOF, part), (damp,), room=278.15)
    found = path(solved(case), "floor")
    assert found.free_water[:, 0].max() == pytest.approx(HELD_FILM, abs=0.05)
    assert found.moisture_balance_error < BALANCE
    pores = wood.storage.saturation * 0.018
    assert found.layer_water[:, 0].max() < 1.05 * pores

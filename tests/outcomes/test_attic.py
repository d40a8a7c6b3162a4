"""What the trade knows of attics, each outcome with its reason (common practice, no source).

A winter of 120 days in the cold inland climate, a summer of 90 in the hot humid one.
"""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from assembly_sim.checks.house import ways_out
from assembly_sim.model import Layer
from assembly_sim.model.defect import Defect
from assembly_sim.solver.result import Result
from assembly_sim.solver.run import run
from tests.outcomes.attics import Attic, case, deck, solved, zone

COLD = Attic()
THICK = dataclasses.replace(COLD, fill=350.0)
TIGHT, THICK_TIGHT = (dataclasses.replace(one, holes=0.0005) for one in (COLD, THICK))
CLOSED = dataclasses.replace(COLD, vents=0.004)
HUMID = Attic("hot_humid", first_day=152, days=90, humidity=0.5, celsius=22.0, holes=0.005)
HUMID_CLOSED = dataclasses.replace(HUMID, vents=0.002)
SETTLED = slice(24 * 30, None)


def flow(asked: Attic, name: str) -> float:
    """Mean kg/s of a stream."""
    (found,) = (one.flow for one in solved(asked).streams if one.name == name)
    return float(found[SETTLED].mean())


def floor_heat(result: Result) -> float:
    """Mean W that the floor conducts out of the room."""
    (one,) = (each for each in result.assemblies if each.assembly.name == "floor")
    heat = [path.share * path.heat_flux_room[SETTLED].mean() for path in one.paths]
    return one.assembly.area * float(np.sum(heat))


def heat_out(asked: Attic) -> float:
    """Mean W that leaves the room by all its ways."""
    return float(sum(way.total for way in ways_out(solved(asked)))[SETTLED].mean())


def test_more_fill_makes_the_attic_colder_and_its_deck_wetter():
    """Less heat comes up through the floor, and as much water with the air through its holes."""
    assert floor_heat(solved(THICK)) < 0.6 * floor_heat(solved(COLD))
    assert zone(THICK).temperature[SETTLED].mean() < zone(COLD).temperature[SETTLED].mean() - 0.3
    assert flow(THICK, "ceiling") == pytest.approx(flow(COLD, "ceiling"), rel=0.05)
    assert deck(THICK).max() > deck(COLD).max() + 0.004
    assert deck(THICK)[-1] > deck(COLD)[-1] + 0.003


def test_sealing_the_floor_dries_the_deck():
    """What wets it is the room's air: less of it, a colder attic and yet a drier deck."""
    assert flow(TIGHT, "ceiling") < 0.1 * flow(COLD, "ceiling")
    assert zone(TIGHT).temperature[SETTLED].mean() < zone(COLD).temperature[SETTLED].mean()
    assert deck(TIGHT).max() < deck(COLD).max() - 0.02
    assert heat_out(TIGHT) < heat_out(COLD) - 100.0


def test_more_fill_does_no_harm_above_a_sealed_floor():
    """The deck of thick fill over a tight floor stays drier than that of thin fill over holes."""
    assert deck(THICK_TIGHT).max() < deck(COLD).max() - 0.02
    assert deck(THICK_TIGHT).max() < 0.13


def test_a_vented_attic_is_drier_in_the_cold():
    """Outdoor air holds next to no water in winter; without it the deck is where room air dries."""
    assert deck(CLOSED).max() > 0.25 > 0.18 > deck(COLD).max()
    dry = solved(COLD).assemblies[0].drivers.outdoor_vapour_pressure[SETTLED].mean()
    room = solved(COLD).assemblies[2].drivers.room_vapour_pressure[SETTLED].mean()
    assert dry < 0.5 * room
    ventilated = flow(COLD, "ridge")
    assert 1.0 < ventilated / 1.3 * 3600.0 / 165.0 < 8.0  # 1/h of 1:300 vents, see below
    assert flow(CLOSED, "ridge") < 0.1 * ventilated


def test_a_vented_attic_can_be_wetter_in_hot_humid_air():
    """Outdoor air holds more water than the cooled room's: it damps fill and ceiling from above."""
    outdoors = solved(HUMID).assemblies[0].drivers.outdoor_vapour_pressure[SETTLED].mean()
    room = solved(HUMID).assemblies[2].drivers.room_vapour_pressure[SETTLED].mean()
    assert outdoors > 1.5 * room
    assert zone(HUMID).vapour_pressure[SETTLED].mean() > 1.3 * (
        zone(HUMID_CLOSED).vapour_pressure[SETTLED].mean()
    )
    floors = [solved(one).assemblies[2].paths[0] for one in (HUMID, HUMID_CLOSED)]
    ceiling = [floor.relative_humidity for floor in floors]
    damp = [(humidity[SETTLED, 1] > 0.8).sum() for humidity in ceiling]
    assert damp[0] > 500 > 50 > damp[1]
    assert deck(HUMID)[SETTLED].mean() > deck(HUMID_CLOSED)[SETTLED].mean() + 0.02


def test_leaking_ducts_cost_more_than_r_10_of_the_floor():
    """A tenth of the furnace's air, and as much of the attic's drawn into the return."""
    leaking = [heat_out(dataclasses.replace(COLD, ducts=leak)) for leak in (0.1, 0.0)]
    r_10 = 1.761 * 0.04 * 1000.0  # mm of fill at 0.04 W/(m K)
    filled = heat_out(dataclasses.replace(COLD, fill=COLD.fill + r_10))
    assert leaking[0] - leaking[1] > 2.0 * (heat_out(COLD) - filled) > 100.0


def test_a_void_costs_a_third_of_r_38_and_more():
    """Five hundredths of the floor bare to the attic, where but board and films resist: half and

    more is lost. (A third in a closed bay, whose air space resists too: `envelope/`.) What it
    conducts warms the attic, which takes some of it back.
    """
    whole = dataclasses.replace(COLD, fill=270.0)
    asked = case(whole)
    floor = asked.assemblies[2]
    fill = floor.layers[0]
    assert isinstance(fill, Layer)
    void = dataclasses.replace(fill, defects=(Defect("void", 0.05),))
    pulled = dataclasses.replace(floor, layers=(void, *floor.layers[1:]))
    bare = run(dataclasses.replace(asked, assemblies=(*asked.assemblies[:2], pulled)), workers=1)
    kept = floor_heat(solved(whole)) / floor_heat(bare)
    assert 0.38 < kept < 0.62


def test_orders_of_magnitude():
    """Ranges of practice, from memory: attics under dark shingles reach 10 to 45 K above outdoors

    (ASHRAE Fundamentals 2021, ch. 27), 52 to 57 degC over 1:300 vents in a Florida summer; 1:300
    vents change the air 2 to 6 times an hour.
    """
    over = zone(HUMID).temperature - solved(HUMID).case.climate.temperature
    assert 10.0 < over.max() < 45.0
    assert 323.0 < zone(HUMID).temperature.max() < 332.0
    air = sum(flow(HUMID, name) for name in ("eave north", "eave south"))
    assert air < 0.0
    for asked in (COLD, HUMID):
        came = np.zeros(solved(asked).hours)
        for one in solved(asked).streams:
            if one.inside == "attic":
                came += np.maximum(-one.flow, 0.0)
        assert 1.0 < came[SETTLED].mean() / 1.25 * 3600.0 / 165.0 < 8.0
    assert abs(over[SETTLED].min()) < 10.0  # clear nights cool it below the air


def test_ice_dams_need_a_warm_attic():
    """Air at or below -1.1 degC while it is -5.6 degC outdoors (US Army CRREL, from memory).

    Thick fill over a sealed floor with vents stays below; bare ceilings with leaking ducts do not.
    """
    cold = solved(COLD).case.climate.temperature
    near = np.flatnonzero(np.abs(cold - (273.15 - 5.6)) < 1.0)
    assert len(near) > 50
    warm = dataclasses.replace(COLD, fill=50.0, ducts=0.1, vents=0.02)
    found = [zone(one).temperature[near].mean() - 273.15 for one in (THICK_TIGHT, warm)]
    assert found[0] < -1.1 < found[1]


def test_ducts_in_an_attic_lose_shares_of_the_load():
    """R-8 ducts of a furnace lose 25 % of the load at 11 % and 11 % leaks, 13 % at 5 % and 5 %.

    One storey, attic (ASHRAE Fundamentals 2021, ch. 17, table 6, from memory): an order of
    magnitude, as their attics and loads are not ours.
    """
    found = {}
    for leak in (0.11, 0.05):
        asked = dataclasses.replace(COLD, ducts=leak)
        ways = ways_out(solved(asked))
        lost = sum(way.total[SETTLED].mean() for way in ways if way.kind == "ducts")
        climate = solved(asked).case.climate.temperature[SETTLED]
        share = np.clip((288.15 - climate) / 40.0, 0.0, 1.0).mean()
        load = 1.2 * 0.35 * 1006.0 * 30.0 * share  # what the furnace delivers above the room
        found[leak] = float(lost) / load
    assert 0.12 < found[0.11] < 0.40
    assert found[0.05] < 0.75 * found[0.11]

"""Each change does what it says, leaves the case as it was, and touches nothing else."""

import dataclasses
import math

import numpy as np
import pytest

from assembly_sim.boundary.room_state import room_rows
from assembly_sim.envelope.airways import airways
from assembly_sim.envelope.rain import drainage_plane
from assembly_sim.model import Constant, Layer, Membrane, MoistureBalance, Room, Sheet
from assembly_sim.studies import variation as vary
from tests import synthetic

CASE = synthetic.case()
COLD = int(CASE.climate.temperature.argmin())
WARM = int(CASE.climate.temperature.argmax())


def test_a_damper_room_is_damper_in_winter_and_as_it_was_in_summer():
    before = vary.room_columns(CASE)[1]
    after = vary.room_columns(vary.damper_room(CASE, 0.05))[1]
    assert after[COLD] - before[COLD] == pytest.approx(0.05, abs=0.001)
    assert after[WARM] - before[WARM] == pytest.approx(0.0, abs=0.001)
    assert vary.winter_humidity(CASE) == pytest.approx(0.40)
    shown = vary.winter_humidity(vary.damper_room(CASE, 0.05))
    assert shown == pytest.approx(0.45, abs=0.006)  # the season's mean lies below its middle


def test_alone_the_assembly_has_the_room_that_all_of_them_give():
    leaky = dataclasses.replace(
        CASE,
        room=Room(Constant(294.15), MoistureBalance(300.0, 0.1, 1e-4)),
        assemblies=(synthetic.assembly("one"), synthetic.assembly("two")),
    )
    single = vary.alone(leaky, 1)
    assert [one.name for one in single.assemblies] == ["two"]
    for before, after in zip(room_rows(leaky), room_rows(single)):
        np.testing.assert_allclose(after, before, rtol=1e-12)


def test_sealing_a_leak_raises_the_humidity_of_a_room_with_a_moisture_balance():
    room = Room(Constant(294.15), MoistureBalance(300.0, 0.1, 2e-5))
    leaky = dataclasses.replace(CASE, room=room)
    assert vary.winter_humidity(vary.leakier(leaky, 0, 0.0)) > vary.winter_humidity(leaky) + 0.005


def test_leaks_by_a_factor():
    assert vary.leakier(CASE, 0, 2.0).assemblies[0].leak.flow == pytest.approx(4e-4)
    tight = vary.leakier(CASE, 0, 0.0)
    assert tight.assemblies[0].leak is None
    assert vary.leakier(tight, 0, 0.5).assemblies[0].leak.flow == pytest.approx(1e-4)
    assert CASE.assemblies[0].leak.flow == pytest.approx(2e-4)


def test_what_replaces_a_sheet_is_as_airtight_as_that_was():
    other = Sheet("paper", synthetic.flat(1e-11), air_permeance=1.0)
    before, after = CASE.assemblies[0], vary.with_sheet(CASE, 0, 1, other).assemblies[0]
    assert after.layers[1].sheet is other
    assert airways(after) == airways(before)


def test_a_sheet_is_put_in_where_there_is_none():
    other = Sheet("paper", synthetic.flat(1e-11))
    before, after = CASE.assemblies[0], vary.with_sheet(CASE, 0, 3, other).assemblies[0]
    assert [type(layer) for layer in after.layers[2:4]] == [Layer, Membrane]
    assert after.layers[4:] == before.layers[3:]
    assert airways(after).outward == airways(before).outward


def test_leaked_rain_still_reaches_the_layer_it_did():
    rained = vary.with_outer(CASE, 0, leaked_rain_layer="foil")
    foam = vary.with_insulation(rained, 0, 0, synthetic.BATT, 0.05).assemblies[0]
    assert foam.layers[0].thickness == 0.05
    assert foam.layers[drainage_plane(foam)].name == "foil"
    behind = vary.with_insulation(rained, 0, 2, synthetic.BATT, 0.05).assemblies[0]
    assert behind.layers[drainage_plane(behind)].name == "foil"
    inside = vary.with_insulation(CASE, 0, 1, synthetic.BATT, 0.05).assemblies[0]
    assert drainage_plane(inside) is drainage_plane(CASE.assemblies[0]) is None


def test_outer_surface_and_start():
    turned = vary.with_outer(CASE, 0, azimuth=math.pi, solar_absorptance=0.3)
    outer = turned.assemblies[0].outer
    assert (outer.azimuth, outer.solar_absorptance) == (math.pi, 0.3)
    assert outer.tilt == CASE.assemblies[0].outer.tilt
    wet = vary.with_layer(CASE, 0, 0, starting_humidity=0.95)
    assert wet.assemblies[0].layers[0].starting_humidity == 0.95

"""Promises kept by any wall: 300 random ones, a week of a shipped climate each (`random_walls.py`).

`python tests/bench/properties.py --count 5000` does the same at length.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from assembly_sim.errors import InputError
from tests.solver.random_walls import Wall, judge, judge_heat, walls

EXAMPLES = 300
ordinary = settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.generate],  # a wall prints in one line: shrinking takes minutes and adds little
    suppress_health_check=list(HealthCheck),
)


@ordinary
@given(walls())
def test_any_wall_completes_its_week_with_its_balances_closed(wall: Wall):
    assert judge(wall) == []


@settings(ordinary, max_examples=60)
@given(walls())
def test_heat_alone_stays_between_air_sky_and_sun(wall: Wall):
    assert judge_heat(wall) == []


# A face at 80 % on a soaked board, which no temperature could dry as fast as the board wets it
SOAKED_BOARD = Wall(
    climate="sand point",
    first_hour=3840,
    layers=(
        ("calcium-silicate insulation board", 0.001, 1.0),
        (0.005, 0.05, 0.0),
        ("glass", 0.00286, 0.8),
        ("roll roofing",),
        ("built-up roofing", 0.28059, 0.7196),
        ("phenolic foam, faced", 0.0022, 1.0),
        ("brick", 0.4, 0.5),
        ("kraft facing",),
    ),
    tilt=0.0,
    azimuth=0.0,
    absorptance=0.5,
    emittance=0.9,
    exposure=1.0,
    leak=1e-05,
    height=2.5,
    leaked_rain_layer=None,
    air_through=0.0,
    room_temperature=26.0,
    room_humidity=0.2,
)


# Frost settles on a bare face whose adsorbed micrograms alone tell its humidity
FROST_ON_FLUFF = Wall(
    climate="cold_inland",
    first_hour=0,
    layers=(("cellulose, loose in attic", 0.0005, 0.02),),
    tilt=0.0,
    azimuth=0.0,
    absorptance=0.1,
    emittance=0.9,
    exposure=1.0,
    leak=None,
    height=-3.0,
    leaked_rain_layer=0,
    air_through=0.0,
    room_temperature=26.0,
    room_humidity=0.9,
)


@pytest.mark.parametrize("thickness", [0.0005, 0.00055])
def test_first_frost_on_a_face_that_once_stopped(thickness):
    name, _, humidity = FROST_ON_FLUFF.layers[0]
    assert judge(replace(FROST_ON_FLUFF, layers=((name, thickness, humidity),))) == []


def test_frost_that_comes_out_of_its_range_by_less_than_a_step():
    """Near the foot of a film's freezing a step by the slope left 0.3 J/m2 over (1.25e-6)."""
    roof = replace(
        FROST_ON_FLUFF,
        climate="wet_mild_coast",
        first_hour=552,
        layers=(("asphalt shingles, light", 0.0005, 0.02), (0.15, 0.05, 30.0)),
        exposure=0.0,
        height=2.5,
        leaked_rain_layer=None,
        room_temperature=10.0,
        room_humidity=0.2,
    )
    assert judge(roof) == []


@pytest.mark.parametrize("air", [-2e-3, -1.9e-3])
@pytest.mark.parametrize("judged", [judge, judge_heat])
def test_dry_air_through_foam_that_holds_nothing(judged, air):
    """Past the dry end of its curve a cell was moved to and fro, and the march stopped."""
    roof = replace(
        FROST_ON_FLUFF,
        climate="greensboro",
        first_hour=144,
        layers=(
            ("sugar pine", 0.12391, 0.02),
            ("eps, dense", 0.22313, 0.3728),
            ("aluminium sheet", 0.01896, 1.0),
            (0.05, 0.05, 200.0),
        ),
        tilt=60.0,
        azimuth=90.0,
        emittance=0.1,
        leak=2e-4,
        height=2.5,
        leaked_rain_layer=3,
        air_through=air,
        room_humidity=0.2,
    )
    assert judged(roof) == []


def test_a_film_that_air_dries_within_a_step_owes_hardly_any_water():
    """Cells that hold nothing but a film, emptied one after another: 28 mg/m2 less than nothing."""
    roof = replace(
        FROST_ON_FLUFF,
        climate="hot_humid",
        layers=(
            ("cellulose, sprayed damp", 0.00498, 0.99),
            ("cellular glass", 0.04242, 1.0),
            ("window glass", 0.01275, 0.99),
            ("cellulose, loose in attic", 0.21874, 0.8),
            ("xps", 0.01387, 0.9738),
            ("sandstone", 0.00801, 0.99),
            (0.02, 0.05, 0.0),
            ("kraft paper, laminated with asphalt",),
        ),
        tilt=60.0,
        azimuth=90.0,
        absorptance=0.5,
        height=2.5,
        leaked_rain_layer=None,
        air_through=-1e-4,
        room_humidity=0.5,
    )
    assert judge(roof) == []


def test_a_wall_that_only_dries_is_held_to_what_it_held():
    """Its last digits are those of 8.6 kg, of which a tenth is left and nothing came in."""
    wall = replace(
        FROST_ON_FLUFF,
        climate="sand point",
        first_hour=4200,
        layers=(("perlite board, expanded", 0.00228, 0.4459), ("brick, old soft", 0.03073, 1.0)),
        tilt=45.0,
        exposure=0.0,
        leak=2e-4,
        height=2.5,
        room_temperature=10.0,
        room_humidity=0.5,
    )
    assert judge(wall) == []


def test_a_wall_that_once_stopped():
    assert judge(SOAKED_BOARD) == []


@pytest.mark.parametrize("air", [0.02, -0.02])
def test_more_air_than_layers_pass_is_refused(air):
    """Its kilograms of condensate in a cell of 0.25 mm stood for 100.01 % of humidity a week."""
    with pytest.raises(InputError, match="air_through"):
        judge(replace(SOAKED_BOARD, air_through=air))

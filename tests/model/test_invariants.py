"""What no reader may break: descriptions made in Python are refused where a file would be.

Ranges are common knowledge of the trade (no source); each fault below ran, or crashed, once.
"""

import dataclasses
import math
import pickle

import numpy as np
import pytest

from assembly_sim.errors import InputError
from assembly_sim.model import (
    AirLayer,
    AirLeak,
    Bridge,
    Climate,
    ColumnOfFile,
    Constant,
    ExcessVapour,
    Layer,
    MoistureBalance,
    NamedDepth,
    OutdoorCurve,
    OuterSurface,
    Points,
    Room,
    SineOverYear,
    Thresholds,
)
from assembly_sim.model.ranges import RANGES, bounds
from tests import synthetic

WARM, DRY = Constant(293.15), Constant(0.4)
OUTER = OuterSurface(math.pi / 2, 0.0, 0.6, 0.9)
LEAK = AirLeak(2e-4, 75.0)
BALANCE = MoistureBalance(250.0, 0.3, 1e-4)
WALL = synthetic.assembly()
CASE = synthetic.case()
NAN = float("nan")


def replaced(sound, **fields):
    return lambda: dataclasses.replace(sound, **fields)


# What is made, and the field that the message names.
FAULTS = [
    (lambda: Layer("board", synthetic.BOARD, -0.1), "thickness"),  # once a segmentation fault
    (lambda: Layer("board", synthetic.BOARD, 0.0), "thickness"),
    (lambda: Layer("board", synthetic.BOARD, NAN), "thickness"),
    (lambda: Layer("board", synthetic.BOARD, "0.1"), "thickness"),
    (lambda: Layer("board", synthetic.BOARD, 300.0), "thickness"),  # once without end
    (lambda: Layer("batt", synthetic.BATT, 2.21), "thickness"),  # 7 1/4 ft
    (lambda: Layer("board", synthetic.BOARD, 0.1, starting_humidity=40.0), "starting_humidity"),
    (lambda: Layer("board", synthetic.BOARD, 0.1, probes=(NamedDepth("pipe", 0.2),)), "probes"),
    (lambda: Bridge("studs", 1.5, synthetic.BOARD), "share"),
    (lambda: Bridge("studs", 0.0, synthetic.BOARD), "share"),
    (lambda: AirLayer("gap", 20.0), "thickness"),
    (lambda: AirLayer("gap", 0.02, emittance_inner=0.0), "emittance_inner"),
    (lambda: AirLayer("gap", 0.02, air_changes=-1.0), "air_changes"),
    (replaced(OUTER, tilt=90.0), "tilt"),
    (replaced(OUTER, azimuth=180.0), "azimuth"),
    (replaced(OUTER, solar_absorptance=60.0), "solar_absorptance"),
    (replaced(OUTER, emittance=-0.1), "emittance"),
    (replaced(OUTER, height=5000.0), "height"),
    (replaced(OUTER, rain_exposure=9.0), "rain_exposure"),
    (replaced(OUTER, leaked_rain=1.0), "leaked_rain"),
    (replaced(LEAK, flow=0.2), "flow"),  # 0.2 L/(s m2) in litres
    (replaced(LEAK, flow=0.0), "flow"),
    (replaced(LEAK, reference_pressure=0.0), "reference_pressure"),
    (replaced(LEAK, exponent=0.2), "exponent"),
    (replaced(LEAK, height_above_neutral_level=2500.0), "height_above_neutral_level"),
    (replaced(LEAK, fan_pressure=5000.0), "fan_pressure"),
    (replaced(WALL, area=-5.0), "area"),
    (replaced(WALL, air_through=1.0), "air_through"),
    (replaced(WALL, layers=()), "no layer has a material"),
    (replaced(CASE, assemblies=(WALL, WALL)), "two assemblies"),
    (replaced(OUTER, leaked_rain_layer=9), "leaked_rain_layer"),
    (lambda: Room(Constant(21.0), DRY), "room.temperature"),
    (lambda: Room(Constant(343.15), DRY), "room.temperature"),  # 70 degC
    (lambda: Room(DRY, DRY), "room.temperature"),
    (lambda: Room(WARM, Constant(40.0)), "room.humidity"),
    (lambda: Room(WARM, WARM), "room.humidity"),
    (lambda: Room(ExcessVapour(500.0), DRY), "no rule"),
    (lambda: Room(293.15, DRY), "no rule"),
    (lambda: Room(SineOverYear(294.15, 40.0), DRY), "amplitude"),
    (lambda: Room(SineOverYear(318.15, 10.0), DRY), "highest"),
    (lambda: Room(WARM, SineOverYear(0.4, 0.5)), "lowest"),
    (lambda: SineOverYear(0.4, 0.1, peak_day=0.0), "peak_day"),
    (lambda: Room(WARM, ColumnOfFile((35.0, 40.0, 45.0))), "room.humidity"),  # per cent
    (lambda: Room(WARM, ColumnOfFile((0.004, 0.0045))), "mean"),  # a share read as per cent
    (lambda: Room(ColumnOfFile((20.0, 21.0)), DRY), "room.temperature"),  # degC
    (lambda: Room(ColumnOfFile((341.0, 343.0)), DRY), "mean"),  # degF read as degC
    (lambda: ExcessVapour(-5.0), "excess"),
    (lambda: OutdoorCurve(10.0), "offset"),
    (replaced(BALANCE, volume=0.0), "volume"),
    (replaced(BALANCE, air_changes=-0.1), "air_changes"),
    (replaced(BALANCE, generation=8.0), "generation"),
    (replaced(BALANCE, limit=70.0), "limit"),
    (replaced(CASE, years=0), "years"),
    (replaced(CASE, years=2.5), "years"),
    (replaced(CASE, years=True), "years"),
    (replaced(CASE, start_month=13), "start_month"),
    (replaced(CASE, starting_humidity=80.0), "starting_humidity"),
    (replaced(CASE, code_edition="latest"), "code_edition"),
    (lambda: Thresholds(wood_moisture=20.0), "wood_moisture"),
    (lambda: Thresholds(mould_index=7.0), "mould_index"),
    (lambda: Thresholds(wet_hours=10000.0), "wet_hours"),
    (lambda: Thresholds(freezing_temperature=-2.0), "freezing_temperature"),
    (replaced(synthetic.BOARD, density=-500.0), "density"),
    (replaced(synthetic.BOARD, porosity=60.0), "porosity"),
    (replaced(synthetic.BOARD, conductivity=Points((0.0,), (0.0,))), "conductivity"),
    (lambda: Points((0.3, 0.3), (1.0, 2.0)), "rise"),
    (lambda: Points((0.3, 0.5), (1.0,)), "against"),
    (lambda: Points((), ()), "against"),
    (lambda: Points((0.3,), (NAN,)), "no number"),
]


@pytest.mark.parametrize(("make", "field"), FAULTS)
def test_what_cannot_be_is_refused_with_field_cause_and_cure(make, field):
    with pytest.raises(InputError, match=field) as refused:
        make()
    for problem in refused.value.problems:
        assert problem.field
        assert problem.cause
        assert problem.cure


def test_two_shares_of_one_path_and_paths_that_fill_the_area_are_refused():
    fill = next(layer for layer in WALL.layers if layer.name == "fill")
    for share, said in ((0.2, "two shares"), (0.1, "")):
        board = Layer(
            "slat", synthetic.BOARD, 0.02, bridges=(Bridge("framing", share, fill.material),)
        )
        make = replaced(WALL, layers=(*WALL.layers, board))
        if said:
            with pytest.raises(InputError, match=said):
                make()
        else:
            make()
    full = Layer("slat", synthetic.BOARD, 0.02, bridges=(Bridge("b", 0.95, fill.material),))
    with pytest.raises(InputError, match="whole area"):
        dataclasses.replace(WALL, layers=(*WALL.layers, full))


@pytest.mark.parametrize("name", sorted(RANGES))
def test_every_range_is_a_range_with_a_reason_and_holds_its_own_ends(name):
    span = RANGES[name]
    assert span.low < span.high
    assert span.why
    assert bounds(name)
    assert span.holds(span.high)
    assert span.holds(span.low) is not span.above
    assert not span.holds(NAN)


@pytest.mark.parametrize(
    ("column", "values"),
    [
        ("temperature", np.full(8760, 20.0)),  # degC
        ("vapour_pressure", np.full(8760, -5.0)),
        ("pressure", np.full(8760, 1013.0)),  # hPa
        ("wind_speed", np.full(8760, -9.9)),
        ("global_horizontal", np.full(8760, 9999.0)),  # a code for missing
        ("rain", np.full(8760, -1.0)),
        ("rain", np.zeros(24)),
        ("temperature", np.full(8760, np.inf)),
    ],
)
def test_a_climate_holds_no_impossible_column(column, values):
    with pytest.raises(InputError, match="climate Testville"):
        dataclasses.replace(synthetic.climate(), **{column: values})


def test_a_climate_is_its_own_and_read_only():
    values = np.full(8760, 280.0)
    year = dataclasses.replace(synthetic.climate(), temperature=values)
    values[:] = 250.0
    assert year.temperature[0] == 280.0
    with pytest.raises(ValueError, match="read-only"):
        year.temperature[0] = 250.0
    with pytest.raises(ValueError, match="read-only"):
        year.flags["wind_speed"][0] = False
    again = dataclasses.replace(year, name="again")
    assert again.temperature is year.temperature  # a second copy would double the memory


def test_a_measured_column_is_kept_as_numbers_that_nothing_changes():
    values = np.full(8760, 0.4)
    column = ColumnOfFile(values, "log.csv")
    values[:] = 0.9
    assert set(column.values) == {0.4}
    assert repr(column) == "ColumnOfFile(8760 values, source='log.csv')"


def test_cases_compare_hash_and_print_in_a_line():
    one, other = synthetic.case(), synthetic.case()
    assert one == other
    assert hash(one) == hash(other)
    assert len({one, other}) == 1
    colder = dataclasses.replace(
        one, climate=dataclasses.replace(one.climate, temperature=one.climate.temperature - 1.0)
    )
    assert one != colder
    assert one.climate != dataclasses.replace(one.climate, rain=None)
    assert one.climate != dataclasses.replace(one.climate, flags={})
    assert one.climate != "Testville"
    for text in (repr(one), repr(one.climate)):
        assert "\n" not in text
        assert len(text) < 200
    assert pickle.loads(pickle.dumps(one)) == one
    assert isinstance(one.climate, Climate)

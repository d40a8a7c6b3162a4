"""The room's rules through a year."""

import dataclasses

import numpy as np
import pytest
from invented_weather import LEAK, assembly, case, invented_climate

from assembly_sim.boundary.leakage import leak_mass_flow
from assembly_sim.boundary.room_state import leak_air_change, room_rows, room_year
from assembly_sim.errors import InputError
from assembly_sim.model import (
    ColumnOfFile,
    Constant,
    ExcessVapour,
    MoistureBalance,
    OutdoorCurve,
    SineOverYear,
)
from assembly_sim.model.room import HumidityRule
from assembly_sim.physics.moist_air import saturation_pressure

BALANCE = MoistureBalance(volume=300.0, air_changes=0.5, generation=1.0e-4, limit=1.0)


def steady(celsius: float, vapour_pressure: float = 400.0, **changes: object):
    """Weather without change, so that every outdoor mean is the value itself."""
    return invented_climate(
        temperature=np.full(8760, 273.15 + celsius),
        vapour_pressure=np.full(8760, vapour_pressure),
        pressure=np.full(8760, 101325.0),
        wind_speed=np.zeros(8760),
        **changes,
    )


def test_constant_room() -> None:
    """20 degC and 40 %: 0.4 x 2336.95 Pa (ISO 13788's saturation pressure, computed)."""
    temperature, vapour_pressure = room_rows(case(invented_climate()))
    assert temperature == pytest.approx(293.15)
    assert vapour_pressure == pytest.approx(0.4 * 2336.95, rel=1e-5)


def test_sine_over_the_year_peaks_on_its_day() -> None:
    rule = SineOverYear(mean=294.15, amplitude=2.0, peak_day=213.0)
    temperature, _ = room_rows(case(invented_climate(), temperature=rule))
    assert temperature.argmax() == 212 * 24 - 1  # midnight that begins 1 August
    assert (temperature.max(), temperature.min()) == pytest.approx((296.15, 292.15), abs=1e-4)
    assert temperature.mean() == pytest.approx(294.15)


def test_column_is_taken_as_it_stands() -> None:
    values = tuple(np.linspace(0.3, 0.6, 8760))
    _, vapour_pressure = room_rows(case(invented_climate(), humidity=ColumnOfFile(values)))
    np.testing.assert_allclose(vapour_pressure / saturation_pressure(293.15), values)


@pytest.mark.parametrize("values", [(0.4,) * 8000, (float("nan"),) * 8760])
def test_a_column_of_another_length_or_with_gaps_is_refused(values: tuple[float, ...]) -> None:
    broken = case(invented_climate(), humidity=ColumnOfFile(values, "loft.csv"), file="x.toml")
    with pytest.raises(InputError, match=r"x\.toml: room\.humidity: loft\.csv.*8760"):
        room_rows(broken)


@pytest.mark.parametrize(("outdoors", "excess"), [(-5, 810.0), (10, 405.0), (25, 0.0)])
def test_humidity_class(outdoors: float, excess: float) -> None:
    """ISO 13788 class 3 (from memory): p_e plus 810 Pa, falling to none at 20 degC."""
    rows = room_rows(case(steady(outdoors), humidity=ExcessVapour(810.0)))
    assert rows[1] == pytest.approx(400.0 + excess)


def test_outdoor_curve_for_both() -> None:
    """EN 15026 (from memory) at a steady 15 degC: 22.5 degC, 55 %."""
    rule = OutdoorCurve()
    temperature, vapour_pressure = room_rows(case(steady(15), temperature=rule, humidity=rule))
    assert temperature == pytest.approx(295.65)
    assert vapour_pressure == pytest.approx(0.55 * saturation_pressure(295.65))


def test_outdoor_curve_follows_the_day_and_not_the_hour() -> None:
    """A swing of 8 K within the day does not reach the room; nor does midnight make a jump."""
    temperature, _ = room_rows(case(invented_climate(), temperature=OutdoorCurve()))
    assert np.abs(np.diff(temperature)).max() < 0.02
    assert temperature.max() - temperature.min() > 4.0


@pytest.mark.parametrize(
    ("rule", "hours"), [(ExcessVapour(810.0), 720), (OutdoorCurve(), 24), (BALANCE, 24)]
)
def test_one_freak_hour_counts_as_one_of_its_day_or_month(rule: HumidityRule, hours: int) -> None:
    """Standards take outdoor means of a day, or of a month for humidity classes.

    One hour 5 K and 500 Pa above the rest moves the room by its share of the mean, for that long.
    """
    plain = steady(5)
    warmer, moister = plain.temperature.copy(), plain.vapour_pressure.copy()
    warmer[4000] += 5.0
    moister[4000] += 500.0
    freak = dataclasses.replace(plain, temperature=warmer, vapour_pressure=moister)
    part = assembly(leak=None)
    before, after = (room_rows(case(c, part, humidity=rule))[1] for c in (plain, freak))
    moved = after - before
    at_once = {
        ExcessVapour: 500.0 - 810.0 * 5.0 / 20.0,
        OutdoorCurve: 0.05 * float(saturation_pressure(293.15)),
        MoistureBalance: 500.0,
    }[type(rule)]
    assert moved[4000] == pytest.approx(at_once / hours, rel=1e-6)
    assert np.count_nonzero(np.abs(moved) > 1e-9) == hours + 1


def test_balance_without_leaks() -> None:
    """p_o + R_v T G / Q: 461.5 x 293.15 x 1e-4 / (300 x 0.5 / 3600) = 324.7 Pa above outdoors."""
    rows = room_rows(case(steady(0), assembly(leak=None), humidity=BALANCE))
    assert rows[1] - 400.0 == pytest.approx(324.7, abs=0.1)


def test_sealing_leaks_raises_humidity() -> None:
    leaky = dataclasses.replace(LEAK, flow=1.0e-3)
    tight, loose = (
        room_rows(case(steady(-10), assembly(leak=leak), humidity=BALANCE))[1].mean()
        for leak in (LEAK, leaky)
    )
    sealed = room_rows(case(steady(-10), assembly(leak=None), humidity=BALANCE))[1].mean()
    assert sealed > tight > loose > 400.0


def test_air_in_and_out_are_counted_once() -> None:
    """What leaves above comes in below: two like leaks, one each way, exchange what one does.

    Cold outdoor air is denser, so the inward leak carries more mass: the larger of the two.
    """
    low = dataclasses.replace(LEAK, height_above_neutral_level=-2.5)
    above, below = assembly(0, sheltered=True), assembly(90, leak=low, sheltered=True)
    above = dataclasses.replace(above, name="above")
    climate, room = steady(-10), np.full(8760, 293.15)
    one, both = (
        leak_air_change(case(climate, *parts), room) for parts in ((below,), (above, below))
    )
    np.testing.assert_allclose(both, one)
    mass = -50.0 * leak_mass_flow(climate, below, room)
    np.testing.assert_allclose(one, mass / 1.2041, rtol=1e-3)


def test_balance_is_held_at_its_limit_and_says_so() -> None:
    rule = dataclasses.replace(BALANCE, generation=1e-3, limit=0.70)
    year = room_year(case(steady(0), humidity=rule))
    assert year.vapour_pressure == pytest.approx(0.70 * saturation_pressure(293.15))
    assert "limit of 70 % relative humidity in 8760 hours" in year.notes[0]
    assert not room_year(case(steady(0), humidity=BALANCE)).notes


def test_never_above_saturation() -> None:
    muggy = case(steady(18, 2000.0), temperature=Constant(288.15), humidity=ExcessVapour(810.0))
    year = room_year(muggy)
    assert year.vapour_pressure == pytest.approx(saturation_pressure(288.15))
    assert "saturation in 8760 hours" in year.notes[0]


def test_a_room_without_air_change_is_refused() -> None:
    rule = dataclasses.replace(BALANCE, air_changes=0.0)
    with pytest.raises(InputError, match="without air change"):
        room_rows(case(steady(0), assembly(leak=None), humidity=rule))

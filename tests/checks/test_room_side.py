"""The room-side surface: temperature factor by ISO 13788, humid months, condensation."""

import dataclasses

import numpy as np
import pytest

from assembly_sim.checks.surface import (
    lowest_surface_temperature,
    required_factor,
    surface_findings,
    surface_months,
    temperature_factor,
)
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.verdict.rules import THIN, WET, judged_findings
from tests.checks import made

ROOM = 293.15


def test_design_case_of_the_german_standard():
    # DIN 4108-2: 20 degC, 50 %, -5 degC outdoors: 12.6 degC and f >= 0.70 (from memory).
    vapour = 0.5 * saturation_pressure(ROOM)
    assert lowest_surface_temperature(vapour, 0.8) - 273.15 == pytest.approx(12.6, abs=0.05)
    assert required_factor(ROOM, 268.15, vapour, 0.8) == pytest.approx(0.70, abs=0.006)
    assert required_factor(ROOM, 268.15, vapour, 1.0) == pytest.approx(0.571, abs=0.001)


# ISO 13788 procedure, class 3 room; equations from memory, values computed: regression values.
@pytest.mark.parametrize(
    ("outside", "vapour", "factor"),
    [(10, 1423.7, 0.567), (5, 1374.7, 0.675), (1, 1347.1, 0.727), (-1, 1287.7, 0.720)],
)
def test_monthly_factors(outside, vapour, factor):
    computed = required_factor(ROOM, outside + 273.15, vapour, 0.8)
    assert computed == pytest.approx(factor, abs=6e-4)


GLASS = dataclasses.replace(made.BRICK, mould_class="resistant")


def held(surface, vapour, lining=made.BOARD):
    """A year with the surface at its temperature and the room at one vapour pressure."""
    temperature = np.broadcast_to(surface, (made.YEAR, 4))
    humidity = np.minimum(vapour / saturation_pressure(temperature), 1.0)
    drivers = {
        "room_temperature": ROOM,
        "outdoor_temperature": 268.15,
        "room_vapour_pressure": vapour,
    }
    drawn = made.wall()
    lined = dataclasses.replace(drawn.layers[2], material=lining)
    assembly = dataclasses.replace(drawn, layers=(*drawn.layers[:2], lined))
    return made.run(temperature, humidity, years=1, drivers=drivers, assembly=assembly)


def test_a_surface_just_too_cold_is_humid_in_every_month():
    vapour = 0.5 * float(saturation_pressure(ROOM))
    for surface, months in ((273.15 + 12.5, 12), (273.15 + 12.7, 0)):
        result = held(surface, vapour)
        found, path = made.only(result)
        humid, condensing, coldest, factor = surface_findings(result, found, path)
        assert humid.value == months
        assert condensing.value == 0
        assert coldest.value == pytest.approx(surface - 273.15)
        assert factor.value == pytest.approx(temperature_factor(surface, ROOM, 268.15))
        assert (factor.margin < 0) == (months > 0)  # the factor and the humidity agree


def test_condensation_below_the_dew_point():
    result = held(273.15 + 9.2, 0.5 * float(saturation_pressure(ROOM)))
    found, path = made.only(result)
    assert surface_findings(result, found, path)[1].value == made.YEAR


@pytest.mark.parametrize(
    ("hours", "lining", "rank"),
    [
        (made.YEAR, made.BOARD, WET),
        (168, made.BRICK, WET),
        (167, made.BRICK, THIN),
        (23, made.BRICK, 0),
        (made.YEAR, GLASS, 0),  # there it is free water
    ],
)
def test_a_wall_that_dew_forms_on_is_not_called_dry(hours, lining, rank):
    """Plaster takes it up and shows no film: bare brick of a room at 7 degC was 'dry' in dew."""
    vapour = 0.5 * float(saturation_pressure(ROOM))
    surface = np.where(np.arange(made.YEAR) < hours, 273.15 + 9.2, 273.15 + 15.0)[:, None]
    result = held(surface, vapour, lining)
    found, path = made.only(result)
    dew = [one for one in surface_findings(result, found, path) if "condensation" in one.check]
    assert dew[0].value == hours
    assert max((one.rank for one in judged_findings(result, tuple(dew))), default=0) == rank


def test_a_room_as_cold_as_outdoors_asks_for_no_factor():
    result = made.run(years=1, drivers={"room_temperature": 284.0, "outdoor_temperature": 283.0})
    found, path = made.only(result)
    assert np.isnan(surface_months(result, found, path).factor).all()
    assert surface_findings(result, found, path)[3].value is None

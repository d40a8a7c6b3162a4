"""Hand methods on a whole case: an assembly reaches the same numbers as typed-in layers."""

import dataclasses
import math

import numpy as np
import pytest

from assembly_sim.boundary.stamps import month_days
from assembly_sim.hand.monthly_condensation import DRIES, NONE, STAYS
from assembly_sim.hand.summary import steady_summary
from assembly_sim.model import (
    AirLayer,
    Assembly,
    Bridge,
    Case,
    Climate,
    Constant,
    ExcessVapour,
    Layer,
    Material,
    Membrane,
    OuterSurface,
    Points,
    Room,
    Sheet,
)
from assembly_sim.physics.moist_air import saturation_pressure_over_stable_phase

OUTDOORS = np.array([-1, 0, 4, 9, 14, 18, 19, 19, 15, 10, 5, 1.0]) + 273.15
HUMIDITY = np.array([0.85, 0.84, 0.78, 0.72, 0.68, 0.69, 0.73, 0.75, 0.79, 0.83, 0.88, 0.88])


def hourly(monthly):
    return np.repeat(monthly, 24 * month_days(8760))


def climate() -> Climate:
    temperature = hourly(OUTDOORS)
    pressure = hourly(HUMIDITY * saturation_pressure_over_stable_phase(OUTDOORS))
    zero = np.zeros(8760)
    air = np.full(8760, 101325.0)
    still = (zero,) * 5
    return Climate("steps", 50.0, 0.0, 0.0, 0.0, temperature, pressure, air, *still)


def layer(name, thickness, conductivity, mu, *kinds, bridges=()) -> Layer:
    def flat(value):
        return Points((0.5,), (value,))

    permeability = flat(2e-10 / mu)
    kinds = frozenset(kinds)
    material = Material(name, 300, 1000, flat(conductivity), permeability, 0.5, kinds=kinds)
    return Layer(name, material, thickness, bridges=bridges)


BOARD = layer("board", 0.0125, 0.25, 10)
OSB = layer("sheathing", 0.018, 0.13, 50, "wood-based board")
ROOFING = layer("roofing", 0.005, 0.23, 50000)
RETARDER = Membrane("retarder", Sheet("retarder", Points((0.5,), (2e-12,))))  # sd 100 m
RAFTER = Bridge("rafter", 0.1, layer("", 0.2, 0.13, 50, "wood").material)
CLASS_THREE = ExcessVapour(810.0)  # upper limit of ISO 13788's class 3, from memory
WOOL = layer("wool", 0.2, 0.035, 1, "insulation")
RAFTERED = dataclasses.replace(WOOL, bridges=(RAFTER,))


def roof(*layers) -> Assembly:
    return Assembly("roof", 1.0, OuterSurface(0.0, 0.0, 0.9, 0.9), layers, leak=None)


def summary(assembly, humidity=CLASS_THREE, zone=None):
    room = Room(Constant(293.15), humidity)
    return steady_summary(Case("steps", climate(), room, (assembly,), code_zone=zone), assembly)


def test_roof_without_vapour_control():
    # regression value of the monthly method for constant months is 5.151; smoothing the room's
    # excess over 30 days, as the room's rule does, moves it a little
    found = summary(roof(ROOFING, OSB, WOOL, BOARD))
    (worst,) = found.condensation
    assert worst.verdict == STAYS
    assert worst.peak == pytest.approx(5.151, rel=0.03)
    assert worst.peak_month == 4
    assert worst.plane == "sheathing / wool"
    assert found.u_value.combined == pytest.approx(0.1649, abs=1e-4)  # regression value


def test_same_roof_with_vapour_control_dries():
    (found,) = summary(roof(ROOFING, OSB, WOOL, RETARDER, BOARD)).condensation
    assert found.verdict == DRIES
    assert found.peak == pytest.approx(0.0150, rel=0.05)


def test_dry_room_condenses_nothing():
    (found,) = summary(roof(ROOFING, OSB, WOOL, BOARD), Constant(0.2)).condensation
    assert (found.verdict, found.peak, found.peak_month, found.plane) == (NONE, 0.0, None, None)


def test_each_path_is_judged_and_the_worst_comes_first():
    found = summary(roof(ROOFING, OSB, RAFTERED, BOARD))
    assert [c.path for c in found.condensation] == ["main", "rafter"]
    assert found.condensation[0].residual > found.condensation[1].residual
    assert found.surface.path == "rafter"
    total = 0.25 + 0.05 + 0.2 / 0.13 + 0.018 / 0.13 + 0.005 / 0.23 + 0.04
    assert found.surface.element == pytest.approx(1 - 0.25 / total)


def test_surface_factor_needed_in_winter():
    found = summary(roof(ROOFING, OSB, WOOL, BOARD)).surface
    assert found.needed == pytest.approx(0.727, abs=0.02)  # regression value of constant months
    assert found.month in (12, 1, 2)
    assert found.element > found.needed


def test_dew_point_method_of_the_coldest_month_is_of_the_same_size():
    found = summary(roof(ROOFING, OSB, WOOL, BOARD))
    # January of the monthly method by hand, 1.141 kg/m2 in 31 days through sd 0.325 m, to which
    # this method adds the inner film of 2e-10/9.2e-9 m
    with_film = 1.141 * 30 / 31 * 0.325 / (0.325 + 2e-10 / 9.2e-9)
    assert found.dew_point_condensation == pytest.approx(with_film, rel=0.03)


def test_code_only_for_a_zone_that_the_user_names():
    assembly = roof(ROOFING, OSB, WOOL, BOARD)
    without = summary(assembly)
    assert without.code == ()
    assert any("code_zone" in remark for remark in without.remarks)
    found = summary(assembly, zone="6A")
    by_r, share, *_ = found.code
    assert (by_r.found, by_r.met, share.found, share.met) == (0.0, False, 0.0, False)
    assert any("code_edition" in remark for remark in found.remarks)


def test_remarks_name_what_was_left_out():
    vented = roof(ROOFING, AirLayer("vent", 0.05, air_changes=20.0), BOARD)
    found = summary(vented)
    assert any("roofing, vent" in remark for remark in found.remarks)
    assert any("kind insulation" in remark for remark in found.remarks)
    assert found.interface is None
    assert math.isclose(found.u_value.combined, 1 / (0.10 + 0.05 + 0.10))


def test_retarders_of_the_assembly():
    names = {r.name: r.retarder_class for r in summary(roof(ROOFING, RETARDER, BOARD)).retarders}
    assert names == {"roofing": "I", "retarder": "I"}

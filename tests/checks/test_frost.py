"""Frost: a pipe's cooling by the handbook's table, freeze-thaw cycles, named depths."""

import dataclasses

import numpy as np
import pytest

from assembly_sim.checks.frost import (
    freezings,
    frost_findings,
    hours_to_freezing,
    saturation_degree,
)
from assembly_sim.model import NamedDepth
from assembly_sim.words.checks import particulars
from tests.checks import made

INCH = 0.0254


# ASHRAE Fundamentals 2021, ch. 23, table 6 (5.5 degC water, -28 degC air, 0.0432 W/(m K)); pipes of
# schedule 40. The print rounds to 0.1 h and takes nominal insulation sizes: hence 8 % and 0.05 h.
@pytest.mark.parametrize(
    ("inside", "outside", "insulation", "hours"),
    [
        (52.5, 60.3, 0.025, 1.1),
        (52.5, 60.3, 0.050, 1.7),
        (77.9, 88.9, 0.038, 2.3),
        (102.3, 114.3, 0.013, 1.3),
        (102.3, 114.3, 0.050, 4.1),
    ],
)
def test_table_of_the_handbook(inside, outside, insulation, hours):
    computed = hours_to_freezing(inside / 1000, outside / 1000, insulation, 0.0432, 278.65, 245.15)
    assert computed == pytest.approx(hours, abs=0.08 * hours + 0.05)


def test_worked_example_in_inches():
    # NPS 2, 1.5 in of insulation of 0.30 Btu in/(h ft2 F), 42 F water, -18 F air: secondary.
    water, air = (42 - 32) / 1.8 + 273.15, (-18 - 32) / 1.8 + 273.15
    computed = hours_to_freezing(2.067 * INCH, 2.375 * INCH, 1.5 * INCH, 0.30 * 0.14423, water, air)
    assert computed == pytest.approx(1.378, abs=0.012)


def test_air_above_freezing_is_refused():
    with pytest.raises(ValueError, match="below 0 degC"):
        hours_to_freezing(0.05, 0.06, 0.02, 0.04, 280.0, 275.0)


def test_a_cycle_goes_from_thawed_to_below_the_freezing_point_of_pores():
    celsius = np.array([3.0, -1.0, -3.0, -1.0, -3.0, 1.0, -1.5, 2.0, -2.5])
    frozen, thawed = freezings(celsius + 273.15, 271.15)
    assert frozen.tolist() == [2, 8]  # swings at -2 degC and a night at -1.5 do not count
    assert thawed.tolist() == [0, 7]


def test_saturation_is_the_share_of_all_pores():
    # The brick of these tests holds 400 kg/m3 when capillary-saturated, of 0.4 m3/m3 of pores.
    assert saturation_degree(made.BRICK, 1.0, 283.15) == pytest.approx(1.0)
    assert saturation_degree(made.BRICK, 0.8, 293.15) == pytest.approx(0.175, rel=1e-3)


@pytest.mark.parametrize(("humidity", "wet"), [(1.0, 20), (0.9, 0)])
def test_cycles_of_wet_and_of_drier_brick(humidity, wet):
    celsius = np.full((made.YEAR, 4), 5.0)
    celsius[1000:1480:24] = -5.0
    result = made.run(celsius + 273.15, humidity, years=1, assembly=made.wall(made.BRICK))
    found, path = made.only(result)
    findings = frost_findings(result, found.assembly, path)
    assert [finding.value for finding in findings] == [wet, wet]
    assert particulars(findings[0]).startswith("20 cycles in the run")


def test_a_plane_that_bears_the_name_is_taken_as_it_is():
    wall = made.wall()
    batt = dataclasses.replace(wall.layers[1], probes=(NamedDepth("water pipe", 0.07),))
    wall = dataclasses.replace(wall, layers=(wall.layers[0], batt, wall.layers[2]))
    temperature = np.full((made.YEAR, 4), 293.15)
    temperature[:30, 3] = 272.15
    result = made.run(temperature, years=1, assembly=wall)
    found, path = made.only(result)
    named = dataclasses.replace(path.planes[3], index=4, name="water pipe")
    path = dataclasses.replace(path, planes=(*path.planes[:3], named))
    (pipe,) = frost_findings(result, found.assembly, path)
    assert pipe.value == 30


def test_hours_below_freezing_at_a_named_depth():
    wall = made.wall()
    batt = dataclasses.replace(wall.layers[1], probes=(NamedDepth("water pipe", 0.07),))
    wall = dataclasses.replace(wall, layers=(wall.layers[0], batt, wall.layers[2]))
    temperature = np.full((made.YEAR, 4), 293.15)
    temperature[200:260, :2] = 249.15  # half way through the batt: -2 degC
    temperature[300:360, :2] = 255.15  # half way: +1 degC
    result = made.run(temperature, years=1, assembly=wall)
    found, path = made.only(result)
    (pipe,) = frost_findings(result, found.assembly, path)
    assert (pipe.place, pipe.value) == ("water pipe", 60)
    assert particulars(pipe) == "coldest hour -2.0 degC"

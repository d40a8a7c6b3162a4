"""Floating spaces by hand: limits, a full system solved apart, and an ordinary integrator."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from assembly_sim.hand import attic, ice_dam, wind_washing
from assembly_sim.hand.zone import (
    Side,
    hours_until,
    steady_zone,
    time_constant,
    turned_down,
    two_nodes,
    ventilation_conductance,
)

F = 1.0 / 1.8


def test_air_carries_a_third_of_a_watt_hour_a_cubic_metre_and_kelvin():
    # 0.34 Wh/(m3 K), common practice; here 1.2 kg/m3 times 1006 J/(kg K)
    assert ventilation_conductance(1.0 / 3600.0) == pytest.approx(0.335, abs=0.001)


def test_a_space_lies_between_what_it_touches_by_its_conductances():
    found = steady_zone((10.0, 30.0), (293.15, 263.15))
    assert found == pytest.approx(293.15 - 30.0 * 30.0 / 40.0)
    hourly = steady_zone((10.0, 30.0), (293.15, np.array([263.15, 273.15])), 0.02, 263.15)
    air = float(ventilation_conductance(0.02))
    by_hand = (10 * 293.15 + 30 * 263.15 + air * 263.15) / (40.0 + air)
    assert hourly[0] == pytest.approx(by_hand)
    assert hourly[1] > hourly[0]
    assert steady_zone((10.0,), (280.0,), gain=50.0) == pytest.approx(285.0)
    with pytest.raises(ValueError, match="no temperature"):
        steady_zone((0.0,), (280.0,))


ATTIC = (
    Side(60.0, 0.15, 293.15, 5.0, 5.1),
    Side(40.0, 2.5, 268.15, 2.5, 5.1),
    Side(40.0, 2.5, 272.15, 2.5, 4.0),
    Side(12.0, 3.0, 268.15, 2.5, 5.1),
)


def test_two_nodes_are_the_full_system():
    """Faces, air and radiant node as one matrix of six, written out apart (derived)."""
    flow, gain = 0.05, 300.0
    air = float(ventilation_conductance(flow))
    n = len(ATTIC)
    matrix, right = np.zeros((n + 2, n + 2)), np.zeros(n + 2)
    for i, s in enumerate(ATTIC):
        for j, c in ((None, s.u_beyond), (n, s.convection), (n + 1, s.radiation)):
            matrix[i, i] += s.area * c
            if j is None:
                right[i] += s.area * c * s.beyond
                continue
            matrix[i, j] -= s.area * c
            matrix[j, j] += s.area * c
            matrix[j, i] -= s.area * c
    matrix[n, n] += air
    right[n] += air * 268.15 + gain
    whole = np.linalg.solve(matrix, right)
    t_air, t_radiant, faces = two_nodes(ATTIC, flow, 268.15, gain)
    assert [*faces, t_air, t_radiant] == pytest.approx(whole, abs=1e-9)


def test_without_radiation_it_is_the_steady_formula_with_films_in_series():
    still = [Side(s.area, s.u_beyond, s.beyond, s.convection, 0.0) for s in ATTIC]
    series = [s.area / (1 / s.u_beyond + 1 / s.convection) for s in still]
    air = steady_zone(series, [s.beyond for s in still], 0.05, 268.15, 100.0)
    assert two_nodes(still, 0.05, 268.15, 100.0)[0] == pytest.approx(float(air))


def test_radiation_carries_heat_that_still_air_does_not():
    flow = 0.2
    with_it = two_nodes(ATTIC, flow, 268.15)
    assert with_it[1] > with_it[0]  # the floor shines past air that is cooled by outdoors
    alike = [Side(s.area, s.u_beyond, 280.0, s.convection, s.radiation) for s in ATTIC]
    assert two_nodes(alike, flow, 280.0)[2] == pytest.approx([280.0] * 4)
    with pytest.raises(ValueError, match="nothing beyond"):
        two_nodes([Side(10.0, 0.0, 280.0, 2.5, 5.0)])


def test_a_wing_turned_down_against_a_general_integrator():
    constant = time_constant(40e6, 250.0)
    assert constant == pytest.approx(44.4, abs=0.1)
    hours = np.linspace(0.0, 120.0, 13)
    solved = solve_ivp(
        lambda t, y: (268.15 - y) / constant, (0, 120), [293.15], t_eval=hours, rtol=1e-10
    )
    assert turned_down(293.15, 268.15, hours, constant) == pytest.approx(solved.y[0], abs=1e-6)
    there = hours_until(293.15, 268.15, 273.15, constant)
    assert turned_down(293.15, 268.15, there, constant) == pytest.approx(273.15)
    assert hours_until(293.15, 275.15, 273.15, constant) == float("inf")


def test_the_criterion_against_icings():
    # 22 degF outdoors, 30 degF in the attic (Tobiasson, Buska and Greatorex; 30 from memory)
    assert pytest.approx(267.594, abs=1e-3) == ice_dam.FAHRENHEIT_22
    assert pytest.approx(272.039, abs=1e-3) == ice_dam.FAHRENHEIT_30
    leaky = ice_dam.ice_dam(60.0, 120.0, 0.01, 293.15)
    assert not leaky.met
    vented = ice_dam.ice_dam(60.0, 120.0, leaky.flow_needed, 293.15)
    assert vented.attic == pytest.approx(vented.limit)
    insulated = ice_dam.ice_dam(12.0, 120.0, 0.01, 293.15)
    assert insulated.met
    assert insulated.flow_needed == 0.0
    # a duct that leaks into it undoes the insulation
    assert not ice_dam.ice_dam(12.0, 120.0, 0.01, 293.15, gain=900.0).met


def test_hours_in_which_snow_melts_and_freezes_again():
    attic_air = ice_dam.FAHRENHEIT_30 + np.array([1.0, 1.0, -1.0, 5.0])
    outdoors = ice_dam.FAHRENHEIT_22 + np.array([-1.0, 1.0, -1.0, 0.0])
    assert ice_dam.melting_hours(attic_air, outdoors) == 2


def test_design_loads_below_attics_and_of_roofs():
    # ASHRAE Fundamentals 2021, ch. 17 (the formulas read; values computed): U 0.2, 11 K, DR 11 K
    dark, light = 0.92, 0.3
    assert attic.ceiling_cooling_load(0.2, 11.0, dark, 11.0) == pytest.approx(2.68, abs=0.01)
    assert attic.cathedral_cooling_load(0.2, 11.0, dark, 11.0) == pytest.approx(7.06, abs=0.01)
    for load in (attic.ceiling_cooling_load, attic.cathedral_cooling_load):
        assert load(0.2, 11.0, light, 11.0) < load(0.2, 11.0, dark, 11.0)
    outdoors, hot = attic.COOLING_DESIGN
    assert attic.peak_is_usual(hot, outdoors)
    assert not attic.peak_is_usual(outdoors + 5.0, outdoors)


def test_vents_of_an_attic():
    # IRC R806.2 (secondary): 1/150, halved with vents high and low and, in the cold, a retarder
    assert attic.vent_area(150.0, 0.0, True, 5) == pytest.approx(1.0)
    assert attic.vent_area(150.0, 0.45, False, 5) == pytest.approx(0.5)
    assert attic.vent_area(150.0, 0.45, False, 7) == pytest.approx(1.0)
    assert attic.vent_area(150.0, 0.45, False) == pytest.approx(1.0)
    assert attic.vent_area(150.0, 0.45, True) == pytest.approx(0.5)


def test_washed_insulation_lies_between_whole_and_half():
    whole = 0.1 / 0.04
    assert wind_washing.washed_resistance(whole, 0.1, 0.0) == pytest.approx(whole)
    assert wind_washing.washed_resistance(whole, 0.1, 1e9) == pytest.approx(0.5 * whole)
    falling = [wind_washing.washed_resistance(whole, 0.1, n) for n in (0.0, 10.0, 60.0, 300.0)]
    assert falling == sorted(falling, reverse=True)
    # one balance by hand: 60 changes of 0.1 m are 2.01 W/(m2 K), beside 0.8 W/(m2 K) outward
    assert falling[2] == pytest.approx(1.25 + 1.0 / (0.8 + 2.012), abs=1e-3)
    left = wind_washing.washed_thickness(0.3, 0.04, 0.1, 60.0)
    assert left == pytest.approx(0.2 + 0.04 * falling[2])

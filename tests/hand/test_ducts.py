"""Ducts: an exponential against an integrator, the whole against its balance and a table."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares

from assembly_sim.hand.ducts import (
    BARE,
    DuctRun,
    along,
    delivery,
    loss_factor,
    passed,
    with_unbalanced,
)
from assembly_sim.hand.zone import ventilation_conductance


def test_along_a_duct_against_a_general_integrator():
    solved = solve_ivp(lambda x, t: -50.0 / 300.0 * (t - 268.15), (0, 1), [322.15], rtol=1e-10)
    assert along(322.15, 268.15, 50.0, 300.0) == pytest.approx(solved.y[0, -1], abs=1e-6)
    assert passed(0.0, 300.0) == 1.0


@pytest.mark.parametrize("leaks", [(0.0, 0.0), (0.11, 0.11), (0.05, 0.2), (0.3, 0.0)])
@pytest.mark.parametrize(("rise", "zone"), [(32.0, 263.15), (-11.0, 322.15)])
def test_delivered_fraction_is_the_closed_form_of_the_standard(leaks, rise, zone):
    """a_s [B_s - dT/dT_e (1 - a_r B_r B_s)] (ANSI/ASHRAE 152, from memory)."""
    supply, returns = DuctRun(40.0, 0.87, leaks[0]), DuctRun(12.0, 0.87, leaks[1])
    found = delivery(supply, returns, 0.3, rise, 293.15, zone)
    stream = float(ventilation_conductance(0.3))
    b_s, b_r = passed(supply.conductance, stream), passed(returns.conductance, stream)
    a_s, a_r = 1.0 - leaks[0], 1.0 - leaks[1]
    closed = a_s * (b_s - (293.15 - zone) / rise * (1.0 - a_r * b_r * b_s))
    assert found.fraction == pytest.approx(closed, rel=1e-12)


def test_what_is_not_delivered_is_in_the_zone():
    """Balanced leaks: heat of the equipment is delivered or left around the ducts (derived)."""
    supply, returns = DuctRun(40.0, 0.87, 0.1), DuctRun(12.0, 0.87, 0.1)
    found = delivery(supply, returns, 0.3, 32.0, 293.15, 263.15)
    stream = float(ventilation_conductance(0.3))
    # the house gives 0.9 of its air to the returns and gets 0.9 of the supply; the zone the same
    house = stream * 0.9 * (found.register - 293.15)
    zone = stream * (found.outlet - found.register) + stream * 0.1 * (found.register - 263.15)
    into_returns = stream * (found.inlet - 293.15) + 0.1 * stream * (293.15 - 263.15)
    assert found.equipment == pytest.approx(house + zone - into_returns)
    assert found.delivered == pytest.approx(house)
    assert found.to_zone == pytest.approx(found.equipment - found.delivered, rel=1e-9)


def test_ducts_in_rooms_lose_nothing():
    found = delivery(DuctRun(40.0, BARE), DuctRun(12.0, BARE), 0.3, 30.0, 293.15, 293.15)
    assert found.fraction < 1.0  # at the registers; the rest is in the rooms all the same
    assert found.delivered + found.to_zone == pytest.approx(found.equipment)
    assert (
        delivery(DuctRun(0.0, BARE), DuctRun(0.0, BARE), 0.3, 30.0, 293.15, 263.15).fraction == 1.0
    )


# ASHRAE Fundamentals 2021, ch. 17, table 6: loss factors of ducts in the attic of one storey, by
# leakage of each side and R of the insulation, m2 K/W. The print does not state duct areas and
# temperatures; two of them, fitted, must give all six figures, and be those of such systems.
TABLE = {
    "cooling": ((1.26, 0.71, 0.63, 0.68, 0.33, 0.27), (1.8, 3.0)),
    "furnace": ((0.49, 0.29, 0.25, 0.34, 0.16, 0.13), (0.6, 1.1)),
    "heat pump": ((0.56, 0.37, 0.34, 0.34, 0.19, 0.16), (1.0, 1.7)),
}


@pytest.mark.parametrize("system", TABLE)
def test_loss_factors_have_the_shape_of_the_printed_table(system):
    printed, (low, high) = TABLE[system]
    rows = [(leak, r) for leak in (0.11, 0.05) for r in (0.0, 0.7, 1.4)]
    stream = float(ventilation_conductance(0.3))

    def factors(unknown):
        ratio, size = unknown  # room less zone over the rise; area over the stream
        found = [
            delivery(
                DuctRun(size * stream, BARE + r, leak),
                DuctRun(0.25 * size * stream, BARE + r, leak),
                *(0.3, 30.0, 293.15, 293.15 - 30.0 * ratio),
            ).fraction
            for leak, r in rows
        ]
        return loss_factor(found)

    fitted = least_squares(lambda u: factors(u) / printed - 1.0, (1.0, 0.02))
    assert factors(fitted.x) == pytest.approx(printed, rel=0.15)
    assert low < fitted.x[0] < high


def test_a_leak_of_a_tenth_costs_more_than_r_10_of_the_floor():
    # Common practice, no source; tied to its reason: the leak throws warmed air away.
    r, room, zone = 0.17611, 293.15, 263.15
    tight = delivery(DuctRun(40.0, 1.57), DuctRun(12.0, 1.57), 0.3, 30.0, room, zone)
    leaky = delivery(DuctRun(40.0, 1.57, 0.1), DuctRun(12.0, 1.57), 0.3, 30.0, room, zone)
    lost = tight.delivered - leaky.delivered
    floor = 150.0 * (1.0 / (28 * r) - 1.0 / (38 * r)) * (room - zone)
    assert lost > 2.0 * floor


def test_unbalanced_leaks_draw_outdoor_air_in():
    # ASHRAE Fundamentals 2021, ch. 17: the larger of the fan's flow and the leaks' with half of it
    assert with_unbalanced(0.05, 0.02) == pytest.approx(0.06)
    assert with_unbalanced(0.005, np.array([0.08, -0.08])) == pytest.approx([0.08, 0.08])

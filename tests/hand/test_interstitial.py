"""The monthly method of ISO 13788 (from memory) on three assemblies and by hand.

No worked table of the standard was at hand: the yearly figures are regression values, computed
from its formulas by separate code; one month is checked by a sum on paper.
"""

import numpy as np
import pytest

from assembly_sim.files.case.read import read_case
from assembly_sim.hand import monthly_condensation as interstitial
from assembly_sim.hand.monthly_air import MonthlyAir, monthly_air
from assembly_sim.hand.monthly_condensation import (
    DRIES,
    NONE,
    STAYS,
    condensation,
    condensing,
    cut_layers,
    month_end,
    monthly_condensation,
    taut_string,
)
from assembly_sim.physics.moist_air import saturation_pressure

# Monthly means often used with the standard's examples, January first (from memory), and
# humidity class 3 at its upper limit
OUTDOORS = np.array([-1, 0, 4, 9, 14, 18, 19, 19, 15, 10, 5, 1.0])
HUMIDITY = np.array([0.85, 0.84, 0.78, 0.72, 0.68, 0.69, 0.73, 0.75, 0.79, 0.83, 0.88, 0.88])
FOILED = """
format = 1
name = "Foiled"
climate = "cold_inland"
room = { temperature = "20 degC", humidity = "70 %" }

[[assembly]]
name = "wall"
area = "1 m2"
tilt = "90 deg"
sheltered = true
layer = [
    { material = "brick, retention curve", thickness = "100 mm" },
    { material = "cellular glass", thickness = "100 mm" },
    { membrane = "aluminium foil facing" },
    { air = "20 mm" },
    { material = "gypsum board", thickness = "12.5 mm" },
    { membrane = "vinyl wallpaper" },
]
"""
MONTHS_FROM_OCTOBER = (10, 11, 12, 1, 2, 3, 4, 5, 6, 7, 8, 9)


def outdoor_pressure():
    over_ice = 610.5 * np.exp(21.875 * OUTDOORS / (265.5 + OUTDOORS))
    saturation = saturation_pressure(OUTDOORS + 273.15)
    return HUMIDITY * np.where(OUTDOORS < 0, over_ice, saturation)


def year(layers, surfaces):
    """layers inside to outside: (thickness m, conductivity, mu)."""
    outside = outdoor_pressure()
    inside = outside + 810.0 * np.clip((20.0 - OUTDOORS) / 20.0, 0.0, 1.0)
    return monthly_condensation(
        [d / k for d, k, _ in layers],
        [d * mu for d, _, mu in layers],
        MonthlyAir(np.full(12, 293.15), inside, OUTDOORS + 273.15, outside),
        surfaces,
    )


BOARD, WOOL, OSB = (0.0125, 0.25, 10), (0.2, 0.035, 1), (0.018, 0.13, 50)
MEMBRANE, RETARDER = (0.005, 0.23, 50000), (0.0002, 0.33, 100 / 0.0002)


def test_roof_without_vapour_control_stays_wet():
    result = year([BOARD, WOOL, OSB, MEMBRANE], (0.10, 0.04))
    assert result.months == MONTHS_FROM_OCTOBER
    expected = [  # regression values
        *(0.27800, 1.03108, 2.11943, 3.26062, 4.27626, 4.99854),
        *(5.15060, 4.67327, 3.76744, 2.84812, 2.00128, 1.72359),
    ]
    assert result.amounts.sum(axis=1) == pytest.approx(expected, abs=3e-5)
    assert result.verdict == STAYS
    assert result.peak_month == 4
    assert result.residual == pytest.approx(1.72359, abs=3e-5)
    assert result.rates.sum(axis=0) == pytest.approx(result.amounts[-1])


def test_that_roof_condenses_between_wool_and_board():
    result = year([BOARD, WOOL, OSB, MEMBRANE], (0.10, 0.04))
    at_peak = result.amounts[6]
    wettest = int(np.argmax(at_peak))
    assert (result.plane_layers[wettest], result.at_interface[wettest]) == (1, True)
    assert at_peak[wettest] / at_peak.sum() > 0.98


def test_january_by_hand():
    # T at wool/OSB = 20 - 21 * 5.8643/6.0645 = -0.307 degC, psat 595.3 Pa;
    # g = 2e-10 (1287.7 - 595.3)/0.325 over 31 days = 1.141 kg/m2 less what goes on outward
    result = year([BOARD, WOOL, OSB, MEMBRANE], (0.10, 0.04))
    january = result.rates[3]
    by_hand = 2e-10 * (1287.7 - 595.3) / 0.325 * 31 * 86400
    assert january.sum() == pytest.approx(by_hand, rel=1e-3)


def test_vapour_control_lets_that_roof_dry():
    result = year([BOARD, RETARDER, WOOL, OSB, MEMBRANE], (0.10, 0.04))
    assert result.peak == pytest.approx(0.01501, abs=1e-5)  # regression value
    assert result.peak_month == 3
    assert result.residual == 0.0
    assert result.verdict == DRIES


def test_wall_with_tight_siding_stays_wet():
    wall = [BOARD, (0.14, 0.035, 1), (0.012, 0.13, 50), (0.02, 0.13, 50)]
    result = year(wall, (0.13, 0.04))
    expected = [  # regression values
        *(0.20055, 1.01301, 2.24166, 3.52962, 4.67437, 5.42023),
        *(5.43192, 4.62350, 3.28577, 1.94976, 0.71725, 0.21635),
    ]
    assert result.amounts.sum(axis=1) == pytest.approx(expected, abs=3e-5)
    assert result.verdict == STAYS


def test_masonry_insulated_outside_stays_dry():
    result = year([(0.01, 0.7, 10), (0.2, 1.0, 10), (0.2, 0.04, 1), (0.01, 1.0, 15)], (0.13, 0.04))
    assert result.verdict == NONE
    assert (result.peak, result.peak_month) == (0.0, None)


def test_wool_is_cut_in_23_parts():
    resistance, thickness, index = cut_layers([0.05, 0.2 / 0.035, 0.25], [0.1, 0.2, 0.3])
    assert np.bincount(index).tolist() == [1, 23, 1]
    assert resistance.max() <= 0.25
    assert (resistance.sum(), thickness.sum()) == pytest.approx((0.3 + 0.2 / 0.035, 0.6))


def test_taut_string_stays_below_and_balances_only_where_it_touches():
    x = np.array([0.0, 1.0, 2.0, 3.0, 4.0])
    ceiling = np.array([1000.0, 900.0, 500.0, 480.0, 300.0])
    pressure = taut_string(x, ceiling, np.array([True, False, False, False, True]))
    assert pressure == pytest.approx([1000.0, 750.0, 500.0, 400.0, 300.0])
    assert condensing(x, pressure) == pytest.approx([0.0, 150.0, 0.0])


def test_wet_plane_keeps_saturation_and_gives_both_ways():
    x = np.array([0.0, 1.0, 2.0])
    ceiling = np.array([1000.0, 1700.0, 1000.0])
    # evaporation of a design block (DIN 4108-3 form, from memory): delta0 * 700 Pa both ways
    held = month_end(x, ceiling, np.array([1.0]), 1e6)
    assert held == pytest.approx([1.0 - 2 * 2e-10 * 700 * 1e6])


def test_month_is_split_where_a_plane_dries():
    x = np.array([0.0, 1.0, 2.0, 3.0])
    ceiling = np.array([500.0, 900.0, 600.0, 200.0])
    # first plane: evaporates until empty; second receives (900-600) and gives 400 Pa/m: -100
    time = 1e-3 / (2e-10 * 700)
    one = month_end(x, ceiling, np.array([1e-3, 1.0]), time)
    two = month_end(x, ceiling, one, time)
    whole = month_end(x, ceiling, np.array([1e-3, 1.0]), 2 * time)
    assert one == pytest.approx([0.0, 1.0 - 2e-10 * 100 * time], abs=1e-15)
    assert whole == pytest.approx(two)
    # afterwards the second plane gives 50 Pa/m inward and 400 Pa/m outward
    assert two == pytest.approx([0.0, one[1] - 2e-10 * 450 * time])


def foil_rich(seed):
    """A random wall of insulations, foils and boards: (R, sd), inside to outside."""
    rng = np.random.default_rng(seed)
    kinds = [(0.0, 1500.0), (0.0, 1.0e5), (2.5, 1.0e4), (3.0, 0.2), (0.1, 0.05), (0.18, 0.01)]
    picked = rng.integers(0, len(kinds), rng.integers(3, 12))
    return np.array([kinds[k] for k in picked]).T


@pytest.fixture
def parts(monkeypatch):
    """Counts the parts that the months are split in, and stops a count without end."""
    calls, rates = [], interstitial._rates

    def counted(*arguments):
        calls.append(1)
        assert len(calls) < 2000, "no end"
        return rates(*arguments)

    monkeypatch.setattr(interstitial, "_rates", counted)
    return calls


def test_wall_whose_foil_holds_nothing_ends(parts, tmp_path):
    """Planes that hold nothing got a negative rate by round-off, and a time of 0 for ever."""
    case = tmp_path / "foil.toml"
    case.write_text(FOILED)
    read = read_case(case)
    assert condensation(read.assemblies[0], monthly_air(read)).verdict in (NONE, DRIES, STAYS)


def test_every_month_ends_within_its_planes_and_one(parts):
    """By the proof above `month_end`; humid inside, cold outside, 300 random walls with foils."""
    outside = MonthlyAir(
        np.full(12, 293.15), np.full(12, 1636.0), OUTDOORS + 261.15, 0.4 * outdoor_pressure()
    )
    wettest = 0.0
    for seed in range(300):
        resistances, thicknesses = foil_rich(seed)
        planes = len(cut_layers(resistances, thicknesses)[0]) - 1
        parts.clear()
        found = monthly_condensation(resistances, thicknesses, outside, (0.13, 0.04))
        assert len(parts) <= 12 + 12 * (planes + 1), seed
        assert (found.amounts >= 0.0).all()
        wettest = max(wettest, found.peak)
    assert wettest > 0.1

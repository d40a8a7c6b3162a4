"""Wood: the Wood Handbook's equilibrium table, a board's own isotherm, decay."""

import dataclasses

import numpy as np
import pytest

from assembly_sim.checks.decay import decay_onset_months, decay_rate, mass_loss
from assembly_sim.checks.wood import (
    isotherm_moisture,
    path_boards,
    wood_findings,
    wood_handbook_moisture,
)
from assembly_sim.words.checks import particulars
from tests.checks import made


# Wood Handbook (USDA FPL), Table 4-2, 70 degF row, secondary; the others computed by eq. 4-5.
@pytest.mark.parametrize(
    ("celsius", "percent", "moisture"),
    [
        *zip([21.1] * 6, (30, 40, 50, 60, 70, 80), (6.2, 7.7, 9.2, 11.0, 13.1, 16.0)),
        *zip([-1.1] * 3, (20, 65, 95), (4.6, 12.4, 24.3)),
        *zip([37.8] * 3, (20, 65, 95), (4.2, 11.2, 22.9)),
    ],
)
def test_wood_handbook_table(celsius, percent, moisture):
    computed = 100 * wood_handbook_moisture(celsius + 273.15, percent / 100)
    assert computed == pytest.approx(moisture, abs=0.06)


def test_isotherm_gives_back_its_own_points():
    # The board of these tests is given 70 kg/m3 at 80 % and a density of 500 kg/m3.
    assert isotherm_moisture(made.BOARD, 0.8, 293.15) == pytest.approx(70 / 500, rel=1e-3)
    assert isotherm_moisture(made.BOARD, 1.02, 293.15) == pytest.approx(400 / 500, rel=1e-6)


def test_peak_of_all_years_with_its_hours_and_that_of_the_last_by_mass():
    water = np.full((3 * made.YEAR, 3), 0.10 * 500 * 0.012)
    water[5000:5100, 0] *= 1.9
    water[9000:9100, 0] = 0.27 * 500 * 0.012
    water[-500:, 0] = 0.21 * 500 * 0.012
    result = made.run(layer_water=water)
    found, path = made.only(result)
    boards = path_boards(found.assembly, path)
    assert [board.name for board in boards] == ["sheathing", "lining"]
    peak = wood_findings(result, found.assembly, path, boards)[0]
    assert peak.value == pytest.approx(0.27)
    assert (peak.hour, peak.year) == (9000, 2)
    assert peak.settled == pytest.approx(0.21)
    assert peak.margin == pytest.approx(-0.07)
    assert particulars(peak).startswith("100 h above 20 %, 100 h above 26 %, 0 h above 28 %")


def test_a_board_without_isotherm_names_it_and_the_others_are_still_checked():
    bare = dataclasses.replace(made.BOARD, name="bare board", storage=None)
    result = made.run(assembly=made.wall(bare), years=1)
    found, path = made.only(result)
    boards = path_boards(found.assembly, path)
    findings = wood_findings(result, found.assembly, path, boards)
    assert "storage curve of bare board" in findings[0].note
    assert findings[1].place == "lining"
    assert findings[1].value == pytest.approx(0.08)


# Viitanen et al. (2010), equations from memory, values computed: regression values. Rate and loss
# come from the monthly form, ML = rate (t - onset), the hourly coefficients from rounding it.
@pytest.mark.parametrize(
    ("celsius", "percent", "months", "rate", "loss"),
    [(5, 100, 1.071, 2.80, 30.6), (10, 100, 0.714, 3.50, 39.5), (20, 97, 0.799, 3.55, 39.8)],
)
def test_decay_onset_rate_and_loss_after_a_year(celsius, percent, months, rate, loss):
    assert decay_onset_months(celsius, percent) == pytest.approx(months, abs=6e-4)
    assert 720 * decay_rate(celsius, percent) == pytest.approx(rate, rel=0.005)
    year = np.full(12 * 720, 1.0)
    lost = mass_loss(year * (celsius + 273.15), year * percent / 100)
    assert lost[-1] == pytest.approx(loss, rel=0.005)


def test_decay_waits_for_onset_and_forgets_in_the_dry():
    humid = np.full(8760, 1.0)
    humid[500:] = 0.6  # 500 h at 20 degC: past the onset of 0.306 months, 220 h
    short = humid.copy()
    short[200:] = 0.6
    warm = np.full(8760, 293.15)
    assert mass_loss(warm, humid)[-1] == pytest.approx((500 - 220) * 4.90 / 720, rel=0.01)
    assert mass_loss(warm, short)[-1] == 0.0


def test_activation_left_from_one_spell_shortens_the_next():
    warm, humid = np.full(8760, 293.15), np.full(8760, 0.6)
    humid[:200] = humid[1076:1176] = 1.0
    # 876 dry hours forget 0.05 of the 0.91 that 200 h brought: 31 h more reach the onset.
    after = mass_loss(warm, humid)
    assert np.flatnonzero(after)[0] - 1076 == pytest.approx(31, abs=2)

"""Losses and gains by hand from fluxes that are written down."""

import dataclasses

import numpy as np
import pytest

from assembly_sim.checks.energy import energy
from tests.checks import made


def with_flux(flux, outdoors=None, incoming=0.0, **air):
    drivers = {"incoming_heat": incoming}
    drivers |= {} if outdoors is None else {"outdoor_temperature": outdoors}
    return made.run(years=len(flux) // made.YEAR, drivers=drivers, heat_flux_room=flux, **air)


def test_directions_are_never_summed():
    flux = np.tile([10.0, -4.0], made.YEAR // 2)
    result = with_flux(flux)
    found = energy(result, result.assemblies[0])
    assert found.heat_loss.total == pytest.approx(10 * 4380 / 1000)
    assert found.heat_gain.total == pytest.approx(4 * 4380 / 1000)
    assert (found.peak_loss.total, found.peak_gain.total) == (10.0, 4.0)


def test_only_the_last_year_counts():
    flux = np.concatenate((np.full(2 * made.YEAR, 99.0), np.full(made.YEAR, 1.0)))
    result = with_flux(flux)
    assert energy(result, result.assemblies[0]).heat_loss.total == pytest.approx(8.76)


def test_seasons_are_days_by_their_mean_outdoors():
    outdoors = np.full(made.YEAR, 273.15 + 17.0)  # neither season
    outdoors[: 100 * 24] = 273.15 + 15.0
    outdoors[200 * 24 : 230 * 24] = 273.15 + 20.0
    flux = np.full(made.YEAR, 5.0)
    flux[200 * 24 : 300 * 24] = -2.0
    found = energy(result := with_flux(flux, outdoors), result.assemblies[0])
    # hour means lag the stamps: the first hour of a warmer day is half of the day before
    assert found.heating_season_loss.total == pytest.approx(5 * 100 * 24 / 1000)
    assert found.cooling_season_gain.total == pytest.approx(2 * 30 * 24 / 1000)


def test_a_gain_through_framing_does_not_cancel_a_loss_beside_it():
    result = with_flux(np.full(made.YEAR, 10.0))
    (path,) = result.assemblies[0].paths
    cavity = dataclasses.replace(path, share=0.9)
    framing = dataclasses.replace(path, share=0.1, heat_flux_room=np.full(made.YEAR, -20.0))
    found = dataclasses.replace(result.assemblies[0], paths=(cavity, framing))
    both = energy(result, found)
    assert both.heat_loss.total == pytest.approx(0.9 * 10 * 8.76)
    assert both.heat_gain.total == pytest.approx(0.1 * 20 * 8.76)


def by_turns(*values):
    return np.tile(np.array(values, dtype=float), made.YEAR // len(values))


def test_parts_are_summed_over_the_hours_of_their_total_and_add_up():
    """Hours: loss of both; loss by air against a gain; gain; gain by air against a loss."""
    conducted, carried = by_turns(10, -2, -4, 1), by_turns(3, 5, -1, -6)
    result = with_flux(conducted, carried_heat=carried)
    found = energy(result, result.assemblies[0])
    loss, gain, hours = found.heat_loss, found.heat_gain, made.YEAR / 4 / 1000
    assert (loss.total, loss.conducted, loss.carried) == pytest.approx(
        (16 * hours, 8 * hours, 8 * hours)
    )
    assert (gain.total, gain.conducted, gain.carried) == pytest.approx(
        (10 * hours, 3 * hours, 7 * hours)
    )
    assert loss.total - gain.total == pytest.approx((conducted + carried).sum() / 1000)
    assert (loss.surface, gain.surface) == pytest.approx((11 * hours, 6 * hours))


def test_a_peak_is_that_of_the_total_with_what_made_it():
    result = with_flux(by_turns(10, 7), carried_heat=by_turns(1, 6))
    peak = energy(result, result.assemblies[0]).peak_loss
    assert (peak.total, peak.conducted, peak.carried, peak.surface) == (13.0, 7.0, 6.0, 10.0)
    none = energy(result, result.assemblies[0]).peak_gain
    assert (none.total, none.conducted, none.carried, none.latent) == (0.0, 0.0, 0.0, 0.0)


def test_humidity_and_incoming_air_stand_apart():
    air = {"carried_vapour": by_turns(2e-6, -1e-6), "incoming": by_turns(4, -2)}
    result = with_flux(by_turns(10, 10), **air)
    found = energy(result, result.assemblies[0])
    half = made.YEAR / 2 / 1000
    assert found.heat_loss.latent == pytest.approx(2e-6 * 2.5009e6 * half)
    assert found.heat_gain.latent == pytest.approx(1e-6 * 2.5009e6 * half)
    assert found.heat_loss.incoming_air == pytest.approx(4 * half)
    assert found.heat_gain.incoming_air == pytest.approx(2 * half)
    assert found.heat_loss.total == pytest.approx(20 * half)


def test_paths_do_not_cancel_each_other_by_air_either():
    result = with_flux(by_turns(10, 10), carried_heat=by_turns(-4, -4))
    (path,) = result.assemblies[0].paths
    cavity = dataclasses.replace(path, share=0.75)
    framing = dataclasses.replace(path, share=0.25, carried_heat=by_turns(-12, -12))
    both = energy(result, dataclasses.replace(result.assemblies[0], paths=(cavity, framing)))
    assert both.heat_loss.total == pytest.approx(0.75 * 6 * 8.76)
    assert both.heat_gain.total == pytest.approx(0.25 * 2 * 8.76)
    assert both.heat_gain.conducted == pytest.approx(0.25 * -10 * 8.76)

"""Losses and gains by hand from fluxes that are written down."""

import dataclasses

import numpy as np
import pytest

from assembly_sim.checks.energy import energy
from tests.checks import made


def with_flux(flux, outdoors=None):
    drivers = {} if outdoors is None else {"outdoor_temperature": outdoors}
    return made.run(years=len(flux) // made.YEAR, drivers=drivers, heat_flux_room=flux)


def test_directions_are_never_summed():
    flux = np.tile([10.0, -4.0], made.YEAR // 2)
    result = with_flux(flux)
    found = energy(result, result.assemblies[0])
    assert found.heat_loss == pytest.approx(10 * 4380 / 1000)
    assert found.heat_gain == pytest.approx(4 * 4380 / 1000)
    assert (found.peak_loss, found.peak_gain) == (10.0, 4.0)


def test_only_the_last_year_counts():
    flux = np.concatenate((np.full(2 * made.YEAR, 99.0), np.full(made.YEAR, 1.0)))
    result = with_flux(flux)
    assert energy(result, result.assemblies[0]).heat_loss == pytest.approx(8.76)


def test_seasons_are_days_by_their_mean_outdoors():
    outdoors = np.full(made.YEAR, 273.15 + 17.0)  # neither season
    outdoors[: 100 * 24] = 273.15 + 15.0
    outdoors[200 * 24 : 230 * 24] = 273.15 + 20.0
    flux = np.full(made.YEAR, 5.0)
    flux[200 * 24 : 300 * 24] = -2.0
    found = energy(result := with_flux(flux, outdoors), result.assemblies[0])
    # hour means lag the stamps: the first hour of a warmer day is half of the day before
    assert found.heating_season_loss == pytest.approx(5 * 100 * 24 / 1000)
    assert found.cooling_season_gain == pytest.approx(2 * 30 * 24 / 1000)


def test_a_gain_through_framing_does_not_cancel_a_loss_beside_it():
    result = with_flux(np.full(made.YEAR, 10.0))
    (path,) = result.assemblies[0].paths
    cavity = dataclasses.replace(path, share=0.9)
    framing = dataclasses.replace(path, share=0.1, heat_flux_room=np.full(made.YEAR, -20.0))
    found = dataclasses.replace(result.assemblies[0], paths=(cavity, framing))
    both = energy(result, found)
    assert both.heat_loss == pytest.approx(0.9 * 10 * 8.76)
    assert both.heat_gain == pytest.approx(0.1 * 20 * 8.76)

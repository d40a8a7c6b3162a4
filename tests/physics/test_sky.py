"""Sky long-wave: values computed from the published formulas, and a second formula beside it."""

import numpy as np
import pytest

from assembly_sim.physics import sky


@pytest.mark.parametrize(
    ("dew_point", "emissivity", "sky_temperature"),
    [(-10, 0.6623, -17.72), (0, 0.7110, -13.14), (10, 0.7743, -7.54), (20, 0.8522, -1.10)],
)
def test_clear_sky(dew_point: float, emissivity: float, sky_temperature: float) -> None:
    """Regression values computed from Berdahl & Martin 1984 (secondary), short form.

    At 06:00 the daily term is nil, at 1000 mbar the height term; air at 10 degC.
    """
    computed = float(sky.clear_sky_emissivity(273.15 + dew_point, 6.0, 1e5))
    assert computed == pytest.approx(emissivity, abs=6e-5)
    assert 283.15 * computed**0.25 - 273.15 == pytest.approx(sky_temperature, abs=0.02)


def test_daily_and_height_terms() -> None:
    """+0.013 at midnight, -0.013 at noon, 0.00012 a mbar (Berdahl & Martin 1984, secondary)."""
    midnight, noon = sky.clear_sky_emissivity(280.0, np.array([0.0, 12.0]), 1e5)
    assert midnight - noon == pytest.approx(0.026)
    low = sky.clear_sky_emissivity(280.0, 6.0, 8e4)
    assert sky.clear_sky_emissivity(280.0, 6.0, 1e5) - low == pytest.approx(0.024)


def test_near_another_published_formula() -> None:
    """Clark & Allen 1978, e = 0.787 + 0.764 ln(T_dp / 273) (secondary): within 0.08 from 0 degC.

    Two fits to different skies; at -10 degC they part by 0.10 and nothing says who is right.
    """
    dew_point = np.linspace(273.15, 295.0, 12)
    other = 0.787 + 0.764 * np.log(dew_point / 273.0)
    assert np.abs(sky.clear_sky_emissivity(dew_point, 6.0, 1e5) - other).max() < 0.08
    assert np.abs(sky.clear_sky_emissivity(283.15, 6.0, 1e5) - 0.8149) < 0.05


def test_cloud_closes_the_gap_to_a_black_sky() -> None:
    """Full low cloud closes 80 to 100 % of it (Martin & Berdahl 1984, from memory)."""
    clear = np.array([0.66, 0.85])
    full = sky.cloudy_sky_emissivity(clear, 1.0)
    closed = (full - clear) / (1.0 - clear)
    assert ((closed >= 0.8) & (closed <= 1.0)).all()
    np.testing.assert_allclose(sky.cloudy_sky_emissivity(clear, 0.0), clear)
    np.testing.assert_allclose(sky.cloudy_sky_emissivity(clear, 0.5), 0.5 * (clear + full))


def test_radiation_of_a_black_sky() -> None:
    """5.670e-8 x 300^4 = 459.3 W/m2 (Stefan and Boltzmann, CODATA constant)."""
    assert sky.sky_longwave(300.0, 1.0) == pytest.approx(459.30, abs=0.01)

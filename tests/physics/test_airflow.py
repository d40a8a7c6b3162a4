"""Air flow against worked examples of ASHRAE Fundamentals 2021, ch. 16, unless said otherwise."""

import numpy as np
import pytest

from assembly_sim.physics import airflow


@pytest.mark.parametrize(
    ("celsius", "gradient"), [(-20, 1.866), (-10, 1.347), (0, 0.865), (10, 0.417)]
)
def test_stack_pressure_gradient(celsius: float, gradient: float) -> None:
    """Pa/m, room at 20 degC, 101 325 Pa: regression values computed from the chapter's formula."""
    computed = airflow.stack_pressure(293.15, 273.15 + celsius, 101325.0, 1.0)
    assert computed == pytest.approx(gradient, abs=0.002)


def test_stack_pressure_signs() -> None:
    """A ceiling 2.5 m above the neutral level at -10 degC leaks out with 3.37 Pa (computed)."""
    ceiling = airflow.stack_pressure(293.15, 263.15, 101325.0, 2.5)
    assert ceiling == pytest.approx(3.37, abs=0.01)
    assert airflow.stack_pressure(293.15, 263.15, 101325.0, -2.5) == pytest.approx(-ceiling)
    assert airflow.stack_pressure(293.15, 303.15, 101325.0, 2.5) < 0.0
    assert airflow.stack_pressure(293.15, 293.15, 101325.0, 2.5) == 0.0


def test_stack_pressure_is_the_difference_of_two_columns() -> None:
    """(rho_o - rho_i) g h: hydrostatics."""
    outside, inside = airflow.air_density(260.0, 1e5), airflow.air_density(295.0, 1e5)
    columns = (outside - inside) * 9.80665 * 3.0
    assert airflow.stack_pressure(295.0, 260.0, 1e5, 3.0) == pytest.approx(columns)


def test_wall_pressure_coefficients() -> None:
    """Typical low-rise: 0.6 windward, -0.3 leeward, -0.65 at the sides; the same on both sides."""
    angles = np.radians([0.0, 180.0, 90.0, 270.0])
    computed = airflow.wall_pressure_coefficient(angles)
    assert computed == pytest.approx([0.6, -0.3, -0.65, -0.65], abs=1e-6)
    turn = np.radians(np.arange(0.0, 181.0, 5.0))
    left, right = (airflow.wall_pressure_coefficient(sign * turn) for sign in (1, -1))
    np.testing.assert_allclose(left, right, atol=1e-12)
    assert left.max() <= 0.6 + 1e-12
    assert left.min() >= -0.68  # the interpolation dips a little past the side's value


def test_roof_pressure_coefficients_lie_between_level_and_wall() -> None:
    """A level roof is sucked whatever the wind; windward turns to pressure near 30 degrees."""
    angles = np.radians([0.0, 90.0, 180.0])
    assert airflow.pressure_coefficient(0.0, angles) == pytest.approx([-0.5, -0.5, -0.5])
    at_wall = airflow.pressure_coefficient(np.pi / 2, angles)
    np.testing.assert_allclose(at_wall, airflow.wall_pressure_coefficient(angles))
    low, steep = (float(airflow.pressure_coefficient(np.radians(t), 0.0)) for t in (20.0, 45.0))
    assert low < 0.0 < steep
    assert steep == pytest.approx(0.3, abs=0.05)  # tables of low houses, from memory


def test_wind_pressure() -> None:
    """Half rho U^2: 0.6 x 1.2 x 10^2 / 2 = 36 Pa."""
    assert airflow.wind_pressure(0.6, 10.0, 1.2) == pytest.approx(36.0)


def test_roughness_coefficient() -> None:
    """Open country at 10 m is the reference: C_R 1.0 (ISO 15927-3, EN 1991-1-4, from memory)."""
    assert airflow.roughness_coefficient(10.0, "open country") == pytest.approx(1.0, abs=0.01)
    assert airflow.local_wind_speed(7.0, 10.0, 10.0, "open country") == pytest.approx(7.0)
    heights = [airflow.roughness_coefficient(20.0, t) for t in ("sea", "open country", "suburb")]
    assert heights == sorted(heights, reverse=True)
    low, lowest = (airflow.roughness_coefficient(z, "suburb") for z in (2.0, 8.0))
    assert low == lowest == pytest.approx(0.722, abs=0.001)


def test_conversion_between_coefficient_and_leakage_area() -> None:
    """c = 0.051, n = 0.67, density 1.2 <-> 500.0 cm2 at 4 Pa."""
    coefficient = airflow.flow_coefficient(500e-4, 0.67)
    assert coefficient == pytest.approx(0.051, rel=2e-3)
    flow = airflow.power_law_flow(coefficient, 4.0, 0.67)
    assert airflow.leakage_area(float(flow)) == pytest.approx(500e-4)


def test_equivalent_area_is_larger_than_effective() -> None:
    """A2 = A1 (C1 / C2) (dp2 / dp1)^(n - 0.5), 10 Pa and 0.611 against 4 Pa and 1."""
    coefficient = airflow.flow_coefficient(500e-4, 0.67)
    flow = float(airflow.power_law_flow(coefficient, 10.0, 0.67))
    equivalent = airflow.leakage_area(flow, 10.0, 0.611)
    assert equivalent == pytest.approx(500e-4 / 0.611 * 2.5**0.17)


AIR = np.array([1.2])


def law(coefficient: float, exponent: float, pressure: object) -> tuple[object, object]:
    return airflow.mass_flow(coefficient, exponent, pressure, AIR, AIR)


def test_mass_flow_of_an_orifice() -> None:
    """C A sqrt(2 rho dp), of the air that enters: 1.3 kg/m3 inside, 1.1 outside; kg/s."""
    coefficient = airflow.flow_coefficient(0.01, 0.5, discharge=0.6)
    here, there = np.array([1.3]), np.array([1.1])
    out, _ = airflow.mass_flow(coefficient, 0.5, 10.0, here, there)
    back, _ = airflow.mass_flow(coefficient, 0.5, -10.0, here, there)
    assert out == pytest.approx(0.006 * np.sqrt(2 * 1.3 * 10.0), rel=1e-7)
    assert back == pytest.approx(-0.006 * np.sqrt(2 * 1.1 * 10.0), rel=1e-7)


def test_mass_flow_of_pores_is_that_of_a_volume() -> None:
    """n = 1: c dp m3/s of whatever density, since viscosity is held."""
    out, _ = airflow.mass_flow(0.01, 1.0, 10.0, np.array([1.3]), np.array([1.1]))
    assert out == pytest.approx(0.1 * 1.3, rel=1e-6)


def test_mass_flow_keeps_to_its_law_and_is_linear_below() -> None:
    """Within (1 - n) / 2 (1 mPa / dp)^2 of the power law; a finite slope where that has none."""
    pressure = np.array([0.02, 0.1, 1.0, 4.0, 50.0])
    flow, _ = law(0.05, 0.65, pressure)
    expected = 1.2 * 0.05 * pressure**0.65
    error = np.abs(flow / expected - 1.0)
    assert (error <= 0.18 * (1e-3 / pressure) ** 2 + 1e-15).all()
    nothing, slope = law(0.05, 0.65, 0.0)
    assert nothing == 0.0
    assert slope == pytest.approx(1.2 * 0.05 * 1e-3**-0.35)


@pytest.mark.parametrize("exponent", [0.5, 0.65, 1.0])
@pytest.mark.parametrize("densities", [(1.2, 1.2), (1.0, 1.5), (1.74, 1.0)])
def test_slope_of_mass_flow_is_its_derivative(
    exponent: float, densities: tuple[float, float]
) -> None:
    """Central differences, through zero and far from it; always rising."""
    size = np.array([1e-5, 3e-4, 1e-3, 4e-3, 0.1, 3.0, 70.0])
    pressure = np.concatenate((-size[::-1], [0.0], size))
    here, there = (np.array([each]) for each in densities)
    step = 1e-5 * np.hypot(pressure, 1e-3)
    ends = [
        airflow.mass_flow(0.03, exponent, pressure + sign * step, here, there)[0]
        for sign in (1.0, -1.0)
    ]
    flow, slope = airflow.mass_flow(0.03, exponent, pressure, here, there)
    np.testing.assert_allclose((ends[0] - ends[1]) / (2.0 * step), slope, rtol=1e-6)
    assert (slope > 0.0).all()
    assert (np.diff(flow) > 0.0).all()


def test_leak_flow_scales_from_its_test_pressure() -> None:
    """A power law through the test point: the same flow there, 2^0.65 at twice the pressure."""
    flow = airflow.leak_flow(0.2e-3, 75.0, 0.65, np.array([75.0, 150.0, -75.0, 0.0]))
    assert flow == pytest.approx([0.2e-3, 0.2e-3 * 2**0.65, -0.2e-3, 0.0])


def test_density() -> None:
    """1.204 kg/m3 at 20 degC and 101 325 Pa, dry (a trade figure met by the gas law)."""
    assert airflow.air_density(293.15, 101325.0) == pytest.approx(1.204, abs=5e-4)

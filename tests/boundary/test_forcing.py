"""Boundary rows: what reaches the two surfaces, against pvlib, standards and conservation."""

import dataclasses

import numpy as np
import pytest
from invented_weather import LEAK, assembly, case, greensboro, invented_climate

from assembly_sim.boundary import columns, forcing
from assembly_sim.boundary import drivers as hourly
from assembly_sim.boundary.leakage import leak_mass_flow, leak_pressure
from assembly_sim.errors import InputError
from assembly_sim.model import Climate
from assembly_sim.physics.constants import STEFAN_BOLTZMANN

OCTOBER = 273 * 24


@pytest.fixture(scope="module")
def real() -> Climate:
    return greensboro()


def annual_sun(climate: Climate, tilt: float, azimuth: float) -> float:
    """kWh/m2 a year on a black surface."""
    part = assembly(tilt, azimuth)
    rows = forcing.boundary_rows(case(climate, part), part)
    return hourly.hourly_drivers(rows, 1).sun.sum() / 1e3


@pytest.mark.parametrize(
    ("tilt", "azimuth", "expected"), [(90, 0, 445), (90, 180, 1141), (22.62, 180, 1756)]
)
def test_sun_of_a_real_year(real: Climate, tilt: float, azimuth: float, expected: float) -> None:
    """kWh/m2 at Greensboro, Perez-Driesse, albedo 0.2: regression values, within 2 %."""
    assert annual_sun(real, tilt, azimuth) == pytest.approx(expected, rel=0.02)


def test_level_sun_is_the_file_s_own(real: Climate) -> None:
    """1566 kWh/m2 of global radiation in the file arrives on a level surface."""
    assert annual_sun(real, 0, 0) == pytest.approx(real.global_horizontal.sum() / 1e3, rel=2e-3)


def test_sun_stands_in_the_middle_of_each_hour(real: Climate) -> None:
    """G - (D + B cos z) closes to some 1 W/m2 with the right label, 19 with half an hour off.

    The file's own three irradiances (TMY3) are the reference.
    """
    cosine = np.cos(np.radians(forcing.sun_position(real)["zenith"].to_numpy()))
    direct = real.direct_normal * np.maximum(cosine, 0.0)
    gap = real.global_horizontal - real.diffuse_horizontal - direct
    assert np.sqrt(np.mean(gap**2)) < 3.0


def test_sun_agrees_with_another_algorithm(real: Climate) -> None:
    """pvlib's implementation of NREL's solar position algorithm, within 0.05 degrees."""
    import pvlib

    ours = forcing.sun_position(real)
    theirs = pvlib.solarposition.get_solarposition(
        ours.index, real.latitude, real.longitude, real.elevation, method="nrel_numpy"
    )
    assert np.abs(ours["zenith"] - theirs["zenith"]).max() < 0.05


def test_east_and_west_are_alike_under_a_clear_sky() -> None:
    """A sky that is the same before and after solar noon lights both walls alike in the year.

    A label half an hour off would part them by some 20 %.
    """
    climate = invented_climate()
    cosine = np.cos(np.radians(forcing.sun_position(climate)["zenith"].to_numpy()))
    up = np.maximum(cosine, 0.0)
    level = 1098.0 * up * np.exp(-0.057 / np.maximum(up, 0.01))  # Haurwitz, as in pvlib
    climate = dataclasses.replace(
        climate,
        global_horizontal=level,
        diffuse_horizontal=0.2 * level,
        direct_normal=np.where(up > 0.05, 0.8 * level / np.maximum(up, 0.05), 0.0),
    )
    east, west = annual_sun(climate, 90, 90), annual_sun(climate, 90, 270)
    assert east == pytest.approx(west, rel=0.01)
    assert annual_sun(climate, 90, 180) > east > annual_sun(climate, 90, 0)


def test_hourly_means_of_sun_survive_the_half_hours(real: Climate) -> None:
    part = assembly(90, 90, solar_absorptance=0.6)
    rows = forcing.boundary_rows(case(real, part), part)
    mean = np.roll(0.6 * forcing.sun_on_surface(real, part), -OCTOBER)
    np.testing.assert_allclose(hourly.hourly_drivers(rows, 1).sun, mean, atol=1e-9)
    assert rows[:, columns.ABSORBED_SUN].min() >= 0.0


def test_impossible_irradiance_is_refused() -> None:
    sun = invented_climate().direct_normal.copy()
    sun[4000] = np.nan
    with pytest.raises(InputError, match="hour 4000"):
        annual_sun(invented_climate(direct_normal=sun), 90, 180)


@pytest.mark.parametrize("tilt", [0.0, 45.0, 90.0, 180.0])
def test_rows_are_whole_and_wrap(real: Climate, tilt: float) -> None:
    part = assembly(tilt, 200.0, leaked_rain_layer="board")
    rows = forcing.boundary_rows(case(real, part), part)
    assert rows.shape == (2 * 8760 + 1, columns.COLUMNS)
    assert np.isfinite(rows).all()
    np.testing.assert_array_equal(rows[-1], rows[0])


def test_rows_start_at_midnight_of_the_start_month() -> None:
    """Row 0 is the state at the end of September's last hour; row 2 that of October's first."""
    climate, part = invented_climate(), assembly()
    temperature = forcing.boundary_rows(case(climate, part), part)[:, columns.OUTDOOR_TEMPERATURE]
    assert temperature[0] == climate.temperature[OCTOBER - 1]
    assert temperature[2] == climate.temperature[OCTOBER]
    assert temperature[1] == pytest.approx(0.5 * (temperature[0] + temperature[2]))
    january = forcing.boundary_rows(case(climate, part, start_month=1), part)
    assert january[0, columns.OUTDOOR_TEMPERATURE] == climate.temperature[-1]


def test_leap_year_has_its_rows() -> None:
    part = assembly()
    rows = forcing.boundary_rows(case(invented_climate(8784), part), part)
    assert len(rows) == 2 * 8784 + 1


def test_wall_films() -> None:
    """1 / Rsi with 0.13 and 4 + 4 v outside (ISO 6946, from memory), v that of a suburb at 5 m."""
    climate, part = invented_climate(), assembly()
    rows = forcing.boundary_rows(case(climate, part), part)
    assert rows[:, columns.ROOM_HEAT_COEFFICIENT] == pytest.approx(1.0 / 0.13)
    reduced = (rows[:, columns.OUTDOOR_CONVECTION] - 4.0) / 4.0
    assert reduced[::2].max() == pytest.approx(0.722 / 1.007 * climate.wind_speed.max(), rel=2e-3)
    ratio = rows[:, columns.OUTDOOR_VAPOUR_FILM] / rows[:, columns.OUTDOOR_CONVECTION]
    assert ratio == pytest.approx(6.75e-9, rel=0.03)


def test_sheltered_surface_feels_only_the_air() -> None:
    """Long-wave absorbed balances what it emits at outdoor temperature; no sun, no rain."""
    climate, part = invented_climate(), assembly(0.0, sheltered=True, leaked_rain_layer="board")
    rows = forcing.boundary_rows(case(climate, part), part)
    air = rows[::2, columns.OUTDOOR_TEMPERATURE]
    absorbed = rows[::2, columns.ABSORBED_LONG_WAVE]
    np.testing.assert_allclose(absorbed, 0.9 * STEFAN_BOLTZMANN * air**4, rtol=1e-12)
    assert not rows[:, [columns.ABSORBED_SUN, columns.RAIN_ON_SURFACE, columns.RAIN_LEAKED]].any()
    assert rows[:, columns.OUTDOOR_CONVECTION] == pytest.approx(5.0)


def test_clear_nights_cool_a_roof_more_than_a_wall_and_clouds_less() -> None:
    def deficit(climate: Climate, tilt: float) -> float:
        part = assembly(tilt, emittance=1.0)
        rows = forcing.boundary_rows(case(climate, part), part)[:-1]
        air = STEFAN_BOLTZMANN * rows[:, columns.OUTDOOR_TEMPERATURE] ** 4
        return float((air - rows[:, columns.ABSORBED_LONG_WAVE]).mean())

    clear, overcast = (invented_climate(cloud_cover=np.full(8760, cover)) for cover in (0.0, 1.0))
    assert deficit(clear, 0) == pytest.approx(2.0 * deficit(clear, 90), rel=1e-9)
    assert 60.0 < deficit(clear, 0) < 130.0  # W/m2, usual in the trade, no source
    assert 0.0 < deficit(overcast, 0) < 0.2 * deficit(clear, 0)
    assert deficit(invented_climate(cloud_cover=None), 0) == pytest.approx(deficit(clear, 0))


def test_sky_follows_the_sun_s_clock() -> None:
    """Berdahl & Martin count hours from solar midnight: 01:00 where the sun is an hour late."""
    weather = {
        "temperature": np.full(8760, 285.0),
        "vapour_pressure": np.full(8760, 900.0),
        "pressure": np.full(8760, 1e5),
        "cloud_cover": None,
        "longitude": -90.0,
        "time_zone": -5.0,
    }
    part = assembly(0.0, emittance=1.0)
    rows = forcing.boundary_rows(case(invented_climate(**weather), part), part)
    longwave = rows[:48:2, columns.ABSORBED_LONG_WAVE]
    assert (longwave.argmax(), longwave.argmin()) == (1, 13)


def test_sky_longwave_of_the_file_is_used() -> None:
    """Hourly means of the file on a level black surface, unchanged."""
    sky = 300.0 + 40.0 * np.sin(np.arange(8760) / 20.0)
    part = assembly(0.0, emittance=1.0)
    rows = forcing.boundary_rows(case(invented_climate(sky_longwave=sky), part), part)
    column = rows[:, columns.ABSORBED_LONG_WAVE]
    hourly = 0.25 * (column[:-1:2] + 2.0 * column[1::2] + column[2::2])
    np.testing.assert_allclose(hourly, np.roll(sky, -OCTOBER), rtol=1e-12)


def test_rain_is_kept_and_split() -> None:
    """What falls on a level roof above freezing, 1 % of it past the cladding."""
    climate, part = invented_climate(), assembly(0.0, leaked_rain_layer="board")
    rows = forcing.boundary_rows(case(climate, part), part)[:-1]
    fallen = climate.rain[climate.temperature > 273.15].sum()
    struck = 1800.0 * rows[:, [columns.RAIN_ON_SURFACE, columns.RAIN_LEAKED]].sum(axis=0)
    assert struck == pytest.approx([0.99 * fallen, 0.01 * fallen])
    np.testing.assert_array_equal(
        rows[::2, columns.RAIN_ON_SURFACE], rows[1::2, columns.RAIN_ON_SURFACE]
    )
    whole = assembly(0.0)  # nowhere for leaked rain to go: all of it on the surface
    whole_rows = forcing.boundary_rows(case(climate, whole), whole)[:-1]
    assert 1800.0 * whole_rows[:, columns.RAIN_ON_SURFACE].sum() == pytest.approx(fallen)


def test_sheltered_walls_and_dry_files_have_no_rain() -> None:
    """An exposure of zero leaves a wall dry but for round-off; no rain column, none at all."""
    climate = invented_climate()
    exposed, sheltered = (assembly(rain_exposure=factor) for factor in (1.0, 0.0))
    assert forcing.surface_rain(climate, exposed).max() > 1e-5
    assert forcing.surface_rain(climate, sheltered).max() < 1e-15
    assert not forcing.surface_rain(invented_climate(rain=None), exposed).any()


def test_notes_say_what_was_assumed() -> None:
    part = assembly()

    def notes(**changes: object) -> str:
        return "\n".join(forcing.forcing_notes(case(invented_climate(**changes), part), part))

    assert "dew point, cloud" in notes()
    assert "count as snow" in notes()
    assert "no cloud in the file" in notes(cloud_cover=None)
    assert "has no rain" in notes(rain=None)
    assert "long-wave" not in notes(sky_longwave=np.full(8760, 300.0))
    sheltered = assembly(sheltered=True)
    assert "sheltered" in forcing.forcing_notes(case(invented_climate(), sheltered), sheltered)[0]


def test_leak_under_stack_alone() -> None:
    """Still air, -10 degC outdoors, 2.5 m above the neutral level: 3.37 Pa outward.

    Regression value computed from ASHRAE Fundamentals 2021, ch. 16; the power law through the
    test point then gives 0.2 (3.37 / 75)^0.65 L/(s m2) of room air at 1.204 kg/m3.
    """
    calm = invented_climate(
        wind_speed=np.zeros(8760),
        temperature=np.full(8760, 263.15),
        pressure=np.full(8760, 101325.0),
    )
    room = np.full(8760, 293.15)
    assert leak_pressure(calm, assembly(), LEAK, room) == pytest.approx(3.37, abs=0.01)
    flow = leak_mass_flow(calm, assembly(), room)
    assert flow == pytest.approx(1.204 * 0.2e-3 * (3.37 / 75.0) ** 0.65, rel=3e-3)
    below = dataclasses.replace(LEAK, height_above_neutral_level=-2.5)
    inward = leak_mass_flow(calm, assembly(leak=below), room)
    assert inward == pytest.approx(-flow * 293.15 / 263.15)  # denser outdoor air
    assert not leak_mass_flow(calm, assembly(leak=None), room).any()


def test_wind_pushes_in_on_the_windward_side_and_fans_out() -> None:
    room = np.full(8760, 293.15)
    storm = invented_climate(
        wind_speed=np.full(8760, 12.0),
        wind_direction=np.zeros(8760),
        temperature=np.full(8760, 293.15),
    )
    windward, leeward, roof = (
        leak_pressure(storm, assembly(tilt, azimuth), LEAK, room)
        for tilt, azimuth in ((90, 0), (90, 180), (0, 0))
    )
    assert windward.max() < 0.0 < leeward.min() < roof.min()
    assert not leak_pressure(storm, assembly(sheltered=True), LEAK, room).any()
    fan = dataclasses.replace(LEAK, fan_pressure=100.0)
    assert leak_pressure(storm, assembly(), fan, room) == pytest.approx(windward + 100.0)


def test_drivers_repeat_the_year() -> None:
    part = assembly()
    rows = forcing.boundary_rows(case(invented_climate(), part), part)
    drivers = hourly.hourly_drivers(rows, 3)
    for field in dataclasses.fields(drivers):
        values = getattr(drivers, field.name)
        assert values.shape == (3 * 8760,)
        np.testing.assert_array_equal(values[:8760], values[-8760:])
    assert drivers.outdoor_temperature[0] == rows[2, columns.OUTDOOR_TEMPERATURE]
    assert drivers.room_vapour_pressure[-1] == rows[-1, columns.ROOM_VAPOUR_PRESSURE]

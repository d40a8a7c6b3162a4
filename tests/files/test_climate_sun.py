"""Weather whose sun does not stand where its header says: refused with what would fit, or moved.

The sun's place is that of `physics/sun.py`, held against pvlib elsewhere. Years are real (pvlib's
TMY3) and invented; what is wrong with them is made here, so what would fit is known.
"""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from weather_texts import greensboro, read, refusal

from assembly_sim.errors import InputError
from assembly_sim.files.climate.csv import canonical_text
from assembly_sim.files.climate.read import find_climate, read_bytes
from assembly_sim.files.climate.sky import check_sky
from assembly_sim.files.climate.sun import (
    CLOSES,
    check_sun,
    closure,
    cosine_of_zenith,
    fitting_place,
)
from assembly_sim.model.climate import Climate
from assembly_sim.physics.moist_air import saturation_pressure

NAMES = ("cold_inland", "wet_mild_coast", "hot_humid", "greensboro", "sand point")
LINES = np.arange(8760) + 1


def written(climate):
    """The climate as a file of whole W/m2, read again."""
    return read_bytes(canonical_text(climate).encode(), "weather.file")


def said(climate):
    return str(refusal(canonical_text(climate)))


@cache
def year(latitude, longitude, time_zone, minutes=0.0):
    """Cloudless sun (made up, closing) `minutes` after the middle of each hour, at any place."""
    place = replace(greensboro(), latitude=latitude, longitude=longitude, time_zone=time_zone)
    height = np.maximum(cosine_of_zenith(place, minutes), 0.0)
    direct, diffuse = 950.0 * (1.0 - np.exp(-8.0 * height)), 90.0 * (1.0 - (1.0 - height) ** 2)
    return replace(
        place,
        direct_normal=direct,
        diffuse_horizontal=diffuse,
        global_horizontal=diffuse + direct * height,
    )


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("hours", [-12, -5, -3, -2, -1, 1, 2, 3, 6, 11])
def test_wrong_time_zone_is_refused_with_the_one_that_fits(name, hours):
    climate = read(name)
    zone = (climate.time_zone + hours + 12.0) % 24.0 - 12.0
    assert f"time zone {climate.time_zone:g}" in said(replace(climate, time_zone=zone))


@pytest.mark.parametrize("name", NAMES)
def test_lost_signs_are_refused_and_named(name):
    climate = read(name)
    south = said(replace(climate, latitude=-climate.latitude))
    assert f"latitude {climate.latitude:.4g} (the other hemisphere)" in south
    assert f"longitude {climate.longitude:.4g}" in said(
        replace(climate, longitude=-climate.longitude)
    )


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("degrees", [-10.0, 10.0])
def test_ten_degrees_of_latitude_are_refused(name, degrees):
    climate = read(name)
    text = said(replace(climate, latitude=climate.latitude + degrees))
    found = float(text.split("they fit latitude ")[1].split(" ")[0])
    assert found == pytest.approx(climate.latitude, abs=0.5)


def test_little_sun_at_a_wrong_hour_is_refused_by_what_fits_better():
    """Under thick cloud an hour's delay misses by less than the bound, and fits an hour off."""
    c = read("sand point")
    dull = replace(
        c,
        direct_normal=0.3 * c.direct_normal,
        global_horizontal=c.global_horizontal
        - 0.7 * c.direct_normal * np.maximum(cosine_of_zenith(c), 0.0),
    )
    assert closure(replace(dull, time_zone=-10.0)) < 12.0
    assert "time zone -9" in said(replace(dull, time_zone=-10.0))
    assert written(dull).latitude == c.latitude


@pytest.mark.parametrize("hours", [-2, -1, 1, 2])
def test_sun_delayed_by_whole_hours_is_refused(hours):
    c = greensboro()
    columns = ("global_horizontal", "direct_normal", "diffuse_horizontal")
    text = said(replace(c, **{name: np.roll(getattr(c, name), hours) for name in columns}))
    assert f"a sun {60 * abs(hours)} minutes {'earlier' if hours > 0 else 'later'}" in text
    assert ("hours that begin at the stamp" in text) == (hours == -1)


def test_turned_seasons_are_refused_and_right_on_the_other_side():
    """A year moved by half of itself belongs to the other hemisphere, and is sound there."""
    south = year(-36.0, 150.0, 10.0)
    assert closure(south) < 1e-9
    assert written(south).latitude == -36.0
    assert "latitude -36 (the other hemisphere)" in said(replace(south, latitude=36.0))


def test_columns_that_fit_no_place_are_refused_as_such():
    c = greensboro()
    swapped = replace(c, direct_normal=c.diffuse_horizontal, diffuse_horizontal=c.direct_normal)
    assert "fit no place or time of day" in said(swapped)


def test_place_is_found_in_closed_form_anywhere():
    generator = np.random.default_rng(11)
    for _ in range(20):
        latitude, longitude = generator.uniform(-65, 65), generator.uniform(-180, 180)
        zone, minutes = float(generator.integers(-12, 14)), generator.uniform(-360, 360)
        sun = year(latitude, longitude, zone, minutes)
        fit = fitting_place(replace(sun, latitude=generator.uniform(-60, 60)))
        assert fit.latitude == pytest.approx(latitude, abs=0.1)
        assert fit.delay == pytest.approx(minutes, abs=0.5)
        assert fit.rms < 1.0


@pytest.mark.parametrize("minutes", [-40.0, -20.0, 10.0, 30.0, 42.0])
def test_sun_sampled_minutes_off_is_moved_and_said(minutes):
    """Against the same sky sampled in the middle: what straight lines between samples leave."""
    truth = year(47.0, 8.5, 1.0)
    climate = written(year(47.0, 8.5, 1.0, minutes))
    assert closure(climate) < 0.01
    side = "after" if minutes > 0 else "before"
    (note,) = [one for one in climate.notes if "was moved to the middle" in one]
    assert f"{abs(minutes):.0f} minutes {side} the middle of each hour" in note
    for name in ("global_horizontal", "direct_normal"):
        off = getattr(climate, name) - getattr(truth, name)
        unmoved = getattr(year(47.0, 8.5, 1.0, minutes), name) - getattr(truth, name)
        assert np.sqrt(np.mean(off**2)) < 0.5 * np.sqrt(np.mean(unmoved**2))
        assert abs(off.sum()) < 0.01 * getattr(truth, name).sum()


def test_an_hour_is_too_far_to_be_moved():
    with pytest.raises(InputError, match="60 minutes later"):
        check_sun(year(47.0, 8.5, 1.0, 60.0))


def test_sound_sun_stays_as_it_is():
    for name in NAMES:
        climate = read(name)
        assert closure(climate) < CLOSES
        assert check_sun(climate)[0] is climate


@cache
def miami():
    """A third real year, in an older format of fixed columns, which comes with pvlib too."""
    path = Path(find_climate("greensboro")).with_name("12839.tm2")
    lines = path.read_text().splitlines()[1:8761]

    def column(first, last):
        return np.array([float(line[first:last]) for line in lines])

    temperature, dew = 273.15 + column(67, 71) / 10.0, 273.15 + column(73, 77) / 10.0
    return Climate(
        *("Miami", 25.8, -80.267, -5.0, 2.0, temperature, saturation_pressure(dew)),
        *(100.0 * column(84, 88), column(95, 98) / 10.0, np.radians(column(90, 93))),
        *(column(17, 21), column(23, 27), column(29, 33)),
    )


def test_instruments_that_err_each_for_itself_are_noted_and_not_refused():
    assert 8.0 < closure(miami()) < 9.0
    assert any("do not fit each other well" in note for note in written(miami()).notes)
    generator = np.random.default_rng(4)
    worse = greensboro().direct_normal * generator.normal(1.0, 0.045, 8760)
    noisy = replace(greensboro(), direct_normal=worse)
    assert 12.0 < closure(noisy) < 25.0
    assert any("do not fit each other well" in note for note in written(noisy).notes)


@pytest.mark.parametrize("hours", [-1, 1, 5])
def test_noisy_sun_at_a_wrong_place_is_refused_all_the_same(hours):
    assert "time zone -5" in said(replace(miami(), time_zone=-5.0 + hours))
    assert "other hemisphere" in said(replace(miami(), latitude=-25.8))


def test_a_single_hour_that_does_not_close_is_noted():
    beam = greensboro().direct_normal.copy()
    beam[4069] += 300.0  # a noon in June
    notes = written(replace(greensboro(), direct_normal=beam)).notes
    assert any("in 1 hours the three irradiances miss each other" in note for note in notes)


@pytest.mark.parametrize("hours", [[2], range(8760)])
def test_sun_at_night_is_refused(hours):
    c = greensboro()
    night = np.isin(np.arange(8760), hours) & (cosine_of_zenith(c) < -0.3)
    lit = {
        name: np.where(night, 70.0, getattr(c, name))
        for name in ("global_horizontal", "diffuse_horizontal")
    }
    assert closure(replace(c, **lit)) < CLOSES  # the three fit each other: another check tells
    assert "at night" in said(replace(c, **lit))


def test_filled_sun_ends_at_sunset():
    """Six blank hours around sunset and sunrise: a straight line would shine into the night."""
    lines = canonical_text(greensboro()).split("\n")
    first = next(i for i, line in enumerate(lines) if line.startswith("1,1,1,"))
    titles = lines[first - 1].split(",")
    for hour in (*range(4000, 4006), *range(180 * 24 + 2, 180 * 24 + 8)):
        cells = lines[first + hour].split(",")
        for name in ("global horizontal", "direct normal", "diffuse horizontal"):
            cells[titles.index(f"{name} W/m2")] = ""
        lines[first + hour] = ",".join(cells)
    climate = read_bytes("\n".join(lines).encode(), "")
    filled = climate.flags["global_horizontal"]
    assert filled.sum() == 12
    night = filled & (cosine_of_zenith(climate) < -0.2)
    assert night.any()
    assert climate.global_horizontal[night].max() == climate.direct_normal[night].max() == 0.0


def test_more_sun_than_any_sky_gives_is_refused_with_its_line():
    c = greensboro()
    morning = int(np.argmax(c.global_horizontal > 20.0))
    shone = c.global_horizontal.copy()
    shone[morning] += 700.0
    problem = refusal(
        canonical_text(replace(c, global_horizontal=shone, diffuse_horizontal=c.diffuse_horizontal))
    ).problems[0]
    assert "more than any sky gives" in problem.cause
    first = canonical_text(c)[: canonical_text(c).index("\n1,1,1,")].count("\n") + 2
    assert problem.line == first + morning


@pytest.mark.parametrize("month", [1, 7])
def test_month_without_sun_is_refused(month):
    c = greensboro()
    days = np.datetime64("2001-01-01") + np.arange(8760) // 24
    inside = days.astype("datetime64[M]").astype(int) % 12 == month - 1
    columns = ("global_horizontal", "direct_normal", "diffuse_horizontal")
    dark = replace(c, **{n: np.where(inside, 0.0, getattr(c, n)) for n in columns})
    name = {1: "January", 7: "July"}[month]
    assert f"no sun in {name}" in said(dark)
    dull = replace(c, **{n: np.where(inside, 0.2 * getattr(c, n), getattr(c, n)) for n in columns})
    assert any(f"thickest cloud lets through in {name}" in n for n in written(dull).notes)


def test_polar_night_is_no_month_without_sun():
    notes = check_sky(year(74.0, 20.0, 1.0), LINES)
    assert not any("less sun" in note for note in notes)

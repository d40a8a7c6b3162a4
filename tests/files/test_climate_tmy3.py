"""TMY3 files: pvlib's reader is the second opinion; each trap of the format has a test."""

import numpy as np
import pvlib
import pytest
from weather_texts import greensboro, read, refusal, text_of, with_cell, without_lines

from assembly_sim.files.climate.read import find_climate, read_bytes
from assembly_sim.files.climate.sun import closure
from assembly_sim.files.climate.tmy3 import rain_unit
from assembly_sim.physics.moist_air import saturation_pressure


@pytest.mark.parametrize("name", ["greensboro", "sand point"])
def test_agrees_with_pvlib_reader(name):
    frame, place = pvlib.iotools.read_tmy3(find_climate(name), coerce_year=2001, map_variables=True)
    climate = read(name)
    assert (climate.latitude, climate.longitude) == (place["latitude"], place["longitude"])
    assert (climate.time_zone, climate.elevation) == (place["TZ"], place["altitude"])
    pairs = {
        "temperature": frame["temp_air"] + 273.15,
        "pressure": frame["pressure"] * 100.0,
        "wind_speed": frame["wind_speed"],
        "wind_direction": np.radians(frame["wind_direction"]),
        "global_horizontal": frame["ghi"],
        "direct_normal": frame["dni"],
        "diffuse_horizontal": frame["dhi"],
        "cloud_cover": frame["OpqCld (tenths)"] / 10.0,
    }
    for field, expected in pairs.items():
        np.testing.assert_allclose(getattr(climate, field), expected.to_numpy(), rtol=1e-9)


def test_rows_end_their_hour():
    """pvlib stamps TMY3 rows at the end of the hour: row 0 is 01:00, and 24:00 closes the day."""
    frame, _ = pvlib.iotools.read_tmy3(find_climate("greensboro"), coerce_year=2001)
    assert frame.index[0].hour == 1
    assert frame.index[23].hour == 0
    assert frame.index[23].day == 2
    assert greensboro().temperature[23] == pytest.approx(frame.iloc[23]["temp_air"] + 273.15)


@pytest.mark.parametrize(("name", "limit"), [("greensboro", 2.0), ("sand point", 1.0)])
def test_three_irradiances_close_only_for_hours_that_end_at_the_stamp(name, limit):
    climate = read(name)
    assert closure(climate) < limit  # whole W/m2 in the file, and the sun moves within the hour
    assert closure(climate, 30.0) > 10.0 * closure(climate)
    assert closure(climate, 60.0) > 20.0 * closure(climate)


def test_rain_in_tenths_of_a_millimetre_is_recognised():
    """8345 "mm" in the file's column are 834 mm (values 3, 5, 8, 10, 13: hundredths of an inch)."""
    climate = greensboro()
    assert climate.rain.sum() == pytest.approx(834.5, abs=0.1)
    assert np.count_nonzero(climate.rain) == 358
    assert any("tenths of a millimetre" in note for note in climate.notes)


def test_rain_in_millimetres_is_left_alone():
    drizzle = np.zeros(8760)
    drizzle[:2000:4] = np.tile([1.0, 2.0, 4.0, 0.5, 7.0], 100)
    rain, notes = rain_unit(drizzle)
    assert rain is drizzle
    assert notes == ()


def test_rain_of_no_sensible_unit_is_not_used():
    rain, notes = rain_unit(np.tile([1.0, 2.0, 4.0, 7.0], 2190))
    assert rain is None
    assert "fits no unit" in notes[0]


def test_rain_that_is_mostly_missing_is_not_in_the_file():
    climate = read("sand point")
    assert climate.rain is None
    assert any("91 % of its hours are missing" in note for note in climate.notes)


def test_rain_summed_over_several_hours_is_not_used():
    header = text_of("greensboro").split("\n")[1].split(",")
    text = text_of("greensboro")
    wet = int(np.flatnonzero(greensboro().rain)[0]) + 3
    climate = read_bytes(
        with_cell(text, wet, header.index("Lprecip quantity (hr)"), "6").encode(), ""
    )
    assert climate.rain is None


def test_humidity_is_over_liquid_water_below_freezing():
    """The file's own RH fits its dew point over liquid water, not over ice (18 % off at -20)."""
    frame, _ = pvlib.iotools.read_tmy3(find_climate("greensboro"), map_variables=True)
    cold = frame["temp_air"].to_numpy() < -8.0
    climate = greensboro()
    humidity = climate.vapour_pressure / saturation_pressure(climate.temperature)
    error = humidity[cold] - frame["relative_humidity"].to_numpy()[cold] / 100.0
    assert cold.sum() > 20
    assert abs(error.mean()) < 0.01


def test_constant_pressure_and_missing_albedo_are_noted():
    assert any("pressure is 101200 Pa in every row" in note for note in read("sand point").notes)
    assert read("sand point").ground_albedo == pytest.approx(0.16, abs=0.01)
    assert greensboro().ground_albedo == 0.2
    assert any("albedo is not in the file" in note for note in greensboro().notes)


def test_missing_code_is_a_gap_filled_between_neighbours():
    text = text_of("greensboro")
    for line in (1000, 1001, 1002):
        text = with_cell(text, line, 31, "-9900")
    climate = read_bytes(text.encode(), "")
    expected = np.interp([1, 2, 3], [0, 4], greensboro().temperature[[996, 1000]])
    np.testing.assert_allclose(climate.temperature[997:1000], expected)
    assert climate.flags["temperature"].sum() == 3
    assert any("temperature: 3 missing hours filled" in note for note in climate.notes)


def test_missing_row_keeps_every_other_hour_in_place():
    climate = read_bytes(without_lines(text_of("greensboro"), 5000, 5001).encode(), "")
    same = np.ones(8760, dtype=bool)
    same[4997:4999] = False
    np.testing.assert_array_equal(climate.temperature[same], greensboro().temperature[same])
    assert climate.flags["temperature"].sum() == 2


def test_comma_in_a_quoted_station_name():
    text = text_of("sand point").replace('"SAND POINT"', '"SAND POINT, HARBOUR"', 1)
    assert read_bytes(text.encode(), "").name == "Sand Point, Harbour AK"


def test_gap_over_six_hours_is_refused_with_line_and_field():
    text = text_of("greensboro")
    for line in range(2000, 2008):
        text = with_cell(text, line, 46, "")
    problem = refusal(text).problems[0]
    assert problem.field == "wind speed"
    assert problem.line == 2000
    assert "8 hours missing" in problem.cause


def test_leap_year_of_8784_rows_keeps_29_february():
    """An actual leap year: 29 February stays where it is (pvlib moves it to 1 March)."""
    lines = text_of("greensboro").split("\n")
    year = [line[:6] + "2004" + line[10:] for line in lines[2:] if line]
    extra = ["02/29" + line[5:] for line in year[58 * 24 : 59 * 24]]
    text = "\n".join(lines[:2] + year[: 59 * 24] + extra + year[59 * 24 :])
    climate = read_bytes(text.encode(), "")
    assert (climate.hours, climate.year) == (8784, 2004)
    np.testing.assert_array_equal(
        climate.temperature[60 * 24 :], greensboro().temperature[59 * 24 :]
    )


def test_month_join_jump_is_noted():
    lines = text_of("greensboro").split("\n")
    assert any("where months join" in note for note in greensboro().notes)
    for index in range(2, 2 + 744):
        cells = lines[index].split(",")
        cells[31], cells[34] = str(float(cells[31]) + 12.0), cells[34]
        lines[index] = ",".join(cells)
    notes = read_bytes("\n".join(lines).encode(), "").notes
    assert any("at 1 January" in note or "at 1 February" in note for note in notes)

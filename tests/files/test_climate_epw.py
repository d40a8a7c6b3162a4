"""EPW files: the same weather as the TMY3 year they were made from, pvlib as second opinion."""

import io

import numpy as np
import pvlib
import pytest
from weather_texts import EPW_HEAD, epw, greensboro, refusal, with_cell

from assembly_sim.files.climate.read import read_bytes
from assembly_sim.physics.moist_air import saturation_pressure

FIRST = EPW_HEAD.count("\n") + 1  # line of the first hour


def edited(*edits: tuple[int, int, str]) -> str:
    text = epw()
    for line, field, value in edits:
        text = with_cell(text, line, field, value)
    return text


def read(text: str):
    return read_bytes(text.encode(), "example.epw")


def test_same_weather_as_the_year_it_was_made_from():
    climate, origin = read(epw()), greensboro()
    np.testing.assert_allclose(climate.temperature, origin.temperature, atol=0.051)
    np.testing.assert_allclose(climate.vapour_pressure, origin.vapour_pressure, rtol=0.01)
    np.testing.assert_allclose(climate.pressure, origin.pressure, atol=1.0)
    np.testing.assert_array_equal(climate.direct_normal, origin.direct_normal)
    assert (climate.time_zone, climate.elevation, climate.name[:14]) == (-5, 273, "Example, Field")


def test_pvlib_labels_the_start_and_we_the_end_of_the_hour():
    frame, _ = pvlib.iotools.read_epw(io.StringIO(epw().replace('"Example, Field"', "Example")))
    climate = read(epw())
    assert frame.index[0].hour == 0  # the hour that our row 0 ends at 01:00
    np.testing.assert_allclose(climate.temperature, frame["temp_air"] + 273.15)
    np.testing.assert_allclose(climate.global_horizontal, frame["ghi"])
    np.testing.assert_allclose(climate.pressure, frame["atmospheric_pressure"])
    np.testing.assert_allclose(climate.sky_longwave, frame["ghi_infrared"])


@pytest.mark.parametrize("column", ["rain", "snow_depth"])
def test_zero_all_year_is_not_in_the_file(column):
    climate = read(epw())
    assert getattr(climate, column) is None
    assert any(note.startswith(column.replace("_", " ")) for note in climate.notes)


def test_rain_is_kept_where_some_falls():
    climate = read(edited((FIRST + 100, 33, "4.2")))
    assert climate.rain is not None
    assert climate.rain[100] == 4.2


def test_rain_summed_over_hours_is_not_used():
    climate = read(edited((FIRST + 100, 33, "4.2"), (FIRST + 100, 34, "6")))
    assert climate.rain is None
    assert any("different numbers of hours" in note for note in climate.notes)


def test_sun_of_zero_all_year_is_refused():
    rows = [row.split(",") for row in epw().split("\n")[8:] if row]
    dark = EPW_HEAD + "\n".join(",".join([*row[:14], "0", *row[15:]]) for row in rows)
    assert "direct normal: no value" in str(refusal(dark))


@pytest.mark.parametrize(
    ("field", "code", "name"),
    [
        (6, "99.9", "temperature"),
        (6, "999", "temperature"),
        (9, "999999", "pressure"),
        (12, "9999", "sky_longwave"),
        (13, "9999", "global_horizontal"),
        (14, "9999", "direct_normal"),
        (15, "9999", "diffuse_horizontal"),
        (21, "999", "wind_speed"),
        (23, "99", "cloud_cover"),
    ],
)
def test_missing_codes_are_gaps(field, code, name):
    climate = read(edited((FIRST + 500, field, code)))
    assert np.flatnonzero(climate.flags[name]).tolist() == [500]
    near = getattr(climate, name)[[499, 501]]
    assert near.min() - 1e-9 <= getattr(climate, name)[500] <= near.max() + 1e-9


def test_missing_wind_direction_is_filled_the_short_way_through_north():
    climate = read(
        edited((FIRST + 499, 20, "350"), (FIRST + 500, 20, "999"), (FIRST + 501, 20, "10"))
    )
    assert np.sin(climate.wind_direction[500]) == pytest.approx(0.0, abs=1e-9)
    assert np.cos(climate.wind_direction[500]) == pytest.approx(1.0)


def test_missing_dew_point_comes_from_the_humidity_over_liquid_water():
    cold = int(np.argmin(greensboro().temperature))
    climate = read(edited((FIRST + cold, 7, "99.9"), (FIRST + cold, 8, "60")))
    expected = 0.60 * saturation_pressure(climate.temperature[cold])
    assert climate.vapour_pressure[cold] == pytest.approx(float(expected), rel=1e-9)


def test_sky_longwave_of_zero_is_not_in_the_file():
    lines = epw().split("\n")
    rows = [",".join(r.split(",")[:12] + ["0"] + r.split(",")[13:]) for r in lines[8:] if r]
    assert read("\n".join(lines[:8] + rows)).sky_longwave is None


def test_ground_temperatures_are_kept_as_a_note():
    assert any(
        "ground temperature at .5 m" in note and "22.9" in note for note in read(epw()).notes
    )


def test_albedo_of_zero_is_the_default():
    assert read(epw()).ground_albedo == 0.2
    rows = [row.split(",") for row in epw().split("\n")[8:] if row]
    snowy = EPW_HEAD + "\n".join(",".join([*row[:32], "0.3", *row[33:]]) for row in rows)
    assert read(snowy).ground_albedo == pytest.approx(0.3)


def test_actual_year_is_kept():
    assert read(epw()).year == 1990


def test_rows_of_32_fields_are_read():
    lines = epw().split("\n")
    text = "\n".join(lines[:8] + [",".join(row.split(",")[:32]) for row in lines[8:] if row])
    assert read(text).rain is None


def test_header_that_is_not_utf8_is_read():
    climate = read_bytes(epw().replace("Example, Field", "Côte").encode("latin-1"), "x.epw")
    assert climate.name.startswith("Côte")
    assert any("Latin-1" in note for note in climate.notes)


def test_half_hourly_files_are_refused():
    text = epw().replace("DATA PERIODS,1,1", "DATA PERIODS,1,2")
    assert refusal(text).problems[0].line == 8


def test_radiation_labelled_at_the_start_of_the_hour_is_refused():
    """Three columns moved up by one row: hours that begin at the stamp."""
    rows = [row.split(",") for row in epw().split("\n")[8:] if row]
    moved = [row[:13] + rows[(i + 1) % 8760][13:16] + row[16:] for i, row in enumerate(rows)]
    problem = refusal(EPW_HEAD + "\n".join(",".join(row) for row in moved)).problems[0]
    assert problem.field == "radiation"
    assert "begin at the stamp" in problem.cause

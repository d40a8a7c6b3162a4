"""The canonical file: written whole, read back as it was, refused where it is not clear."""

import numpy as np
import pytest
from weather_texts import canonical, greensboro, refusal

from assembly_sim.errors import InputError
from assembly_sim.files.climate.read import find_climate, read_bytes, write_canonical
from assembly_sim.physics.moist_air import saturation_pressure

FIELDS = {
    "temperature": 0.005,
    "vapour_pressure": 1.5,  # 0.005 K of dew point at 25 degC
    "pressure": 0.5,
    "wind_speed": 0.05,
    "wind_direction": 0.009,
    "global_horizontal": 0.5,
    "direct_normal": 0.5,
    "diffuse_horizontal": 0.5,
    "cloud_cover": 0.005,
    "rain": 0.005,
}


def test_round_trip_within_the_digits_written(tmp_path):
    path = tmp_path / "year.csv"
    write_canonical(greensboro(), path)
    back = read_bytes(path.read_bytes(), "")
    for name, half_digit in FIELDS.items():
        difference = np.abs(getattr(back, name) - getattr(greensboro(), name))
        assert difference.max() <= half_digit * 1.001, name
    assert back.sky_longwave is None
    assert (back.latitude, back.time_zone, back.name) == (36.1, -5.0, greensboro().name)
    assert path.stat().st_size < 700_000
    assert [p.name for p in tmp_path.iterdir()] == ["year.csv"]


def test_second_writing_changes_nothing(tmp_path):
    first, second = tmp_path / "1.csv", tmp_path / "2.csv"
    write_canonical(read_bytes(canonical().encode(), ""), first)
    write_canonical(read_bytes(first.read_bytes(), ""), second)
    assert first.read_text().split("month,")[1] == second.read_text().split("month,")[1]


def test_humidity_may_stand_for_the_dew_point():
    head, rows = canonical().split("month,", 1)
    titles, *lines = ("month," + rows).rstrip().split("\n")
    place = titles.split(",").index("dew point degC")
    cells = [line.split(",") for line in lines]
    for row in cells:
        row[place] = "50"
    titles = titles.replace("dew point degC", "relative humidity %")
    climate = read_bytes((head + "\n".join([titles, *map(",".join, cells)])).encode(), "")
    expected = 0.5 * saturation_pressure(climate.temperature)
    np.testing.assert_allclose(climate.vapour_pressure, expected)


def test_blank_optional_column_is_not_in_the_file_but_zero_is_no_rain():
    head, rows = canonical().split("month,", 1)
    titles, *lines = ("month," + rows).rstrip().split("\n")
    place = titles.split(",").index("rain mm")

    def with_rain(value):
        cells = [line.split(",") for line in lines]
        text = [",".join([*row[:place], value, *row[place + 1 :]]) for row in cells]
        return read_bytes((head + "\n".join([titles, *text])).encode(), "")

    assert with_rain("").rain is None
    assert with_rain("0").rain.max() == 0.0


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("climate 1", "climate 2", "is not known"),
        ("# latitude:", "# lattitude:", "did you mean 'latitude'"),
        ("# elevation: 273\n", "", "elevation: not in the header"),
        ("# latitude: 36.1", "# latitude: 361", "out of range"),
        ("# latitude: 36.1", "# latitude: 36,1", "'36,1' is not a number"),
        ("# latitude: 36.1", "# latitude: 36.1\n# latitude: 36.1", "stands twice"),
        ("# name:", "# year: 2004\n# name:", "without 29 February"),
        ("rain mm", "rain in", "did you mean 'rain mm'"),
        ("wind speed m/s,", "", "no column 'wind speed m/s'"),
        ("wind speed m/s", "pressure Pa", "no column 'wind speed m/s'"),
    ],
)
def test_header_that_is_not_clear_is_refused(old, new, words):
    assert old in canonical()
    assert words in str(refusal(canonical().replace(old, new, 1)))


def test_writing_into_no_folder_is_an_input_error(tmp_path):
    with pytest.raises(InputError, match="cannot be written"):
        write_canonical(greensboro(), tmp_path / "none" / "x.csv")


def test_find_climate_knows_names_and_paths(tmp_path):
    assert find_climate("cold_inland").name == "cold_inland.csv"
    assert find_climate("Greensboro").name == "723170TYA.CSV"
    (tmp_path / "mine.epw").write_text("x")
    assert find_climate("mine.epw", tmp_path) == tmp_path / "mine.epw"
    for name in ("", "nowhere", "../climates/cold_inland", "a\0b"):
        with pytest.raises(InputError, match="cold_inland"):
            find_climate(name, tmp_path)

"""Weather files as vendors and spreadsheets leave them: read with a note, or refused by the row."""

import os
import re
import subprocess
import sys

import numpy as np
import pytest
from test_climate_doubt import with_column
from weather_texts import EPW_HEAD, canonical, epw, greensboro, refusal, text_of, with_cell

from assembly_sim.errors import InputError
from assembly_sim.files.climate import read as climates
from assembly_sim.files.climate.read import find_climate, read_bytes, read_climate

TMY3 = "greensboro"


def read(text, file="vendor.csv"):
    return read_bytes(text.encode(), file)


def noted(climate, words):
    return any(words in note for note in climate.notes)


@pytest.mark.parametrize("make", [lambda: text_of(TMY3), epw, canonical])
def test_header_lines_padded_with_commas_are_read(make):
    """A spreadsheet saves every line as wide as the widest."""
    lines = make().split("\n")
    head = next(i for i, line in enumerate(lines) if len(line.split(",")) > 12 and i > 0)
    padded = "\n".join([line + "," * 40 for line in lines[:head]] + lines[head:])
    np.testing.assert_array_equal(read(padded).temperature, read(make()).temperature)
    assert read(padded).name == read(make()).name


@pytest.mark.parametrize(
    ("title", "typed"),
    [
        ("Dry-bulb (C)", "Dry bulb (C)"),
        ("Dry-bulb (C)", "Dry-blub (c)"),
        ("Pressure (mbar)", "Presure (mbar)"),
        ("Wdir (degrees)", "WDir (degrees)"),
        ("Date (MM/DD/YYYY)", "Date(MM/DD/YYYY)"),
        ("DNI (W/m^2)", "DNI  (W/m^2)"),
    ],
)
def test_typing_error_in_a_heading_is_read_and_said(title, typed):
    climate = read(text_of(TMY3).replace(title, typed, 1))
    np.testing.assert_array_equal(climate.temperature, greensboro().temperature)
    assert noted(climate, f"is read as '{title}'") or title.startswith("Date")


@pytest.mark.parametrize(
    ("title", "typed", "words"),
    [
        ("Wspd (m/s)", "Wspd (km/h)", "another unit"),
        ("Dry-bulb (C)", "Dry-bulb (F)", "another unit"),
        ("Dry-bulb (C)", "Column 32", "column not in the file"),
    ],
)
def test_another_unit_or_column_is_no_typing_error(title, typed, words):
    assert words in str(refusal(text_of(TMY3).replace(title, typed, 1)))


def test_typing_error_in_an_epw_header_line_is_read_and_said():
    for right, typed in (("DESIGN CONDITIONS", "DESIGN CONDITION"), ("LOCATION", "LOCATON")):
        climate = read(epw().replace(right, typed, 1))
        assert noted(climate, f"'{typed}' is read as '{right}'")


def midnight_next_day(text):
    """TMY3 stamps with 24:00 as 00:00 of the day after."""

    def moved(found):
        day = np.datetime64(f"2001-{found[1]}-{found[2]}") + 1
        return f"{str(day)[5:7]}/{str(day)[8:]}/{found[3]},00:00"

    return re.sub(r"(?m)^(\d\d)/(\d\d)/(\d{4}),24:00", moved, text)


def test_midnight_as_the_start_of_the_next_day_is_read_and_said():
    climate = read(midnight_next_day(text_of(TMY3)))
    np.testing.assert_array_equal(climate.temperature, greensboro().temperature)
    assert noted(climate, "is read as 24:00")


def test_hours_0_to_23_are_not_taken_for_it():
    text = re.sub(
        r"(?m)^(\d\d/\d\d/\d{4}),(\d\d):", lambda m: f"{m[1]},{int(m[2]) - 1:02d}:", text_of(TMY3)
    )
    assert "start of its hour" in str(refusal(text))


def test_blank_pressure_is_that_of_the_altitude_and_said():
    climate = read(with_column("pressure", lambda v: [""] * 8760))
    assert noted(climate, "pressure is blank in every hour: there it is that of the altitude")
    assert np.ptp(climate.pressure) == 0.0
    assert climate.pressure[0] == pytest.approx(greensboro().pressure.mean(), rel=0.02)
    some = read(
        with_column(
            "pressure", lambda v: ["" if 100 <= i < 150 else f"{p}" for i, p in enumerate(v)]
        )
    )
    assert noted(some, "pressure is blank in 50 hours")
    assert np.ptp(some.pressure[100:150]) == 0.0
    assert np.ptp(some.pressure) > 1000.0


def test_blank_wind_direction_leaves_rain_out_rather_than_guess_a_wall():
    climate = read(with_column("direction", lambda v: [""] * 8760))
    assert noted(climate, "wind direction is not in the file")
    assert noted(climate, "rain is not usable: without wind direction")
    assert climate.rain is None
    assert np.ptp(climate.wind_speed) > 5.0


def test_blank_wind_direction_in_calms_is_nothing():
    calm = (np.arange(8760) >= 50) & (np.arange(8760) < 80)
    text = with_column("wind", lambda v: np.where(calm, 0.0, v))
    text = with_column("direction", lambda v: ["" if c else f"{x}" for c, x in zip(calm, v)], text)
    climate = read(text)
    assert noted(climate, "blank in 30 hours of calm")
    assert climate.rain is not None


def codes(text):
    """The EPW year with nine-digit weather codes, as most files have them."""
    rows = [row.split(",") for row in text.split("\n")[8:] if row]
    return EPW_HEAD + "\n".join(",".join([*row[:27], "999999999", *row[28:]]) for row in rows)


@pytest.mark.parametrize("field", [4, 7, 10, 13, 15, 17, 19, 21, 24, 26])
@pytest.mark.parametrize("rows", [range(3000, 3001), range(8760)])
def test_epw_row_that_lacks_a_field_is_refused(field, rows):
    """One row, its width kept by a comma at the end, or all rows of a file one field narrower."""
    lines = codes(epw()).split("\n")
    for row in rows:
        cells = lines[8 + row].split(",")
        del cells[field]
        lines[8 + row] = ",".join([*cells, ""] if len(rows) == 1 else cells)
    problem = refusal("\n".join(lines)).problems[0]
    assert problem.line == 9 + rows[0]
    assert "a field is missing" in problem.cause


def test_epw_rain_that_is_its_hours_is_not_used():
    text = with_cell(epw(), 109, 33, "1")
    assert noted(read(text), "rain is not usable: it holds 0 and 1 only")


def test_shipped_names_are_read_from_python_by_name():
    assert read_climate("cold_inland").name == "Alder Fork (invented)"
    assert read_climate("greensboro").latitude == 36.1
    with pytest.raises(InputError, match="no such climate"):
        read_climate("nowhere")


HUGE = "1" * 400


@pytest.mark.parametrize(
    "make",
    [
        lambda: with_cell(text_of(TMY3), 500, 31, HUGE),
        lambda: with_cell(text_of(TMY3), 500, 1, f"{HUGE}:00"),
        lambda: with_cell(text_of(TMY3), 500, 0, f"01/{HUGE}/1990"),
        lambda: with_cell(text_of(TMY3), 1, 4, HUGE),
        lambda: with_cell(epw(), 500, 3, HUGE),
        lambda: with_cell(epw(), 500, 0, HUGE),
        lambda: with_cell(epw(), 1, 9, HUGE),
        lambda: with_cell(epw(), 500, 6, "9" * 400),
        lambda: canonical().replace("# latitude: 36.1", f"# latitude: {HUGE}"),
        lambda: canonical().replace("temperature degC", HUGE),
        lambda: canonical().replace("# latitude", f"# {HUGE}"),
        lambda: "secret " * 100,
    ],
)
def test_endless_numbers_are_refused_and_a_message_quotes_few_characters(make):
    """A case may name any file of the user's: what an error shows of it is a glimpse."""
    text = make()
    try:
        error = str(refusal(text))
    except AssertionError:  # the year of one row only: it says nothing and harms nothing
        assert text.split("\n")[499].startswith(HUGE)
        return
    assert len(error) < 350
    assert "1" * 25 not in error
    assert error.count("secret") <= 3


@pytest.mark.parametrize("make", [lambda: text_of(TMY3), epw, canonical])
def test_other_separators_are_named(make):
    assert "not separated by commas" in str(refusal(make().replace(",", ";")))


def test_pipe_device_and_large_file_are_refused_without_waiting(tmp_path, monkeypatch):
    pipe = tmp_path / "pipe.csv"
    os.mkfifo(pipe)
    for path in (pipe, "/dev/zero"):
        with pytest.raises(InputError, match="pipe or a device"):
            read_climate(path if path == pipe else type(pipe)(path))
    monkeypatch.setattr(climates, "LARGEST_FILE", 1000)
    with pytest.raises(InputError, match="too large"):
        read_climate(find_climate("cold_inland"))


@pytest.mark.parametrize("name", ["~nosuchuser/x.csv", "x" * 5000, "a\0b", "\udcff.csv"])
def test_names_that_no_system_takes_are_refused(name):
    with pytest.raises(InputError):
        find_climate(name)


def test_file_whose_name_is_not_utf8_is_read(tmp_path):
    path = os.fsdecode(os.fsencode(tmp_path) + b"/caf\xe9.csv")
    with open(path, "w", encoding="utf-8") as file:
        file.write(canonical())
    script = (
        "import sys; from pathlib import Path; import assembly_sim.files.climate.read as climates;"
        "print(climates.read_climate(Path(sys.argv[1])).hours)"
    )
    done = subprocess.run([sys.executable, "-c", script, path], capture_output=True, text=True)
    assert done.stdout.strip() == "8760", done.stderr

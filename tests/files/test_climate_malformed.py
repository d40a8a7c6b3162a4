"""Weather files that are cut, shifted, mistyped or not weather at all: each refused with a reason.

Every message must name the file, and the line where there is one, and be free of tracebacks and
of other libraries' words.
"""

import numpy as np
import pytest
from weather_texts import canonical, epw, refusal, text_of, with_cell, without_lines

from assembly_sim.errors import InputError
from assembly_sim.files.climate.read import read_bytes, read_climate
from assembly_sim.physics.moist_air import saturation_pressure

TEXTS = {
    "tmy3": lambda: text_of("greensboro"),
    "epw": epw,
    "canonical": canonical,
}
HEADER = {"tmy3": 2, "epw": 8}
TEMPERATURE = {"tmy3": 31, "epw": 6, "canonical": 3}
PRESSURE = {"tmy3": 40, "epw": 9, "canonical": 5}


def header_of(kind):
    lines = TEXTS[kind]().split("\n")
    return HEADER.get(kind) or next(i for i, t in enumerate(lines) if t.startswith("month")) + 1


def cut_at_share(share):
    return lambda kind, text: text[: int(len(text) * share)]


def lines_only(count):
    return lambda kind, text: "\n".join(text.split("\n")[:count])


def cell(row, field, value):
    return lambda kind, text: with_cell(text, header_of(kind) + row, field[kind], value)


def all_temperatures(value):
    def damage(kind, text):
        lines = text.rstrip().split("\n")
        head = header_of(kind)
        rows = [line.split(",") for line in lines[head:]]
        for row in rows:
            row[TEMPERATURE[kind]] = value
        return "\n".join(lines[:head] + [",".join(row) for row in rows])

    return damage


def swap_rows(kind, text):
    lines = text.split("\n")
    lines[3000], lines[3001] = lines[3001], lines[3000]
    return "\n".join(lines)


def repeat_row(kind, text):
    lines = text.split("\n")
    return "\n".join(lines[:3000] + [lines[2999]] + lines[3000:])


DAMAGES = {
    "cut in the header": lines_only(1),
    "no rows": lambda kind, text: "\n".join(text.split("\n")[: header_of(kind)]),
    "cut within a row": cut_at_share(0.37),
    "cut near the end": cut_at_share(0.9999),
    "cut after half": lines_only(4000),
    "last day missing": lambda kind, text: "\n".join(text.rstrip().split("\n")[:-24]),
    "first day missing": lambda kind, text: without_lines(
        text, header_of(kind) + 1, header_of(kind) + 24
    ),
    "a day missing": lambda kind, text: without_lines(text, 3001, 3024),
    "rows swapped": swap_rows,
    "row twice": repeat_row,
    "row with a field more": lambda kind, text: text.replace("\n", ",1\n", 3000).replace(
        ",1\n", "\n", 2999
    ),
    "blank line": lambda kind, text: "\n".join(
        [*text.split("\n")[:500], "", *text.split("\n")[500:]]
    ),
    "word for a number": cell(400, TEMPERATURE, "cold"),
    "decimal comma": cell(400, TEMPERATURE, "3;5"),
    "huge number": cell(400, TEMPERATURE, "1e300"),
    "infinite": cell(400, TEMPERATURE, "inf"),
    "kelvin": cell(400, TEMPERATURE, "-273"),
    "pressure of nothing": cell(400, PRESSURE, "0"),
    "negative pressure": cell(400, PRESSURE, "-5"),
    "NaN everywhere": all_temperatures("NaN"),
    "blank everywhere": all_temperatures(""),
}


@pytest.mark.parametrize("damage", DAMAGES)
@pytest.mark.parametrize("kind", TEXTS)
def test_damaged_file_is_refused_with_a_reason(kind, damage):
    text = DAMAGES[damage](kind, TEXTS[kind]())
    assert text != TEXTS[kind]()
    error = refusal(text)
    assert all(problem.file == "weather.file" and problem.cause for problem in error.problems)
    for word in ("Traceback", "pandas", "dtype", "Error", "nan "):
        assert word not in str(error)


@pytest.mark.parametrize("kind", TEXTS)
def test_bad_cell_is_named_by_line_and_field(kind):
    problem = refusal(cell(400, TEMPERATURE, "cold")(kind, TEXTS[kind]())).problems[0]
    assert problem.line == header_of(kind) + 400
    assert problem.field == "temperature"
    assert "'cold' is not a number" in problem.cause


@pytest.mark.parametrize("kind", TEXTS)
def test_value_out_of_range_is_named_by_line(kind):
    problem = refusal(cell(777, TEMPERATURE, "88")(kind, TEXTS[kind]())).problems[0]
    assert problem.line == header_of(kind) + 777
    assert "88 degC is outside" in problem.cause


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"\n \n", "empty"),
        (b"\x89PNG\r\n\x1a\n\0\0\0", "not plain text"),
        ("month,day".encode("utf-16"), "not plain text"),
        (b"\xff\xfe\xfa\xc3\x28", "no weather file"),
        (b"hello", "no weather file"),
        (b"{}", "no weather file"),
        (b"LOCATION,", "DESIGN CONDITIONS"),
        (b"# assembly_sim climate 99", "is not known"),
        (b"1,2,3\nDate (MM/DD/YYYY),Time (HH:MM)", "fields, not 7"),
        (b'1,"A",NC,-5,x,-79,2\nDate (MM/DD/YYYY),Time (HH:MM)', "'x' is not a number"),
        (b'1,"A",NC,-5,36,-179.95,99999\nDate (MM/DD/YYYY)', "out of range"),
        (b'1,"A",NC,-5,36,-79,2\nDate (MM/DD/YYYY),Time (HH:MM)', "column not in the file"),
    ],
)
def test_what_is_no_weather_file_is_refused(data, words):
    assert words in str(refusal(data))


NO_HOURS = (
    "13/01/1990,01:00",
    "01/32/1990,01:00",
    "01/01/1990,25:00",
    "01/01/1990,00:00",
    "01/01/1990,01:30",
    "1 Jan 1990,01:00",
)


@pytest.mark.parametrize("stamp", NO_HOURS)
def test_hour_that_does_not_exist_is_refused(stamp):
    lines = text_of("greensboro").split("\n")
    lines[2] = stamp + lines[2][16:]
    assert refusal("\n".join(lines)).problems[0].line == 3


def test_folder_and_missing_file_are_refused(tmp_path):
    with pytest.raises(InputError, match="this is a folder"):
        read_climate(tmp_path)
    with pytest.raises(InputError, match="cannot be read"):
        read_climate(tmp_path / "none.csv")


def test_dew_point_far_above_the_temperature_is_refused_and_a_little_is_limited():
    lines = canonical().split("\n")
    line = header_of("canonical") + 50
    temperature = float(lines[line - 1].split(",")[3])
    problem = refusal(with_cell(canonical(), line, 4, str(temperature + 9))).problems[0]
    assert (problem.line, problem.field) == (line, "dew point")
    climate = read_bytes(with_cell(canonical(), line, 4, str(temperature + 1)).encode(), "")
    saturated = saturation_pressure(climate.temperature[49])
    assert climate.vapour_pressure[49] == pytest.approx(float(saturated))
    assert np.flatnonzero(climate.flags["vapour_pressure"]).tolist() == [49]


@pytest.mark.parametrize("kind", TEXTS)
def test_random_damage_never_ends_in_anything_but_a_reason(kind):
    """Characters changed, dropped or added at seeded places: read with sense, or refused."""
    generator = np.random.default_rng(3)
    refused = 0
    for _ in range(12):
        damaged = bytearray(TEXTS[kind]().encode())
        for place in generator.integers(0, 3000, 3):
            new = generator.choice(list(b'0123456789.,-"#:/eE_ \xff'), int(generator.integers(3)))
            damaged[place : place + int(generator.integers(4))] = bytes(new.astype("u1"))
        try:
            climate = read_bytes(bytes(damaged), "weather.file")
        except InputError:
            refused += 1
        else:
            assert np.isfinite(climate.temperature).all()
            assert np.isfinite(climate.vapour_pressure).all()
    assert refused > 4

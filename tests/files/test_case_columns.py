"""Columns of a room from a logger's table: stood at their time stamps, in the unit they tell.

Expected values are those of a known course of the year, evaluated at the hours' ends.
"""

import os
from datetime import datetime, timedelta

import numpy as np
import pytest
from case_texts import SOUND, problems

from assembly_sim.files.case.read import read_case
from assembly_sim.files.climate.logger_heading import name_and_unit

ENDS = np.arange(1, 8761)  # hours from midnight of 1 January


def course(hours):
    """degC at hours from 1 January: a year and a day, so that any shift shows."""
    year = 20.0 - 4.0 * np.cos(2.0 * np.pi * (np.asarray(hours) - 400.0) / 8760.0)
    return year + 1.5 * np.sin(2.0 * np.pi * np.asarray(hours) / 24.0)


def stamped(first, step, count, form="%Y-%m-%d %H:%M", value=course):
    """Rows `stamp,value` from a moment, every `step` minutes, of a year without 29 February."""
    rows = []
    for i in range(count):
        moment = first + timedelta(minutes=step * i)
        since = moment - datetime(moment.year, 1, 1)
        rows.append(f"{moment.strftime(form)},{value(since.total_seconds() / 3600.0):.4f}")
    return rows


OCTOBER = datetime(2022, 10, 1)


def room(tmp_path, rows, heading="time,temp (degC)", column="temp", unit=None, encoding="utf-8"):
    """The room's temperature of a case with this table beside it, degC, and what is assumed."""
    text = "\n".join([heading, *rows]) if isinstance(rows, list) else rows
    (tmp_path / "log.csv").write_bytes(text.encode(encoding))
    return built(tmp_path, column, unit)


def built(tmp_path, column="temp", unit=None):
    (tmp_path / "case.toml").write_text(case_text(column, unit))
    case = read_case(tmp_path / "case.toml")
    return np.array(case.room.temperature.values) - 273.15, " ".join(case.unstated)


def case_text(column="temp", unit=None, entry="temperature", file="log.csv"):
    tail = f', unit = "{unit}"' if unit else ""
    rule = f'{entry} = {{ file = "{file}", column = "{column}"{tail} }}'
    old = {"temperature": '\ntemperature = "20 degC"', "humidity": '\nhumidity = "40 %"'}[entry]
    assert SOUND.count(old) == 1
    return SOUND.replace(old, f"\n{rule}")


def refused(tmp_path, rows, heading="time,temp (degC)", column="temp", unit=None):
    text = "\n".join([heading, *rows]) if isinstance(rows, list) else rows
    (tmp_path / "log.csv").write_bytes(text.encode() if isinstance(text, str) else text)
    (found,) = problems(case_text(column, unit), tmp_path)
    return found


@pytest.mark.parametrize(
    "form",
    ["%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M:%S", "%m/%d/%Y %H:%M", "%d/%m/%Y %H:%M", "%d.%m.%Y %H:%M",
     "%m/%d/%y %I:%M:%S %p", "%Y-%m-%d %H:%M:%S-06:00"],
)  # fmt: skip
def test_a_log_from_october_is_october(form, tmp_path):
    values, said = room(tmp_path, stamped(OCTOBER, 60, 8760, form))
    np.testing.assert_allclose(values, course(ENDS), atol=1e-4)
    assert "1 October 2022 to 30 September 2023" in said


def test_stamps_that_tell_their_distance_from_utc_are_moved_to_the_weather(tmp_path):
    """The weather of the case is 6 h behind UTC; the log's clock is UTC's."""
    values, _ = room(tmp_path, stamped(OCTOBER, 60, 8760, "%Y-%m-%dT%H:%MZ"))
    np.testing.assert_allclose(values, course(ENDS + 6.0), atol=0.02)


def test_without_stamps_the_first_row_is_january_and_that_is_said(tmp_path):
    rows = [row.split(",")[1] for row in stamped(OCTOBER, 60, 8760)]
    values, said = room(tmp_path, rows, "temp (degC)")
    assert values[0] == pytest.approx(course(273 * 24), abs=1e-4)
    assert "first row counts as the first hour of January" in said
    numbered = [f"{i},{row}" for i, row in enumerate(rows, 1)]
    np.testing.assert_array_equal(room(tmp_path, numbered, "time,temp (degC)")[0], values)


def test_ten_minute_rows_are_averaged_around_each_hour(tmp_path):
    """A linear course: the mean around an hour is the value at it; any other hour's would lag."""
    values, said = room(
        tmp_path, stamped(datetime(2022, 12, 31), 10, 6 * 24 * 367, value=lambda h: 10.0 + h / 1000)
    )
    inner = slice(30, 8700)
    np.testing.assert_allclose(values[inner], 10.0 + ENDS[inner] / 1000, atol=5e-5)
    assert "rows 10 min apart are averaged" in said


def test_an_hours_mean_is_that_of_its_samples(tmp_path):
    """A sample 6 K high at the full hour weighs a sixth of it, and nothing elsewhere."""
    rows = stamped(datetime(2022, 12, 31), 10, 6 * 24 * 367, value=lambda h: 20.0)
    at = 6 * 24 * 11  # 11 January 00:00, the end of the tenth day
    rows[at] = rows[at].replace("20.0000", "26.0000")
    values, _ = room(tmp_path, rows)
    assert values[10 * 24 - 1] == pytest.approx(21.0, abs=0.01)
    assert np.delete(values, 10 * 24 - 1) == pytest.approx(20.0, abs=1e-6)


def test_rows_off_the_full_hour_and_three_hours_apart_lie_on_straight_lines(tmp_path):
    for minutes in (60, 180):
        first = OCTOBER + timedelta(minutes=17)
        values, said = room(tmp_path, stamped(first, minutes, 8760 * 60 // minutes))
        np.testing.assert_allclose(values, course(ENDS), atol=0.4 if minutes == 180 else 0.03)
        assert "lie on straight lines" in said


@pytest.mark.parametrize("blank", [False, True])
def test_gaps_of_hours_are_filled_and_said_and_longer_ones_refused(blank, tmp_path):
    rows = stamped(OCTOBER, 60, 8760)

    def without(hours):
        if blank:
            return [*rows[:500], *(row.split(",")[0] + "," for row in rows[500 : 500 + hours]),
                    *rows[500 + hours :]]  # fmt: skip
        return [*rows[:500], *rows[500 + hours :]]

    values, said = room(tmp_path, without(6))
    np.testing.assert_allclose(values, course(ENDS), atol=1.5)
    assert "6 missing hours are filled" in said
    found = refused(tmp_path, without(7))
    assert "7 hours in a row" in found.cause
    assert "21 October 19:00" in found.cause


def test_blank_cells_in_a_table_without_stamps_are_filled_and_said(tmp_path):
    rows = [row.split(",")[1] for row in stamped(OCTOBER, 60, 8760)]
    rows[100:103] = ['""'] * 3
    assert "3 missing hours are filled" in room(tmp_path, rows, "temp (degC)")[1]
    rows[100:110] = ['""'] * 10
    assert "10 cells in a row are blank" in refused(tmp_path, rows, "temp (degC)").cause


def test_a_winter_alone_is_refused_with_what_it_lacks(tmp_path):
    found = refused(tmp_path, stamped(OCTOBER, 60, 4380))
    assert "4380 hours in a row" in found.cause
    assert "1 October 2022 to 1 April 2023" in found.cause


def test_the_last_of_days_held_twice_counts_and_29_february_is_left_out(tmp_path):
    rows = stamped(datetime(2023, 6, 1), 60, 24 * 500, value=lambda h: 20.0)
    rows[24 * 400 :] = [row.replace("20.0000", "25.0000") for row in rows[24 * 400 :]]
    values, said = room(tmp_path, rows)
    assert (values == pytest.approx(25.0)) or (values[24 * 200] == pytest.approx(25.0))
    assert "the last are used" in said
    assert "29 February is left out" in said


def test_a_year_mistyped_far_ahead_costs_nothing(tmp_path):
    rows = stamped(OCTOBER, 60, 8760)
    rows[-1] = rows[-1].replace("2023-", "2223-")
    assert "30 September 2223" in refused(tmp_path, rows).cause


def test_clocks_that_go_back_are_refused_with_the_row(tmp_path):
    rows = stamped(OCTOBER, 60, 8760)
    rows[700] = rows[699]
    found = refused(tmp_path, rows)
    assert found.line == 702
    assert "clocks that go back" in found.cure


def test_day_or_month_first_is_never_guessed(tmp_path):
    rows = [f"0{m}/0{m}/2023 0{h}:00,20" for m in (1, 2, 3) for h in range(1, 9)]
    assert "hours in a row" in refused(tmp_path, rows).cause  # the same either way
    rows = ["01/02/2023 01:00,20", "02/03/2023 02:00,20", "03/04/2023 03:00,20"]
    assert "day or the month first" in refused(tmp_path, rows).cause


@pytest.mark.parametrize("stamp", ["45200.5", "yesterday", "2023-02-30 10:00", "1" * 400])
def test_what_is_no_stamp_is_refused_with_its_line(stamp, tmp_path):
    rows = stamped(OCTOBER, 60, 8760)
    rows[50] = f"{stamp},20"
    found = refused(tmp_path, rows)
    assert (found.line, found.field) == (52, "time")
    assert len(found.cause) < 60
    rows[0] = f"{stamp},20"
    assert refused(tmp_path, rows).line == 2


@pytest.mark.parametrize(
    ("heading", "name", "unit"),
    [
        ("RH (%)", "RH", "%"),
        ("Temp [°C]", "Temp", "degC"),
        ("Temp, °F", "Temp", "degF"),
        ("t/K", "t", "K"),
        ("indoor temperature degC", "indoor temperature", "degC"),
        ("humidity %", "humidity", "%"),
        ("Humidity (%RH)", "Humidity", "%"),
        ("Sensor C", "Sensor C", None),
        ("Temp (attic)", "Temp (attic)", None),
        ("rh", "rh", None),
        ("(%)", "(%)", None),
    ],
)
def test_heading_is_a_name_and_a_unit(heading, name, unit):
    assert name_and_unit(heading) == (name, unit)


def test_one_rule_for_what_a_column_is_called_and_measured_in(tmp_path):
    rows = [row.split(",")[1] for row in stamped(OCTOBER, 60, 8760)]
    expected = room(tmp_path, rows, "temp (degC)")[0]
    for heading, column, unit in (
        ("Temp [°C]", "temp", None),
        ("temp degC", "temp degC", "degC"),
        ("temp", "TEMP", "degC"),
    ):
        np.testing.assert_array_equal(room(tmp_path, rows, heading, column, unit)[0], expected)
    warm = room(tmp_path, rows, '"Temp, °F"', "temp", encoding="latin-1")[0]
    np.testing.assert_allclose(warm, (expected - 32.0) / 1.8, atol=1e-9)


@pytest.mark.parametrize(
    ("heading", "column", "unit", "words"),
    [
        ("temp", "temp", None, "tells no unit"),
        ("temp (degF)", "temp", "degC", "in degF by its heading, in degC by the case"),
        ("temp (%)", "temp", None, "% does not measure temperature"),
        ("temp", "temp", "%", "% does not measure temperature"),
        ("temp (degC),temp (degF)", "temp", None, "2 columns"),
        ("a;b", "temp", None, "not separated by commas"),
        ("a,b", "temp", None, "its columns are a, b"),
    ],
)
def test_a_column_that_is_not_clear_is_refused_at_the_case(heading, column, unit, words, tmp_path):
    row = "20,68" if "," in heading else "20;68" if ";" in heading else "20"
    found = refused(tmp_path, [row] * 8760, heading, column, unit)
    assert words in found.cause + found.cure
    assert found.file.endswith(".toml")


def test_semicolons_are_told_where_decimals_have_commas_too(tmp_path):
    """Each row looks longer than its heading then: the file's own way must be named first."""
    found = refused(tmp_path, ["2022-01-01 01:00;20,5"] * 8760, "time;temp", "temp", "degC")
    assert "not separated by commas" in found.cure
    assert found.line == 2


def test_lines_that_end_in_cr_are_lines(tmp_path):
    rows = "\r".join(["time,temp (degC)", *stamped(OCTOBER, 60, 8760)])
    np.testing.assert_allclose(room(tmp_path, rows)[0], course(ENDS), atol=1e-4)


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("1" * 400, "is not a number"),
        ("x" * 200_000, "no line of a table"),
        ("-90", "no possible temperature"),
        ("Logged", "'Logged' is not a number"),
        ("20,5", "the row has 3 fields"),
        ('"20', "no line of a table|is not a number|hours in a row"),
    ],
)
def test_impossible_cells_are_refused_with_their_line(cell, words, tmp_path):
    rows = stamped(OCTOBER, 60, 8760)
    rows[10] = f"{rows[10].split(',')[0]},{cell}"
    found = refused(tmp_path, rows)
    assert any(word in found.cause for word in words.split("|"))
    assert found.line == 12 or cell.startswith('"')
    assert len(str(found)) < 400


def test_pipes_folders_and_binary_are_refused(tmp_path):
    os.mkfifo(tmp_path / "log.csv")
    assert "a pipe or a device" in problems(case_text(), tmp_path)[0].cause
    (tmp_path / "log.csv").unlink()
    (tmp_path / "log.csv").mkdir()
    assert "this is a folder" in problems(case_text(), tmp_path)[0].cause
    (tmp_path / "log.csv").rmdir()
    assert "NUL" in refused(tmp_path, b"a\0b").cause

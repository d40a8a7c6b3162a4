"""Canonical files with a column year: windows of measured hours, read as they stand or refused."""

from __future__ import annotations

import numpy as np
import pytest
from weather_texts import greensboro

from assembly_sim.errors import InputError
from assembly_sim.files.climate.csv import canonical_text
from assembly_sim.files.climate.read import read_bytes, read_climate
from assembly_sim.files.climate.years import tenth_percentile_year
from assembly_sim.model import Climate
from assembly_sim.report.climate import climate_text
from tests.windows import window

FIRST = (365 - 31 - 19) * 24 + 14  # 12 November 14:00


def text(first: int = FIRST, hours: int = 1300, begins: str = "2019-11-12T14:00") -> str:
    return canonical_text(window(greensboro(), first, hours, begins))


def read(content: str) -> Climate:
    return read_bytes(content.encode(), "window.csv")


def edited(content: str, row: int, change) -> str:
    """The file with its row (0: first hour) changed; None leaves it out."""
    lines = content.rstrip("\n").split("\n")
    at = next(i for i, line in enumerate(lines) if line.startswith("year,")) + 1 + row
    new = change(lines[at])
    return "\n".join([*lines[:at], *([] if new is None else [new]), *lines[at + 1 :]])


def line_of(content: str, row: int) -> int:
    """Number of the line of a row, from 1."""
    lines = content.split("\n")
    return next(i for i, line in enumerate(lines) if line.startswith("year,")) + 2 + row


def test_a_window_reads_as_it_was_written() -> None:
    found = read(text())
    assert (found.hours, found.begins, found.wraps) == (1300, "2019-11-12T14:00", False)
    cut = window(greensboro(), FIRST, 1300, "2019-11-12T14:00")
    np.testing.assert_allclose(found.temperature, cut.temperature, atol=0.006)
    np.testing.assert_allclose(found.rain, cut.rain, atol=0.006)
    assert canonical_text(read(text())).split("year,")[1] == text().split("year,")[1]


@pytest.mark.parametrize(
    ("first", "hours", "begins"),
    [
        (0, 30, "2023-01-01T00:00"),
        (58 * 24 + 14, 200, "2024-02-28T14:00"),  # across 29 February
        (8700, 300, "2023-12-29T12:00"),  # across New Year
        (4000, 24, "2021-06-16T16:00"),
    ],
)
def test_windows_of_any_length_and_start(first: int, hours: int, begins: str) -> None:
    found = read(text(first, hours, begins))
    assert (found.hours, found.begins) == (hours, begins)
    assert found.hour_starts[-1] == np.datetime64(begins, "h") + hours - 1


def test_two_real_years_are_read_in_their_order() -> None:
    year = window(greensboro(), 0, 2 * 8760, "2022-01-01T00:00")
    found = read(canonical_text(year))
    assert (found.hours, found.begins) == (17520, "2022-01-01T00:00")
    np.testing.assert_array_equal(found.temperature[:8760], found.temperature[8760:])


def test_a_kept_window_is_the_same(tmp_path, monkeypatch) -> None:
    """Ready climates are kept by their file's hash: the second reading is from the cache."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    file = tmp_path / "window.csv"
    file.write_text(text())
    first, second = read_climate(file), read_climate(file)
    assert first == second
    assert second.begins == "2019-11-12T14:00"


def test_short_gaps_are_filled_and_the_end_is_held() -> None:
    content = text()
    for row in (400, 400):  # two rows that follow each other
        content = edited(content, row, lambda line: None)
    found = read(content)
    assert found.hours == 1300
    assert found.flags["temperature"].sum() == 2
    between = found.temperature[[399, 400, 401, 402]]
    np.testing.assert_allclose(np.diff(between), np.diff(between)[0], atol=1e-9)

    def blank(line: str) -> str:
        cells = line.split(",")
        return ",".join([*cells[:4], "", *cells[5:]])

    ended = read(edited(text(), 1299, blank))
    assert ended.temperature[-1] == ended.temperature[-2]


BACK = "stands twice; hours must rise"


@pytest.mark.parametrize(
    ("row", "change", "words"),
    [
        (100, lambda line: f"{line}\n{line}", BACK),
        (100, lambda line: line.replace("2019,", "2018,", 1), "lies before the row above"),
        (0, lambda line: line.replace("2019,", "1019,", 1), "no hour of a year"),
        (3, lambda line: line.replace("2019,11,12,18", "2019,11,31,18"), "no hour of a year"),
        (3, lambda line: line.replace("2019,11,12,18", "2019,11,12,0"), "hours of a day from 1"),
        (3, lambda line: line.replace("2019,11,12,18", "2019,11,12,17.5"), "no hour of a year"),
        (3, lambda line: line.replace("2019,", ",", 1), "no hour of a year"),
    ],
)
def test_stamps_that_overlap_or_are_none_are_refused_by_line(row, change, words) -> None:
    content = edited(text(), row, change)
    with pytest.raises(InputError) as refused:
        read(content)
    (problem,) = refused.value.problems
    later = 1 if words == BACK else 0
    assert problem.line == line_of(content, row + later)
    assert words in str(refused.value)
    assert problem.file == "window.csv"


def test_a_long_gap_is_refused_with_a_cure() -> None:
    content = text()
    for _ in range(7):
        content = edited(content, 700, lambda line: None)
    words = "7 rows missing from 11 December 2019 19:00; gaps up to 6 h are filled; mend the file"
    with pytest.raises(InputError, match=words) as refused:
        read(content)
    assert refused.value.problems[0].line == line_of(content, 700)


def test_less_than_a_day_is_refused() -> None:
    with pytest.raises(InputError, match="holds 23 hours.*give 24 hours"):
        read(text(hours=23))


def test_the_header_gives_no_second_year() -> None:
    content = text().replace("# name:", "# year: 2019\n# name:", 1)
    with pytest.raises(InputError, match="the column year tells it already"):
        read(content)


def test_a_wrong_time_zone_is_seen_in_a_window_too() -> None:
    content = text().replace("# time zone: -5", "# time zone: -8")
    with pytest.raises(InputError, match="they fit time zone -5"):
        read(content)


def test_the_report_of_a_window_names_what_is_there() -> None:
    told = climate_text(read(text(hours=1300)))
    assert "1300 hours of a window of 54 days, 12 November 2019 14:00 to 5 January 2020" in told
    rows = [line[:5].strip() for line in told.split("\n")]
    assert {"Jan", "Nov", "Dec", "All"} <= set(rows)
    assert not {"Feb", "Jul", "Year"} & set(rows)
    assert "nan" not in told


def test_no_hard_year_is_made_of_a_window() -> None:
    with pytest.raises(InputError, match="take weather of a whole year"):
        tenth_percentile_year(read(text()), "cold")

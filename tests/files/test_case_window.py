"""Cases under a window of weather: what may not be said, and a logger placed by its dates."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from case_texts import SOUND, problems

from assembly_sim.errors import InputError
from assembly_sim.files.case.read import read_case
from assembly_sim.files.climate.read import read_climate, write_canonical
from tests.windows import window

BEGINS = datetime(2019, 11, 12, 14)
HOURS = 200
UNDATED = SOUND.replace("years = 1\nstart_month = 10\n", "").replace("cold_inland", "window.csv")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    first = (365 - 31 - 19) * 24 + 14
    weather = window(read_climate("cold_inland"), first, HOURS, BEGINS.isoformat())
    write_canonical(weather, tmp_path / "window.csv")
    return tmp_path


def logged(folder: Path, first: datetime, step: int, count: int):
    """A case with a logger whose degC are tenths of the hours since the window began."""
    moments = [first + timedelta(minutes=step * i) for i in range(count)]
    since = [(moment - BEGINS).total_seconds() / 3600.0 for moment in moments]
    tenths = [hours / 10.0 if -100.0 < hours < 400.0 else 20.0 for hours in since]
    rows = [f"{moment:%Y-%m-%d %H:%M},{value:.4f}" for moment, value in zip(moments, tenths)]
    (folder / "log.csv").write_text("\n".join(["time,temp (degC)", *rows]))
    rule = 'temperature = { file = "log.csv", column = "temp" }'
    (folder / "case.toml").write_text(UNDATED.replace('temperature = "20 degC"', rule, 1))
    return read_case(folder / "case.toml")


def test_a_case_reads_a_window_and_assumes_nothing_of_years(folder: Path) -> None:
    (folder / "case.toml").write_text(UNDATED)
    case = read_case(folder / "case.toml")
    assert case.climate.hours == HOURS
    assert case.years is None
    assert not [line for line in case.unstated if "the run" in line]


def test_years_and_start_month_are_refused_by_line(folder: Path) -> None:
    found = problems(SOUND.replace("cold_inland", "window.csv"), folder)
    assert [problem.line for problem in found] == [4, 5]
    assert "a window from 2019-11-12T14:00, which runs once" in found[0].cause
    assert "leave the entry out" in found[0].cure


@pytest.mark.parametrize("step", [60, 15, 120])
def test_a_logger_stands_at_its_dates(folder: Path, step: int) -> None:
    """It began two days before the window and went on after it."""
    case = logged(folder, BEGINS - timedelta(days=2), step, (HOURS + 96) * 60 // step)
    ends = np.arange(1, HOURS + 1) / 10.0
    np.testing.assert_allclose(np.array(case.room.temperature.values) - 273.15, ends, atol=1e-3)


def test_a_logger_of_another_year_does_not_fit(folder: Path) -> None:
    with pytest.raises(InputError, match="200 hours in a row have no value, from 12 November 2019"):
        logged(folder, BEGINS - timedelta(days=365), 60, HOURS)


def test_a_logger_that_ends_early_is_refused(folder: Path) -> None:
    words = "50 hours in a row .* give every hour of the window of weather"
    with pytest.raises(InputError, match=words):
        logged(folder, BEGINS, 60, HOURS - 49)

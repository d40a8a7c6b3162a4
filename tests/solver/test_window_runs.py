"""Runs through a window of weather: once, in order, with figures that claim no year."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

import assembly_sim as sim
from assembly_sim.boundary.forcing import boundary_rows
from assembly_sim.checks.finding import Finding
from assembly_sim.checks.planes import years_of
from assembly_sim.errors import InputError
from assembly_sim.files.climate.read import read_climate
from assembly_sim.files.material.read import load
from assembly_sim.files.result.csv import write_csv
from assembly_sim.model import Assembly, Case, Climate, Constant, Layer, OuterSurface, Room
from assembly_sim.solver.run import run, run_path
from assembly_sim.solver.settling import real_step
from assembly_sim.studies.probe import probe
from assembly_sim.words.checks import reason
from tests.windows import joined, window

NOVEMBER = (365 - 31 - 19) * 24 + 14  # 12 November 14:00
YEARLY = ("last year", "a year", "within the year", "years from 1", "until it settles")


@pytest.fixture(scope="module")
def cold() -> Climate:
    return read_climate("cold_inland")


def wall(rain: float = 0.0) -> Assembly:
    """A plywood board behind which wool keeps it cold."""
    shipped = load()
    layers = (
        Layer("sheathing", shipped["plywood, douglas fir"], 0.0127),
        Layer("batt", shipped["glass-fibre batt"], 0.09),
        Layer("lining", shipped["gypsum board"], 0.0127),
    )
    return Assembly("wall", 10.0, OuterSurface(np.pi / 2, 0.0, 0.6, 0.9, rain), layers, None)


def case(climate: Climate) -> Case:
    return Case("window", climate, Room(Constant(294.15), Constant(0.40)), (wall(),))


@pytest.fixture(scope="module")
def autumn(cold):
    """54 days from 12 November 14:00, across New Year."""
    return run(case(window(cold, NOVEMBER, 1300)))


def test_hours_are_those_of_the_year_over_the_same_hours(cold) -> None:
    """The year's rows over these hours, with the window's own ends, give the same but for round-off
    of the sun's place; with the year's ends, which differ in an hour, the same from day two on."""
    first, hours = NOVEMBER - 800, 700
    part, cut = wall(), window(cold, first, hours)
    found = run(case(cut)).assemblies[0].paths[0]
    year = boundary_rows(replace(case(cold), start_month=1), part)[2 * first : 2 * first + 1401]
    same = year.copy()
    own = boundary_rows(case(cut), part)
    same[:2], same[-2:] = own[:2], own[-2:]
    exact, _ = run_path(case(cold), part, "main", same, hours)
    np.testing.assert_allclose(found.temperature, exact.temperature, atol=1e-6)
    np.testing.assert_allclose(found.layer_water, exact.layer_water, atol=1e-8)
    near, _ = run_path(case(cold), part, "main", year, hours)
    np.testing.assert_allclose(found.heat_flux_room[24:-1], near.heat_flux_room[24:-1], atol=0.02)


def test_it_runs_once(autumn) -> None:
    assert autumn.hours == 1300
    assert [len(autumn.month), autumn.day[-1]] == [1300, 54]
    assert autumn.month[[0, -1]].tolist() == [11, 1]
    assert years_of(autumn) == (slice(0, 1300),)


def test_a_window_has_no_figure_of_a_year_but_its_own_heat(autumn) -> None:
    summary = sim.summary(autumn)
    figures = summary["assemblies"][0]
    assert all(v is None for k, v in figures.items() if k.startswith("annual_"))
    assert figures["heating_season_loss_total_kwh_m2"] is None
    heat = sim.hourly_table(autumn)["heat out of the room, total (W/m2)"]
    lost = heat[heat > 0.0].sum() / 1000.0
    assert figures["window_energy"]["heat_loss_total_kwh_m2"] == pytest.approx(lost)
    assert figures["window_energy"]["heating_season_loss_total_kwh_m2"] == pytest.approx(lost)
    assert lost > 3.0
    assert {plane["dries_within_year"] for plane in figures["planes"]} == {None}
    assert summary["years"] == pytest.approx(1300 / 8760, abs=1e-3)
    assert summary["period"]["begins"] == "2001-11-12T14:00"
    assert summary["period"]["ends"] == "2002-01-05T18:00"
    json.dumps(summary, allow_nan=False)


@pytest.mark.parametrize("hours", [30, 1300])
def test_no_sentence_speaks_of_a_year(cold, hours: int) -> None:
    found = run(case(window(cold, NOVEMBER, hours)))
    summary = sim.summary(found)
    figures = summary["assemblies"][0]
    length = {30: "30 hours", 1300: "54 days"}[hours]
    assert figures["verdict"]["level"] is None
    assert (
        f"this is a window of {length}, 12 November 2001 14:00" in figures["verdict"]["reasons"][0]
    )
    text = sim.report_text(found, full=True) + sim.report_text(found)
    assert "--probe" not in text  # which a window is refused
    assert [words for words in YEARLY if words in text.split("Before work starts")[0]] == []
    told = " ".join(f"{one['note']} {one['unit']}" for one in figures["findings"])
    assert [words for words in (*YEARLY, "/year", "all years") if words in told] == []


def test_a_stale_assumption_of_years_is_not_told(cold) -> None:
    """Weather put into a case that was read with a year."""
    read = sim.read_case("examples/attic_floor.toml")
    assert any("the run" in line for line in read.unstated)
    found = run(replace(read, climate=window(cold, 100, 30), years=None))
    told = sim.summary(found)["assumptions"]
    assert told[0].startswith("the window of weather runs once")
    assert not [line for line in told[1:] if line.startswith("the run")]


def test_three_real_years_are_judged_each_by_its_own_weather(cold) -> None:
    """2022, 2023 and the leap year 2024: 26,304 hours; the last year's heat is that of 2024."""
    leap = np.r_[0 : 59 * 24, 58 * 24 : 60 * 24, 60 * 24 : 8760][:8784]
    extra = replace(cold, **{n: getattr(cold, n)[leap] for n in ARRAYS}, flags={})
    years = [window(cold, 0, 8760, f"{year}-01-01T00:00") for year in (2022, 2023)]
    years.append(window(extra, 0, 8784, "2024-01-01T00:00"))
    found = run(case(joined(*years)))
    assert found.hours == 26304
    assert years_of(found)[-1] == slice(17520, 26304)
    summary = sim.summary(found)
    figures = summary["assemblies"][0]
    assert summary["years"] == 3
    assert figures["verdict"]["level"] is not None
    assert figures["window_energy"] is None
    heat = sim.hourly_table(found)["heat flux at the room (W/m2)"]
    lost = heat["2024-01-01 01:00":].clip(lower=0.0).sum() / 1000.0
    assert figures["annual_heat_loss_kwh_m2"] == pytest.approx(lost)
    trends = [one for one in figures["findings"] if one["check"] == "trend of water"]
    assert all("each under its own weather" in one["note"] for one in trends)
    assert trends


ARRAYS = (
    *("temperature", "vapour_pressure", "pressure", "wind_speed", "wind_direction"),
    *("global_horizontal", "direct_normal", "diffuse_horizontal", "cloud_cover", "rain"),
)


def test_water_that_gathered_since_the_first_year_counts_although_the_last_was_dry(cold) -> None:
    """A leak of weather: had only the last step counted, a dry last year would hide the rise."""
    water = np.repeat([1.0, 2.0, 1.9], 100)
    years = [slice(0, 100), slice(100, 200), slice(200, 300)]
    assert real_step(water, years, 0.02, 0.02).step == pytest.approx(0.9)
    assert not real_step(water, years, 0.02, 0.02).is_none
    assert real_step(water, years, 0.02, 0.02).since_first
    told = Finding("trend of water", "deck", value=0.9, limit=0.04, counts=(("since_first", 1.0),))
    since = "rises by 900 g/m2 since the first year, each under its own weather"
    assert since in reason(told, False, False)
    settled = real_step(np.repeat([2.0, 1.0, 1.0], 100), years, 0.02, 0.02)
    assert settled.is_none


def test_tables_carry_true_dates(autumn, tmp_path) -> None:
    index = sim.hourly_table(autumn).index
    expected = pd.date_range("2001-11-12 15:00", periods=1300, freq="h")
    assert (index == expected).all()
    files = write_csv(autumn, tmp_path / "tables")
    rows = pd.read_csv(files[0])
    last = rows.iloc[-1][["year", "month", "day of the month", "hour of the day"]].astype(int)
    assert last.tolist() == [2002, 1, 5, 18]
    first = rows.iloc[0][["year", "month", "day of the month", "hour of the day"]].astype(int)
    assert first.tolist() == [2001, 11, 12, 15]


def test_a_kept_window_reads_back_with_its_dates(autumn, tmp_path) -> None:
    xarray = pytest.importorskip("xarray")
    file = tmp_path / "window.h5"
    sim.write_result(autumn, file)
    again = sim.read_result(file)
    assert again.case.climate == autumn.case.climate
    assert sim.summary(again) == sim.summary(autumn)
    with xarray.open_datatree(file, engine="h5netcdf") as tree:
        ends = pd.DatetimeIndex(tree["time"].values)
    assert [str(end) for end in ends[[0, -1]]] == ["2001-11-12 15:00:00", "2002-01-05 18:00:00"]


def test_a_window_is_not_probed(autumn) -> None:
    with pytest.raises(InputError, match="a probe needs"):
        probe(autumn)

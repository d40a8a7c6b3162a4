"""Zones and streams of a house on disk and in tables; what the commands do with a house."""

import csv
import dataclasses
import json

import numpy as np
import pytest

import assembly_sim as sim
from assembly_sim import cli
from assembly_sim.errors import InputError
from assembly_sim.files.case import read as case_files
from assembly_sim.files.result.csv import table_names, write_csv
from assembly_sim.files.result.read import read_hdf5
from assembly_sim.files.result.write import write_hdf5
from assembly_sim.solver import run as solver
from assembly_sim.studies.probe import probe
from assembly_sim.verdict.house_summary import spaces_of
from tests import small_house, synthetic
from tests.files.test_results import difference

xarray = pytest.importorskip("xarray")


@pytest.fixture(scope="module")
def run():
    return small_house.result()


@pytest.fixture(scope="module")
def file(run, tmp_path_factory):
    path = tmp_path_factory.mktemp("house") / "house.h5"
    write_hdf5(run, path)
    return path


@pytest.fixture
def computed(monkeypatch, run):
    monkeypatch.setattr(case_files, "read_case", lambda *_, **__: run.case)
    monkeypatch.setattr(solver, "run", lambda *_, **__: run)


def call(*arguments):
    with pytest.raises(SystemExit) as ended:
        cli.main(list(arguments))
    return ended.value.code


def test_a_house_read_back_is_the_house_written(run, file):
    again = read_hdf5(file)
    assert [one.zone for one in again.zones] == [one.zone for one in run.zones]
    for one, other in ((again.zones, run.zones), (again.streams, run.streams)):
        assert difference(one, other) == ""
    assert again.case == run.case
    warmer = small_house.with_zone(run, temperature=290.0)
    assert "temperature" in difference(again.zones, warmer.zones)


def test_xarray_opens_zones_and_streams_with_names_and_units(run, file):
    tree = xarray.open_datatree(file, engine="h5netcdf")
    attic, hole = tree["zone_1"], tree["stream_2"]
    assert attic.attrs["long_name"] == "attic"
    assert attic["temperature"].attrs["units"] == "K"
    assert attic["temperature"].dims == ("time",)
    np.testing.assert_array_equal(attic["temperature"].values, run.zones[0].temperature)
    assert (hole.attrs["long_name"], hole.attrs["kind"]) == ("hatch", "opening")
    assert (hole.attrs["inside"], hole.attrs["outside"]) == ("room", "attic")
    assert hole["flow"].attrs["units"] == "kg s-1"


def test_a_stopped_house_keeps_the_hours_that_all_have(run, tmp_path):
    short = dataclasses.replace(run, hours=100, month=run.month[:100], day=run.day[:100])
    write_hdf5(short, tmp_path / "short.h5")
    again = read_hdf5(tmp_path / "short.h5")
    assert len(again.zones[0].temperature) == len(again.streams[0].flow) == 100


@pytest.mark.parametrize(("system", "flow"), [("si", 1000.0), ("ip", 60.0 / 0.3048**3)])
def test_tables_of_zones_and_of_air_have_their_names_before_a_run(run, tmp_path, system, flow):
    """L/s are thousandths of m3/s; cfm cubic feet a minute, of air of 1.2 kg/m3."""
    short = dataclasses.replace(run, hours=48, month=run.month[:48], day=run.day[:48])
    written = [path.name for path in write_csv(short, tmp_path, system)]
    assert written == table_names(run.case)
    assert written[-2:] == ["zone_1_attic.csv", "streams.csv"]
    rows = list(csv.DictReader((tmp_path / "streams.csv").open()))
    assert len(rows) == 48
    unit = {"si": "L/s", "ip": "cfm"}[system]
    told = float(rows[7][f"2 hatch, room to attic ({unit})"])
    hatch = next(one for one in run.streams if one.name == "hatch")
    assert told == pytest.approx(hatch.flow[7] / 1.2 * flow, rel=1e-4)
    zone = list(csv.DictReader((tmp_path / "zone_1_attic.csv").open()))
    celsius = run.zones[0].temperature[7] - 273.15
    unit, value = {"si": ("degC", celsius), "ip": ("degF", 32.0 + 1.8 * celsius)}[system]
    assert float(zone[7][f"air temperature ({unit})"]) == pytest.approx(value, abs=1e-3)


def test_hourly_tables_of_a_zone_and_of_air(run):
    attic = sim.hourly_table(run, zone="attic")
    assert len(attic) == run.hours
    np.testing.assert_allclose(
        attic["relative humidity (%)"], 100.0 * run.zones[0].relative_humidity, rtol=1e-6
    )
    air = sim.hourly_table(run, streams=True)
    assert sum(name.endswith("(L/s)") for name in air) == len(run.streams)
    assert sim.to_xarray(run, zone="attic")["air temperature (degC)"].attrs["units"] == "degC"
    with pytest.raises(InputError, match="no zone 'cellar'; one of attic"):
        sim.hourly_table(run, zone="cellar")
    with pytest.raises(InputError, match="two tables"):
        sim.hourly_table(run, zone="attic", streams=True)
    with pytest.raises(InputError, match="this run has none"):
        sim.hourly_table(synthetic.result(hours=24), zone="attic")


def test_run_writes_the_house_and_prints_it(run, computed, tmp_path, capsys):
    summary = tmp_path / "house.json"
    assert call("run", "x.toml", "--json", str(summary)) == 0
    told = json.loads(summary.read_text())
    assert told["zones"][0]["name"] == "attic"
    assert told["house"]["heating_season_kwh"] > 0.0
    printed = capsys.readouterr().out
    assert printed.index("The house") < printed.index("Roof, ")
    assert "--probe" not in printed


def test_a_probe_of_a_house_is_refused_with_the_reason(run, computed, capsys):
    assert call("run", "x.toml", "--probe") == 2
    said = capsys.readouterr().err
    assert "in a house of several spaces the air follows from all of it" in said
    with pytest.raises(InputError, match="leave --probe out"):
        probe(run)


def test_holes_of_a_case_with_a_year_of_each(run, computed, capsys, tmp_path, monkeypatch):
    (tmp_path / "x.toml").write_text(small_house.TEXT)
    monkeypatch.chdir(tmp_path)
    assert call("holes", "x.toml", "--run") == 0
    text = capsys.readouterr().out
    whole, year = text.split("in season", 1)
    rows = {line.split()[0]: line.split() for line in year.splitlines() if line.strip()}
    for name in ("hatch", "door"):
        assert rows[name][-1] == "kWh"
    assert rows["ridge"][-2:] == ["-", "-"]
    assert max(map(len, text.splitlines())) <= 100
    assert "give --price" in text
    assert call("holes", "x.toml", "--run", "--price", "$0.20 per kWh", "--units", "si") == 0
    money = capsys.readouterr().out
    assert max(map(len, money.splitlines())) <= 100
    spaces = spaces_of(run)
    (hatch,) = (one for one in spaces.streams if one.name == "hatch")
    told = next(line for line in money.split("costs", 1)[1].splitlines() if "hatch" in line)
    assert float(told.split("$")[1]) == pytest.approx(0.2 * hatch.year_kwh, rel=0.02, abs=0.01)
    assert call("holes", "x.toml") == 0
    assert "kWh" not in capsys.readouterr().out
    assert call("holes", "x.toml", "--price", "$0.20 per kWh") == 2
    assert "add --run" in capsys.readouterr().err

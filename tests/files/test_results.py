"""Results on disk: what is read back is what was written, and other programs can open it."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import h5py
import numpy as np
import pytest

from assembly_sim import model
from assembly_sim.errors import InputError
from assembly_sim.files.result import csv as tables
from assembly_sim.files.result import write as results
from assembly_sim.files.result.dataclass_tree import Packed, pack, unpack
from assembly_sim.files.result.entries import ARRAYS
from assembly_sim.model import ColumnOfFile
from assembly_sim.solver import result as result_classes
from assembly_sim.solver.result import Outcome
from tests import synthetic

xarray = pytest.importorskip("xarray")


def difference(one: Any, other: Any, place: str = "") -> str:
    """Name the first place where two descriptions differ, or return ''."""
    if type(one) is not type(other):
        return f"{place}: {type(one).__name__} is not {type(other).__name__}"
    if dataclasses.is_dataclass(one):
        names = [field.name for field in dataclasses.fields(one)]
        pairs = [(name, getattr(one, name), getattr(other, name)) for name in names]
    elif isinstance(one, Mapping):
        if one.keys() != other.keys():
            return f"{place}: other names"
        pairs = [(name, one[name], other[name]) for name in one]
    elif isinstance(one, tuple):
        if len(one) != len(other):
            return f"{place}: other length"
        pairs = [(str(i), *both) for i, both in enumerate(zip(one, other))]
    elif isinstance(one, np.ndarray):
        same = one.dtype == other.dtype and np.array_equal(one, other)
        return "" if same else f"{place}: arrays differ"
    else:
        return "" if one == other else f"{place}: {one!r} is not {other!r}"
    return next(filter(None, (difference(a, b, f"{place}.{name}") for name, a, b in pairs)), "")


@pytest.fixture(scope="module")
def kept() -> result_classes.Result:
    assemblies = (synthetic.assembly(), synthetic.assembly("gable wall"))
    return synthetic.result(hours=1000, assemblies=assemblies)


@pytest.fixture(scope="module")
def file(kept: result_classes.Result, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("kept") / "run.h5"
    results.write_hdf5(kept, path)
    return path


def test_result_read_back_is_the_result_written(kept: Any, file: Path) -> None:
    assert difference(results.read_hdf5(file), kept) == ""


def test_drivers_tell_which_are_means_of_the_hour(file: Path) -> None:
    """Sun and rain are means, states are those at the hour's end (`solver.result.Drivers`)."""
    with h5py.File(file) as opened:
        found: dict[str, str] = {}

        def note(name: str, item: Any) -> None:
            if "/drivers/" in name and "cell_methods" in item.attrs:
                found[name.rsplit("/", 1)[1]] = item.attrs["cell_methods"]

        opened.visititems(note)
    assert {name for name, method in found.items() if method == "time: mean"} == {
        "sun",
        "rain",
        "incoming_heat",
    }
    assert found["leak"] == found["outdoor_temperature"] == "time: point"


def test_difference_is_seen_where_one_value_changes(kept: Any) -> None:
    warmer = dataclasses.replace(kept, month=kept.month + 1)
    assert "month" in difference(warmer, kept)


def test_material_read_back_is_one_object_for_layer_and_plane(file: Path) -> None:
    found = results.read_hdf5(file).assemblies[0]
    assert found.paths[0].planes[1].outer_material is found.assembly.layers[0].material


@pytest.mark.parametrize("hours", [0, 30])
def test_paths_that_ended_at_different_hours_are_kept_as_far_as_all_go(
    tmp_path: Path, hours: int
) -> None:
    longer = synthetic.result(hours=40)
    short = synthetic.result(hours=hours, outcome=Outcome("stopped", hours))
    paths = (short.assemblies[0].paths[0], longer.assemblies[0].paths[1])
    mixed = dataclasses.replace(
        short.assemblies[0], paths=paths, drivers=longer.assemblies[0].drivers
    )
    results.write_hdf5(dataclasses.replace(short, assemblies=(mixed,)), tmp_path / "mixed.h5")
    assert difference(results.read_hdf5(tmp_path / "mixed.h5"), short) == ""
    tables.write_csv(dataclasses.replace(short, assemblies=(mixed,)), tmp_path)
    lines = (tmp_path / "1_rafter_bay_fluxes.csv").read_text().splitlines()
    assert len(lines) == 1 + hours


def test_stopped_run_and_odd_values_come_back(tmp_path: Path) -> None:
    room = dataclasses.replace(
        synthetic.case().room, humidity=ColumnOfFile((0.3, float("inf"), 0.1 + 0.2), "log.csv")
    )
    stopped = synthetic.result(
        hours=30, outcome=Outcome("stopped", 29, "cavity", "deck", cause="x"), room=room
    )
    results.write_hdf5(stopped, tmp_path / "short.h5")
    assert difference(results.read_hdf5(tmp_path / "short.h5"), stopped) == ""


@pytest.mark.parametrize("engine", ["h5netcdf", "netcdf4"])
def test_xarray_opens_every_group_with_names_and_units(file: Path, engine: str, kept: Any) -> None:
    tree = xarray.open_datatree(file, engine=engine)
    path = tree["assembly_2/path_1"]
    assert path["temperature"].dims == ("time", "plane")
    assert path["temperature"].attrs["units"] == "K"
    written = kept.assemblies[1].paths[0].temperature
    np.testing.assert_array_equal(path["temperature"].values, written)
    assert path["time"].values[0] == np.datetime64("2000-10-01T01:00")
    assert list(path["plane_side"].values)[1:3] == ["outer", "inner"]
    index, moisture = path["mould_index"].values, path["wood_moisture"].values
    assert np.isfinite(index).all()
    assert list(np.isnan(moisture).all(axis=0)) == [False, False, True, True, False, False]
    weather = xarray.open_dataset(file, engine=engine, group="case/climate")
    assert weather["temperature"].attrs["standard_name"] == "air_temperature"
    flags = xarray.open_dataset(file, engine=engine, group="case/climate/flags")
    assert flags["wind_speed"].values.sum() == 12
    assert not [name for name in tree.dims if name.startswith("phony")]


def test_profiles_are_kept_with_depth_and_time(tmp_path: Path) -> None:
    run = synthetic.result(hours=24)
    profiles = {"depth": np.linspace(0, 0.2, 9), "temperature": np.full((24, 9), 280.0)}
    paths = (dataclasses.replace(run.assemblies[0].paths[0], profiles=profiles),)
    with_profiles = dataclasses.replace(
        run, assemblies=(dataclasses.replace(run.assemblies[0], paths=paths),)
    )
    results.write_hdf5(with_profiles, tmp_path / "full.h5")
    assert difference(results.read_hdf5(tmp_path / "full.h5"), with_profiles) == ""
    group = xarray.open_datatree(tmp_path / "full.h5")["assembly_1/path_1/profiles"]
    assert group["temperature"].dims == ("time", "cell")
    assert group["depth"].attrs["units"] == "m"


def test_every_dimension_has_a_scale(file: Path) -> None:
    bare = []

    def look(name: str, item: Any) -> None:
        if isinstance(item, h5py.Dataset) and not item.is_scale:
            bare.extend(name for dimension in item.dims if len(dimension) == 0)

    with h5py.File(file) as opened:
        opened.visititems(look)
    assert bare == []


def test_file_says_what_made_it(file: Path) -> None:
    with h5py.File(file) as opened:
        assert opened.attrs["climate_sha256"] == "a" * 64
        assert opened.attrs["inputs_sha256"] == "b" * 64
        assert opened.attrs["numpy"] == np.__version__
        assert {"version", "llvmlite", "numba", "python", "processor"} <= set(opened.attrs)
        assert "café" in opened["case_text"].asstr()[()]
        assert json.loads(opened["materials"].asstr()[()]).keys() == {"board", "batt", "foil"}
        assert opened["assembly_1/path_1"].attrs["solver_steps"] == 17520.0


def test_layout_names_every_array_of_a_result() -> None:
    for kind in (*vars(model).values(), *vars(result_classes).values()):
        if isinstance(kind, type) and dataclasses.is_dataclass(kind):
            fields = [f for f in dataclasses.fields(kind) if "Array" in f.type or "NDA" in f.type]
            for field in fields:
                if field.name != "profiles":
                    assert f"{kind.__name__}.{field.name}" in ARRAYS


def test_two_materials_of_one_name_stay_two() -> None:
    light = dataclasses.replace(synthetic.BOARD, density=300.0)
    packed = Packed()
    tree = pack((synthetic.BOARD, light, synthetic.BOARD), packed)
    assert list(packed.shared) == ["board", "board (2)"]
    assert unpack(json.loads(json.dumps(tree)), packed) == (
        synthetic.BOARD,
        light,
        synthetic.BOARD,
    )


def test_packing_refuses_what_is_not_in_the_closed_set() -> None:
    with pytest.raises(TypeError, match="cannot keep a"):
        pack((Path("x"),), Packed())
    with pytest.raises(KeyError):
        unpack({"class": "Popen"}, Packed())


@pytest.mark.parametrize(
    ("hours", "weather_hours", "expected"),
    [
        (3 * 8760, 8760, ("2000-10-01", "standard")),
        (4 * 8760, 8760, ("2000-10-01", "noleap")),
        (8784, 8784, ("2000-10-01", "all_leap")),
    ],
)
def test_calendar_meets_no_leap_day_the_weather_lacks(
    hours: int, weather_hours: int, expected: tuple[str, str]
) -> None:
    short = synthetic.result(hours=24, climate=synthetic.climate(weather_hours))
    assert results.nominal_start(dataclasses.replace(short, hours=hours)) == expected


def test_files_that_hold_no_result_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="does not exist"):
        results.read_hdf5(tmp_path / "none.h5")
    (tmp_path / "text.h5").write_text("no")
    with pytest.raises(InputError, match="no HDF5 file"):
        results.read_hdf5(tmp_path / "text.h5")
    with h5py.File(tmp_path / "other.h5", "w") as other:
        other.attrs["format"] = "something else"
    with pytest.raises(InputError, match="holds no result"):
        results.read_hdf5(tmp_path / "other.h5")


@pytest.mark.parametrize(
    ("version", "said"),
    [(2, "is of format 2"), (results.FORMAT_VERSION, "no result"), ("2", "no result")],
)
def test_a_text_of_any_length_in_the_head_is_not_read(
    version: Any, said: str, tmp_path: Path
) -> None:
    """Damaged, it kept the library reading for ever; format 2 named itself so."""
    path = tmp_path / "older.h5"
    results.write_hdf5(synthetic.result(hours=24), path)
    with h5py.File(path, "a") as opened:
        opened.attrs["format"] = "assembly_sim run"
        opened.attrs["format_version"] = version
    with pytest.raises(InputError, match=said):
        results.read_hdf5(path)


def test_later_format_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "later.h5"
    results.write_hdf5(synthetic.result(hours=24), path)
    with h5py.File(path, "a") as opened:
        opened.attrs["format_version"] = results.FORMAT_VERSION + 1
    with pytest.raises(InputError, match=f"is of format {results.FORMAT_VERSION + 1}"):
        results.read_hdf5(path)


def test_interrupted_write_leaves_the_old_file(tmp_path: Path, monkeypatch: Any) -> None:
    path = tmp_path / "run.h5"
    path.write_text("old")

    def stop(*_: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(results, "_describe_assembly", stop)
    with pytest.raises(KeyboardInterrupt):
        results.write_hdf5(synthetic.result(hours=24), path)
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]

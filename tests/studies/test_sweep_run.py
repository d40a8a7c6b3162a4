"""Sweeps run: the same whatever the threads, gone on where they stopped, nothing run twice."""

import logging
from dataclasses import replace

import numpy as np
import pytest

from assembly_sim.errors import InputError
from assembly_sim.files.sweep.columns import NOT_RESULTS
from assembly_sim.files.sweep.folder import Shard, shard_named
from assembly_sim.files.sweep.merge import merge
from assembly_sim.model import Constant
from assembly_sim.studies.sweep import work
from assembly_sim.studies.sweep.run import sweep
from assembly_sim.studies.sweep.table import read_sweep, sweep_table
from tests.studies.sweeps import CONDUCTIVITY, FACES, THICKNESS, small_case, small_plan


def results(folder):
    """The table without what two runs of one sweep do not share."""
    return sweep_table(folder).drop(columns=list(NOT_RESULTS))


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """An undisturbed sweep of one thread."""
    folder = tmp_path_factory.mktemp("sweeps") / "whole"
    for _ in sweep(small_plan(), folder, workers=1):
        pass
    return folder


def test_threads_change_no_bit(whole, tmp_path):
    rows = list(sweep(small_plan(), tmp_path / "four", workers=4))
    assert sorted(row["variant"] for row in rows) == list(range(24))
    assert results(tmp_path / "four").equals(results(whole))


def test_what_is_finished_is_not_run_again(whole, monkeypatch):
    monkeypatch.setattr(work, "_run", lambda *_: pytest.fail("run again"))
    assert list(sweep(small_plan(), whole)) == []


def test_left_early_it_goes_on_where_it_was(whole, tmp_path):
    first = []
    for row in sweep(small_plan(), tmp_path / "stopped", workers=2):
        first.append(row["variant"])
        if len(first) == 7:
            break
    rest = [row["variant"] for row in sweep(small_plan(), tmp_path / "stopped", workers=2)]
    assert sorted(first + rest) == list(range(24))
    assert results(tmp_path / "stopped").equals(results(whole))


def test_more_points_run_those_alone(whole, tmp_path):
    folder = tmp_path / "extended"
    assert len(list(sweep(small_plan(counts=(20,)), folder))) == 20
    assert len(list(sweep(small_plan(), folder))) == 4
    assert results(folder).equals(results(whole))


def test_levels_put_between_keep_what_was_run_under_its_new_number(tmp_path):
    def plan(steps):
        factors = (FACES, replace(THICKNESS, steps=steps))
        return small_plan(method="factorial", counts=(), factors=factors)

    assert len(list(sweep(plan(2), tmp_path / "grid"))) == 4
    assert len(list(sweep(plan(3), tmp_path / "grid"))) == 2
    table = sweep_table(tmp_path / "grid")
    assert table["thickness"].tolist() == pytest.approx([0.01, 0.02, 0.03] * 2)
    assert table["faces"].tolist() == ["north"] * 3 + ["south"] * 3


def test_a_changed_case_is_run_again_and_said(whole, tmp_path, caplog):
    damp = replace(small_case(), room=replace(small_case().room, humidity=Constant(0.6)))
    folder = tmp_path / "changed"
    list(sweep(small_plan(counts=(3,)), folder))
    with caplog.at_level(logging.WARNING):
        assert len(list(sweep(small_plan(counts=(3,), case=damp), folder))) == 3
    assert "3 finished variants rest on another case" in caplog.text
    found = read_sweep(folder)
    assert (len(found), found.stale, found.absent) == (3, 3, ())
    assert len(list(sweep(small_plan(counts=(3,)), folder))) == 0  # back to what was run at first


def test_a_variant_that_fails_is_a_row_and_the_rest_goes_on(tmp_path):
    thin = replace(THICKNESS, law=replace(THICKNESS.law, a=1e-6))
    rows = (((1e-6), 1.0), (0.02, 1.0))
    given = small_plan(method="table", counts=(), factors=(thin, CONDUCTIVITY), rows=rows)
    list(sweep(given, tmp_path / "failed"))
    table = sweep_table(tmp_path / "failed")
    assert table["status"].tolist() == ["failed", "no verdict"]
    assert "out of range" in table["reason"][0]
    assert np.isnan(table["wood_moisture_max"][0])
    assert table["rank"].isna().all()
    assert list(sweep(given, tmp_path / "failed")) == []
    again = list(sweep(given, tmp_path / "failed", retry=True))
    assert [row["variant"] for row in again] == [0]
    assert len(sweep_table(tmp_path / "failed")) == 2


def test_two_plans_in_one_folder_are_refused_and_nothing_is_overwritten(whole):
    before = {one: one.read_bytes() for one in whole.iterdir()}
    with pytest.raises(InputError, match="holds another plan: its seed is 5, here 6"):
        next(sweep(small_plan(seed=6), whole))
    assert {one: one.read_bytes() for one in whole.iterdir()} == before


def test_a_second_sweep_in_one_folder_waits_for_none(tmp_path):
    running = sweep(small_plan(counts=(4,)), tmp_path / "busy", workers=1)
    next(running)
    with pytest.raises(InputError, match="another sweep is at work"):
        next(sweep(small_plan(counts=(4,)), tmp_path / "busy"))
    running.close()
    assert len(list(sweep(small_plan(counts=(4,)), tmp_path / "busy"))) == 3


def test_shards_merge_to_the_undivided_table(whole, tmp_path):
    folder = tmp_path / "sharded"
    for number in (1, 3):
        list(sweep(small_plan(), folder, shard=Shard(number, 3)))
    with pytest.raises(InputError, match="8 variants are missing.*run shards 2/3"):
        merge(folder)
    assert not (folder / "sweep.h5").exists()
    assert len(read_sweep(folder).absent) == 8
    list(sweep(small_plan(), folder, shard=Shard(2, 3)))
    assert merge(folder)[1] == 24
    for part in folder.glob("sweep-*"):
        part.unlink()
    assert results(folder).equals(results(whole))


def test_shards_of_two_plans_do_not_merge(tmp_path):
    list(sweep(small_plan(counts=(4,)), tmp_path / "two", shard=Shard(1, 2)))
    list(sweep(small_plan(counts=(6,)), tmp_path / "two", shard=Shard(2, 2)))
    with pytest.raises(InputError, match="another plan, case or version"):
        merge(tmp_path / "two")


@pytest.mark.parametrize("text", ["0/3", "4/3", "3", "a/b", "1/0", "-1/3"])
def test_a_shard_that_is_none_is_refused(text):
    with pytest.raises(InputError, match="shard"):
        shard_named(text)


def test_every_variant_is_in_one_shard():
    held = [[Shard(i + 1, 7).holds(number) for i in range(7)] for number in range(50)]
    assert all(sum(one) == 1 for one in held)


def test_hourly_planes_open_by_their_key(tmp_path):
    import xarray as xr

    list(sweep(small_plan(counts=(2,), states=True), tmp_path / "states"))
    table = sweep_table(tmp_path / "states")
    for key in table["key"]:
        file = tmp_path / "states" / "states-sweep.h5"
        with xr.open_dataset(file, group=f"{key}/path_1", engine="h5netcdf") as found:
            assert found["temperature"].dims == ("time", "plane")
            assert found["temperature"].shape == (48, 2)
            assert 250.0 < float(found["temperature"].min()) < 300.0
    assert list((tmp_path / "states" / "states").iterdir()) == []


def test_the_table_opens_in_xarray_with_units_and_texts(whole):
    import xarray as xr

    with xr.open_dataset(whole / "sweep.h5", engine="h5netcdf") as found:
        assert found["thickness"].dims == ("variant",)
        assert found["thickness"].attrs["units"] == "m"
        assert set(found["faces"].values) == {"north", "south"}
        assert found.attrs["seed"] == 5
        assert len(found.to_dataframe()) == 24

"""Tables of sweeps from strangers and failing disks: plain local data or an InputError."""

from __future__ import annotations

import json
import random
import resource
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import h5py
import numpy as np
import pytest
import xarray as xr

from assembly_sim.errors import InputError
from assembly_sim.files.result.rows import text, write_rows
from assembly_sim.files.result.states import FIELDS, gather, write_states
from assembly_sim.files.sweep import journal
from assembly_sim.files.sweep.columns import MOST_TEXT, columns_of
from assembly_sim.files.sweep.journal import _line
from assembly_sim.files.sweep.merge import merge
from assembly_sim.studies.sweep.table import read_sweep
from tests.files.damage import damaged
from tests.studies.sweeps import FACES, THICKNESS

ROWS = 40


def row(number: int) -> dict[str, float | str]:
    return {
        **{"variant": number, "thickness": 0.01, "faces": "north", "status": "ok"},
        **{"level": "past a limit", "rank": 3.0, "key": f"k{number}", "base_sha256": "b"},
    }


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    from assembly_sim.files.result.rows import table_of

    columns = columns_of((THICKNESS, FACES))
    about = {"variants": ROWS, "seed": 1, "plan_sha256": "p", "method": "random"}
    about["factors"] = json.dumps([["thickness", "length"], ["faces", "name"]])
    table = table_of([row(number) for number in range(ROWS)], columns)
    write_rows(tmp_path / "sweep.h5", table, columns, {**about, "plan_text": "a plan"})
    (tmp_path / "secret.bin").write_bytes(np.full(ROWS, 3.0).tobytes())
    with h5py.File(tmp_path / "other.h5", "w") as other:
        other["data"] = np.zeros(ROWS)
    return tmp_path


def test_a_sound_table_is_read(folder: Path) -> None:
    found = read_sweep(folder)
    assert len(found) == ROWS
    assert found.about["plan_text"] == "a plan"


def outside(file: h5py.File) -> None:
    secret = str(Path(file.filename).parent / "secret.bin")
    file.create_dataset("rank", (ROWS,), float, external=[(secret, 0, h5py.h5f.UNLIMITED)])


def linked(file: h5py.File) -> None:
    file["rank"] = h5py.ExternalLink(str(Path(file.filename).parent / "other.h5"), "data")


def virtual(file: h5py.File) -> None:
    plan = h5py.VirtualLayout((ROWS,), float)
    other = str(Path(file.filename).parent / "other.h5")
    plan[:] = h5py.VirtualSource(other, "data", (ROWS,))
    file.create_virtual_dataset("rank", plan)


def empty(file: h5py.File) -> None:
    file.create_dataset("rank", (10**10,), float, chunks=(1000,), compression="gzip")


def other_filter(file: h5py.File) -> None:
    file.create_dataset("rank", data=np.ones(ROWS), compression="lzf")


def short(file: h5py.File) -> None:
    file["rank"] = np.ones(ROWS - 1)


def words(file: h5py.File) -> None:
    file["rank"] = ["a"] * ROWS


def drier_than_dry(file: h5py.File) -> None:
    file["rank"] = np.full(ROWS, -1.0)


def drier_than_its_level(file: h5py.File) -> None:
    file["rank"] = np.zeros(ROWS)


def nothing(file: h5py.File) -> None:
    """Leave the place empty."""


@pytest.mark.parametrize(
    ("put", "said"),
    [
        (outside, "from another file"),
        (virtual, "from another file"),
        (linked, "by a link"),
        (empty, "not a value a row"),
        (other_filter, "not packed"),
        (short, "not a value a row"),
        (words, "not of the kind"),
        (drier_than_dry, "beside the level"),
        (drier_than_its_level, "beside the level"),
        (nothing, "lacks"),
    ],
)
def test_only_plain_local_columns_are_read(
    put: Callable[[h5py.File], None], said: str, folder: Path
) -> None:
    with h5py.File(folder / "sweep.h5", "a") as file:
        del file["rank"]
        put(file)
    with pytest.raises(InputError, match=said):
        read_sweep(folder)


def head(change: Callable[[dict[str, Any]], Any]) -> Callable[[h5py.File], None]:
    """What changes the head of a table."""

    def put(file: h5py.File) -> None:
        told = json.loads(file["texts/about"].asstr()[()])
        change(told)
        data = json.dumps(told).encode()
        del file["texts/about"]
        file.create_dataset("texts/about", data=data, dtype=h5py.string_dtype("utf-8", len(data)))

    return put


@pytest.mark.parametrize(
    "put",
    [
        head(lambda told: told.update(columns=3)),
        head(lambda told: told["columns"].pop(0)),
        head(lambda told: told["columns"].append(told["columns"][0])),
        head(lambda told: told["columns"][0].update(kind="object")),
        head(lambda told: told["columns"][0].update(long_name=[1])),
        head(lambda told: told["columns"][0].update(more=1)),
        head(lambda told: told["about"].update(variants=10**12)),
        head(lambda told: told["about"].update(variants="many")),
        head(lambda told: told["about"].update(factors="[")),
        head(lambda told: told["about"].update(factors='[["none", "length"]]')),
        head(lambda told: told["about"].pop("seed")),
        head(lambda told: told["about"].update(plan=None)),
        head(lambda told: told["about"].update(plan=[1])),
        head(lambda told: told["about"].update(seed=10**30)),
        head(lambda told: told["about"].update(title="a\0b")),
        head(lambda told: told["about"].update({"a/b": 1})),
        head(lambda told: told.pop("about")),
        lambda file: file.attrs.__setitem__("format", "assembly_sim sweep"),  # of any length
        lambda file: file.attrs.__setitem__("format_version", 9),
        lambda file: file.__delitem__("texts"),
    ],
)
def test_a_head_that_fits_no_table_is_refused(put: Callable[[h5py.File], None], folder: Path):
    with h5py.File(folder / "sweep.h5", "a") as file:
        put(file)
    with pytest.raises(InputError):
        read_sweep(folder)


def test_what_a_table_says_at_length_is_written_again_whole(folder: Path):
    """Merged, a table is written again with all it said; an attribute has no room for this."""
    with h5py.File(folder / "sweep.h5", "a") as file:
        head(lambda told: told["about"].update(title="long " * 20_000))(file)
    place, _ = merge(folder, incomplete=True)
    assert read_sweep(place.parent).about["title"] == "long " * 20_000


def test_damaged_tables_are_read_or_refused_in_one_way(folder: Path) -> None:
    random_bytes, place = random.Random(7), folder / "sweep.h5"
    data, refused = place.read_bytes(), 0
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    for number in range(150):
        place.write_bytes(damaged(data, number, random_bytes, len(data)))
        try:
            read_sweep(folder)
        except InputError:
            refused += 1
    assert refused >= 75
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - peak <= 300_000  # kB


@pytest.mark.parametrize("bad", [b"[1]", b'{"rank": [1]}', b'{"rank": true}', b"[" * 100_000])
def test_a_journal_of_no_rows_is_refused(bad: bytes, folder: Path) -> None:
    import zlib

    line = b"%08x " % zlib.crc32(bad) + bad + b"\n"
    (folder / "sweep.journal").write_bytes(line)
    with pytest.raises(InputError, match="no row"):
        read_sweep(folder)


def test_words_for_a_number_in_a_journal_are_refused(folder: Path) -> None:
    (folder / "sweep.journal").write_bytes(_line({**row(1), "rank": "dry"}))
    with pytest.raises(InputError, match="no number as 'rank'"):
        read_sweep(folder)


def test_a_line_without_an_end_is_not_read_whole(folder: Path) -> None:
    whole = _line(row(ROWS))
    (folder / "sweep.journal").write_bytes(whole + b"x" * 3 * journal.LONGEST_LINE)
    assert len(list(journal.read(folder / "sweep.journal"))) == 1


def test_texts_that_are_none_are_shown_by_their_bytes() -> None:
    assert text(np.array([b"a\xff"])) == ["a\\xff"]


def test_a_name_longer_than_a_cell_is_refused() -> None:
    from dataclasses import replace

    long = replace(FACES, options=(replace(FACES.options[0], value="n" * (MOST_TEXT + 1)),))
    with pytest.raises(InputError, match="more than 1000 bytes"):
        columns_of((long,))


def test_a_folder_is_copied_and_read_elsewhere(folder: Path, tmp_path: Path) -> None:
    shutil.copytree(folder, tmp_path / "copy", ignore=shutil.ignore_patterns("copy"))
    assert len(read_sweep(tmp_path / "copy")) == ROWS


def test_a_damaged_file_of_hourly_planes_is_told_and_kept(tmp_path: Path) -> None:
    states = {name: np.ones((4, 2), "f4") for name in FIELDS}
    one = {"path": "main", "planes": ["a", "b"], **states}
    write_states(tmp_path / "k1.h5", "k1", {"variant": 1}, [one])
    (tmp_path / "k2.h5").write_bytes(b"no file of this kind")
    with pytest.raises(InputError, match=r"k2\.h5: cannot be read"):
        gather(tmp_path / "all.h5", [tmp_path / "k1.h5", tmp_path / "k2.h5"])
    assert sorted(one.name for one in tmp_path.iterdir()) == ["k1.h5", "k2.h5"]
    gather(tmp_path / "all.h5", [tmp_path / "k1.h5"])
    with h5py.File(tmp_path / "all.h5") as file:
        assert file["k1/path_1/plane_name"][()].tolist() == [b"a", b"b"]
        assert file["k1/path_1/temperature"].shape == (4, 2)
    with h5py.File(tmp_path / "k3.h5", "w") as file:
        path = file.create_group("k3/path_1")
        path.attrs["long_name"] = np.bytes_("main")
        for name in FIELDS:
            path[name] = h5py.ExternalLink(str(tmp_path / "all.h5"), f"k1/path_1/{name}")
    with pytest.raises(InputError, match="by a link"):
        gather(tmp_path / "all.h5", [tmp_path / "k3.h5"])


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (lambda key: key.attrs.__setitem__("reason", "of any length"), "no short text"),
        (lambda key: key.attrs.__setitem__("reason", np.bytes_("x" * 20_000)), "no short text"),
        (lambda key: key.attrs.__setitem__("seconds", np.zeros(5000)), "no number"),
        (lambda key: key["path_1"].attrs.__setitem__("long_name", "of any length"), "no short"),
        (lambda key: [key.attrs.__setitem__(f"n{k}", k) for k in range(1100)], "more than 1000"),
        (lambda key: key.__setitem__("path_2", h5py.ExternalLink("other.h5", "/")), "by a link"),
        (lambda key: key.__setitem__("path_2", np.zeros(3)), "no numbers|no group|lacks"),
    ],
)
def test_what_a_stranger_tells_of_a_variant_is_bounded(spoil, told, tmp_path: Path) -> None:
    states = {name: np.ones((4, 2), "f4") for name in FIELDS}
    row = {"variant": 1, "seconds": 0.5, "reason": "dünn", "level": ""}
    one = {"path": "main", "planes": ["a", "b"], **states}
    write_states(tmp_path / "k1.h5", "k1", row, [one])
    shutil.copy(tmp_path / "k1.h5", tmp_path / "k2.h5")
    with h5py.File(tmp_path / "k2.h5", "a") as file:
        spoil(file["k1"])
    with pytest.raises(InputError, match=told):
        gather(tmp_path / "all.h5", [tmp_path / "k2.h5"])
    gather(tmp_path / "all.h5", [tmp_path / "k1.h5"])
    found = xr.open_dataset(tmp_path / "all.h5", group="k1", engine="h5netcdf")
    assert {name: found.attrs[name] for name in row} == row
    found.close()

"""Folders of sweeps from strangers: a journal, plan or shard that is forged or no file."""

from __future__ import annotations

import json
import os
import shutil
import zlib
from pathlib import Path

import h5py
import pytest

from assembly_sim.errors import InputError
from assembly_sim.files.result.states import gather
from assembly_sim.files.sweep.columns import columns_of
from assembly_sim.files.sweep.folder import Shard, about
from assembly_sim.files.sweep.journal import Journal
from assembly_sim.files.sweep.store import Store
from assembly_sim.studies.sweep.questions import asked_of
from assembly_sim.studies.sweep.table import read_sweep
from tests.studies.sweeps import FACES, THICKNESS

COLUMNS = columns_of((THICKNESS, FACES))
ABOUT = {
    **dict.fromkeys(("title", "plan", "plan_sha256", "base_sha256", "shard"), "x"),
    **{"method": "random", "seed": 5, "variants": 4, "plan_text": "a", "case_text": "b"},
    "factors": json.dumps([["thickness", "length"], ["faces", "name"]]),
}


def row(number: int) -> dict[str, float | str]:
    given: dict[str, float | str] = {"variant": number, "key": f"key{number}", "status": "ok"}
    level = {"level": "dry with margin", "rank": 0.0}
    return given | level | {"thickness": 0.01 * number, "faces": "north"}


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with three rows in its table and one in its journal."""
    folder = tmp_path_factory.mktemp("sweeps") / "swept"
    folder.mkdir()
    with Store(folder, Shard(), COLUMNS, ABOUT) as store:
        for number in range(3):
            store.add(row(number))
    journal = Journal(folder / "sweep.journal")
    journal.append(row(3))
    journal.close()
    return folder


@pytest.fixture
def folder(sound: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(sound, tmp_path / "swept"))


def test_what_is_sound_is_read_with_its_units(sound: Path) -> None:
    found = read_sweep(sound)
    assert found.column("thickness").tolist() == pytest.approx([0.0, 0.01, 0.02, 0.03])
    assert found.about["case_text"] == "b"


def test_a_sweep_without_one_number_is_asked_all_the_same(sound: Path) -> None:
    """Each row here has a level and no heat: the report once ended as a fault of the program."""
    answers = asked_of(read_sweep(sound))
    assert {one.refused for one in answers.effects} == {
        "no variant has a number for it; run years that are whole"
    }


def refused(folder: Path, name: str) -> str:
    with pytest.raises(InputError) as error:
        read_sweep(folder)
    assert name in str(error.value)
    assert len(str(error.value)) < 600
    return str(error.value)


def forged(data: bytes) -> bytes:
    """A line whose checksum is right."""
    return b"%08x " % zlib.crc32(data) + data + b"\n"


@pytest.mark.parametrize(
    "line",
    [
        *(b"[]", b"5", b"null", b"{}", b"[" * 100_000, b"not JSON"),
        *(json.dumps(row(3) | {"thickness": odd}).encode() for odd in ("x", [1.0], {})),
        *(json.dumps(row(3) | {"variant": odd}).encode() for odd in (None, 10**30, 2**62)),
        *(json.dumps(row(3) | {"rank": odd}).encode() for odd in (-1.0, 1.0, None)),
        json.dumps(row(3) | {"key": ["a"]}).encode(),
    ],
)
def test_a_line_that_is_no_row_is_refused(line: bytes, folder: Path) -> None:
    (folder / "sweep.journal").write_bytes(forged(line))
    refused(folder, "sweep.journal")
    with pytest.raises(InputError, match=r"sweep\.journal"):
        Store(folder, Shard(), COLUMNS, ABOUT)
    assert (folder / "sweep.journal").read_bytes() == forged(line)


@pytest.mark.parametrize("name", ["sweep.h5", "sweep.journal"])
@pytest.mark.parametrize("what", ["pipe", "device", "folder"])
def test_what_is_no_plain_file_is_refused_without_waiting(
    name: str, what: str, folder: Path
) -> None:
    (folder / name).unlink()
    if what == "pipe":
        os.mkfifo(folder / name)
    elif what == "device":
        (folder / name).symlink_to("/dev/zero")
    else:
        (folder / name).mkdir()
    refused(folder, name)
    with pytest.raises(InputError, match=name):
        Store(folder, Shard(), COLUMNS, ABOUT)


@pytest.mark.parametrize("text", ["[" * 100_000, "5", '{"plan": 3}', "\0", ""])
def test_a_plan_kept_in_the_folder_that_is_none_is_refused(text: str, folder: Path) -> None:
    (folder / "plan.json").write_text(text)
    with pytest.raises(InputError, match=r"plan\.json"):
        about(folder)


def test_a_shard_that_cannot_be_is_named(folder: Path) -> None:
    (folder / "sweep-0-of-0.h5").write_bytes(b"")
    refused(folder, "sweep-0-of-0.h5")


@pytest.mark.parametrize("what", ["pipe", "device"])
def test_hourly_planes_that_are_no_file_are_refused_without_waiting(
    what: str, tmp_path: Path
) -> None:
    odd = tmp_path / "states.h5"
    os.mkfifo(odd) if what == "pipe" else odd.symlink_to("/dev/zero")
    with pytest.raises(InputError, match=r"states\.h5"):
        gather(tmp_path / "all.h5", [odd])
    assert [path.name for path in tmp_path.iterdir()] == ["states.h5"]


def test_a_table_without_a_column_that_is_asked_for_is_refused(folder: Path) -> None:
    """`sweep_table` takes all of them; the report asks for few."""
    with h5py.File(folder / "sweep.h5", "a") as file:
        told = json.loads(file["texts/about"].asstr()[()])
        told["columns"] = [one for one in told["columns"] if one["name"] != "cost"]
        del file["texts/about"]
        data = json.dumps(told).encode()
        kind = h5py.string_dtype("utf-8", len(data))
        file.create_dataset("texts/about", data=data, dtype=kind)
    assert "cost" in refused(folder, "sweep.h5")

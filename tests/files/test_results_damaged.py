"""Result files from strangers and from failing disks: plain local data or an InputError."""

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

from assembly_sim.errors import InputError
from assembly_sim.files.result.write import read_hdf5, write_hdf5
from tests import synthetic
from tests.files.damage import damaged

PLACE = "assemblies/assembly_1/paths/path_1/temperature"
HOURS = 200


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("sound") / "run.h5"
    write_hdf5(synthetic.result(hours=HOURS), path)
    return path


@pytest.fixture
def copy(sound: Path, tmp_path: Path) -> Path:
    (tmp_path / "secret.bin").write_bytes(np.full(HOURS * 6, 3.0).tobytes())
    with h5py.File(tmp_path / "other.h5", "w") as other:
        other["data"] = np.full((HOURS, 6), 3.0)
    return Path(shutil.copy(sound, tmp_path / "run.h5"))


def place_of(file: h5py.File) -> str:
    """The place of the first path's temperatures."""
    places: list[str] = json.loads(file["arrays"].asstr()[()])
    return next(place for place in places if place.endswith("path_1/temperature"))


def outside(file: h5py.File, place: str) -> None:
    secret = str(Path(file.filename).parent / "secret.bin")
    shape = (HOURS, 6)
    file.create_dataset(place, shape, float, external=[(secret, 0, h5py.h5f.UNLIMITED)])


def linked(file: h5py.File, place: str) -> None:
    file[place] = h5py.ExternalLink(str(Path(file.filename).parent / "other.h5"), "data")


def softly(file: h5py.File, place: str) -> None:
    file["elsewhere"] = np.full((HOURS, 6), 3.0)
    file[place] = h5py.SoftLink("/elsewhere")


def virtual(file: h5py.File, place: str) -> None:
    plan = h5py.VirtualLayout((HOURS, 6), float)
    plan[:] = h5py.VirtualSource(str(Path(file.filename).parent / "other.h5"), "data", (HOURS, 6))
    file.create_virtual_dataset(place, plan)


def empty(file: h5py.File, place: str) -> None:
    file.create_dataset(place, (10**9, 500), float, chunks=(1000, 500), compression="gzip")


def one_chunk(file: h5py.File, place: str) -> None:
    file.create_dataset(place, (10**5, 5000), float, chunks=(10**5, 5000), compression="gzip")


def other_filter(file: h5py.File, place: str) -> None:
    file.create_dataset(place, data=np.ones((HOURS, 6)), compression="lzf")


def short(file: h5py.File, place: str) -> None:
    file[place] = np.ones((HOURS - 1, 6))


def words(file: h5py.File, place: str) -> None:
    file[place] = ["a", "b"]


def group(file: h5py.File, place: str) -> None:
    file.create_group(place)


def nothing(file: h5py.File, place: str) -> None:
    """Leave the place empty."""


@pytest.mark.parametrize(
    ("put", "said"),
    [
        (outside, "from another file"),
        (virtual, "from another file"),
        (linked, "by a link"),
        (softly, "by a link"),
        (empty, "more numbers than it holds"),
        (one_chunk, "than it holds"),
        (other_filter, "not packed"),
        (short, "not (200, 6)"),
        (words, "no series of numbers"),
        (group, "no numbers"),
        (nothing, "lacks"),
    ],
)
def test_only_plain_local_data_of_the_right_size_are_read(
    put: Callable[[h5py.File, str], None], said: str, copy: Path
) -> None:
    """Another file's bytes came back as temperatures; a header alone took gigabytes."""
    with h5py.File(copy, "a") as file:
        place = place_of(file)
        del file[place]
        put(file, place)
    with pytest.raises(InputError) as refused:
        read_hdf5(copy)
    assert said in str(refused.value)


def change(tree: Any, name: str, value: Any) -> bool:
    """Give the first entry of this name in a tree another value."""
    if isinstance(tree, dict):
        if name in tree:
            tree[name] = value
            return True
        return any(change(item, name, value) for item in tree.values())
    return isinstance(tree, list) and any(change(item, name, value) for item in tree)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("class", "Popen"),
        ("hours", "many"),
        ("hours", -5),
        ("hours", 7),
        ("years", "three"),
        ("share", [1, 2]),
        ("case", 3),
        ("paths", {"map": {}}),
        ("temperature", {"array": "nowhere"}),
        ("temperature", {"array": 7}),
        ("assemblies", 1e400),
        ("name", 4),
        ("tilt", "steep"),
        ("layers", [[[]]]),
        ("month", {"float": "x"}),
    ],
)
def test_a_description_that_fits_no_result_is_refused(name: str, value: Any, copy: Path) -> None:
    with h5py.File(copy, "a") as file:
        tree = json.loads(file["description"].asstr()[()])
        assert change(tree, name, value)
        del file["description"]
        text = json.dumps(tree)
        file.create_dataset(
            "description", data=text.encode(), dtype=h5py.string_dtype("utf-8", len(text))
        )
    with pytest.raises(InputError):
        read_hdf5(copy)


def test_damaged_files_are_read_or_refused_in_one_way(sound: Path, tmp_path: Path) -> None:
    """Cut short, zeroed and with bytes changed; five kinds of exception came out of them."""
    random_bytes, data, refused = random.Random(7), sound.read_bytes(), 0
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    for number in range(150):
        broken = damaged(data, number, random_bytes, 30_000)
        (tmp_path / "damaged.h5").write_bytes(broken)
        try:
            read_hdf5(tmp_path / "damaged.h5")
        except InputError:
            refused += 1
    assert refused >= 100
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - peak <= 300_000  # kB

"""Hourly planes of variants: a file each while a sweep runs, then one file a shard.

A variant is a group named by its key, a path of it a group below: temperature, vapour pressure and
humidity by hour and plane, in floats of half the digits, packed. Each opens in xarray by its group.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import h5py
import numpy as np

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.output import Sink, whole_file
from assembly_sim.files.result.read import SMALL, UNPACKED, DamagedError, dataset_at
from assembly_sim.files.result.rows import PACKING

MOST_TOLD = 1000  # of a variant, beside its hours: columns of the table are some 50
MOST_TEXT = 10_000  # bytes of one of them, a reason among them
FIELDS = {
    "temperature": ("K", "mean temperature of the hour"),
    "vapour_pressure": ("Pa", "mean vapour pressure of the hour"),
    "relative_humidity": ("1", "mean relative humidity of the hour, over liquid water"),
}


def write_states(path: Path, key: str, row: Mapping[str, Any], states: Iterable[Any]) -> None:
    """Write the hourly planes of one variant, whole or not at all."""
    with whole_file(path) as part, Sink(part) as sink, h5py.File(sink, "w") as file:
        group = file.create_group(key)
        _tell(group, {name: value for name, value in row.items() if value == value})
        for number, one in enumerate(states, start=1):
            _write_path(group.create_group(f"path_{number}"), one)


def _tell(group: h5py.Group, told: Mapping[str, Any]) -> None:
    """Attributes of a group, texts of known length: of any length, a stranger's can ask for all."""
    for name, value in told.items():
        if not isinstance(value, str):
            group.attrs[name] = value
            continue
        text = value.encode("utf-8", "backslashreplace")
        group.attrs.create(name, text, dtype=h5py.string_dtype("utf-8", max(len(text), 1)))


def _told(group: h5py.Group) -> dict[str, Any]:
    """What `_tell` wrote. DamagedError where it is more, or anything else."""
    if len(group.attrs) > MOST_TOLD:
        raise DamagedError(f"tells more than {MOST_TOLD} things of a variant")
    found = {}
    for name in group.attrs:
        held = group.attrs.get_id(name)
        if held.shape != () or held.dtype.kind not in "iufS" or held.dtype.itemsize > MOST_TEXT:
            raise DamagedError(f"tells '{name[:100]}' by what is no number and no short text")
        value = group.attrs[name]
        found[name] = _text(value) if isinstance(value, bytes) else value
    return found


def _write_path(group: h5py.Group, one: Mapping[str, Any]) -> None:
    _tell(group, {"long_name": one["path"]})
    hours, planes = one["temperature"].shape
    scales = {"time": np.arange(1, hours + 1, dtype=np.int32), "plane": np.arange(planes)}
    for name, values in scales.items():
        group.create_dataset(name, data=values, **PACKING).make_scale(name)
    group["time"].attrs["long_name"] = "end of the hour, counted from the start of the run"
    for name, (units, long_name) in FIELDS.items():
        data = group.create_dataset(name, data=one[name], chunks=(hours, 1), **PACKING)
        data.attrs.update(units=units, long_name=long_name)
        for axis, scale in enumerate(scales):
            data.dims[axis].attach_scale(group[scale])
    encoded = [name.encode("utf-8", "backslashreplace") for name in one["planes"]]
    kind = h5py.string_dtype("utf-8", max(map(len, encoded), default=1))  # of known length
    names = group.create_dataset("plane_name", data=np.array(encoded, dtype=kind), dtype=kind)
    names.attrs["_Encoding"] = "utf-8"  # xarray makes texts of bytes by it
    names.dims[0].attach_scale(group["plane"])


def gather(target: Path, parts: Iterable[Path]) -> None:
    """Put the files of variants into one, with what it holds already, and remove them."""
    sources = [*([target] if target.exists() else []), *parts]
    if not sources or sources == [target]:
        return
    with whole_file(target) as whole, Sink(whole) as sink, h5py.File(sink, "w") as file:
        for source in sources:
            _copy_all(source, file)
            sink.check()
    for source in sources:
        if source != target:
            source.unlink()


def _copy_all(source: Path, file: h5py.File) -> None:
    """Copy what a file of states holds and `file` does not. InputError where it is damaged."""
    try:
        if not source.is_file():
            raise DamagedError("it is no plain file")
        with h5py.File(source, "r") as other:
            for key in other:
                if key not in file:
                    _copy(other, key, file.create_group(key))
    except OSError as error:
        if error.errno is not None:  # of the disk that is written to
            raise
        raise _damaged(source, error) from None
    except (DamagedError, KeyError, ValueError, TypeError, RuntimeError) as error:
        raise _damaged(source, error) from None


def _damaged(source: Path, error: Exception) -> InputError:
    return InputError(Problem(f"cannot be read ({str(error)[:200]})", "remove it", str(source)))


def _copy(other: h5py.File, key: str, group: h5py.Group) -> None:
    variant = _group(other, key)
    _tell(group, _told(variant))
    for name in variant:
        read = {field: dataset_at(other, f"{key}/{name}/{field}") for field in FIELDS}
        if sum(one.nbytes for one in read.values()) > SMALL + UNPACKED * other.id.get_filesize():
            raise DamagedError("it declares more than it holds")
        planes = dataset_at(other, f"{key}/{name}/plane_name")[()].tolist()
        told = _told(_group(variant, name))
        path = {"path": told["long_name"], "planes": [_text(p) for p in planes]}
        _write_path(group.create_group(name), path | {name: one[()] for name, one in read.items()})


def _group(parent: h5py.Group, name: str) -> h5py.Group:
    """A group that lies in the file itself. DamagedError where it does not."""
    if not isinstance(parent.get(name, getlink=True), h5py.HardLink):
        raise DamagedError(f"draws '{name[:100]}' from elsewhere by a link")
    found = parent[name]
    if not isinstance(found, h5py.Group):
        raise DamagedError(f"holds no group at '{name[:100]}'")
    return found


def _text(name: bytes) -> str:
    return name.decode("utf-8", "backslashreplace")

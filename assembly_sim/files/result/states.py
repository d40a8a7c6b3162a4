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

from assembly_sim.files.output import Sink, whole_file
from assembly_sim.files.result.rows import PACKING

FIELDS = {
    "temperature": ("K", "mean temperature of the hour"),
    "vapour_pressure": ("Pa", "mean vapour pressure of the hour"),
    "relative_humidity": ("1", "mean relative humidity of the hour, over liquid water"),
}


def write_states(path: Path, key: str, row: Mapping[str, Any], states: Iterable[Any]) -> None:
    """Write the hourly planes of one variant, whole or not at all."""
    with whole_file(path) as part, Sink(part) as sink, h5py.File(sink, "w") as file:
        group = file.create_group(key)
        group.attrs.update({name: value for name, value in row.items() if value == value})
        for number, one in enumerate(states, start=1):
            _write_path(group.create_group(f"path_{number}"), one)


def _write_path(group: h5py.Group, one: Mapping[str, Any]) -> None:
    group.attrs["long_name"] = one["path"]
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
    names = group.create_dataset("plane_name", data=one["planes"], dtype=h5py.string_dtype())
    names.dims[0].attach_scale(group["plane"])


def gather(target: Path, parts: Iterable[Path]) -> None:
    """Put the files of variants into one, with what it holds already, and remove them."""
    sources = [*([target] if target.exists() else []), *parts]
    if not sources or sources == [target]:
        return
    with whole_file(target) as whole, Sink(whole) as sink, h5py.File(sink, "w") as file:
        for source in sources:
            with h5py.File(source, "r") as other:
                for key in other:
                    if key not in file:
                        _copy(other[key], file.create_group(key))
            sink.check()
    for source in sources:
        if source != target:
            source.unlink()


def _copy(source: h5py.Group, group: h5py.Group) -> None:
    group.attrs.update(dict(source.attrs))
    for name, path in source.items():
        read = {field: path[field][()] for field in FIELDS}
        planes = path["plane_name"].asstr()[()].tolist()
        _write_path(
            group.create_group(name), {"path": path.attrs["long_name"], "planes": planes, **read}
        )

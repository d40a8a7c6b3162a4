"""Rows of a sweep in one HDF5 file: a dataset a column along `variant`, read by any reader.

Every column has the scale of its dimension, a long name and a unit, so that the file opens in
xarray as it is, and in pandas by its datasets. Its attributes say where it comes from. A file is
written whole or not at all; rows are added by writing a new one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

import h5py
import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.output import Sink, whole_file
from assembly_sim.files.result.read import SMALL, UNPACKED, dataset_at
from assembly_sim.files.sweep.columns import VARIANT, Column

FORMAT, FORMAT_VERSION = "assembly_sim sweep", 1
MOST_TEXT = 10_000  # bytes of a cell
PACKING: dict[str, Any] = {"compression": "gzip", "compression_opts": 1, "shuffle": True}

Table = dict[str, NDArray[Any]]


def table_of(rows: Sequence[Mapping[str, float | str]], columns: Iterable[Column]) -> Table:
    """Columns of rows: whole numbers, floats, or texts as bytes (UTF-8)."""
    return {
        one.name: _array(one, [row.get(one.name, one.empty) for row in rows]) for one in columns
    }


def _array(column: Column, values: list[Any]) -> NDArray[Any]:
    if column.kind == "text":
        encoded = [str(value).encode("utf-8", "backslashreplace") for value in values]
        return np.array(encoded, dtype=f"S{max([len(one) for one in encoded], default=0) or 1}")
    return np.array(values, dtype=np.int64 if column.kind == "count" else np.float64)


def joined(tables: Sequence[Table], columns: Sequence[Column]) -> Table:
    """Tables under one another; a column that one of them lacks is empty there."""
    sizes = [len(one[VARIANT.name]) for one in tables]
    filled = [
        [
            one[c.name] if c.name in one else _array(c, [c.empty] * size)
            for one, size in zip(tables, sizes)
        ]
        for c in columns
    ]
    return {c.name: np.concatenate(parts) for c, parts in zip(columns, filled)}


def taken(table: Table, which: NDArray[Any]) -> Table:
    """The rows of these indices."""
    return {name: values[which] for name, values in table.items()}


def write_rows(
    path: Path, table: Table, columns: Sequence[Column], about: Mapping[str, Any]
) -> None:
    """Write a table sorted by variant, with what it is `about`. OSError where that cannot be."""
    order = np.argsort(table[VARIANT.name], kind="stable")
    with whole_file(path) as part, Sink(part) as sink, h5py.File(sink, "w") as file:
        file.attrs.update(Conventions="CF-1.11", format=FORMAT, format_version=FORMAT_VERSION)
        for name, value in about.items():
            _write_about(file, name, value)
        for column in sorted(columns, key=lambda one: one.name != VARIANT.name):  # it scales all
            _write_column(file, column, table[column.name][order])


def _write_about(file: h5py.File, name: str, value: Any) -> None:
    """Short facts are attributes; whole texts are in the group of texts, out of the table."""
    if name.endswith("_text"):
        data = value.encode("utf-8", "backslashreplace")
        file.create_dataset(
            f"texts/{name}", data=data, dtype=h5py.string_dtype("utf-8", len(data) or 1)
        )
    else:
        file.attrs[name] = value


def _write_column(file: h5py.File, column: Column, values: NDArray[Any]) -> None:
    packing = PACKING if values.size else {}
    if column.kind == "text":
        kind = h5py.string_dtype("utf-8", max(values.dtype.itemsize, 1))
        data = file.create_dataset(column.name, data=values.astype(kind), dtype=kind, **packing)
    else:
        data = file.create_dataset(column.name, data=values, **packing)
    data.attrs.update(long_name=column.long_name, kind=column.kind, role=column.role)
    if column.kind == "text":
        data.attrs["_Encoding"] = "utf-8"  # xarray makes texts of bytes by it
    if column.units:
        data.attrs["units"] = column.units
    if column.name == VARIANT.name:
        data.make_scale(VARIANT.name)
    else:
        data.dims[0].attach_scale(file[VARIANT.name])


def read_rows(path: Path) -> tuple[Table, tuple[Column, ...], dict[str, Any]]:
    """Table, columns and what a file is about. InputError where it is none, or a damaged one."""
    try:
        with h5py.File(path, "r") as file:
            return _read(file, path.stat().st_size)
    except Exception as error:  # the library's and our own: all that a damaged file can raise
        cause = f"cannot be read ({error})"
        cure = "name a folder that `assembly-sim sweep` wrote"
        raise InputError(Problem(cause, cure, str(path))) from None


def _read(file: h5py.File, size: int) -> tuple[Table, tuple[Column, ...], dict[str, Any]]:
    if file.attrs.get("format") != FORMAT or file.attrs["format_version"] > FORMAT_VERSION:
        raise ValueError("it is no table of a sweep, or of a later version")
    rows = {name: dataset_at(file, name) for name in file if name != "texts"}
    texts = {name: dataset_at(file, f"texts/{name}") for name in file.get("texts", ())}
    found = [*rows.values(), *texts.values()]
    if sum(one.nbytes for one in found) > SMALL + UNPACKED * size:
        raise ValueError("it declares more than it holds")
    about = {name: _plain(value) for name, value in file.attrs.items()}
    about |= {name: _plain(one[()]) for name, one in texts.items()}
    columns = tuple(_column(name, one) for name, one in rows.items())
    return {name: _values(one) for name, one in rows.items()}, columns, about


def _values(data: h5py.Dataset) -> NDArray[Any]:
    values = np.asarray(data[()])
    if data.attrs["kind"] != "text":
        return values
    return values.astype(f"S{values.dtype.itemsize or 1}")


def _column(name: str, data: h5py.Dataset) -> Column:
    told = {key: _plain(data.attrs.get(key, "")) for key in ("kind", "long_name", "units", "role")}
    return Column(name, **{key: str(value) for key, value in told.items()})


def _plain(value: Any) -> Any:
    if isinstance(value, bytes):
        return value.decode("utf-8")
    return value.item() if isinstance(value, np.generic) else value


def text(values: NDArray[Any]) -> list[str]:
    """Texts of a column of bytes."""
    return [one.decode("utf-8") for one in values.tolist()]

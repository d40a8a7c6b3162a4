"""Rows of a sweep in one HDF5 file: a dataset a column along `variant`, read by any reader.

Every column has the scale of its dimension, a long name and a unit, so that the file opens in
xarray as it is, and in pandas by its datasets. Its attributes say where it comes from, to other
readers: this one takes the same from a text of known length, and is as strict as `read.py`, since a
table may come from a stranger. A file is written whole or not at all; rows are added by writing a
new one.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import h5py
import numpy as np
from numpy.typing import NDArray

from assembly_sim.changes.plan import MOST_VARIANTS
from assembly_sim.errors import InputError, Problem
from assembly_sim.files.output import Sink, whole_file
from assembly_sim.files.result.read import (
    SMALL,
    UNPACKED,
    DamagedError,
    attribute,
    dataset_at,
    text_at,
)
from assembly_sim.files.sweep.columns import MOST_TEXT, OUTCOMES, VARIANT, Column
from assembly_sim.verdict.rules import LEVELS

FORMAT, FORMAT_VERSION = "assembly_sim sweep", 2  # 1 kept its head in attributes alone
HEAD = "about"
KINDS = {"text": "S", "count": "i", "number": "f"}
NEEDED = tuple(one.name for one in (VARIANT, *OUTCOMES))
ABOUT: dict[str, type] = {"variants": int, "seed": int, "plan_sha256": str, "factors": str}
MOST_FACT = 10_000  # letters of an attribute: HDF5 has room for 64 kB
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
    try:
        return np.array(values, dtype=np.int64 if column.kind == "count" else np.float64)
    except (TypeError, ValueError, OverflowError):
        cause = f"a row holds no number as '{column.name[:60]}'"
        raise InputError(Problem(cause, "name a folder that `assembly-sim sweep` wrote")) from None


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
        file.attrs.update(Conventions="CF-1.11", format=np.bytes_(FORMAT))
        file.attrs["format_version"] = FORMAT_VERSION
        for name, value in about.items():
            _write_about(file, name, value)
        short = {name: value for name, value in about.items() if not name.endswith("_text")}
        head = {"about": short, "columns": [asdict(column) for column in columns]}
        _write_text(file, HEAD, json.dumps(head))
        for column in sorted(columns, key=lambda one: one.name != VARIANT.name):  # it scales all
            _write_column(file, column, table[column.name][order])


def _write_about(file: h5py.File, name: str, value: Any) -> None:
    """Short facts are attributes too, beside the head; whole texts are in the group of texts."""
    if name.endswith("_text"):
        _write_text(file, name, value)
    elif not isinstance(value, str) or len(value) <= MOST_FACT:
        file.attrs[name] = value


def _write_text(file: h5py.File, name: str, text: str) -> None:
    """A text of known length: a reader sees how much it is before it takes memory for it."""
    data = text.encode("utf-8", "backslashreplace")
    kind = h5py.string_dtype("utf-8", len(data) or 1)
    file.create_dataset(f"texts/{name}", data=data, dtype=kind)


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
        if not path.is_file():
            raise DamagedError("it is no plain file")
        with h5py.File(path, "r") as file:
            return _read(file, path.stat().st_size)
    except Exception as error:  # the library's and our own: all that a damaged file can raise
        cause = f"cannot be read ({str(error)[:200]})"
        cure = "name a folder that `assembly-sim sweep` wrote"
        raise InputError(Problem(cause, cure, str(path))) from None


def _read(file: h5py.File, size: int) -> tuple[Table, tuple[Column, ...], dict[str, Any]]:
    if attribute(file, "format", "S") != FORMAT.encode():
        raise DamagedError("it is no table of a sweep, or one that an older version wrote")
    if attribute(file, "format_version", "iu") != FORMAT_VERSION:
        raise DamagedError(f"it is not of format {FORMAT_VERSION}, which this version reads")
    head = json.loads(text_at(file, f"texts/{HEAD}"))
    columns = tuple(Column(**one) for one in head["columns"])
    rows = {one.name: dataset_at(file, one.name) for one in columns}
    _check_columns(columns, rows)
    if sum(one.nbytes for one in rows.values()) > SMALL + UNPACKED * size:
        raise DamagedError("it declares more than it holds")
    about = _about(head["about"], rows)
    texts = [name for name in file["texts"] if name != HEAD]
    about |= {name: text_at(file, f"texts/{name}") for name in texts}
    table = {one.name: _values(one, rows[one.name]) for one in columns}
    check_rows(table)
    return table, columns, about


def _check_columns(columns: Sequence[Column], rows: Mapping[str, h5py.Dataset]) -> None:
    """Hold columns to what is written: each once, all as long, of the kind that they say."""
    lacking = [name for name in NEEDED if name not in rows]
    if lacking or len(rows) != len(columns):
        raise DamagedError(f"it lacks a column, or has one twice: {', '.join(lacking)[:100]}")
    length = rows[VARIANT.name].shape
    for one in columns:
        found = rows[one.name]
        if one.kind not in KINDS or found.dtype.kind != KINDS[one.kind]:
            raise DamagedError(f"'{one.name[:60]}' is not of the kind that it says")
        if found.ndim != 1 or found.shape != length:
            raise DamagedError(f"'{one.name[:60]}' has not a value a row")
        if found.dtype.itemsize > (MOST_TEXT if one.kind == "text" else 8):
            raise DamagedError(f"'{one.name[:60]}' has cells too large")
        if not all(isinstance(text, str) for text in asdict(one).values()):
            raise DamagedError(f"'{one.name[:60]}' is described by what is no text")


def _about(found: Any, rows: Mapping[str, Any]) -> dict[str, Any]:
    """What the file says of itself, of the kinds that questions rest on."""
    for name, kind in ABOUT.items():
        if type(found.get(name)) is not kind:
            raise DamagedError(f"it does not say its {name}")
    for name, value in found.items():
        if not name.isidentifier() or not _is_plain_fact(value):
            raise DamagedError(f"it says its '{name[:60]}' by what is no number and no text")
    if not 0 <= found["variants"] <= MOST_VARIANTS:
        raise DamagedError("its plan has no possible number of variants")
    factors = json.loads(found["factors"])
    if not all(name in rows and isinstance(kind, str) for name, kind in factors):
        raise DamagedError("it names a factor that it has no column of")
    return dict(found)


def _is_plain_fact(value: Any) -> bool:
    """Whether an attribute can hold it: a table is written again, whole, with what it said."""
    if isinstance(value, str):
        return "\0" not in value
    return isinstance(value, int | float) and abs(value) < 2**63


def check_rows(table: Table) -> None:
    """Raise DamagedError for a rank that is not its level's, or a number that no plan has.

    A rank that is none would count as dry: each is that of its level, or there is neither.
    """
    if (np.abs(table[VARIANT.name]) > MOST_VARIANTS).any():
        raise DamagedError("it numbers more variants than a plan can have")
    for rank, level in set(zip(table["rank"].tolist(), table["level"].tolist())):
        own = LEVELS[int(rank)] if rank in range(len(LEVELS)) else ""
        if (own != level.decode("utf-8", "replace")) or (not own and rank == rank):
            raise DamagedError(f"it has a rank of {rank:g} beside the level '{level[:60]!r}'")


def _values(column: Column, data: h5py.Dataset) -> NDArray[Any]:
    values = np.asarray(data[()])
    return values.astype(f"S{values.dtype.itemsize or 1}") if column.kind == "text" else values


def text(values: NDArray[Any]) -> list[str]:
    """Texts of a column of bytes."""
    return [one.decode("utf-8", "backslashreplace") for one in values.tolist()]

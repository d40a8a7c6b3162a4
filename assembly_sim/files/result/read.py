"""A result read back from HDF5, which may come from a stranger or from a failing disk.

Only plain local data are read: no external storage, no link out of the file, no virtual dataset, no
filter but those that `results.py` writes with, nothing larger than what is stored can unpack to.
All that is wrong with a file is an InputError, whatever the library beneath raises.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import Any

import h5py
import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.result.dataclass_tree import Packed, unpack
from assembly_sim.files.result.entries import ARRAYS
from assembly_sim.model.kinds import check_kinds
from assembly_sim.solver.result import AssemblyResult, Result

FORMAT = "assembly_sim run"
FORMAT_VERSION = 3  # 1 and 2 kept texts whose length only their reading showed
FILTERS = {h5py.h5z.FILTER_DEFLATE, h5py.h5z.FILTER_SHUFFLE}
LARGEST_CHUNK = 64_000_000  # bytes; the library writes about one million
UNPACKED = 100  # times the file's size, beside which results of any length stay far
LONGEST_WORD = 100  # bytes of an entry of the head
SMALL = 64_000_000  # bytes that any file may unpack to


class DamagedError(ValueError):
    """What a file holds that no result does."""


def read_hdf5(path: str | Path) -> Result:
    """Read back what `write_hdf5` wrote: the same dataclasses with equal arrays.

    Raises InputError where the file is missing, damaged, no such result, of a later format, or
    draws on other files.
    """
    try:
        if not Path(path).is_file():
            missing = not Path(path).exists()
            raise DamagedError("does not exist" if missing else "is no plain file")
        return _read(str(path))
    except InputError:
        raise
    except OSError as error:
        cause = f"is no HDF5 file, or a damaged one ({error})"
    except DamagedError as error:
        cause = str(error)
    except Exception as error:  # the library and the JSON in the file: all they can raise
        cause = f"is damaged ({type(error).__name__}: {error})"
    cure = "name a file that `assembly-sim run --out` wrote"
    raise InputError(Problem(cause, cure, file=str(path)))


def _read(path: str) -> Result:
    with h5py.File(path, "r") as file:
        _check_format(file, path)
        packed = Packed(shared=json.loads(text_at(file, "materials")))
        tree = json.loads(text_at(file, "description"))
        places = json.loads(text_at(file, "arrays"))
        datasets = {place: dataset_at(file, place) for place in places}
        unpacked = sum(dataset.nbytes for dataset in datasets.values())
        if unpacked > SMALL + UNPACKED * Path(path).stat().st_size:
            raise DamagedError("declares more numbers than it holds")
        for place, dataset in datasets.items():
            packed.arrays[place] = _numbers(dataset)
    found = unpack(tree, packed)
    try:
        check_kinds(found, Result, "run", finite=False)
    except InputError as error:
        raise DamagedError(f"describes no run ({error})") from None
    _check_shapes(found)
    return found


def _check_format(file: h5py.File, path: str) -> None:
    named = attribute(file, "format", "S")
    found = attribute(file, "format_version", "iu")
    older = named is None and "format" in file.attrs and found in (1, 2)
    if named != FORMAT.encode() and not older:
        raise InputError(
            Problem("holds no result of a run", "name a file written by `run --out`", file=path)
        )
    if found != FORMAT_VERSION:
        cause = f"is of format {found}, this version reads format {FORMAT_VERSION}"
        raise InputError(Problem(cause, "read it with the version that wrote it", file=path))


def attribute(file: h5py.File, name: str, kinds: str) -> Any:
    """A value of the file's head, of these kinds and of known length; else None.

    Texts of any length are not even read: damaged, they keep the library busy for ever.
    """
    held = file.attrs.get_id(name) if name in file.attrs else None
    if held is None or held.shape != () or held.dtype.kind not in kinds:
        return None
    return file.attrs[name] if held.dtype.itemsize <= LONGEST_WORD else None


def dataset_at(file: h5py.File, place: Any) -> h5py.Dataset:
    """The dataset at a place, reached by plain links, with its data inside the file."""
    if not isinstance(place, str):
        raise DamagedError("names an array by what is no text")
    here: Any = file
    for part in place.split("/"):
        if not isinstance(here, h5py.Group) or part not in here:
            raise DamagedError(f"lacks '{place[:100]}'")
        if not isinstance(here.get(part, getlink=True), h5py.HardLink):
            raise DamagedError(f"draws '{place[:100]}' from elsewhere by a link")
        here = here[part]
    if not isinstance(here, h5py.Dataset):
        raise DamagedError(f"holds no numbers at '{place[:100]}'")
    if here.external or here.is_virtual:
        raise DamagedError(f"draws '{place[:100]}' from another file")
    plan = here.id.get_create_plist()
    if not {plan.get_filter(k)[0] for k in range(plan.get_nfilters())} <= FILTERS:
        raise DamagedError(f"packs '{place[:100]}' in a way that results are not packed")
    if here.chunks and np.prod([float(n) for n in here.chunks]) > LARGEST_CHUNK / 8:
        raise DamagedError(f"declares more in '{place[:100]}' than it holds")
    _check_stored(here, place)
    return here


def _check_stored(dataset: h5py.Dataset, place: str) -> None:
    """Hold what is stored of a dataset to the file's size: the library takes its word for it."""
    size, largest = dataset.file.id.get_filesize(), []
    if dataset.chunks:
        dataset.id.chunk_iter(lambda chunk: largest.append(chunk.byte_offset + chunk.size))
    if max(largest, default=0) > size:
        raise DamagedError(f"declares more in '{place[:100]}' than it holds")


def text_at(file: h5py.File, place: str) -> str:
    """A text of known length. DamagedError where it is none, or longer than the file."""
    dataset = dataset_at(file, place)
    kind = h5py.check_string_dtype(dataset.dtype)
    if dataset.shape != () or kind is None or kind.length is None:
        raise DamagedError(f"holds no text at '{place}'")
    if kind.length > dataset.file.id.get_filesize():
        raise DamagedError(f"declares a longer text at '{place}' than it holds")
    return str(dataset.asstr()[()])


def _numbers(dataset: h5py.Dataset) -> NDArray[Any]:
    if dataset.dtype.kind not in "fiub" or dataset.ndim not in (1, 2):
        raise DamagedError(f"holds no series of numbers at '{dataset.name}'")
    values: NDArray[Any] = dataset[()]
    return values


def _check_shapes(result: Result) -> None:
    """Hold every array to the size that the description gives it. Raises DamagedError."""
    sizes = {"time": result.hours, "hour": result.case.climate.hours}
    for owner, more in _owners(result):
        for field in fields(owner):
            entry = ARRAYS.get(f"{type(owner).__name__}.{field.name}")
            value = getattr(owner, field.name)
            if entry is None or not isinstance(value, np.ndarray):
                continue
            expected = tuple((sizes | more)[dimension] for dimension in entry.dimensions)
            if value.shape != expected:
                raise DamagedError(f"holds {value.shape} numbers as {field.name}, not {expected}")


def _owners(result: Result) -> Iterator[tuple[Any, dict[str, int]]]:
    """Each part of a result that holds arrays, with the sizes that are its own."""
    yield result, {}
    yield result.case.climate, {}
    for assembly in result.assemblies:
        yield assembly.drivers, {}
        for path in assembly.paths:
            yield path, {"plane": len(path.planes), "layer": _layers(assembly)}
    for own in (*result.zones, *result.streams):
        yield own, {}


def _layers(assembly: AssemblyResult) -> int:
    return len(assembly.assembly.layers)

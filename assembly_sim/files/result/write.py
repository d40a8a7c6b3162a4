"""A result on disk: one HDF5 file with CF names and units that xarray opens too.

Every dimension has a dimension scale, because a file where some have and some lack one cannot be
opened by h5netcdf at all. Groups: `case/climate` (the weather used), `assembly_1/path_1` and so on
(hourly planes and layer totals), `assembly_1/drivers`, of a house `zone_1` and `stream_1`. The
dataset `case_text` is the user's file, `description` the resolved case and all else that is no
array (as JSON), `materials` what the layers are made of (as JSON). A file is written once, whole or
not at all.
"""

from __future__ import annotations

import json
import platform
from collections.abc import Iterator
from importlib.metadata import version
from pathlib import Path
from typing import Any

import h5py
import numpy as np
from numpy.typing import NDArray

from assembly_sim import __version__
from assembly_sim.boundary.period import begin_of
from assembly_sim.files.output import Sink, json_text, uninterrupted, whole_file
from assembly_sim.files.result.dataclass_tree import Packed, pack
from assembly_sim.files.result.entries import ARRAYS, CHECKS, PROFILES, Entry
from assembly_sim.files.result.hourly import common_hours, hourly_check
from assembly_sim.files.result.read import FORMAT, FORMAT_VERSION, read_hdf5
from assembly_sim.solver.result import AssemblyResult, PathResult, Result, ZoneResult

__all__ = ["read_hdf5", "write_hdf5"]

LIBRARIES = ("numpy", "numba", "llvmlite", "h5py")


def write_hdf5(result: Result, path: str | Path) -> None:
    """Write a result to one HDF5 file, with hourly mould index and wood moisture added.

    What is added is for other readers: `read_hdf5` leaves it out, as it follows from the rest. Of a
    run that stopped, the hours that all paths computed are kept. Raises OSError where the file
    cannot be written.
    """
    result = common_hours(result)
    packed = Packed()
    tree = pack(result, packed)
    with (
        whole_file(path) as part,
        uninterrupted() as pause,
        Sink(part) as sink,
        h5py.File(sink, "w") as file,
    ):
        _write_head(file, result, tree, packed)
        for _ in _write_parts(file, result, packed):
            pause()
            sink.check()


def _write_parts(file: h5py.File, result: Result, packed: Packed) -> Iterator[None]:
    """Write array by array, and stop after each for what may have happened meanwhile."""
    for place, values in packed.arrays.items():
        _write_array(file, place, values, _entry(packed.origins[place], place, values))
        yield
    for number, assembly in enumerate(result.assemblies, start=1):
        _describe_assembly(file.require_group(f"assembly_{number}"), assembly)
        for route, path in enumerate(assembly.paths, start=1):
            for name, entry in CHECKS.items():
                place = f"assembly_{number}/path_{route}/{name}"
                found = hourly_check(name, assembly.assembly, path, result.case.thresholds)
                _write_array(file, place, found, entry)
                yield
    for number, zone in enumerate(result.zones, start=1):
        _describe_zone(file.require_group(f"zone_{number}"), zone)
    for number, stream in enumerate(result.streams, start=1):
        names = {name: getattr(stream, name) for name in ("kind", "inside", "outside")}
        file.require_group(f"stream_{number}").attrs.update(names, long_name=stream.name)


def versions() -> dict[str, str]:
    """What a result depends on besides its inputs: package, libraries, Python and processor."""
    return {name: version(name) for name in LIBRARIES} | {
        "version": __version__,
        "python": platform.python_version(),
        "processor": _processor(),
    }


def _processor() -> str:
    """The processor's own name where the system tells it; compiled code may differ between two."""
    listing = Path("/proc/cpuinfo")
    lines = listing.read_text().splitlines() if listing.exists() else []
    names = [line.partition(":")[2].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.processor() or platform.machine()


def _write_head(file: h5py.File, result: Result, tree: Any, packed: Packed) -> None:
    file.attrs.update(
        Conventions="CF-1.11",
        title=f"Heat and moisture through the assemblies of {result.case.name}",
        format=np.bytes_(FORMAT),  # of known length, as texts are
        format_version=FORMAT_VERSION,
        climate_sha256=result.case.climate.source_sha256,
        comment="the year of the time axis is nominal: a typical year has none of its own",
    )
    file.attrs.update(versions() | dict(result.provenance))
    _write_text(file, "case_text", result.case.text)
    _write_text(file, "description", json_text(tree))
    _write_text(file, "materials", json_text(packed.shared, indent=1))
    _write_text(file, "arrays", json.dumps(list(packed.arrays)))
    _write_time(file, result)


def _write_text(file: h5py.File, place: str, text: str) -> None:
    """Write a text of known length: a reader sees how much it is before it takes memory for it."""
    data = text.encode("utf-8", "backslashreplace")
    file.create_dataset(place, data=data, dtype=h5py.string_dtype("utf-8", max(len(data), 1)))


def _write_time(file: h5py.File, result: Result) -> None:
    """Write hour ends with their bounds."""
    start, calendar = nominal_start(result)
    ends = np.arange(1.0, result.hours + 1.0)
    time = file.create_dataset("time", data=ends)
    time.attrs.update(
        units=f"hours since {start}" + (" 00:00:00" if len(start) == 10 else ""),
        calendar=calendar,
        standard_name="time",
        long_name="end of the hour, local standard time",
        bounds="time_bounds",
    )
    time.make_scale("time")
    bounds = np.stack([ends - 1.0, ends], axis=1)
    _write_array(file, "time_bounds", bounds, Entry(("time", "bound"), "", ""))


def nominal_start(result: Result) -> tuple[str, str]:
    """Return first day (ISO 8601) and calendar of the time axis; of a window its first moment.

    Years of 365 days run from 2000 (or 2001) to February 2004 without meeting a 29 February, so
    the usual calendar holds and dates decode everywhere; longer runs need `noleap`.
    """
    if not result.case.climate.wraps:
        return begin_of(result.case.climate).isoformat(sep=" "), "standard"
    month = result.case.start_month
    start = f"{2000 if month > 2 else 2001}-{month:02d}-01"
    if result.case.climate.hours != 8760:
        return start, "all_leap"
    return start, "standard" if result.hours <= 3 * 8760 else "noleap"


def _entry(origin: str, place: str, values: NDArray[Any]) -> Entry:
    """Look an array up by the class and field it comes from; profiles go by their name."""
    if origin != "PathResult.profiles":
        return ARRAYS[origin]
    units, long_name = PROFILES[place.rpartition("/")[2]]
    return Entry(("time", "cell") if values.ndim == 2 else ("cell",), units, long_name)


def _write_array(file: h5py.File, place: str, values: NDArray[Any], entry: Entry) -> None:
    stored = values.astype(np.int8) if values.dtype == bool else values
    packing: dict[str, Any] = {"compression": "gzip", "compression_opts": 1, "shuffle": True}
    dataset = file.create_dataset(
        place, stored.shape, stored.dtype, **(packing if values.size else {})
    )
    rows = dataset.chunks[0] if dataset.chunks else max(len(stored), 1)
    for start in range(0, len(stored), rows):  # in parts: h5py copies what lies in another order
        dataset[start : start + rows] = stored[start : start + rows]
    named = {"units": entry.units, "long_name": entry.long_name}
    named |= {"cell_methods": entry.cell_methods, "standard_name": entry.standard_name}
    dataset.attrs.update({name: text for name, text in named.items() if text})
    for axis, (dimension, size) in enumerate(zip(entry.dimensions, values.shape, strict=True)):
        dataset.dims[axis].attach_scale(_scale(dataset.parent, dimension, size))


def _scale(group: h5py.Group, dimension: str, size: int) -> h5py.Dataset:
    """Return the scale of a dimension: time from the root, else the group's own, made on demand."""
    if dimension == "time":
        return group.file["time"]
    home = group.parent if group.name.endswith("/flags") else group
    if dimension not in home:
        home.create_dataset(dimension, data=np.arange(size, dtype=np.int32))
        home[dimension].attrs["long_name"] = f"{dimension} counted from 0, outside to inside"
        home[dimension].make_scale(dimension)
    return home[dimension]


def _describe_zone(group: h5py.Group, zone: ZoneResult) -> None:
    group.attrs.update(
        long_name=zone.zone.name,
        heat_balance_error=zone.heat_balance_error,
        moisture_balance_error=zone.moisture_balance_error,
        air_balance_error=zone.air_balance_error,
    )


def _describe_assembly(group: h5py.Group, assembly: AssemblyResult) -> None:
    group.attrs.update(
        long_name=assembly.assembly.name,
        u_value=assembly.u_value,
        surface_resistances=assembly.surface_resistances,
        outcome=assembly.outcome.name,
        converged=int(assembly.converged),
    )
    for number, path in enumerate(assembly.paths):
        names = [layer.name for layer in assembly.assembly.layers]
        _describe_path(group.require_group(f"path_{number + 1}"), path, names)


def _describe_path(group: h5py.Group, path: PathResult, layers: list[str]) -> None:
    group.attrs.update(long_name=path.name, share=path.share, state_defect=path.state_defect)
    group.attrs["heat_balance_error"] = path.heat_balance_error
    group.attrs["moisture_balance_error"] = path.moisture_balance_error
    group.attrs.update(
        {f"solver_{name.replace(' ', '_')}": float(n) for name, n in path.statistics.items()}
    )
    labels = {
        "plane_name": [plane.name for plane in path.planes],
        "plane_side": [plane.side for plane in path.planes],
        "plane_reach": [plane.reach for plane in path.planes],
    }
    for name, texts in labels.items():
        data = group.create_dataset(name, data=texts, dtype=h5py.string_dtype())
        data.dims[0].attach_scale(_scale(group, "plane", len(texts)))
    named = group.create_dataset("layer_name", data=layers, dtype=h5py.string_dtype())
    named.dims[0].attach_scale(_scale(group, "layer", len(layers)))
    depth = np.array([plane.depth for plane in path.planes])
    _write_array(group.file, f"{group.name}/plane_depth", depth, Entry(("plane",), "m", "depth"))

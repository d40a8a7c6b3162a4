"""Hourly results as comma-separated tables, in the units that a spreadsheet's reader expects."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import fields, replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.envelope.resistances import path_shares
from assembly_sim.files.output import whole_file
from assembly_sim.files.result.hourly import common_hours
from assembly_sim.model import Case
from assembly_sim.physics.airflow import REFERENCE_DENSITY
from assembly_sim.solver.result import (
    AssemblyResult,
    PathResult,
    Result,
    StreamResult,
    ZoneResult,
)
from assembly_sim.units import in_unit

Columns = dict[str, NDArray[np.generic]]
ColumnsOf = Callable[[slice], Columns]
ROWS_AT_ONCE = 4000
POUND = 0.45359237  # kg
HOUR_ENDS = "hour that ends"
# Units of columns, SI and IP: fixed, whatever the size of the numbers.
UNITS = {
    "temperature": ("degC", "degF"),
    "pressure": ("Pa", "inHg"),
    "heat flux": ("W/m2", "Btu/(h ft2)"),
    "vapour flux": ("g/(m2 h)", "grain/(h ft2)"),
    "areal mass": ("kg/m2", "lb/ft2"),
    "film": ("g/m2", "oz/ft2"),
    "fraction": ("%", "%"),
    "water": ("kg", "lb"),
    "power": ("W", "Btu/h"),
    "air flow": ("L/s", "cfm"),
}


def write_csv(result: Result, folder: str | Path, system: str = "si") -> tuple[Path, ...]:
    """Write fluxes of each assembly, planes of each of its paths, a house's spaces and air.

    Returns the files.

    All of them appear together at the end. Raises OSError where they cannot be written.
    """
    result = common_hours(result)
    Path(folder).mkdir(exist_ok=True)
    written = []
    with ExitStack() as whole:
        for name, columns in _tables(result, system):
            target = Path(folder) / name
            part = whole.enter_context(whole_file(target))
            _write(part, result, columns)
            written.append(target)
    return tuple(written)


def _tables(result: Result, system: str) -> Iterator[tuple[str, ColumnsOf]]:
    """Names of the tables and what makes their columns for a span of hours."""
    paths = {each.assembly.name: [p.name for p in each.paths] for each in result.assemblies}
    names = iter(_names(paths))
    for assembly in result.assemblies:
        yield next(names), partial(_fluxes_of, assembly, system)
        for path in assembly.paths:
            yield next(names), partial(_planes_of, path, system)
    own = iter(_names_of_spaces(result.case))
    for zone in result.zones:
        yield next(own), partial(_zone_of, zone, system)
    if result.streams:
        yield next(own), partial(_streams_of, result, system)


def _zone_of(zone: ZoneResult, system: str, span: slice) -> Columns:
    return zone_columns(_cut(zone, span), system)


def _streams_of(result: Result, system: str, span: slice) -> Columns:
    return stream_columns([_cut(one, span) for one in result.streams], system)


def _fluxes_of(assembly: AssemblyResult, system: str, span: slice) -> Columns:
    paths = tuple(_cut(path, span) for path in assembly.paths)
    return fluxes(replace(assembly, paths=paths, drivers=_cut(assembly.drivers, span)), system)


def _planes_of(path: PathResult, system: str, span: slice) -> Columns:
    return planes(_cut(path, span), system)


def _cut(hourly: Any, span: slice) -> Any:
    """A dataclass of hourly arrays with those hours alone, as views."""
    arrays = {field.name: getattr(hourly, field.name) for field in fields(hourly)}
    hourly_ones = {
        name: values[span]
        for name, values in arrays.items()
        if isinstance(values, np.ndarray) and name != "initial_layer_water"
    }
    return replace(hourly, **hourly_ones)


def table_names(case: Case) -> list[str]:
    """Names of the files of a case: for each assembly its fluxes, then its paths' planes.

    Of a house each zone and all air between its spaces besides.
    """
    own = _names({assembly.name: list(path_shares(assembly)) for assembly in case.assemblies})
    return own + _names_of_spaces(case)


def _names_of_spaces(case: Case) -> list[str]:
    zones = enumerate(case.zones, start=1)
    air = ["streams.csv"] if case.breathes else []
    return [*(f"zone_{number}_{_file_word(zone.name)}.csv" for number, zone in zones), *air]


def _names(assemblies: Mapping[str, list[str]]) -> list[str]:
    names = []
    for number, (assembly, paths) in enumerate(assemblies.items(), start=1):
        stem = f"{number}_{_file_word(assembly)}"
        names.append(f"{stem}_fluxes.csv")
        words = [_file_word(path) for path in paths]
        if len(set(words)) < len(words):  # such as names in other letters than ours
            words = [f"{place}_{word}" for place, word in enumerate(words, start=1)]
        names += [f"{stem}_{word}_planes.csv" for word in words]
    return names


def fluxes(assembly: AssemblyResult, system: str = "si") -> Columns:
    """Hourly air states and the assembly's fluxes (mean over its paths), positive outward."""
    air = assembly.drivers

    def mean(name: str) -> NDArray[np.float64]:
        return np.sum([path.share * getattr(path, name) for path in assembly.paths], axis=0)

    room, carried = mean("heat_flux_room"), mean("carried_heat")
    rows: tuple[tuple[str, str, NDArray[np.float64]], ...] = (
        ("outdoor temperature", "temperature", air.outdoor_temperature),
        ("outdoor vapour pressure", "pressure", air.outdoor_vapour_pressure),
        ("room temperature", "temperature", air.room_temperature),
        ("room vapour pressure", "pressure", air.room_vapour_pressure),
        ("heat flux at the room", "heat flux", room),
        ("heat flux outdoors", "heat flux", mean("heat_flux_outdoors")),
        ("heat carried by air", "heat flux", carried),
        ("heat out of the room, total", "heat flux", room + carried),
        ("heat to warm incoming air", "heat flux", air.incoming_heat),
        ("vapour flux at the room", "vapour flux", mean("vapour_flux_room")),
        ("vapour flux outdoors", "vapour flux", mean("vapour_flux_outdoors")),
        ("vapour carried by air", "vapour flux", mean("carried_vapour")),
        ("rain taken in", "vapour flux", mean("rain")),
        ("vapour left by the leak", "vapour flux", mean("leak_vapour")),
        ("water in all layers", "areal mass", mean("layer_water").sum(axis=1)),
    )
    return dict(_column(name, kind, values, system) for name, kind, values in rows)


def planes(path: PathResult, system: str = "si") -> Columns:
    """Hourly temperature, relative humidity (over liquid water) and free water of each plane."""
    table: Columns = {}
    for number, plane in enumerate(path.planes):
        side = "" if plane.side == "both" else f", {plane.side} side"
        label = f"{plane.index} {plane.name}{side}"
        rows = (
            ("temperature", "temperature", path.temperature),
            ("relative humidity", "fraction", path.relative_humidity),
            ("free water", "film", path.free_water),
        )
        for name, kind, values in rows:
            table |= [_column(f"{label}: {name}", kind, values[:, number], system)]
    return table


def zone_columns(zone: ZoneResult, system: str = "si") -> Columns:
    """Hourly air of a zone, the heat given off in it, and the fog it holds."""
    rows: tuple[tuple[str, str, NDArray[np.floating]], ...] = (
        ("air temperature", "temperature", zone.temperature),
        ("radiant temperature", "temperature", zone.radiant_temperature),
        ("vapour pressure", "pressure", zone.vapour_pressure),
        ("relative humidity", "fraction", zone.relative_humidity),
        ("fog", "water", zone.free_water),
        ("heat from ducts", "power", zone.duct_heat),
        ("other heat given off", "power", zone.heat_gain),
    )
    return dict(_column(name, kind, values, system) for name, kind, values in rows)


def stream_columns(streams: Sequence[StreamResult], system: str = "si") -> Columns:
    """Hourly air between spaces, positive from the first to the second: dry air of 1.2 kg/m3."""
    table: Columns = {}
    for number, one in enumerate(streams, start=1):
        name = f"{number} {one.name}, {one.inside} to {one.outside}"
        table |= [_column(name, "air flow", one.flow / REFERENCE_DENSITY, system)]
    return table


def _column(
    name: str, kind: str, values: NDArray[np.floating], system: str
) -> tuple[str, NDArray[np.float64]]:
    """A column with its unit in its name, in the units of a system."""
    unit = UNITS[kind][("si", "ip").index(system)]
    if kind == "water":
        return f"{name} ({unit})", np.asarray(values) / (1.0 if unit == "kg" else POUND)
    return f"{name} ({unit})", in_unit(values, "areal mass" if kind == "film" else kind, unit)


def calendar(result: Result) -> Columns:
    """Return the number of the hour that ends, its day of the run and its month of the year.

    Of a window the date and hour (1 to 24, as in climate files) too.
    """
    hours = np.arange(1, result.hours + 1)
    counted: Columns = {HOUR_ENDS: hours, "day": result.day, "month": result.month}
    if result.case.climate.wraps:
        return counted
    starts = result.case.climate.hour_starts[: result.hours]
    year, month, day = (starts.astype(f"datetime64[{unit}]") for unit in "YMD")
    return counted | {
        "year": year.astype(int) + 1970,
        "day of the month": (day - month.astype("datetime64[D]")).astype(int) + 1,
        "hour of the day": (starts - day.astype("datetime64[h]")).astype(int) + 1,
    }


def _write(path: Path, result: Result, columns_of: ColumnsOf) -> None:
    """Write a table some months at a time: all of it at once is as large as the run."""
    days = calendar(result)
    with path.open("w", newline="", encoding="utf-8") as file:
        for start in range(0, max(result.hours, 1), ROWS_AT_ONCE):
            span = slice(start, start + ROWS_AT_ONCE)
            columns = {name: values[span] for name, values in days.items()} | columns_of(span)
            if start == 0:
                csv.writer(file).writerow(columns)
            np.savetxt(file, np.column_stack(list(columns.values())), fmt="%.6g", delimiter=",")


def _file_word(name: str) -> str:
    """A name as part of a file's name: letters and digits that every system takes."""
    return re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")[:60] or "unnamed"

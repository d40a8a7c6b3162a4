"""Hourly results as pandas tables, for those who go on working in Python."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.result.csv import (
    HOUR_ENDS,
    Columns,
    calendar,
    fluxes,
    planes,
    stream_columns,
    zone_columns,
)
from assembly_sim.files.result.hourly import common_hours
from assembly_sim.solver.result import AssemblyResult, PathResult, Result, ZoneResult

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr


def hourly_table(
    result: Result,
    assembly: int | str = 0,
    path: str | None = None,
    *,
    zone: str | None = None,
    streams: bool = False,
) -> pd.DataFrame:
    """Return an hourly table of an assembly, named or counted from 0: (hours, columns).

    Without `path`: its fluxes, means over its paths, positive from inside to outside; with the
    name of a path: temperature, humidity and free water of that path's planes. Of a house
    `zone="attic"` gives that zone's air in its place, and `streams=True` the air between its
    spaces, positive from the first that a column names to the second. Units stand in the
    column names. The index is the end of each hour: of a window its date, else one in nominal
    years from 2000 or 2001, since a typical year has none of its own. Where the weather has no
    29 February the index skips it; where it has one, years are four apart, so that each has it
    too. Raises InputError for a name that the result does not hold.
    """
    import pandas as pd

    result = common_hours(result)
    columns = _columns(result, assembly, path, zone, streams)
    table = pd.DataFrame(calendar(result) | columns, index=_hour_ends(result))
    return table.drop(columns=HOUR_ENDS)


def _columns(
    result: Result, assembly: int | str, path: str | None, zone: str | None, streams: bool
) -> Columns:
    """Columns of what was asked for; InputError for two things at once."""
    if zone is not None and streams:
        raise InputError(Problem("zone and streams are two tables", "ask for one at a time"))
    if streams:
        return stream_columns(result.streams)
    if zone is not None:
        return zone_columns(_zone(result, zone))
    found = _assembly(result, assembly)
    return fluxes(found) if path is None else planes(_path(found, path))


def to_xarray(
    result: Result,
    assembly: int | str = 0,
    path: str | None = None,
    *,
    zone: str | None = None,
    streams: bool = False,
) -> xr.Dataset:
    """Return the same table as an xarray Dataset over the hours; each variable has its `units`.

    xarray is not installed with this package. For all arrays of a result with their planes and
    coordinates write it to a file and open that (`write_result`, xarray.open_datatree).
    """
    found = hourly_table(result, assembly, path, zone=zone, streams=streams).to_xarray()
    for name, variable in found.data_vars.items():
        _, bracket, unit = str(name).rpartition(" (")
        variable.attrs["units"] = unit.removesuffix(")") if bracket else "1"
    return found


def _hour_ends(result: Result) -> pd.DatetimeIndex:
    """The end of each hour as a date, (hours,)."""
    import pandas as pd

    if not result.case.climate.wraps:
        ends = result.case.climate.hour_starts[: result.hours] + np.timedelta64(1, "h")
        return pd.DatetimeIndex(ends.astype("datetime64[ns]"), name=HOUR_ENDS)
    leap, month = result.case.climate.hours == 8784, result.case.start_month
    turns = -(-result.hours // result.case.climate.hours)
    parts = []
    for turn in range(turns):
        first = 2003 if leap else 2000  # in leap weather the year that meets February 2004
        year = first + (month <= 2) + (4 * turn if leap else turn)
        hours = pd.date_range(f"{year}-{month:02d}-01", periods=8784, freq="h")
        if not leap:
            hours = hours[~((hours.month == 2) & (hours.day == 29))][:8760]
        parts.append(hours)
    starts = pd.DatetimeIndex(np.concatenate(parts)) if parts else pd.DatetimeIndex([])
    return pd.DatetimeIndex(starts[: result.hours] + pd.Timedelta(hours=1), name=HOUR_ENDS)


def _assembly(result: Result, wanted: int | str) -> AssemblyResult:
    if isinstance(wanted, int):
        return result.assemblies[wanted]
    by_name = {each.assembly.name: each for each in result.assemblies}
    if wanted not in by_name:
        raise InputError(Problem(f"no assembly '{wanted}'", f"one of {', '.join(by_name)}"))
    return by_name[wanted]


def _zone(result: Result, wanted: str) -> ZoneResult:
    by_name = {one.zone.name: one for one in result.zones}
    if wanted not in by_name:
        known = f"one of {', '.join(by_name)}" if by_name else "this run has none"
        raise InputError(Problem(f"no zone '{wanted}'", known))
    return by_name[wanted]


def _path(assembly: AssemblyResult, wanted: str) -> PathResult:
    by_name = {path.name: path for path in assembly.paths}
    if wanted not in by_name:
        raise InputError(Problem(f"no path '{wanted}'", f"one of {', '.join(by_name)}"))
    return by_name[wanted]

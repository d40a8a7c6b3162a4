"""Hourly results as pandas tables, for those who go on working in Python."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.hourly import common_hours
from assembly_sim.files.tables import calendar, fluxes, planes
from assembly_sim.solver.result import AssemblyResult, PathResult, Result

if TYPE_CHECKING:
    import pandas as pd


def hourly_table(result: Result, assembly: int | str = 0, path: str | None = None) -> pd.DataFrame:
    """Return an hourly table of an assembly, named or counted from 0: (hours, columns).

    Without `path`: its fluxes, means over its paths, positive from inside to outside; with the
    name of a path: temperature, humidity and free water of that path's planes. Units stand in the
    column names. Raises InputError for a name that the result does not hold.
    """
    import pandas as pd

    result = common_hours(result)
    found = _assembly(result, assembly)
    columns = fluxes(found) if path is None else planes(_path(found, path))
    return pd.DataFrame(calendar(result) | columns).set_index("hour that ends")


def _assembly(result: Result, wanted: int | str) -> AssemblyResult:
    if isinstance(wanted, int):
        return result.assemblies[wanted]
    by_name = {each.assembly.name: each for each in result.assemblies}
    if wanted not in by_name:
        raise InputError(Problem(f"no assembly '{wanted}'", f"one of {', '.join(by_name)}"))
    return by_name[wanted]


def _path(assembly: AssemblyResult, wanted: str) -> PathResult:
    by_name = {path.name: path for path in assembly.paths}
    if wanted not in by_name:
        raise InputError(Problem(f"no path '{wanted}'", f"one of {', '.join(by_name)}"))
    return by_name[wanted]

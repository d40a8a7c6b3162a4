"""Hour-by-hour heat and moisture through layered wall and roof assemblies.

Describe or read a case, run it, ask the result:

    case = assembly_sim.read_case("roof.toml")
    result = assembly_sim.run(case)
    print(assembly_sim.report_text(result, assembly_sim.summary(result)))
    table = assembly_sim.hourly_table(result, assembly=0, path="cavity")

The parts of a description that are not named here are in `assembly_sim.model`. Names are looked up
when they are first used, so that importing the package costs next to nothing.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from assembly_sim.api import hourly_table, to_xarray
    from assembly_sim.errors import InputError
    from assembly_sim.files.case.read import read_case
    from assembly_sim.files.case.write import write_case
    from assembly_sim.files.climate.read import read_climate
    from assembly_sim.files.material.read import load as read_materials
    from assembly_sim.files.plan.read import read_plan
    from assembly_sim.files.result.write import read_hdf5 as read_result
    from assembly_sim.files.result.write import write_hdf5 as write_result
    from assembly_sim.model import Assembly, Case, Climate, Layer, Material, Room
    from assembly_sim.report.text import run_text as report_text
    from assembly_sim.solver.result import Result
    from assembly_sim.solver.run import run
    from assembly_sim.studies.sweep.run import sweep
    from assembly_sim.studies.sweep.table import sweep_table
    from assembly_sim.units import to_si
    from assembly_sim.verdict.contract import run_summary as summary

__version__ = "0.1.0"

_HOMES = {
    "Assembly": ("model", "Assembly"),
    "Case": ("model", "Case"),
    "Climate": ("model", "Climate"),
    "InputError": ("errors", "InputError"),
    "Layer": ("model", "Layer"),
    "Material": ("model", "Material"),
    "Result": ("solver.result", "Result"),
    "Room": ("model", "Room"),
    "hourly_table": ("api", "hourly_table"),
    "read_case": ("files.case.read", "read_case"),
    "read_climate": ("files.climate.read", "read_climate"),
    "read_materials": ("files.material.read", "load"),
    "read_plan": ("files.plan.read", "read_plan"),
    "read_result": ("files.result.read", "read_hdf5"),
    "report_text": ("report.text", "run_text"),
    "run": ("solver.run", "run"),
    "summary": ("verdict.contract", "run_summary"),
    "sweep": ("studies.sweep.run", "sweep"),
    "sweep_table": ("studies.sweep.table", "sweep_table"),
    "to_si": ("units", "to_si"),
    "to_xarray": ("api", "to_xarray"),
    "write_case": ("files.case.write", "write_case"),
    "write_result": ("files.result.write", "write_hdf5"),
}

__all__ = [
    "Assembly",
    "Case",
    "Climate",
    "InputError",
    "Layer",
    "Material",
    "Result",
    "Room",
    "hourly_table",
    "read_case",
    "read_climate",
    "read_materials",
    "read_plan",
    "read_result",
    "report_text",
    "run",
    "summary",
    "sweep",
    "sweep_table",
    "to_si",
    "to_xarray",
    "write_case",
    "write_result",
]


def __getattr__(name: str) -> Any:
    """Import a public name's module at its first use. Raises AttributeError for others."""
    if name not in _HOMES:
        raise AttributeError(f"module 'assembly_sim' has no attribute '{name}'")
    module, attribute = _HOMES[name]
    value = getattr(import_module(f"assembly_sim.{module}"), attribute)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(set(globals()) | set(__all__))

"""Reading a plan: a TOML text that names a case and what of it is varied, to a frozen `Plan`.

    format = 1
    name = "Foam below the rafters"
    case = "rafter_bay_foam.toml"            # relative to this file
    method = "latin hypercube"               # or factorial, sobol, random, morris, ...
    count = 500

    [[factor]]
    name = "foam"
    path = 'assembly."North roof".layer."rigid foam".thickness'
    range = ["1 in", "6 in"]

Paths, values and options are those of changes (`files/case/changes.py`), units included.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from assembly_sim.changes import applied
from assembly_sim.changes.plan import Plan
from assembly_sim.errors import InputError
from assembly_sim.files.case.base import load_with_bases
from assembly_sim.files.case.changes import from_table
from assembly_sim.files.case.problems import problems
from assembly_sim.files.case.read import known_materials, read_case
from assembly_sim.files.case.text import CaseText, load
from assembly_sim.files.plan.factors import Asker, factor_of, table_factors
from assembly_sim.files.plan.schema import PlanFile
from assembly_sim.files.plan.table import rows_of
from assembly_sim.files.words import nearest
from assembly_sim.model import Case, Material, Sheet


def read_plan(path: Path | str, materials: Path | None = None) -> Plan:
    """The plan in a TOML file, with the case that it names. InputError with every place found."""
    source = load(path)
    _refuse_other_files(source)
    try:
        told = PlanFile.model_validate(source.entries)
    except ValidationError as error:
        raise InputError(*problems(error.errors(), source, PlanFile)) from None
    case, known = _base(told, source, materials)
    at = _assembly(told, case, source)
    asker = Asker(case, source, known)
    rows = rows_of(told, source)
    if told.method == "table":
        factors, values = table_factors(told, rows, asker)
    else:
        factors = tuple(factor_of(one, number, asker) for number, one in enumerate(told.factor))
        values = ()
    counts = told.count if isinstance(told.count, list) else [told.count]
    return _placed(
        source,
        name=told.name,
        case=case,
        factors=factors,
        method=told.method,
        counts=tuple(one for one in counts if one is not None),
        seed=told.seed,
        rows=values,
        assembly=at,
        refine=told.refine,
        steps=told.steps,
        states=told.hourly,
        text=source.text,
        file=source.file,
    )


def _refuse_other_files(source: CaseText) -> None:
    """InputError for a case in a plan's place, and for a plan of several cases: told as such."""
    entries = source.entries
    if isinstance(entries.get("assembly"), list) and "factor" not in entries:
        cure = 'write a plan: case = "...", and a [[factor]] for each thing that differs'
        raise InputError(source.problem(("assembly",), "this is a case, no plan of a sweep", cure))
    if isinstance(entries.get("case"), list):
        cure = "name one; what differs in the others are options of a [[factor]], or plans apart"
        raise InputError(source.problem(("case",), "a plan has one case", cure))


def _placed(source: CaseText, **told: Any) -> Plan:
    """The plan, or what is wrong with it at the line of its entry."""
    try:
        return Plan(**told)
    except InputError as error:
        found = (source.problem((one.field,), one.cause, one.cure) for one in error.problems)
        raise InputError(*found) from None


def _base(
    told: PlanFile, source: CaseText, extra: Path | None
) -> tuple[Case, Mapping[str, Material | Sheet]]:
    """The case of a plan with the plan's own changes in it, and the materials that it knows."""
    file = Path(source.file).parent / told.case
    if not file.is_file():
        cure = "give a path relative to this file, with / between folders"
        raise InputError(
            source.problem(("case",), f"there is no case file '{told.case[:60]}'", cure)
        )
    case = read_case(file, climate=told.climate, materials=extra)
    known, _ = known_materials(load_with_bases(file), extra)
    changes = from_table(told.change, case, source, ("change",), known)
    return applied(case, *changes), known


def _assembly(told: PlanFile, case: Case, source: CaseText) -> int:
    """Index of the assembly that is judged: the one named, or the only one."""
    names = [one.name for one in case.assemblies]
    if told.assembly is None and len(names) == 1:
        return 0
    if told.assembly in names:
        return names.index(told.assembly)
    listed = ", ".join(names)
    if told.assembly is None:
        cause, cure = "the case has several assemblies", f'write assembly = "..." of {listed}'
        raise InputError(source.problem((), cause, cure))
    cause = f"there is no assembly '{told.assembly[:60]}'"
    cure = nearest(told.assembly, names) or f"there are {listed}"
    raise InputError(source.problem(("assembly",), cause, cure))

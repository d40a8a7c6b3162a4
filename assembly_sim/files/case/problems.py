"""What pydantic found, said as a designer would say it: place, cause and cure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from assembly_sim.errors import Problem
from assembly_sim.files.case.text import CaseText
from assembly_sim.files.words import nearest

if TYPE_CHECKING:
    from pydantic import BaseModel

Path = tuple[str | int, ...]

_UNWANTED = {
    ("kind membrane", "thickness"): "a membrane has no thickness: its permeance is for the sheet",
    ("kind air", "thickness"): "an air layer's thickness is its air entry",
}
_TABLES = {
    "assembly": "write [[assembly]] above its entries",
    "layer": "write [[assembly.layer]] above each layer, outside to inside",
    "room": "write [room] above temperature and humidity",
}
_EXAMPLES = {
    **{"format": "format = 1", "name": 'name = "North roof"', "climate": 'climate = "cold_inland"'},
    **{"area": 'area = "40 m2"', "tilt": 'tilt = "90 deg"', "thickness": 'thickness = "140 mm"'},
    **{"temperature": 'temperature = "20 degC"', "humidity": 'humidity = "35 %"'},
    "material": 'material = "...", or membrane or air in its place',
    **{"share": 'share = "12 %"', "depth": 'depth = "20 mm"', "mean": "a mean"},
    **{"volume": 'volume = "250 m3"', "air_changes": 'air_changes = "0.3 1/h"'},
    **{"generation": 'generation = "8 L/day"', "unit": 'unit = "degC"'},
}
_CHOICE = {
    "layer": (
        "a layer is one of a material, a membrane or an air layer",
        'write exactly one of material = "...", membrane = "...", air = "20 mm"',
    ),
    "temperature": (
        "the rule for the temperature is not known",
        'write "20 degC", or a table: mean and amplitude, otherwise and at, curve, file and column',
    ),
    "humidity": (
        "the rule for the humidity is not known",
        'write "35 %", or a table with mean, otherwise, curve, class, volume or file',
    ),
}
_TYPES = {
    "int": ("this is not a whole number", "write a whole number without quotes"),
    "float": ("this is not a number", "write a number without quotes"),
    "bool": ("this is neither true nor false", "write true or false without quotes"),
    "list": ("this is not a list", "write a list"),
    "dict": ("this is not a table", "write it as a table with a [heading]"),
    "model": ("this is not a table", "write it as a table with a [heading]"),
    "string": ("this is not a text", "write a text in quotes"),
}
_BOUNDS = {"greater_than_equal": "ge", "less_than_equal": "le", "finite_number": ""}


def problems(
    errors: Sequence[Any], source: CaseText, schema: type[BaseModel]
) -> tuple[Problem, ...]:
    """The problems behind pydantic's errors, in the order of their lines."""
    found = [_problem(error, source, schema) for error in errors]
    return tuple(sorted(found, key=lambda one: (one.file, one.line or 0)))


def _problem(error: Any, source: CaseText, schema: type[BaseModel]) -> Problem:
    raised = error.get("ctx", {}).get("error")
    path = _without_kinds(error["loc"]) + tuple(getattr(raised, "path", ()))
    if raised is not None and hasattr(raised, "cause"):
        return source.problem(path, raised.cause, raised.cure)
    return source.problem(path, *_said_of(error, schema))


def _without_kinds(loc: Path) -> Path:
    return tuple(p for p in loc if isinstance(p, int) or not p.startswith("kind "))


def _said_of(error: Any, schema: type[BaseModel]) -> tuple[str, str]:
    """Cause and cure of an error that is not one of our own."""
    loc, kind = error["loc"], error["type"]
    entry = str(next((p for p in reversed(loc) if isinstance(p, str)), ""))
    if kind == "missing":
        how = _TABLES.get(entry) or f"add {_EXAMPLES.get(entry, f'{entry} = ...')}"
        return f"'{entry}' is missing", how
    if kind == "list_type" and entry in _TABLES:
        return f"'{entry}' stands once, but there may be several", _TABLES[entry]
    if kind == "extra_forbidden":
        return f"unknown entry '{entry[:60]}'", _cure_of_unknown(loc, schema)
    if kind.startswith("union_tag"):
        return _CHOICE.get(entry, _CHOICE["layer"])
    if kind == "too_short":
        return f"there is no {entry}", _TABLES.get(entry, "add one")
    if kind == "too_long":
        most = error["ctx"]["max_length"]
        return f"there are more than {most} of these", f"write {most} at most"
    if kind == "literal_error":
        return "this is not one of the accepted values", f"write {error['ctx']['expected']}"
    return _said_of_type(kind, error)


def _said_of_type(kind: str, error: Any) -> tuple[str, str]:
    if kind in _BOUNDS:
        limit = error.get("ctx", {}).get(_BOUNDS[kind], "an ordinary number")
        word = {"ge": "at least ", "le": "at most "}.get(_BOUNDS[kind], "")
        return "the number is out of range", f"write {word}{limit}"
    return _TYPES.get(kind.split("_")[0], ("this entry cannot be used", "compare the schema"))


def _cure_of_unknown(loc: Path, schema: type[BaseModel]) -> str:
    entry = str(loc[-1])
    if loc == ("layer",):
        return f"{_TABLES['layer']}, below its [[assembly]]"
    if loc == ("change",):
        return "name the case to change with base, above all tables"
    if len(loc) > 1 and (loc[-2], entry) in _UNWANTED:
        return _UNWANTED[loc[-2], entry]  # type: ignore[index]
    known = _entries(schema, loc[:-1])
    return nearest(entry, known) or f"known here are {', '.join(known)}"


def _entries(schema: type[BaseModel], path: Path) -> list[str]:
    """Names of the entries that the table at `path` may hold."""
    table: Any = schema
    for part in path:
        if isinstance(part, str):
            table = _table_below(table, part)
    return [field.alias or name for name, field in table.model_fields.items()]


def _table_below(table: Any, part: str) -> Any:
    """Model of an entry; a `kind` picks one of the alternatives that `table` then is."""
    if part.startswith("kind "):
        return table[part]
    annotation = table.model_fields[part].annotation
    metadata = table.model_fields[part].metadata
    return _models(annotation, metadata)


def _models(annotation: Any, metadata: Sequence[Any]) -> Any:
    """The model inside an annotation, or the alternatives by their kind."""
    from typing import get_args

    from pydantic import BaseModel, Tag

    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    tagged: dict[str, Any] = {}
    for inner in get_args(annotation):
        tags = [one.tag for one in getattr(inner, "__metadata__", ()) if isinstance(one, Tag)]
        if tags:
            tagged[tags[0]] = _models(get_args(inner)[0], ())
    if tagged:
        return tagged
    found = (_models(inner, ()) for inner in get_args(annotation))
    return next((one for one in found if one), None)

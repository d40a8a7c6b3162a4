"""Tables of materials and sheets: read, checked, and joined with the user's own.

The format is described in `materials/README.md`. A table that holds an impossible value or curve
does not load; every entry that is wrong is named, with the reason.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from assembly_sim.errors import InputError, Problem
from assembly_sim.files import folders
from assembly_sim.files.case import text as case_text
from assembly_sim.files.material import curves as material_curves
from assembly_sim.files.material.fields import FieldError, choice, quantity, refuse_key
from assembly_sim.model import Material, Sheet
from assembly_sim.model.material import MOULD_CLASSES
from assembly_sim.model.ranges import RANGES

Table = Mapping[str, Any]
# Makes the problem of an entry at a path below the material: (path, cause, cure) -> Problem.
Report = Callable[[tuple[str, ...], str, str], Problem]

CONFIDENCE = ("measured", "standard", "from memory")
KINDS = (
    *("wood", "wood-based board", "masonry", "gypsum", "cladding", "roofing", "metal"),
    "glazing",
    *("insulation", "air-impermeable insulation", "foam plastic", "spray foam"),
    *(
        "room finish",
        "capillary-absorbent",
        "membrane",
        "vapour retarder",
        "coating",
        "paper",
        "asbestos-suspect",
    ),
)


def load(extra: Path | None = None) -> dict[str, Material | Sheet]:
    """Every shipped material and sheet by name, then those of the user's file, which win.

    Read once in a process. Raises InputError that names file, line, field, cause and cure.
    """
    shipped = dict(_shipped())
    return shipped if extra is None else shipped | read_file(extra, _references())


def read_file(path: Path, references: Mapping[str, str]) -> dict[str, Material | Sheet]:
    """Materials of one file; a source may begin with a word that `references` spells out."""
    file = case_text.load(path)
    own = file.entries.pop("references", {})
    if not isinstance(own, Mapping) or not all(isinstance(text, str) for text in own.values()):
        cure = 'write [references] and word = "the source in full"'
        raise InputError(file.problem(("references",), "this is no table of texts", cure))
    known = {**references, **own}
    found: dict[str, Material | Sheet] = {}
    problems: list[Problem] = []
    for name, table in file.entries.items():
        try:
            found[name] = from_table(name, _spelled_out(table, known), _reporter(file, name))
        except InputError as error:
            problems.extend(error.problems)
    if problems:
        raise InputError(*problems)
    return found


def from_table(name: str, table: Any, report: Report) -> Material | Sheet:
    """One material or sheet from its table, as in a file of materials or inline in a case.

    `report(path, cause, cure)` makes the Problem of the entry at `path` (keys below the table).
    Raises InputError with every entry that is wrong.
    """
    if not isinstance(table, Mapping):
        raise InputError(report((), "a material is a table", f'write ["{name}"] and its entries'))
    form = table.get("form", "material")
    if not isinstance(form, str) or form not in _FORMS:
        raise InputError(report(("form",), f"unknown form {form!r}", "use material or sheet"))
    make, readers, required = _FORMS[form]
    fields, refusals = _read_fields(table, {**readers, **_COMMON}, required)
    if refusals:
        unique = {refusal.path + (refusal.cause,): refusal for refusal in refusals}
        raise InputError(*(report(r.path, r.cause, r.cure) for r in unique.values()))
    return make(name=name, **fields)


def _read_fields(
    table: Table, readers: Mapping[str, Callable[[Table], Any]], required: tuple[str, ...]
) -> tuple[dict[str, Any], list[FieldError]]:
    """Fields of the model, and every entry refused on the way."""
    fields: dict[str, Any] = {}
    refusals: list[FieldError] = []
    for key in dict.fromkeys((*required, *table)):
        try:
            if key not in readers:
                refuse_key((), key, readers)
            if key not in table:
                raise FieldError((key,), f"'{key}' is missing", f"add {key} = ...")
            value = readers[key](table)
            fields.update(value if isinstance(value, dict) else {key: value})
        except FieldError as refusal:
            refusals.append(refusal)
    return fields, refusals


def _sources(table: Table) -> dict[str, Any]:
    sources = table.get("sources", {})
    if not isinstance(sources, Mapping):
        raise FieldError(("sources",), "this is no table", 'write density = "where it is printed"')
    for key, text in sources.items():
        if key not in table:
            refuse_key(("sources",), key, [k for k in table if k not in _WORDS])
        if not isinstance(text, str) or not text.strip():
            raise FieldError(("sources", key), "a source is a text", "say where it is printed")
    note = {"note": _text(table, "note")} if "note" in table else {}
    return {"sources": {**sources, **note}}


def _text(table: Table, key: str) -> str:
    if not isinstance(table[key], str):
        raise FieldError((key,), "this is no text", "put it in quotes")
    return str(table[key])


def _kinds(table: Table) -> frozenset[str]:
    kinds = table["kinds"]
    if not isinstance(kinds, list):
        raise FieldError(("kinds",), "this is no list", 'write ["masonry", "cladding"]')
    return frozenset(choice({"kinds": kind}, ("kinds",), KINDS) for kind in kinds)


def _number(key: str, kind: str, low: float, high: float) -> Callable[[Table], float]:
    return lambda table: quantity(table, (key,), kind, low, high)


def _in_range(key: str, name: str) -> Callable[[Table], float]:
    span = RANGES[name]
    return _number(key, span.kind, span.low, span.high)


def _word(key: str, allowed: tuple[str, ...]) -> Callable[[Table], str]:
    return lambda table: choice(table, (key,), allowed)


_COMMON: dict[str, Callable[[Table], Any]] = {
    "form": lambda table: {},
    "kinds": _kinds,
    "confidence": _word("confidence", CONFIDENCE),
    "note": _sources,
    "sources": _sources,
    "emittance": _in_range("emittance", "emittance of a face"),
}
_WORDS = ("form", "kinds", "confidence", "note", "sources")
_MATERIAL: dict[str, Callable[[Table], Any]] = {
    "density": material_curves.density,
    "specific_heat": _number("specific_heat", "specific heat", 50.0, 10000.0),
    "porosity": material_curves.porosity,
    "conductivity": material_curves.conductivity,
    "vapour": material_curves.permeability,
    "storage": material_curves.storage,
    "liquid": material_curves.liquid,
    "air_permeability": _number("air_permeability", "air permeability", 0.0, 1.0),
    "mould_class": _word("mould_class", MOULD_CLASSES),
    "solar_absorptance": _in_range("solar_absorptance", "solar absorptance"),
}
_SHEET: dict[str, Callable[[Table], Any]] = {
    "vapour": lambda table: {"permeance": material_curves.permeance(table)},
    "air_permeance": _number("air_permeance", "air permeance", 0.0, 1.0),
}
_FORMS: dict[str, tuple[Callable[..., Material | Sheet], Any, tuple[str, ...]]] = {
    "material": (
        Material,
        _MATERIAL,
        ("density", "specific_heat", "porosity", "conductivity", "vapour"),
    ),
    "sheet": (Sheet, _SHEET, ("vapour",)),
}


def _reporter(file: case_text.CaseText, name: str) -> Report:
    return lambda path, cause, cure: file.problem((name, *path), cause, cure)


def _spelled_out(table: Any, references: Mapping[str, str]) -> Any:
    """The table with every short word of its sources replaced by the full wording."""
    if not isinstance(table, Mapping) or not isinstance(table.get("sources"), Mapping):
        return table
    words = re.compile(rf"\b({'|'.join(map(re.escape, references)) or '(?!)'})\b")
    sources = {
        key: words.sub(lambda word: references[word[0]], text) if isinstance(text, str) else text
        for key, text in table["sources"].items()
    }
    return {**table, "sources": sources}


@cache
def _references() -> Mapping[str, str]:
    file = case_text.load(folders.shipped("materials") / "references.toml")
    return dict(file.entries["references"])


@cache
def _shipped() -> Mapping[str, Material | Sheet]:
    found: dict[str, Material | Sheet] = {}
    for path in sorted(folders.shipped("materials").glob("*.toml")):
        found.update(read_file(path, _references()))
    return found

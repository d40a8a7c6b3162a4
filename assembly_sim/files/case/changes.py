"""Changes read from a table: an option of a comparison, a factor of a sweep, an entry of a desk.

The table mirrors the case file, and `[change]` of a case with a base: entries hold new values, in
the same words and units, under the names of the assembly and layer that they change.

    starting_humidity = "90 %"
    climate = "hot_humid"
    room.winter_humidity = "5 %"                      # points more in winter
    assembly."North roof".leak = "none"               # or seal = "80 %", or leak_times = 2
    assembly."North roof".layer."rigid foam".thickness = "4 in"
    assembly."West gable".layer."vented gap".fill = "cellulose, loose in attic"
    assembly."West gable".layer."paint".remove = true
    assembly."West gable".add = [{ before = "cladding", material = "osb", thickness = "9 mm" }]
    material."polyiso".conductivity_times = 1.2
    zone."attic".air_changes = "2 1/h"
    opening."attic hatch".seal = "80 %"               # or size = "18 cm2 at 4 Pa"
    ducts."furnace ducts".indoors = true              # a fan: remove = true
    seal_between = [{ one = "room", other = "attic", share = "90 %" }]

`NAME_times` multiplies any number. Entries are taken in the order written.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from assembly_sim.changes import (
    AddLayer,
    Change,
    FillCavity,
    RemoveLayer,
    Seal,
    Set,
    WinterHumidity,
    applied,
)
from assembly_sim.changes.path import Path as FieldPath
from assembly_sim.changes.path import path_of, place_of
from assembly_sim.errors import InputError
from assembly_sim.files.case import build
from assembly_sim.files.case import lines as case_lines
from assembly_sim.files.case.base import kind_of_rule, named_tables
from assembly_sim.files.case.change_reader import (
    TIMES,
    Found,
    Reader,
    Verbs,
    below,
    entries,
    times,
    unknown,
)
from assembly_sim.files.case.house_changes import HOUSE, of_house, rule_of
from assembly_sim.files.case.layers import (
    AirText,
    BridgeText,
    DefectText,
    LayerText,
    MembraneText,
)
from assembly_sim.files.case.room import (
    BalanceText,
    HumiditySineText,
    RoomText,
    TemperatureSineText,
)
from assembly_sim.files.case.schema import AssemblyText, CaseFile, ThresholdsText
from assembly_sim.files.case.text import CaseText
from assembly_sim.files.climate.read import find_climate, read_climate
from assembly_sim.model import Case, Material, MoistureBalance, Sheet, SineOverYear
from assembly_sim.model.assembly import AnyLayer

_CASE = ("starting_humidity", "years", "start_month", "code_zone", "code_edition")
_NOT_CHANGED = {"name", "layer", "bridges", "probes", "part"}
_NOT_CHANGED |= {"defects", "gap", "spacing", "compressed_to"}


def from_table(
    table: Mapping[str, Any],
    case: Case,
    source: CaseText,
    path: case_lines.Path,
    materials: Mapping[str, Material | Sheet],
) -> tuple[Change, ...]:
    """The changes that a table at `path` of a file tells of a case.

    InputError with file, line, cause and cure for what cannot be read, is not in the case, or
    cannot be.
    """
    changes: list[Change] = []
    reader = Reader(case, source, materials)
    for change, here in _changes(table, path, reader, changes):
        changes.append(change)
        try:
            case = change.apply(case)
        except InputError as error:
            found = (source.problem(here, one.cause, one.cure) for one in error.problems)
            raise InputError(*found) from None
    return tuple(changes)


def from_path(
    text: str,
    value: Any,
    case: Case,
    source: CaseText,
    path: case_lines.Path,
    materials: Mapping[str, Material | Sheet],
) -> tuple[Change, ...]:
    """The same for one entry by its path in text, `assembly."North roof".azimuth`."""
    try:
        steps = path_of(text)
    except InputError as error:
        found = (source.problem(path, one.cause, one.cure) for one in error.problems)
        raise InputError(*found) from None
    for step in reversed(steps):
        value = {step: value}
    return from_table(value, case, source, path, materials)


def _changes(
    table: Mapping[str, Any], path: case_lines.Path, reader: Reader, done: list[Change]
) -> Found:
    parts = {"assembly": _of_assemblies, "room": _of_room, "material": _of_materials}
    for entry, value in table.items():
        here = (*path, entry)
        if entry in parts:
            yield from parts[entry](value, here, reader, done)
        elif entry in HOUSE:
            yield from of_house(entry, value, here, reader)
        elif entry == "thresholds":
            for name, one in entries(value, here, reader):
                yield _set(ThresholdsText, ("thresholds",), (*here, name), one, reader), here
        elif entry == "climate":
            yield Set(("climate",), _climate(here, value, reader)), here
        elif entry.removesuffix(TIMES) in _CASE:
            yield _set(CaseFile, (), here, value, reader), here
        else:
            known = [*parts, *HOUSE, "thresholds", "climate", *_CASE]
            raise unknown(entry, known, here, reader)


def _of_assemblies(value: Any, path: case_lines.Path, reader: Reader, done: list[Change]) -> Found:
    for name, table, here in named_tables(value, path, reader.source):
        at: FieldPath = ("assembly", name)
        for entry, one in table.items():
            place = (*here, entry)
            if entry == "layer":
                for layer, inner, below_it in named_tables(one, place, reader.source):
                    yield from _of_layer(inner, (*at, "layer", layer), below_it, reader)
            elif entry == "add":
                yield from _added(one, name, place, reader)
            elif entry == "seal":
                yield Seal(name, reader.value(Verbs, place, one)), place
            elif entry == "leak":
                yield Set((*at, entry), _leak(name, place, one, reader, done)), place
            else:
                yield _set(AssemblyText, at, place, one, reader, ("layer", "add", "seal")), place


def _of_layer(
    table: Mapping[str, Any], at: FieldPath, path: case_lines.Path, reader: Reader
) -> Found:
    assembly, layer = str(at[1]), at[3]
    parts: dict[str, type[BaseModel]] = {"bridges": BridgeText, "defects": DefectText}
    for entry, value in table.items():
        place = (*path, entry)
        if entry == "fill":
            yield FillCavity(assembly, layer, reader.value(Verbs, place, value)), place
        elif entry == "remove":
            if reader.value(Verbs, place, value) is not True:
                raise reader.refused(place, "a layer stays unless it is removed", "leave it out")
            yield RemoveLayer(assembly, layer), place
        elif entry == "defects" and value == []:
            yield Set((*at, entry), ()), place  # put right
        elif entry in parts:
            for name, inner, here in named_tables(value, place, reader.source):
                for key, one in inner.items():
                    change = _set(parts[entry], (*at, entry, name), (*here, key), one, reader)
                    yield change, (*here, key)
        else:
            name = entry.removesuffix(TIMES)
            models = (LayerText, MembraneText, AirText)
            model = next((one for one in models if name in one.model_fields), LayerText)
            more = ("fill", "remove", "membrane", "air", *parts)
            yield _set(model, at, place, value, reader, more), place


def _of_room(value: Any, path: case_lines.Path, reader: Reader, done: list[Change]) -> Found:
    for entry, one in entries(value, path, reader):
        here = (*path, entry)
        if entry == "winter_humidity":
            yield WinterHumidity(reader.value(Verbs, here, one)), here
        elif (same := _rule_there(entry, one, reader, done)) is not None:
            yield from _parts_of_rule(one, same, here, reader)
        elif entry in RoomText.model_fields:
            text = reader.value(RoomText, here, one)
            source = below(reader.source, path[:-1])
            yield Set(("room", entry), rule_of(text, entry, here, reader, ("room",), source)), here
        else:
            raise unknown(entry, ["winter_humidity", *RoomText.model_fields], here, reader)


def _rule_there(entry: str, value: Any, reader: Reader, done: list[Change]) -> Any:
    """The room's rule that a table changes parts of, as in a case with a base; None: it is new."""
    if entry not in RoomText.model_fields or not isinstance(value, dict):
        return None
    rule = getattr(applied(reader.case, *done).room, entry)
    kind = {SineOverYear: "sine", MoistureBalance: "balance"}.get(type(rule))
    return rule if kind and kind_of_rule(value) in (None, kind) else None


def _parts_of_rule(
    table: dict[str, Any], rule: Any, path: case_lines.Path, reader: Reader
) -> Found:
    """New values of a rule's parts, all at once, since one may need the other; then factors."""
    at: FieldPath = ("room", str(path[-1]))
    sine = TemperatureSineText if path[-1] == "temperature" else HumiditySineText
    model: type[BaseModel] = sine if isinstance(rule, SineOverYear) else BalanceText
    new: dict[str, Any] = {}
    for key, value in table.items():
        if key.removesuffix(TIMES) not in model.model_fields:
            raise unknown(key, list(model.model_fields), (*path, key), reader)
        if not key.endswith(TIMES):
            new[key] = reader.value(model, (*path, key), value)
    if new:
        try:
            yield Set(at, replace(rule, **new)), path
        except InputError as error:
            raise reader.refused(path, error.problems[0].cause, error.problems[0].cure) from None
    for key in (key for key in table if key.endswith(TIMES)):
        yield times(at, (*path, key), table[key], reader), (*path, key)


def _of_materials(value: Any, path: case_lines.Path, reader: Reader, done: list[Change]) -> Found:
    for name, table, here in named_tables(value, path, reader.source):
        for entry, one in table.items():
            if not entry.endswith(TIMES):
                cure = f"write {entry}{TIMES} = 1.2, or another material for the layer"
                raise reader.refused((*here, entry), "a material is changed by factors", cure)
            yield times(("material", name), (*here, entry), one, reader), (*here, entry)


def _set(
    model: type[BaseModel],
    at: FieldPath,
    path: case_lines.Path,
    value: Any,
    reader: Reader,
    more: tuple[str, ...] = (),
) -> Change:
    """A new value for an entry of the schema, or a factor for it."""
    entry = str(path[-1])
    known = [name for name in model.model_fields if name not in _NOT_CHANGED]
    if entry.removesuffix(TIMES) not in known:
        raise unknown(entry, [*known, *more], path, reader)
    if entry.endswith(TIMES):
        return times(at, path, value, reader)
    return Set((*at, entry), reader.value(model, path, value))


def _leak(name: str, path: case_lines.Path, value: Any, reader: Reader, done: list[Change]) -> Any:
    """The leak that the text tells, with exponent and heights of the one that is there."""
    given = reader.value(AssemblyText, path, value)
    here = applied(reader.case, *done).assemblies
    try:
        old = here[place_of(here, name)].leak
    except InputError:
        old = None  # that there is no such assembly is told when it is changed
    if given is None or old is None:
        return given
    return replace(old, flow=given.flow, reference_pressure=given.reference_pressure)


def _added(value: Any, name: str, path: case_lines.Path, reader: Reader) -> Found:
    """Layers to put in, each before the one that it names, or innermost."""
    if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
        cure = 'write [{ before = "roof deck", material = "polyiso", thickness = "2 in" }]'
        raise reader.refused(path, "this is no list of layers", cure)
    for number, table in enumerate(value):
        here = (*path, number)
        before = table.get("before")
        if before is not None:
            before = reader.value(Verbs, (*here, "before"), before)
        if "after" in table:
            cure = "write before = the layer that follows; without it, it comes last, at the inside"
            raise reader.refused((*here, "after"), "a layer is put before another one", cure)
        own = {key: one for key, one in table.items() if key != "before"}
        yield AddLayer(name, _layer(own, here, reader), before), here


def _layer(table: dict[str, Any], path: case_lines.Path, reader: Reader) -> AnyLayer:
    """A layer as in a case; an air layer with faces of 0.9 where it does not say them."""
    kinds: dict[str, type[BaseModel]] = {
        "material": LayerText,
        "membrane": MembraneText,
        "air": AirText,
    }
    named = [kind for kind in kinds if kind in table]
    if len(named) != 1:
        cure = 'write exactly one of material = "...", membrane = "...", air = "20 mm"'
        raise reader.refused(path, "a layer is one of these", cure)
    if "air" in table:
        table = {"emittance_outer": 0.9, "emittance_inner": 0.9, **table}
    model = kinds[named[0]]
    context = {"materials": reader.materials, "faulty": set()}
    try:
        text: Any = model.model_validate(table, context=context)
    except ValidationError as error:
        raise reader.told(error, model, path) from None
    return build.layer(text, text.name or text.content, None)


def _climate(path: case_lines.Path, value: Any, reader: Reader) -> Any:
    name = reader.value(Verbs, path, value)
    folder = Path(reader.source.place(path).file).parent
    try:
        return read_climate(find_climate(name, folder))
    except InputError as error:
        first = error.problems[0]
        raise reader.refused(path, f"'{name}': {first.cause}", first.cure) from None

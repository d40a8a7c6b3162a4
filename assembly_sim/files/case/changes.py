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

`NAME_times` multiplies any number. Entries are taken in the order written.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError, create_model

from assembly_sim.changes import (
    AddLayer,
    Change,
    FillCavity,
    RemoveLayer,
    Seal,
    Set,
    Times,
    WinterHumidity,
    applied,
)
from assembly_sim.changes.path import Path as FieldPath
from assembly_sim.changes.path import path_of, place_of
from assembly_sim.errors import InputError
from assembly_sim.files.case import build, fields
from assembly_sim.files.case import lines as case_lines
from assembly_sim.files.case.base import kind_of_rule, named_tables
from assembly_sim.files.case.layers import (
    AirText,
    BridgeText,
    DefectText,
    LayerText,
    MembraneText,
)
from assembly_sim.files.case.problems import problems
from assembly_sim.files.case.room import (
    BalanceText,
    HumiditySineText,
    RoomText,
    TemperatureSineText,
)
from assembly_sim.files.case.schema import AssemblyText, CaseFile, ThresholdsText
from assembly_sim.files.case.text import CaseText
from assembly_sim.files.climate.read import find_climate, read_climate
from assembly_sim.files.words import nearest
from assembly_sim.model import Case, Material, MoistureBalance, Sheet, SineOverYear
from assembly_sim.model.assembly import AnyLayer

TIMES = "_times"
_CASE = ("starting_humidity", "years", "start_month", "code_zone", "code_edition")
_NOT_CHANGED = {"name", "layer", "bridges", "probes", "defects", "gap", "spacing", "compressed_to"}


class Verbs(fields.Table):
    """Entries that are no field of a case: what is done, rather than what there is."""

    seal: fields.Share | None = None
    fill: fields.MaterialName | None = None
    remove: bool | None = None
    before: fields.Name | None = None
    winter_humidity: fields.HumiditySwing | None = None
    climate: fields.Name | None = None


@dataclass(frozen=True)
class Reader:
    """What reading needs: the case that is changed, the file's places, the known materials."""

    case: Case
    source: CaseText
    materials: Mapping[str, Material | Sheet]

    def value(self, model: type[BaseModel], path: case_lines.Path, value: Any) -> Any:
        """An entry as the schema of the case reads it; `path` ends in its name."""
        one = _alone(model, str(path[-1]))
        context = {"materials": self.materials, "faulty": set()}
        try:
            read = one.model_validate({str(path[-1]): value}, context=context)
        except ValidationError as error:
            raise self.told(error, one, path[:-1]) from None
        return getattr(read, str(path[-1]))

    def told(self, error: Any, model: type[BaseModel], path: case_lines.Path) -> InputError:
        """What the schema found in the table at `path`; what is missing, at the table's line."""
        at = self.source.place(path)
        found = problems(error.errors(), below(self.source, path), model)
        return InputError(
            *(
                replace(one, file=at.file, line=at.line, source_line=at.source_line)
                if one.line is None
                else one
                for one in found
            )
        )

    def refused(self, path: case_lines.Path, cause: str, cure: str) -> InputError:
        """The error of an entry."""
        return InputError(self.source.problem(path, cause, cure))


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


def below(source: CaseText, path: case_lines.Path) -> CaseText:
    """The text with a table of it as its root, so that places are found from there."""
    size = len(path)
    places = {key[size:]: one for key, one in source.places.items() if key[:size] == path}
    return replace(source, places=places)


Found = Iterator[tuple[Change, case_lines.Path]]


def _changes(
    table: Mapping[str, Any], path: case_lines.Path, reader: Reader, done: list[Change]
) -> Found:
    parts = {"assembly": _of_assemblies, "room": _of_room, "material": _of_materials}
    for entry, value in table.items():
        here = (*path, entry)
        if entry in parts:
            yield from parts[entry](value, here, reader, done)
        elif entry == "thresholds":
            for name, one in _entries(value, here, reader):
                yield _set(ThresholdsText, ("thresholds",), (*here, name), one, reader), here
        elif entry == "climate":
            yield Set(("climate",), _climate(here, value, reader)), here
        elif entry.removesuffix(TIMES) in _CASE:
            yield _set(CaseFile, (), here, value, reader), here
        else:
            raise _unknown(entry, [*parts, "thresholds", "climate", *_CASE], here, reader)


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
    for entry, one in _entries(value, path, reader):
        here = (*path, entry)
        if entry == "winter_humidity":
            yield WinterHumidity(reader.value(Verbs, here, one)), here
        elif (same := _rule_there(entry, one, reader, done)) is not None:
            yield from _parts_of_rule(one, same, here, reader)
        elif entry in RoomText.model_fields:
            text = reader.value(RoomText, here, one)
            source = below(reader.source, path[:-1])
            yield Set(("room", entry), build.rule(text, entry, reader.case.climate, source)), here
        else:
            raise _unknown(entry, ["winter_humidity", *RoomText.model_fields], here, reader)


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
            raise _unknown(key, list(model.model_fields), (*path, key), reader)
        if not key.endswith(TIMES):
            new[key] = reader.value(model, (*path, key), value)
    if new:
        try:
            yield Set(at, replace(rule, **new)), path
        except InputError as error:
            raise reader.refused(path, error.problems[0].cause, error.problems[0].cure) from None
    for key in (key for key in table if key.endswith(TIMES)):
        yield _times(at, (*path, key), table[key], reader), (*path, key)


def _of_materials(value: Any, path: case_lines.Path, reader: Reader, done: list[Change]) -> Found:
    for name, table, here in named_tables(value, path, reader.source):
        for entry, one in table.items():
            if not entry.endswith(TIMES):
                cure = f"write {entry}{TIMES} = 1.2, or another material for the layer"
                raise reader.refused((*here, entry), "a material is changed by factors", cure)
            yield _times(("material", name), (*here, entry), one, reader), (*here, entry)


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
        raise _unknown(entry, [*known, *more], path, reader)
    if entry.endswith(TIMES):
        return _times(at, path, value, reader)
    return Set((*at, entry), reader.value(model, path, value))


def _times(at: FieldPath, path: case_lines.Path, value: Any, reader: Reader) -> Times:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 <= value < 1e6:
        raise reader.refused(path, "this is no factor", "write a number from 0, without quotes")
    return Times((*at, str(path[-1]).removesuffix(TIMES)), float(value))


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
    """Layers to put in, each before the one that it names."""
    if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
        cure = 'write [{ before = "roof deck", material = "polyiso", thickness = "2 in" }]'
        raise reader.refused(path, "this is no list of layers", cure)
    for number, table in enumerate(value):
        here = (*path, number)
        before = table.get("before")
        if before is not None:
            before = reader.value(Verbs, (*here, "before"), before)
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


def _entries(value: Any, path: case_lines.Path, reader: Reader) -> Iterator[tuple[str, Any]]:
    if not isinstance(value, dict):
        raise reader.refused(path, "this is not a table", "write it as a table with a [heading]")
    return iter(value.items())


def _unknown(entry: str, known: list[str], path: case_lines.Path, reader: Reader) -> InputError:
    cure = nearest(entry, known) or f"known here are {', '.join(known)}"
    return reader.refused(path, f"unknown entry '{entry[:60]}'", cure)


@cache
def _alone(model: type[BaseModel], entry: str) -> type[BaseModel]:
    """A schema of one entry of another, for it is read without the rest."""
    field = model.model_fields[entry]
    own: Any = {entry: (field.annotation, field)}
    return create_model(model.__name__, __base__=fields.Table, **own)

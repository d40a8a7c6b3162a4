"""Reading a case file: text to a frozen `Case`, or every problem with it at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.case import lines as case_lines
from assembly_sim.files.case.base import load_with_bases
from assembly_sim.files.case.text import CaseText
from assembly_sim.model import Case, Climate, Material, Sheet

if TYPE_CHECKING:
    from assembly_sim.files.case.schema import CaseFile

Materials = Mapping[str, Material | Sheet]

_HERE = Path(__file__).parent


def read_case(path: Path | str, climate: str | None = None, materials: Path | None = None) -> Case:
    """The case in a TOML file, in the model's units.

    `climate` replaces the case's own (a shipped name, or a path from the working directory);
    `materials` is a further table of materials. Raises InputError with every problem found.
    """
    return read_whole(path, climate, materials).case


@dataclass(frozen=True)
class CaseRead:
    """A case with the text it came from, its checked tables, and all materials by name."""

    case: Case
    source: CaseText
    checked: CaseFile
    materials: Materials


def read_whole(
    path: Path | str, climate: str | None = None, materials: Path | None = None
) -> CaseRead:
    """The same with all that was read on the way."""
    source = load_with_bases(path)
    if "factor" in source.entries and not isinstance(source.entries.get("assembly"), list):
        cure = "run it by `assembly-sim sweep`, or name the case that it varies"
        raise InputError(source.problem(("factor",), "this is a plan of a sweep, no case", cure))
    if climate is not None:
        source.entries["climate"] = climate
    known, found = known_materials(source, materials)
    checked, errors = _checked(source, known)
    weather, climate_problems = _climate(source, climate is not None)
    found += errors + climate_problems
    if checked is not None:
        checked, errors = _joined(checked, source)
        found += errors
    if checked is None or weather is None or found:
        raise InputError(*_each_once(found))
    try:
        return CaseRead(_built(checked, weather, source), source, checked, known)
    except InputError as error:  # what only the whole description shows has no line, but a file
        file = source.file
        raise InputError(*(replace(one, file=one.file or file) for one in error.problems)) from None


def input_files(
    path: Path | str, climate: str | None = None, materials: Path | None = None
) -> dict[str, Path]:
    """Every file that reading a case takes, by what it is; as far as the case can be read."""
    from assembly_sim.files.climate.read import find_climate

    found = {"the case": Path(path)} | ({"the materials": materials} if materials else {})
    with suppress(InputError):
        source = load_with_bases(path)
        found |= {f"the base {number}": Path(one) for number, one in enumerate(source.files[:-1])}
        for at, table in _rooms_of(source.entries):
            for entry, rule in _tables_of(table):
                if isinstance(rule.get("file"), str):
                    folder = Path(source.place((*at, entry, "file")).file).parent
                    whose = "the room" if at == ("room",) else f"other room {int(at[-1]) + 1}"
                    found[f"{whose}'s {entry}"] = folder / rule["file"]
        name = climate or source.entries.get("climate")
        beside = None if climate else Path(source.place(("climate",)).file).parent
        if isinstance(name, str):
            found["the climate"] = find_climate(name, beside)
        bills = source.entries.get("bill_weather")
        if isinstance(bills, str):
            folder = Path(source.place(("bill_weather",)).file).parent
            found["the weather of the bills"] = find_climate(bills, folder)
    return found


def _rooms_of(entries: Mapping[str, Any]) -> Iterator[tuple[case_lines.Path, Any]]:
    yield ("room",), entries.get("room")
    more = entries.get("other_room")
    for number, one in enumerate(more if isinstance(more, list) else ()):
        yield ("other_room", number), one


def _tables_of(value: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    items = value.items() if isinstance(value, dict) else ()
    return ((key, one) for key, one in items if isinstance(one, dict))


def schema() -> dict[str, Any]:
    """JSON Schema of case files, quantities typed as text with a pattern, for editors."""
    from assembly_sim.files.case.schema import CaseFile

    described = CaseFile.model_json_schema(by_alias=True)
    required = described.pop("required")  # a case may take what is required from its base
    change = "of a case with a base: new entries by name of the assembly, and of its layer"
    described["properties"]["change"] = {"type": "object", "description": change}
    described["anyOf"] = [{"required": ["base"]}, {"required": required}]
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **described}


def starting_case(name: str, house: bool = False) -> str:
    """A commented case to start from, with `name` as its name; `house`: one with an attic."""
    import json

    if not name.strip() or not name.isprintable() or len(name) > 80:
        raise InputError(Problem("this is no name for a case", "write letters on one line"))
    kind = "house" if house else "case"
    template = (_HERE / f"starting_{kind}.toml").read_text(encoding="utf-8")
    return template.replace('"NAME"', json.dumps(name.strip(), ensure_ascii=False), 1)


def _each_once(found: tuple[Problem, ...]) -> tuple[Problem, ...]:
    unique = dict.fromkeys(found)
    return tuple(sorted(unique, key=lambda one: (one.file, one.line or 0)))


def known_materials(source: CaseText, extra: Path | None) -> tuple[Materials, tuple[Problem, ...]]:
    """All materials by name, the case's own last; what is wrong with the case's own."""
    from assembly_sim.files.material import read as materials

    known: dict[str, Material | Sheet] = dict(materials.load(extra))
    found: tuple[Problem, ...] = ()
    tables = source.entries.get("materials")
    for name, table in tables.items() if isinstance(tables, dict) else ():
        try:
            known.pop(name, None)
            report = partial(_of_material, source, name)
            known[name] = materials.from_table(name, table, report)
        except InputError as error:
            found += error.problems
    return known, found


def _of_material(
    source: CaseText, name: str, path: case_lines.Path, cause: str, cure: str
) -> Problem:
    return source.problem(("materials", name, *path), cause, cure)


def _checked(source: CaseText, known: Materials) -> tuple[CaseFile | None, tuple[Problem, ...]]:
    from pydantic import ValidationError

    from assembly_sim.files.case import problems as case_problems
    from assembly_sim.files.case.schema import CaseFile

    described = source.entries.get("materials")
    faulty = set(described if isinstance(described, dict) else ()) - set(known)
    context = {"materials": known, "faulty": faulty}
    try:
        return CaseFile.model_validate(source.entries, context=context), ()
    except ValidationError as error:
        return None, case_problems.problems(error.errors(), source, CaseFile)


def _joined(checked: CaseFile, source: CaseText) -> tuple[CaseFile, tuple[Problem, ...]]:
    """The case with all said that follows from its other entries; what does not join."""
    from assembly_sim.files.case.joined import join_problems, joined
    from assembly_sim.files.case.roof import roof_problems

    found = [*roof_problems(checked)]
    house = checked if found else joined(checked)
    found = found or join_problems(house)
    return house, tuple(source.problem(*one) for one in found)


def _climate(source: CaseText, from_caller: bool) -> tuple[Climate | None, tuple[Problem, ...]]:
    """The climate, looked for beside the file that names it; its problems."""
    from assembly_sim.files.climate.read import find_climate, read_climate

    name = source.entries.get("climate")
    if not isinstance(name, str) or not name.strip():
        return None, ()  # the schema tells
    folder = None if from_caller else Path(source.place(("climate",)).file).parent
    try:
        return read_climate(find_climate(name, folder)), ()
    except InputError as error:
        return None, error.problems if from_caller else _at_entry(error, name, source)


def _at_entry(error: InputError, name: str, source: CaseText) -> tuple[Problem, ...]:
    """Problems of naming a climate at the case's line; those inside the file where they are."""
    return tuple(
        source.problem(("climate",), f"'{name}': {one.cause}", one.cure)
        if one.line is None
        else one
        for one in error.problems
    )


def _refuse_years_of_a_window(checked: CaseFile, climate: Climate, source: CaseText) -> None:
    """A window of weather has one order and one length; what the case says of them is named."""
    said = [name for name in ("years", "start_month") if name in checked.model_fields_set]
    if said and not climate.wraps:
        cause = f"the weather is a window from {climate.begins}, which runs once, in order"
        cure = "leave the entry out, or take weather of a whole year"
        raise InputError(*(source.problem((name,), cause, cure) for name in said))


def _built(checked: CaseFile, climate: Climate, source: CaseText) -> Case:
    from assembly_sim.files.case import build as case_build
    from assembly_sim.files.case.house_build import house, refuse_wet_planes

    _refuse_years_of_a_window(checked, climate, source)
    room, *more = case_build.rooms(checked, climate, source)
    assemblies, spaces = tuple(map(case_build.assembly, checked.assembly)), house(checked, source)
    refuse_wet_planes(spaces["openings"], assemblies, checked, source)
    case = Case(
        name=checked.name,
        climate=climate,
        room=room,
        more_rooms=tuple(more),
        assemblies=assemblies,
        years=checked.years,
        start_month=checked.start_month,
        starting_humidity=checked.starting_humidity,
        thresholds=case_build.thresholds(checked.thresholds),
        code_zone=checked.code_zone,
        code_edition=checked.code_edition,
        **spaces,
        text=source.text,
        file=source.file,
    )
    return replace(case, unstated=case_build.unstated(checked, case))

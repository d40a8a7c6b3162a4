"""Changes of zones, openings, fans, ducts and further rooms, read from a table."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ValidationError

from assembly_sim.changes import (
    Change,
    DuctsIndoors,
    RemoveFan,
    SealBetween,
    SealOpening,
    Set,
)
from assembly_sim.files.case import build, fields, house_build
from assembly_sim.files.case import lines as case_lines
from assembly_sim.files.case.base import named_tables
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
from assembly_sim.files.case.house_schema import (
    BlowerDoorText,
    DuctsText,
    FanText,
    OpeningText,
    OtherRoomText,
    ZoneText,
)
from assembly_sim.files.case.joined import RULES
from assembly_sim.files.case.room import AsText
from assembly_sim.files.case.text import CaseText
from assembly_sim.files.words import nearest

_ITEMS: dict[str, type[BaseModel]] = {
    **{"zone": ZoneText, "opening": OpeningText, "fan": FanText, "ducts": DuctsText},
}
_NOT_OF_ITEMS = {"name", "on", "part", "wets", "source", "target", "temperature", "humidity"}
_DONE: dict[tuple[str, str], type[DuctsIndoors] | type[RemoveFan]] = {
    ("ducts", "indoors"): DuctsIndoors,
    ("fan", "remove"): RemoveFan,
}
HOUSE = (*_ITEMS, "other_room", "seal_between", "blower_door")


class Between(fields.Table):
    """What is sealed of all openings between two spaces."""

    one: fields.Name = ""
    other: fields.Name = ""
    share: fields.Share = 1.0


def of_house(word: str, value: Any, path: case_lines.Path, reader: Reader) -> Found:
    """Fields of zones, openings, fans and ducts by name; what is sealed; another test."""
    if word == "seal_between":
        yield from _sealed_between(value, path, reader)
    elif word == "blower_door":
        yield Set((word,), _tested(value, path, reader)), path
    else:
        for name, table, here in named_tables(value, path, reader.source):
            for entry, one in table.items():
                yield _of_item(word, name, (*here, entry), one, reader), (*here, entry)


def _of_item(word: str, name: str, path: case_lines.Path, value: Any, reader: Reader) -> Change:
    """One entry of a zone, a further room, an opening, a fan or ducts."""
    entry, at = str(path[-1]), (word, name)
    if word == "opening" and entry == "seal":
        return SealOpening(name, reader.value(Verbs, path, value))
    if (word, entry) in _DONE:
        if reader.value(Verbs, path, value) is not True:
            raise reader.refused(path, f"what is not done is not said: {entry}", "leave it out")
        return _DONE[word, entry](name)
    if word == "opening" and entry == "size":
        return Set((*at, entry), reader.value(OpeningText, path, value).shape)
    if word == "other_room" and entry in RULES:
        text, source = reader.value(OtherRoomText, path, value), below(reader.source, path[:-2])
        return Set((*at, entry), rule_of(text, entry, path, reader, (name,), source))
    model = _ITEMS.get(word, OtherRoomText)
    known = [one for one in model.model_fields if one not in _NOT_OF_ITEMS]
    if entry.removesuffix(TIMES) not in known:
        verbs = {"opening": ("seal",), "ducts": ("indoors",), "fan": ("remove",)}
        more = verbs.get(word, ())
        raise unknown(entry, [*known, *more], path, reader)
    if entry.endswith(TIMES):
        return times(at, path, value, reader)
    return Set((*at, entry), reader.value(model, path, value))


def _sealed_between(value: Any, path: case_lines.Path, reader: Reader) -> Found:
    listed = value if isinstance(value, list) else [value]
    for number, table in enumerate(listed):
        here = (*path, number) if isinstance(value, list) else path
        for entry, _ in entries(table, here, reader):
            if entry not in Between.model_fields:
                raise unknown(entry, list(Between.model_fields), (*here, entry), reader)
        missing = [one for one in ("one", "other") if one not in table]
        if missing:
            cure = 'write [{ one = "room", other = "attic", share = "90 %" }]'
            raise reader.refused(here, f"'{missing[0]}' is missing", cure)
        told = {name: reader.value(Between, (*here, name), one) for name, one in table.items()}
        yield SealBetween(**told), here


def _tested(value: Any, path: case_lines.Path, reader: Reader) -> Any:
    """A whole figure of a blower door, as in a case."""
    try:
        text = BlowerDoorText.model_validate(value)
    except ValidationError as error:
        raise reader.told(error, BlowerDoorText, path) from None
    return house_build.tested(text)


def rule_of(
    text: Any,
    entry: str,
    path: case_lines.Path,
    reader: Reader,
    at: case_lines.Path,
    source: CaseText,
) -> Any:
    """A rule that a table tells of a room, or that which another room of the case has."""
    if not isinstance(text, AsText):
        return build.rule(text, entry, reader.case.climate, source, at)
    found = next((one for one in reader.case.rooms if one.name == text.other), None)
    if found is None:
        cure = nearest(text.other, [one.name for one in reader.case.rooms]) or "name a room"
        raise reader.refused(path, f"there is no room '{text.other}'", cure)
    return getattr(found, entry)

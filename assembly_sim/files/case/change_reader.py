"""What reading changes needs: entries held to the schema of a case, told at their lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from pydantic import BaseModel, ValidationError, create_model

from assembly_sim.changes import Change, Times
from assembly_sim.changes.path import Path as FieldPath
from assembly_sim.errors import InputError
from assembly_sim.files.case import fields
from assembly_sim.files.case import lines as case_lines
from assembly_sim.files.case.problems import problems
from assembly_sim.files.case.text import CaseText
from assembly_sim.files.words import nearest
from assembly_sim.model import Case, Material, Sheet

TIMES = "_times"
Found = Iterator[tuple[Change, case_lines.Path]]


class Verbs(fields.Table):
    """Entries that are no field of a case: what is done, rather than what there is."""

    seal: fields.Share | None = None
    fill: fields.MaterialName | None = None
    remove: bool | None = None
    indoors: bool | None = None
    before: fields.Name | None = None
    winter_humidity: fields.HumiditySwing | None = None
    climate: fields.Place | None = None


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


def below(source: CaseText, path: case_lines.Path) -> CaseText:
    """The text with a table of it as its root, so that places are found from there."""
    size = len(path)
    places = {key[size:]: one for key, one in source.places.items() if key[:size] == path}
    return replace(source, places=places)


def entries(value: Any, path: case_lines.Path, reader: Reader) -> Iterator[tuple[str, Any]]:
    """Entries of a table, or the error that it is none."""
    if not isinstance(value, dict):
        raise reader.refused(path, "this is not a table", "write it as a table with a [heading]")
    return iter(value.items())


def times(at: FieldPath, path: case_lines.Path, value: Any, reader: Reader) -> Times:
    """The factor that `NAME_times` tells."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 <= value < 1e6:
        raise reader.refused(path, "this is no factor", "write a number from 0, without quotes")
    return Times((*at, str(path[-1]).removesuffix(TIMES)), float(value))


def unknown(entry: str, known: list[str], path: case_lines.Path, reader: Reader) -> InputError:
    """The error of an entry that there is not, with the nearest that there is."""
    cure = nearest(entry, known) or f"known here are {', '.join(known)}"
    return reader.refused(path, f"unknown entry '{entry[:60]}'", cure)


@cache
def _alone(model: type[BaseModel], entry: str) -> type[BaseModel]:
    """A schema of one entry of another, for it is read without the rest."""
    field = model.model_fields[entry]
    own: Any = {entry: (field.annotation, field)}
    return create_model(model.__name__, __base__=fields.Table, **own)

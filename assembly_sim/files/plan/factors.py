"""Factors of a plan from their tables: values, ranges and distributions at a path, or options."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from assembly_sim.changes import Change, Set
from assembly_sim.changes.factors import LEVELS, Choice, Factor, Level, Range, Value
from assembly_sim.changes.laws import Law
from assembly_sim.changes.numbered import kind_in, number_in
from assembly_sim.changes.path import Path, path_of
from assembly_sim.errors import InputError
from assembly_sim.files.case import lines as case_lines
from assembly_sim.files.case.changes import from_path, from_table
from assembly_sim.files.case.text import CaseText
from assembly_sim.files.plan.schema import DistributionText, FactorText, PlanFile
from assembly_sim.model import Case, Material, Sheet
from assembly_sim.units import UnitError, read

Rows = tuple[tuple[Value, ...], ...]


@dataclass(frozen=True)
class Asker:
    """What reading a factor needs: the case, the plan's text, the materials that are known."""

    case: Case
    source: CaseText
    materials: Mapping[str, Material | Sheet]

    def changes(self, paths: list[str], value: Any, at: case_lines.Path) -> tuple[Change, ...]:
        """The changes that put a value, as written, at each path."""
        found: tuple[Change, ...] = ()
        for path in paths:
            told = from_path(path, value, self.case, self.source, at, self.materials)
            found += tuple(part_alone(change, path_of(path)) for change in told)
        return found

    def refused(self, at: case_lines.Path, cause: str, cure: str) -> InputError:
        """The error of an entry of the plan."""
        return InputError(self.source.problem(at, cause, cure))


def part_alone(change: Change, path: Path) -> Change:
    """Of a rule that was changed in one part, `room.humidity.mean`, the change of that part."""
    if not isinstance(change, Set) or len(path) != len(change.path) + 1:
        return change
    return Set(path, getattr(change.value, str(path[-1])))


def factor_of(told: FactorText, number: int, asker: Asker) -> Factor:
    """The factor that a table tells. InputError with its line."""
    at: case_lines.Path = ("factor", number)
    try:
        if told.options is not None:
            return _options(told, at, asker)
        if told.values is not None:
            return _values(told, told.values, at, asker)
        return _range(told, at, asker)
    except InputError as error:
        if any(one.file for one in error.problems):
            raise
        found = (asker.source.problem(at, one.cause, one.cure) for one in error.problems)
        raise InputError(*found) from None


def table_factors(
    told: PlanFile, rows: list[list[Any]], asker: Asker
) -> tuple[tuple[Factor, ...], Rows]:
    """Factors of a table, each a choice of what stands in its column; rows in its values."""
    factors, columns = [], []
    for number, one in enumerate(told.factor):
        column = [row[number] for row in rows]
        if one.options is None:
            factor = _values(one, _each_once(column), ("factor", number), asker)
            by_text = dict(zip(map(str, _each_once(column)), factor.options))
            columns.append([by_text[str(value)].value for value in column])
        else:
            factor = _options(one, ("factor", number), asker)
            columns.append([factor.of(value).value for value in column])
        factors.append(factor)
    return tuple(factors), tuple(zip(*columns))


def _each_once(column: list[Any]) -> list[Any]:
    return list({str(value): value for value in column}.values())


def _paths(told: FactorText) -> list[str]:
    return [told.path] if isinstance(told.path, str) else list(told.path or ())


def _costs(told: FactorText, size: int, at: case_lines.Path, asker: Asker) -> list[float]:
    """Cost of each option, none of them where the plan does not say."""
    if told.cost is None:
        return [0.0] * size
    if len(told.cost) != size:
        cause = f"{len(told.cost)} costs for {size} options"
        raise asker.refused((*at, "cost"), cause, "give one each, in their order")
    return list(told.cost)


def _options(told: FactorText, at: case_lines.Path, asker: Asker) -> Choice:
    options = told.options or {}
    costs = _costs(told, len(options), at, asker)
    made = []
    for (label, table), cost in zip(options.items(), costs):
        place = (*at, "options", label)
        changes = from_table(table, asker.case, asker.source, place, asker.materials)
        made.append(Level(label, changes, cost))
    return Choice(told.name, tuple(made))


def _values(told: FactorText, values: list[Any], at: case_lines.Path, asker: Asker) -> Choice:
    """A choice of values at a path: numbers where each is one, else labels as they are written."""
    costs, place = _costs(told, len(values), at, asker), (*at, "values")
    changes = [asker.changes(_paths(told), value, place) for value in values]
    numbers = [number_in(one[0]) for one in changes]
    shown: list[Value] = [
        str(value) if None in numbers or number is None else number
        for value, number in zip(values, numbers)
    ]
    kind = "name" if None in numbers else kind_in(changes[0][0])
    levels = (Level(*one) for one in zip(shown, changes, costs))
    return Choice(told.name, tuple(levels), kind)


def _range(told: FactorText, at: case_lines.Path, asker: Asker) -> Range:
    """A number by a law: a range is uniform from end to end."""
    text = told.distribution
    if told.range is None and text is None:
        cure = "add values = [...], range = [low, high] or a distribution"
        raise asker.refused(at, "nothing says what its values are", cure)
    if told.range is not None:
        place = (*at, "range")
        into = asker.changes(_paths(told), told.range[0], place)
        low, high = (_number(told, one, place, asker) for one in told.range)
        law = Law("uniform", low, high)
    else:
        assert text is not None
        place = (*at, "distribution")
        into = asker.changes(_paths(told), next(iter(text.given.values()))[0], place)
        law = _law(told, text, kind_in(into[0]), place, asker)
    cost = _ends(told, at, asker)
    return Range(told.name, into, law, told.levels or LEVELS, cost)


def _ends(told: FactorText, at: case_lines.Path, asker: Asker) -> tuple[float, float] | None:
    if told.cost is None:
        return None
    low, high = _costs(told, 2, at, asker)
    return low, high


def _number(told: FactorText, value: Any, at: case_lines.Path, asker: Asker) -> float:
    """The number that a value at the factor's path stands for, SI."""
    found = number_in(asker.changes(_paths(told)[:1], value, at)[0])
    if found is None:
        cause = f"'{str(value)[:40]}' is no number to vary"
        raise asker.refused(at, cause, "list values, or give options")
    return found


def _law(
    told: FactorText, text: DistributionText, kind: str, at: case_lines.Path, asker: Asker
) -> Law:
    (name, given), *_ = text.given.items()
    plain = [_number(told, given[0], at, asker)]
    if name == "normal":
        plain.append(_spread(given[1], kind, at, asker))
    elif name == "lognormal":
        plain.append(_factor(given[1], at, asker))
    else:
        plain += [_number(told, one, at, asker) for one in given[1:]]
    ends = {}
    if text.within is not None:
        low, high = (_number(told, one, at, asker) for one in text.within)
        ends = {"low": low, "high": high}
    return Law(name, *plain, **ends)


def _spread(value: Any, kind: str, at: case_lines.Path, asker: Asker) -> float:
    """A standard deviation: of a temperature it is a difference, and of a factor a bare number."""
    if kind == "factor":
        return _factor(value, at, asker)
    try:
        return read(value, "temperature difference" if kind == "temperature" else kind)
    except UnitError as error:
        raise asker.refused(at, error.cause, error.cure) from None


def _factor(value: Any, at: case_lines.Path, asker: Asker) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e300:
        raise asker.refused(at, f"'{str(value)[:40]}' is no bare number", "write 1.3")
    return float(value)

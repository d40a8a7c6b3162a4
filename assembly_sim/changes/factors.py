"""Factors of a study: what differs between its variants, each a way from a number to changes.

A `Choice` has a list of options, each a tuple of changes; a `Range` puts a number, by a law, into
one or several changes. Both are asked by a share u of 0-1 (`at`), by what a table says (`of`), or
for all their levels. A `Level` is what one variant has of a factor: the value that its row shows,
the changes that make it, and what it costs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assembly_sim.changes import Change
from assembly_sim.changes.laws import Law
from assembly_sim.changes.numbered import kind_in, with_number
from assembly_sim.errors import InputError, Problem

Value = float | str
MOST_LEVELS = 1000
LEVELS = 5  # of a range in a factorial, unless said


@dataclass(frozen=True)
class Level:
    """A factor in one variant: value (SI, or a label), changes, cost in the user's own money."""

    value: Value
    changes: tuple[Change, ...]
    cost: float = 0.0


@dataclass(frozen=True)
class Choice:
    """A factor of separate options. kind: of its values' unit; `name` where they are labels."""

    name: str
    options: tuple[Level, ...]
    kind: str = "name"

    def __post_init__(self) -> None:
        values = [one.value for one in self.options]
        if not values:
            raise _refused(self.name, "there is no option", "give one at least")
        twice = [value for value in values if values.count(value) > 1]
        if twice:
            raise _refused(self.name, f"'{twice[0]}' stands twice", "give each once")

    def at(self, u: float) -> Level:
        """The option at a share u of 0-1, each taking as much of it."""
        return self.options[min(int(u * len(self.options)), len(self.options) - 1)]

    def of(self, value: Value) -> Level:
        """The option of this value. InputError where there is none."""
        for one in self.options:
            if one.value == value or _near(one.value, value):
                return one
        known = ", ".join(str(one.value) for one in self.options)
        raise _refused(self.name, f"there is no option '{value}'", f"there are {known}")

    def levels(self) -> tuple[Level, ...]:
        """All options."""
        return self.options


@dataclass(frozen=True)
class Range:
    """A factor that is a number by a law, put into every change of `into`.

    steps: levels of a factorial, at even shares of the law, ends included where it has ends; cost:
    at the low and at the high end, linear between, or None.
    """

    name: str
    into: tuple[Change, ...]
    law: Law
    steps: int = LEVELS
    cost: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        if not self.into:
            raise _refused(self.name, "it changes nothing", "name a path")
        if not 2 <= self.steps <= MOST_LEVELS:
            raise _refused(self.name, f"{self.steps} levels", f"give 2 to {MOST_LEVELS}")
        if self.cost and not self.has_ends:
            raise _refused(self.name, "without ends there is no cost of an end", "give within")

    @property
    def kind(self) -> str:
        """Kind of its number's unit."""
        return kind_in(self.into[0])

    @property
    def has_ends(self) -> bool:
        """Whether the number has a lowest and a highest value."""
        ends = self.law.low, self.law.high
        return self.law.kind in ("uniform", "triangular") or all(map(math.isfinite, ends))

    def at(self, u: float) -> Level:
        """The level at a share u of the law, 0-1."""
        return self.of(self.law.quantile(u))

    def of(self, value: Value) -> Level:
        """The level of a number."""
        if isinstance(value, str):
            raise _refused(self.name, f"'{value[:40]}' is no number", "give one")
        changes = tuple(with_number(one, float(value)) for one in self.into)
        return Level(float(value), changes, self._cost(float(value)))

    def levels(self) -> tuple[Level, ...]:
        """Levels of a factorial: from end to end, or in the middles of even shares."""
        n = self.steps
        ends, middles = [i / (n - 1) for i in range(n)], [(i + 0.5) / n for i in range(n)]
        shares = ends if self.has_ends else middles
        return tuple(self.at(share) for share in shares)

    def _cost(self, value: float) -> float:
        if self.cost is None:
            return 0.0
        low, high = self.law.quantile(0.0), self.law.quantile(1.0)
        return self.cost[0] + (self.cost[1] - self.cost[0]) * (value - low) / (high - low)


Factor = Choice | Range


def _near(one: Value, other: Value) -> bool:
    if isinstance(one, str) or isinstance(other, str):
        return False
    return math.isclose(one, other, rel_tol=1e-9)


def _refused(name: str, cause: str, cure: str) -> InputError:
    return InputError(Problem(cause, cure, field=f"factor {name}"))

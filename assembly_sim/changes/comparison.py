"""A comparison as data: one case as found, options that change it, and what fuel and work cost.

Each option is a case of its own, made by its changes of the case that it builds on: the case as it
is described, or another option. All stand in the same weather and are held to the same limits, so
that their seasons have the same days.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from assembly_sim.changes import Change, applied
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Case, Climate
from assembly_sim.model.fuel import DISCOUNT, LIFETIME, Bill, Cost, Fuel

WORK = ("yourself", "licensed")
"""Who may do it, in the user's own judgement."""
SHARED = ("climate", "years", "start_month", "thresholds")
"""What all options have in common: each has the same days, and is held to the same limits."""


@dataclass(frozen=True)
class Option:
    """One alternative: its own changes, on top of the option that it builds on (its name).

    cost: of these changes alone; work: one of `WORK`, '' where nobody says.
    """

    name: str
    changes: tuple[Change, ...] = ()
    builds_on: str | None = None
    cost: Cost | None = None
    work: str = ""


@dataclass(frozen=True)
class Comparison:
    """Options of one case. `as_found` names the one that all others are held against.

    cases: each option's own case; fuel heats, cooling (electricity) cools; bills are of that fuel,
    in bill_climate, or else in the case's own; lifetime (years) and discount (a year) spread a
    cost. InputError for two options of one name, or weather, years or limits of their own.
    """

    case: Case
    options: tuple[Option, ...]
    as_found: str
    fuel: Fuel | None = None
    cooling: Fuel | None = None
    bills: tuple[Bill, ...] = ()
    bill_climate: Climate | None = None
    lifetime: float = LIFETIME
    discount: float = DISCOUNT

    def __post_init__(self) -> None:
        names = [one.name for one in self.options]
        for name in names:
            if names.count(name) > 1:
                raise self._refused(name, "two options have this name", "give each its own")
        if self.as_found not in names:
            known = ", ".join(names)
            raise self._refused(self.as_found, "is no option", f"name one of: {known}")
        for number, one in enumerate(self.options):
            if one.builds_on is not None and one.builds_on not in names[:number]:
                cause = f"it builds on '{one.builds_on}', which is no option above it"
                raise self._refused(one.name, cause, "put the other one first")
        for name, made in self.cases.items():
            for entry in SHARED:
                if getattr(made, entry) != getattr(self.case, entry):
                    cause = f"it changes {entry}, which all options share"
                    raise self._refused(name, cause, "change it for the whole case")

    def _refused(self, name: str, cause: str, cure: str) -> InputError:
        return InputError(Problem(cause, cure, file=self.case.file, field=f"option {name}"))

    @cached_property
    def cases(self) -> dict[str, Case]:
        """The case of each option by name, in order."""
        made: dict[str, Case] = {}
        for one in self.options:
            below = self.case if one.builds_on is None else made[one.builds_on]
            made[one.name] = applied(below, *one.changes)
        return made

    def named(self, name: str) -> Option:
        """The option of this name."""
        return next(one for one in self.options if one.name == name)

    def chain(self, name: str) -> tuple[Option, ...]:
        """An option with all that it builds on, the first of them first."""
        one = self.named(name)
        return (*(self.chain(one.builds_on) if one.builds_on else ()), one)

    def changes_of(self, name: str) -> tuple[Change, ...]:
        """All changes of an option, those of what it builds on first."""
        return tuple(change for one in self.chain(name) for change in one.changes)

    def cost_of(self, name: str) -> Cost | None:
        """What an option costs beyond the house as found; None where a part of it is not known.

        The steps of the house as found are paid already; what changes nothing costs nothing.
        """
        paid = {one.name for one in self.chain(self.as_found)}
        steps = [one for one in self.chain(name) if one.name not in paid]
        known = [one.cost for one in steps if one.cost is not None]
        if len(known) < len([one for one in steps if one.cost is not None or one.changes]):
            return None
        if not known:
            return None
        return Cost(
            sum(one.low for one in known), sum(one.high for one in known), known[0].currency
        )

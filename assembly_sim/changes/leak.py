"""An air leak sealed by a share."""

from __future__ import annotations

from dataclasses import dataclass

from assembly_sim.changes.field import Times
from assembly_sim.changes.words import Words, named
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Case


@dataclass(frozen=True)
class Seal:
    """`share` (0-1) of an assembly's air leak closed; 1 leaves none."""

    assembly: str
    share: float

    def __post_init__(self) -> None:
        if not 0.0 <= self.share <= 1.0:
            cause = f"{self.share:g} is no share"
            raise InputError(Problem(cause, "give 0 to 1", field=f"{self.assembly}.seal"))

    def apply(self, case: Case) -> Case:
        """The case with this much less leak. InputError where the assembly has none."""
        return Times(("assembly", self.assembly, "leak"), 1.0 - self.share).apply(case)

    @property
    def words(self) -> Words:
        """`North roof: {0} of the air leak sealed`."""
        text = f"{named(self.assembly)}: {{0}} of the air leak sealed"
        return Words(text, ((self.share, "fraction"),))

"""Air leaks sealed by a share: of an assembly, of an opening, of all between two spaces."""

from __future__ import annotations

from dataclasses import dataclass, replace

from assembly_sim.changes.field import Times
from assembly_sim.changes.opening_size import all_sized, scaled
from assembly_sim.changes.path import not_there, place_of
from assembly_sim.changes.words import Words, named
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Case, Opening
from assembly_sim.model.opening import Unsized


def refuse_no_share(share: float, field: str) -> None:
    """InputError where a share is not 0 to 1."""
    if not 0.0 <= share <= 1.0:
        raise InputError(Problem(f"{share:g} is no share", "give 0 to 1", field=field))


@dataclass(frozen=True)
class Seal:
    """`share` (0-1) of an assembly's air leak closed; 1 leaves none."""

    assembly: str
    share: float

    def __post_init__(self) -> None:
        refuse_no_share(self.share, f"{self.assembly}.seal")

    def apply(self, case: Case) -> Case:
        """The case with this much less leak. InputError where the assembly has none."""
        return Times(("assembly", self.assembly, "leak"), 1.0 - self.share).apply(case)

    @property
    def words(self) -> Words:
        """`North roof: {0} of the air leak sealed`."""
        text = f"{named(self.assembly)}: {{0}} of the air leak sealed"
        return Words(text, ((self.share, "fraction"),))


@dataclass(frozen=True)
class SealOpening:
    """`share` (0-1) of an opening closed; 1 leaves none. The others keep their sizes.

    Where a blower door's figure was shared out, every opening keeps the size that it gave, and
    the figure is left out: it was that of the house before.
    """

    opening: str
    share: float = 1.0

    def __post_init__(self) -> None:
        refuse_no_share(self.share, f"{self.opening}.seal")

    def apply(self, case: Case) -> Case:
        """The case with this opening smaller, or without it."""
        place_of(case.openings, self.opening, ("opening", self.opening))
        return _sealed(case, [self.opening], self.share)

    @property
    def words(self) -> Words:
        """`attic hatch: {0} of it sealed`."""
        return Words(f"{named(self.opening)}: {{0}} of it sealed", ((self.share, "fraction"),))


@dataclass(frozen=True)
class SealBetween:
    """`share` (0-1) of every opening between two spaces closed: an attic floor made tight."""

    one: str
    other: str
    share: float = 1.0

    def __post_init__(self) -> None:
        refuse_no_share(self.share, f"{self.one}.seal")

    def apply(self, case: Case) -> Case:
        """The case with these openings smaller. InputError where there is none."""
        ends = {self.one, self.other}
        found = [one.name for one in case.openings if {one.inside, one.outside} == ends]
        if not found:
            known = sorted({f"{one.inside} and {one.outside}" for one in case.openings})
            cause = f"no opening is between {self.one} and {self.other}"
            raise not_there(cause, f"{self.one} and {self.other}", known, ("opening",))
        return _sealed(case, found, self.share)

    @property
    def words(self) -> Words:
        """`openings between room and attic: {0} of each sealed`."""
        text = f"openings between {named(self.one)} and {named(self.other)}: {{0}} of each sealed"
        return Words(text, ((self.share, "fraction"),))


def _sealed(case: Case, names: list[str], share: float) -> Case:
    if share == 0.0:
        return case
    sized = all_sized(case)
    left = [_smaller(one, share) if one.name in names else one for one in sized.openings]
    return replace(sized, openings=tuple(one for one in left if one is not None))


def _smaller(one: Opening, share: float) -> Opening | None:
    if share == 1.0 or isinstance(one.shape, Unsized):  # none is unsized by now
        return None
    return replace(one, shape=scaled(one.shape, 1.0 - share))

"""Ducts brought in from a zone, and a fan taken out."""

from __future__ import annotations

from dataclasses import dataclass, replace

from assembly_sim.changes.path import place_of
from assembly_sim.changes.words import Words, named
from assembly_sim.model import Case


@dataclass(frozen=True)
class DuctsIndoors:
    """Ducts moved into the rooms: what they lose and leak stays there, so the case has none."""

    ducts: str

    def apply(self, case: Case) -> Case:
        """The case without these ducts in their zone. InputError where there are none."""
        at = place_of(case.ducts, self.ducts, ("ducts", self.ducts))
        return replace(case, ducts=(*case.ducts[:at], *case.ducts[at + 1 :]))

    @property
    def words(self) -> Words:
        """`furnace ducts: moved into the rooms`."""
        return Words(f"{named(self.ducts)}: moved into the rooms", ())


@dataclass(frozen=True)
class RemoveFan:
    """A fan that blows no more between its spaces: its air is led outdoors, or it is gone."""

    fan: str

    def apply(self, case: Case) -> Case:
        """The case without the fan. InputError where there is none."""
        at = place_of(case.fans, self.fan, ("fan", self.fan))
        return replace(case, fans=(*case.fans[:at], *case.fans[at + 1 :]))

    @property
    def words(self) -> Words:
        """`bath fan: taken out`."""
        return Words(f"{named(self.fan)}: taken out", ())

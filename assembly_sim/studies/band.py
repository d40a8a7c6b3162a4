"""How far a comparison holds where leak and humidity are not what was taken: further runs.

Nobody knows the leak of an old ceiling within a factor of two, nor how its people will live. So an
option may be run with half and with twice the leak of every part, and with a room damper by 5
points in winter; the house as found likewise, since both have the same leak and the same people.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from assembly_sim.changes import Times, WinterHumidity, applied
from assembly_sim.changes.opening_size import all_sized
from assembly_sim.errors import InputError
from assembly_sim.model import Case, Opening
from assembly_sim.studies.moisture_change import rank_of
from assembly_sim.studies.option_year import HouseYear
from assembly_sim.studies.part import Marched

LESS_LEAK, MORE_LEAK = "half the leak", "twice the leak"
DAMPER = "5 points damper in winter"
POINTS = 0.05


@dataclass(frozen=True)
class Band:
    """savings: heat (J) saved against the house as found under each change, both changed alike.

    ranks: the worst level of the parts under each change, places in `LEVELS`.
    """

    savings: tuple[tuple[str, float], ...]
    ranks: tuple[tuple[str, int], ...]

    def span(self, saved: float) -> tuple[float, float]:
        """The least and the most of a saving and what it is under each change."""
        known = [saved, *(value for _, value in self.savings)]
        return min(known), max(known)


def variants(case: Case) -> dict[str, Case]:
    """The case under each change that it can take; one without a leak is the same with any."""
    factors = {LESS_LEAK: 0.5, MORE_LEAK: 2.0}
    made = {change: leaks_times(case, factor) for change, factor in factors.items()}
    return {
        **{change: one for change, one in made.items() if one is not None},
        DAMPER: applied(case, WinterHumidity(POINTS)),
    }


def leaks_times(case: Case, factor: float) -> Case | None:
    """The case with every leak times a factor; None where no leak or opening is so large.

    Openings of a room are leaks, in whatever words they are told; vents of an attic are built to
    their size and stay as they are.
    """
    leaky = [one for one in case.assemblies if one.leak is not None]
    sized = all_sized(case)
    holes = [one.name for one in sized.openings if is_leak(one, sized)]
    changes = (
        *(Times(("assembly", one.name, "leak"), factor) for one in leaky),
        *(Times(("opening", name, "size"), factor) for name in holes),
    )
    try:
        return applied(sized, *changes)
    except InputError:  # no opening is so large
        return None


def is_leak(opening: Opening, case: Case) -> bool:
    """Whether an opening lets a room's air out: no vent between a zone and outdoors."""
    return bool({opening.inside, opening.outside} & {room.name for room in case.rooms})


def band_of(
    own: Mapping[str, HouseYear | None],
    found: Mapping[str, HouseYear | None],
    houses: Mapping[str, tuple[Marched, ...]],
) -> Band:
    """The band of an option from its years, those of the house as found, and its runs."""
    both = {change: (found.get(change), year) for change, year in own.items() if found.get(change)}
    return Band(
        savings=tuple(
            (change, before.heating - after.heating)
            for change, (before, after) in both.items()
            if before is not None and after is not None
        ),
        ranks=tuple((change, worst(marched)) for change, marched in houses.items()),
    )


def worst(marched: tuple[Marched, ...]) -> int:
    """The worst level of all parts that have a verdict."""
    return max((rank_of(each) for one in marched for each in one.summaries), default=0)

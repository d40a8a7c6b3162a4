"""Spaces of a house as a sentence names them."""

from __future__ import annotations

from collections.abc import Sequence

from assembly_sim.model.assembly import OUTDOORS

FEW = 3


def the(space: str) -> str:
    """`the attic`; outdoors, and a name that begins with a capital, stand as they are."""
    own = space == OUTDOORS or not space[:1].islower() or space.startswith("the ")
    return space if own else f"the {space}"


def some(names: Sequence[str], shown: int = FEW) -> str:
    """`hatch, chase and 2 more`; up to `shown` names are named."""
    more = len(names) - shown
    if more > 0:
        return f"{', '.join(names[:shown])} and {more} more"
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))

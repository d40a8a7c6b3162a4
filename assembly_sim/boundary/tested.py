"""A blower door's figure shared out in a house that has zones beside its rooms."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from assembly_sim.boundary.openings import sized
from assembly_sim.model.opening import OUTDOORS, MeasuredFlow, Opening


def sized_in_house(
    openings: Sequence[Opening], rooms: Collection[str], test: MeasuredFlow | None
) -> tuple[Opening, ...]:
    """Openings with a size each, in their order; `rooms` are those under pressure in the test.

    What leads out of the rooms, into a zone or outdoors, was part of the test; what leads out of
    a zone (an attic's vents) or between two rooms was not. A zone counts as open to outdoors,
    as a vented attic nearly is: behind a tight one, openings come out too large. Raises InputError
    as `openings.sized` does.
    """
    walls = [{one.inside, one.outside} for one in openings]
    part = [bool(ends & {*rooms}) and not ends <= {*rooms} for ends in walls]
    tested = [
        replace(one, side=None, outside=OUTDOORS, inside=_room(one, rooms))
        for one, within in zip(openings, part)
        if within
    ]
    found = iter(sized(tested, test) if tested or test else ())
    return tuple(
        replace(one, shape=next(found).shape) if within else sized([one])[0]
        for one, within in zip(openings, part)
    )


def _room(one: Opening, rooms: Collection[str]) -> str:
    return one.inside if one.inside in rooms else one.outside

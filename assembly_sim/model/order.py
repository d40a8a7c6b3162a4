"""Whether layers are listed outside to inside, by what they are made of.

Listed the wrong way round, a wall is rained on from the room and lined against the weather, and
comes out dry. What cannot stand at an end tells: roofing does not face a room, nor paper and room
paint the weather. Cedar lines rooms, lime and boards face weather and attics: they tell nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

Kinds = frozenset[str]
CURE = "list layers outside to inside; where this is meant, write order_meant = true"


@dataclass(frozen=True)
class Disorder:
    """A layer (its index) that cannot stand where it does, and why in words."""

    index: int
    cause: str


def disorder(kinds: Sequence[Kinds], names: Sequence[str], sheltered: bool) -> Disorder | None:
    """The first sign that layers are not listed outside to inside; None where none is.

    kinds: of the material or sheet of each layer (empty for air), in the order listed; sheltered:
    the outer surface faces an attic or the like, where a board may be seen.
    """
    outer, inner = list(_end(range(len(kinds)), kinds)), list(_end(_inward(kinds), kinds))
    seen_inside = frozenset().union(*(kinds[i] for i in inner))
    finish = next((i for i in outer if "room finish" in kinds[i]), None)
    retarder = next((i for i in outer if "vapour retarder" in kinds[i]), None)
    if finish is None and retarder is not None and seen_inside & {"cladding", "roofing"}:
        return _swapped(names, retarder, inner[-1])
    if finish is not None and seen_inside & {"cladding", "roofing", "insulation"}:
        return _swapped(names, finish, inner[-1])
    roofing = next((i for i in inner if "roofing" in kinds[i] and "metal" not in kinds[i]), None)
    if roofing is not None:
        return Disorder(roofing, f"{names[roofing]} is roofing and would face the room")
    if finish is not None and not sheltered:
        return Disorder(finish, f"{names[finish]} is a room's finish and would face the weather")
    return None


def _swapped(names: Sequence[str], outer: int, inner: int) -> Disorder:
    cause = "the layers look listed from inside to outside: "
    return Disorder(outer, f"{cause}{names[outer]} comes first and {names[inner]} last")


def _inward(kinds: Sequence[Kinds]) -> range:
    return range(len(kinds) - 1, -1, -1)


def _end(indices: range, kinds: Sequence[Kinds]) -> Iterator[int]:
    """Layers from one end up to the first that is no coating: a paint shows what it is on."""
    for index in indices:
        yield index
        if "coating" not in kinds[index]:
            return

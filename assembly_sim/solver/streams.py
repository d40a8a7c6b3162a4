"""Air between spaces as the kernel's arrays: who blows where, and what that brings to whom."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.solver.chain import Air
from assembly_sim.solver.kernel import numbers

Floats = NDArray[np.float64]


class Leakage(NamedTuple):
    """A path that a stream leaks through: its share of the assembly's area and m2 of the whole.

    outward, inward: nodes of the whole chain where air going that way mixes; None: nowhere.
    """

    share: float
    area: float
    outward: int | None
    inward: int | None


class Stream(NamedTuple):
    """Air from one space to another, positive from `inside` to `outside`.

    Spaces are numbered zones first, then rooms, then outdoors. coefficient 0: a given flow.
    """

    inside: int
    outside: int
    coefficient: float = 0.0  # m3/s Pa^-exponent
    exponent: float = 0.65
    height: float = 0.0  # m above the ground
    leaks: tuple[Leakage, ...] = ()


class Item(NamedTuple):
    """What a stream going one way brings a target: factor times its air at the state."""

    stream: int
    way: int
    target: int
    state: int
    factor: float


class HouseAir(NamedTuple):
    """All streams, how many rooms there are, and rows as `kernel/numbers.py` orders them."""

    streams: tuple[Stream, ...]
    rooms: int
    rows: Floats  # (stamps, columns)


def columns(zones: int, rooms: int, streams: int) -> int:
    """How many columns the rows of a house have."""
    return numbers.AIR_ROOMS + 2 * rooms + 2 * streams + numbers.GAINS * zones


def wind_column(rooms: int) -> int:
    """The first of the columns of wind, by stream; those of given flows follow, then gains."""
    return numbers.AIR_ROOMS + 2 * rooms


def air_of(house: HouseAir | None, zones: int, first: int) -> Air:
    """Arrays of the streams among `zones` zones, whose nodes begin at `first`; empty without."""
    if house is None:
        return _arrays(HouseAir((), 0, np.zeros((0, 0))), 0, [], np.zeros(0, dtype=np.int64))
    spaces = zones + house.rooms
    if house.rows.shape[1] != columns(zones, house.rooms, len(house.streams)):
        raise InputError(Problem("rows of a house of another size", "make them anew"))
    found = sorted(_items(house.streams, zones, first), key=lambda item: item.target)
    return _arrays(house, zones, found, _free(house.streams, spaces))


def _arrays(house: HouseAir, zones: int, items: Sequence[Item], free: NDArray[np.int64]) -> Air:
    streams, spaces = len(house.streams), len(free)
    return Air(
        ends=_whole([[one.inside, one.outside] for one in house.streams], 2),
        laws=np.array(
            [[one.coefficient, one.exponent, one.height] for one in house.streams], dtype=float
        ).reshape(-1, 3),
        items=_whole([list(item[:4]) for item in items], 4),
        factors=np.array([item.factor for item in items], dtype=float),
        rows=np.ascontiguousarray(house.rows, dtype=float),
        free=free,
        row=np.zeros(house.rows.shape[1]),
        flow=np.zeros(streams),
        slope=np.zeros(streams),
        drive=np.zeros(streams),
        sides=np.zeros((2, streams)),
        moved=np.zeros(streams),
        by_temperature=np.zeros((streams, zones)),
        brought=np.zeros((len(items), numbers.BROUGHT_FIELDS)),
        space=np.zeros((3, spaces + 1)),
        excess=np.zeros(spaces),
        step=np.zeros(spaces),
        miss=np.zeros((2, spaces)),
        matrix=np.zeros((spaces, spaces + max(zones, 1))),
    )


def _whole(rows: list[list[int]], width: int) -> NDArray[np.int64]:
    return np.array(rows, dtype=np.int64).reshape(-1, width)


def _items(streams: Sequence[Stream], zones: int, first: int) -> Iterator[Item]:
    """All that streams bring and take, going either way."""
    for k, one in enumerate(streams):
        ways = ((1, one.inside, one.outside, "outward"), (-1, one.outside, one.inside, "inward"))
        for way, source, target, side in ways:
            state = first + source if source < zones else -1 - source
            if source < zones:
                yield Item(k, way, first + source, state, -1.0)
            straight = 1.0
            for leak in one.leaks:
                node = getattr(leak, side)
                if node is None:
                    continue
                straight -= leak.share
                yield Item(k, way, node, state, 1.0 / leak.area)
                yield Item(k, way, node, node, -1.0 / leak.area)
                if target < zones:
                    yield Item(k, way, first + target, node, leak.share)
            if target < zones and straight > 1e-12:
                yield Item(k, way, first + target, state, straight)


def _free(streams: Sequence[Stream], spaces: int) -> NDArray[np.int64]:
    """Which spaces have a pressure of their own to solve for: those with a way to outdoors.

    InputError where air could get into some space and nowhere else.
    """
    reached, blown = {spaces}, set()
    ways = [(one.inside, one.outside) for one in streams if one.coefficient > 0.0]
    for _ in range(spaces):
        reached |= {a for a, b in ways if b in reached} | {b for a, b in ways if a in reached}
    blown = {end for way in ways for end in way}
    if blown - reached:
        cause = f"air can get into space {min(blown - reached)} of the house, and not outdoors"
        raise InputError(Problem(cause, "give it an opening on the way outdoors"))
    return np.array([int(space in reached) for space in range(spaces)], dtype=np.int64)


def kinds(air: Air) -> list[int]:
    """Kinds of what is reported of a border, in its order, its links apart."""
    gains = [numbers.GAINED, numbers.DUCTED] * air.by_temperature.shape[1]
    return [numbers.BROUGHT] * len(air.items) + [numbers.BLOWN] * len(air.ends) + gains


def weights(air: Air, node_area: Floats) -> list[float]:
    """m2 that each of `kinds` stands for in the balance of the whole: streams alone for none."""
    brought = [float(node_area[target]) for target in air.items[:, numbers.TARGET]]
    return brought + [0.0] * len(air.ends) + [1.0] * (2 * air.by_temperature.shape[1])

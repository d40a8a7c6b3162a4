"""A house as data to draw: its spaces, what flows between them, its holes."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Space:
    """A space of a house with words in it; where: `rooms`, `above`, `below` or `beside` them."""

    name: str
    where: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class Flow:
    """What goes from one space to another: a letter, an amount to scale, how it is filled."""

    source: str
    target: str
    letter: str
    amount: float
    role: str
    hatched: bool = False


@dataclass(frozen=True)
class HousePlan:
    """A section through a house, not to scale; arrows are as wide as their amounts.

    keys: what each letter stands for.
    """

    spaces: tuple[Space, ...]
    flows: tuple[Flow, ...]
    keys: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Hole:
    """A hole by the diameter (m) of its equal round one; spread: many small ones, or none seen."""

    label: str
    detail: str
    diameter: float
    spread: bool = False


@dataclass(frozen=True)
class Holes:
    """Holes to one scale; bar: a length in m with its words."""

    holes: tuple[Hole, ...]
    bar: tuple[float, str]

"""Drawings of many variants as data: points of every one, and how far a mean swings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
SHAPES = ("disc", "square", "triangle", "diamond", "cross")


@dataclass(frozen=True)
class Swarm:
    """Points of one kind, told by its shape (of `SHAPES`) as well as by its role."""

    label: str
    x: Array
    y: Array
    role: str
    shape: str


@dataclass(frozen=True)
class Cloud:
    """Swarms over two quantities, and a line through some points. bounds: as of `Spots`."""

    across: str
    up: str
    bounds: tuple[float, float, float, float]
    swarms: tuple[Swarm, ...]
    line: tuple[Array, Array]
    line_label: str


@dataclass(frozen=True)
class Swing:
    """A bar that lies from start to stop; words: beyond its end; whisker: an interval about it."""

    label: str
    start: float
    stop: float
    words: str = ""
    role: str = "moist"
    whisker: tuple[float, float] | None = None


@dataclass(frozen=True)
class Swings:
    """Lying bars over one quantity, the first on top."""

    across: str
    rows: tuple[Swing, ...]

"""Drawings as data: what is drawn, by role, without any colour, library or size.

`draw.svg` turns each into a picture. Roles are those of `palette.ROLES`. Numbers are in the units
that the labels name.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.report.page.house_plots import Holes, HousePlan
from assembly_sim.report.page.sweep_plots import Cloud, Swings

Array = NDArray[np.float64]
Tick = tuple[float, str]
Key = tuple[int, str]  # a step of a scale and its words


@dataclass(frozen=True)
class Series:
    """A line over x: its role, its stroke (of `palette.STROKES`), and a band about it."""

    label: str
    x: Array
    y: Array
    role: str
    stroke: str = "solid"
    low: Array | None = None
    high: Array | None = None


@dataclass(frozen=True)
class Limit:
    """A level line across a panel, with its words."""

    value: float
    label: str


@dataclass(frozen=True)
class Panel:
    """Lines over one axis; bottom and top None: by what is drawn."""

    title: str
    series: tuple[Series, ...]
    limits: tuple[Limit, ...] = ()
    bottom: float | None = None
    top: float | None = None


@dataclass(frozen=True)
class Curves:
    """Panels one below another over the same x; ticks: where and with what words."""

    panels: tuple[Panel, ...]
    ticks: tuple[Tick, ...]


@dataclass(frozen=True)
class Part:
    """One part of every bar, stacked away from zero."""

    label: str
    values: tuple[float, ...]
    role: str
    hatched: bool = False


@dataclass(frozen=True)
class Bars:
    """Upright bars by name, each of parts; marks: a short line over each bar, NaN for none."""

    title: str
    names: tuple[str, ...]
    parts: tuple[Part, ...]
    marks: tuple[float, ...] = ()
    marks_label: str = ""


@dataclass(frozen=True)
class Cells:
    """A table drawn: a text and a step (0 palest, 3 the last that ink stands on) in each cell.

    groups: the row before which each begins, with its words.
    """

    rows: tuple[str, ...]
    columns: tuple[str, ...]
    texts: tuple[tuple[str, ...], ...]
    steps: tuple[tuple[int, ...], ...]
    legend: tuple[Key, ...]
    groups: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True)
class Calendar:
    """Hour of the day (24 rows from midnight) against day: a step in each, -1 for no hour."""

    steps: NDArray[np.int8]
    ticks: tuple[Tick, ...]
    legend: tuple[Key, ...]


@dataclass(frozen=True)
class Area:
    """A rectangle of a map, of a step; a label only where it is wide enough to be read."""

    left: float
    right: float
    bottom: float
    top: float
    step: int


@dataclass(frozen=True)
class Dot:
    """A point with its words; filled or open."""

    x: float
    y: float
    label: str
    filled: bool = True


@dataclass(frozen=True)
class Map:
    """Areas and dots over two quantities. Bounds: left, right, bottom, top; shape: of the dots."""

    across: str
    up: str
    bounds: tuple[float, float, float, float]
    areas: tuple[Area, ...]
    dots: tuple[Dot, ...]
    legend: tuple[Key, ...]
    x_ticks: tuple[Tick, ...] = ()
    y_ticks: tuple[Tick, ...] = ()


@dataclass(frozen=True)
class Spot:
    """A numbered point; span: from and to across, where it is a range; open: drawn as a ring."""

    x: float
    y: float
    label: str
    span: tuple[float, float] | None = None
    open: bool = False


@dataclass(frozen=True)
class Band:
    """A stretch of the upright axis with its words; hatched: where nobody wants to be."""

    bottom: float
    top: float
    label: str
    hatched: bool = False


@dataclass(frozen=True)
class Ray:
    """A straight line from the origin by its slope, with its words at its end."""

    slope: float
    label: str


@dataclass(frozen=True)
class Spots:
    """Points over two quantities. bounds: left, right, bottom, top; keys: number and name.

    bands: what the upright axis is made of, where it is no number.
    """

    across: str
    up: str
    bounds: tuple[float, float, float, float]
    spots: tuple[Spot, ...]
    keys: tuple[tuple[str, str], ...]
    rays: tuple[Ray, ...] = ()
    bands: tuple[Band, ...] = ()


@dataclass(frozen=True)
class Piece:
    """A layer (a sheet where start is stop), depths in m from outside; fill: how it is drawn."""

    name: str
    detail: str
    fill: str
    start: float
    stop: float


@dataclass(frozen=True)
class Member:
    """Framing in a run of layers: its share of the area, between two depths."""

    label: str
    share: float
    start: float
    stop: float
    fill: str


@dataclass(frozen=True)
class Mark:
    """A place that is pointed at: a depth in m, a letter and its words."""

    depth: float
    letter: str
    words: str


@dataclass(frozen=True)
class Build:
    """An assembly to scale, the way it stands: tilt in degrees, 0 level, 90 upright.

    scale: length in m of the bar of the scale, with its words.
    """

    pieces: tuple[Piece, ...]
    members: tuple[Member, ...]
    marks: tuple[Mark, ...]
    tilt: float
    outside: str
    inside: str
    scale: tuple[float, str]


@dataclass(frozen=True)
class Patch:
    """A part of a surface: its words, its share of the width, its temperature as shown."""

    label: str
    share: float
    value: float
    text: str


@dataclass(frozen=True)
class Surface:
    """A surface as a thermal camera would show it: parts side by side, supposed ones apart."""

    title: str
    patches: tuple[Patch, ...]


@dataclass(frozen=True)
class Side:
    """Surfaces that share a scale of colour, from low to high."""

    surfaces: tuple[Surface, ...]
    low: float
    high: float


@dataclass(frozen=True)
class Thermal:
    """Sides of an assembly, each drawn by temperature; unit: of the values."""

    sides: tuple[Side, ...]
    unit: str


OfRuns = Curves | Bars | Cells | Calendar | Map | Spots | Build | Thermal
Plot = OfRuns | HousePlan | Holes | Cloud | Swings

"""Openings that air passes: where they are, how large, and what blows; frozen, in SI units."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from assembly_sim.model.assembly import OUTDOORS, ROOM
from assembly_sim.model.kinds import check_fields
from assembly_sim.model.ranges import refuse_outside, refused


@dataclass(frozen=True)
class Gap:
    """A slit, m wide and m long, that passes air as a sharp-edged orifice of its area.

    A slit that is much deeper than wide passes less.
    """

    width: float
    length: float

    def __post_init__(self) -> None:
        check_fields(self)
        width, length = ("gap width", self.width), ("gap length", self.length)
        refuse_outside("gap", width=width, length=length)
        if self.width > self.length:
            raise refused("gap", "it is wider than long", "give its width first, then its length")


@dataclass(frozen=True)
class RoundHole:
    """A sharp-edged hole by its diameter, m."""

    diameter: float

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside("round hole", diameter=("hole width", self.diameter))


@dataclass(frozen=True)
class SquareHole:
    """A sharp-edged hole by its side, m."""

    side: float

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside("square hole", side=("hole width", self.side))


@dataclass(frozen=True)
class FreeArea:
    """A sharp-edged hole of any shape by its free area, m2."""

    area: float

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside("hole", area=("opening area", self.area))


@dataclass(frozen=True)
class LeakageArea:
    """Effective leakage area, m2: that of a nozzle (coefficient 1) with the same flow at 4 Pa."""

    area: float
    exponent: float = 0.65

    def __post_init__(self) -> None:
        check_fields(self)
        area, exponent = ("opening area", self.area), ("leak exponent", self.exponent)
        refuse_outside("leakage area", area=area, exponent=exponent)


@dataclass(frozen=True)
class MeasuredFlow:
    """What a blower door or a hood measured: flow (m3/s) at a pressure (Pa)."""

    flow: float
    pressure: float = 50.0
    exponent: float = 0.65

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside(
            "tested flow",
            flow=("tested flow", self.flow),
            pressure=("leak pressure", self.pressure),
            exponent=("leak exponent", self.exponent),
        )


@dataclass(frozen=True)
class Unsized:
    """One of the openings that share by weight what a test of the house leaves to them."""

    weight: float = 1.0

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside("opening", weight=("weight of an opening", self.weight))


SizedShape = Gap | RoundHole | SquareHole | FreeArea | LeakageArea | MeasuredFlow
Shape = SizedShape | Unsized


@dataclass(frozen=True)
class Side:
    """The plane an opening is in: tilt (0 level, pi/2 a wall) and azimuth, rad, for the wind."""

    tilt: float = 0.5 * pi
    azimuth: float = 0.0

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside("side", tilt=("tilt", self.tilt), azimuth=("azimuth", self.azimuth))


@dataclass(frozen=True)
class Wetted:
    """The plane that an opening's air passes: the inner face of a layer of an assembly.

    `path`: the route of the assembly over whose area all of it spreads; None: all its routes, by
    their areas. The air mixes there as a leak's does, fully: an upper bound of what it wets.
    """

    assembly: str
    layer: str
    path: str | None = None

    def __post_init__(self) -> None:
        check_fields(self)


@dataclass(frozen=True)
class Opening:
    """A way for air from `inside` to `outside`, which are zones by name or outdoors.

    `height` in m above the ground. `side` is None where no wind presses: in a floor above a crawl
    space, between two zones. Air moves one way at a time: an open door or window, which lets air
    out above and in below, is described by several openings at their heights. `wets`: the plane
    that its air passes on the way, such as a deck above a chase; None: it passes none.
    """

    name: str
    shape: Shape
    height: float
    side: Side | None = None
    inside: str = ROOM
    outside: str = OUTDOORS
    wets: Wetted | None = None

    def __post_init__(self) -> None:
        check_fields(self)
        where = f"opening {self.name}"
        refuse_outside(where, height=("height of an opening", self.height))
        if self.inside in (self.outside, OUTDOORS):
            cure = "name the zone inside, and another or outdoors outside"
            raise refused(where, f"it leads from {self.inside} to {self.outside}", cure)
        if self.side is not None and self.outside != OUTDOORS:
            raise refused(f"{where}.side", "no wind presses between zones", "leave its side out")


@dataclass(frozen=True)
class Fan:
    """Air (m3/s, of where it comes from) that a fan blows into a zone, or out of it if negative.

    `other`: the zone it is taken from, or blown into.
    """

    flow: float
    zone: str = ROOM
    other: str = OUTDOORS
    name: str = "fan"

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside("fan", flow=("fan flow", self.flow))
        if self.zone in (self.other, OUTDOORS):
            cause = f"it blows from {self.other} to {self.zone}"
            raise refused("fan", cause, "name the zone it serves, and another or outdoors")

    @property
    def way(self) -> tuple[str, str]:
        """Where its air comes from, and where it goes."""
        return (self.other, self.zone) if self.flow > 0.0 else (self.zone, self.other)


def blower_door(air_changes: float, volume: float, exponent: float = 0.65) -> MeasuredFlow:
    """The flow at 50 Pa of a house by its air changes an hour there (ACH50) and volume (m3)."""
    refuse_outside(
        "blower door",
        air_changes=("tested air changes", air_changes),
        volume=("room volume", volume),
    )
    return MeasuredFlow(air_changes * volume / 3600.0, 50.0, exponent)

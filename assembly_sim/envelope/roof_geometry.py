"""A roof by its pitch and plan: slopes, gables or hips, the attic floor, the attic's volume.

Plain geometry of planes that meet in straight eaves, hips and a ridge; no overhang, no dormer, no
knee wall. Lengths in m, angles in rad, azimuths clockwise from north.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, degrees, pi, tan

COMPASS = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")


@dataclass(frozen=True)
class Roof:
    """`form` gable or hip; `length` along the ridge, `width` across; `ridge`: azimuth of one end.

    Every plane has the same pitch. A hip roof is no shorter than wide.
    """

    form: str
    pitch: float
    length: float
    width: float
    eave_height: float
    ridge: float

    @property
    def rise(self) -> float:
        """Height (m) of the ridge over the eaves."""
        return 0.5 * self.width * tan(self.pitch)


@dataclass(frozen=True)
class Part:
    """A plane of the roof or its floor: area m2, tilt and azimuth rad, height of its middle m."""

    area: float
    tilt: float
    azimuth: float
    height: float


def parts(roof: Roof) -> dict[str, Part]:
    """Slopes, gables or hips by the side they face, `south slope`, and the `attic floor`."""
    floor = {"attic floor": Part(roof.length * roof.width, 0.0, 0.0, roof.eave_height)}
    return {**_slopes(roof), **_ends(roof), **floor}


def attic_volume(roof: Roof) -> float:
    """m3 between floor and slopes: a prism, and at hips the halves of a pyramid."""
    hips = roof.width if roof.form == "hip" else 0.0
    section = 0.5 * roof.width * roof.rise
    return section * (roof.length - hips) + roof.width * hips * roof.rise / 3.0


def _slopes(roof: Roof) -> dict[str, Part]:
    """The two planes along the ridge: rectangles, or trapezoids between hips."""
    ridge = roof.length - (roof.width if roof.form == "hip" else 0.0)
    plan = 0.25 * roof.width * (roof.length + ridge)
    middle = roof.rise * (roof.length + 2.0 * ridge) / (3.0 * (roof.length + ridge))
    return _pair(roof, 0.5 * pi, "slope", plan / cos(roof.pitch), roof.pitch, middle)


def _ends(roof: Roof) -> dict[str, Part]:
    """The triangles at both ends of the ridge: upright gables, or hips of the same pitch."""
    triangle, middle = 0.5 * roof.width, roof.rise / 3.0
    if roof.form == "hip":
        area = 0.5 * roof.width * triangle / cos(roof.pitch)
        return _pair(roof, 0.0, "hip", area, roof.pitch, middle)
    return _pair(roof, 0.0, "gable", triangle * roof.rise, 0.5 * pi, middle)


def _pair(
    roof: Roof, turn: float, word: str, area: float, tilt: float, middle: float
) -> dict[str, Part]:
    """Two planes that face opposite ways."""
    facing = [(roof.ridge + turn + half) % (2.0 * pi) for half in (0.0, pi)]
    height = roof.eave_height + middle
    return {f"{_side(one)} {word}": Part(area, tilt, one, height) for one in facing}


def _side(azimuth: float) -> str:
    """The point of the compass nearest to an azimuth."""
    return COMPASS[round(degrees(azimuth) / 45.0) % 8]

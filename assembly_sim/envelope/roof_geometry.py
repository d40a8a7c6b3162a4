"""Roofs from a pitch and a plan: areas, heights and volumes of slopes, gables and the attic below.

Lengths m, angles rad, azimuths clockwise from north. The plan is a rectangle of the walls' outer
faces (or inner, for the air inside), the eaves are level and all slopes have one pitch. A gable
roof has two slopes and two gables; a hip roof falls to all four sides and has none. Left out:
dormers, valleys, overhangs but for their area, and the thickness of what is built.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, hypot, pi, sin, sqrt, tan
from typing import Literal

from assembly_sim.model.ranges import refused

STEEPEST = 80.0 * pi / 180.0
TURN = 2.0 * pi
LEAST, MOST = 0.5, 1000.0  # m, sides of a plan


@dataclass(frozen=True)
class RoofPlan:
    """A rectangular plan below a pitched roof.

    length is along the ridge, width across it; a hip roof's ridge lies along its longer side.
    ridge_azimuth: where one end of the ridge points. eave_height is where slope meets wall, above
    ground; overhang is measured level, beyond the walls. knee_wall: height of walls below both
    slopes, above the floor at the eaves, which part a space along each eave from what lies between.
    """

    length: float
    width: float
    eave_height: float
    pitch: float
    ridge_azimuth: float = 0.0
    kind: Literal["gable", "hip"] = "gable"
    overhang: float = 0.0
    knee_wall: float | None = None

    def __post_init__(self) -> None:
        for name in ("length", "width"):
            if not LEAST <= getattr(self, name) <= MOST:
                raise refused(f"roof.{name}", "this is no side of a house", "give 0.5 to 1000 m")
        if not 0.0 < self.pitch <= STEEPEST:
            cure = 'give a pitch above 0 and up to 80 degrees, such as "6:12" or "35 deg"'
            raise refused("roof.pitch", "this is no pitch", cure)
        if self.kind not in ("gable", "hip"):
            raise refused("roof.kind", f"'{self.kind}' is no kind", 'give "gable" or "hip"')
        if self.kind == "hip" and self.width > self.length:
            cure = "exchange length and width, and turn the ridge by a right angle"
            raise refused("roof.width", "a hip roof's ridge lies along its longer side", cure)
        if not 0.0 <= self.eave_height <= 500.0:
            raise refused("roof.eave_height", "no eaves are there", "give 0 to 500 m")
        if not 0.0 <= self.overhang <= 5.0:
            raise refused("roof.overhang", "this is no overhang", "give 0 to 5 m")
        if self.knee_wall is not None:
            knee_space(self, self.knee_wall)  # which refuses what cannot stand there


@dataclass(frozen=True)
class Plane:
    """A slope, a gable or a wall: area m2, tilt from level (rad), azimuth, height (m).

    The height is that of the centre of its area above ground: where wind and stack are reckoned.
    """

    name: str
    area: float
    tilt: float
    azimuth: float
    height: float


@dataclass(frozen=True)
class Roof:
    """What follows from a plan. Areas m2, volume m3, heights m above ground.

    slopes: inside the walls' lines, as an attic has them; with_overhang: all that is to be covered.
    """

    slopes: tuple[Plane, ...]
    gables: tuple[Plane, ...]
    attic_floor: float
    attic_volume: float
    ridge_height: float
    ridge_length: float
    mean_height: float
    with_overhang: float


def rise(plan: RoofPlan) -> float:
    """Height of the ridge above the eaves, m: half the width times the tangent of the pitch."""
    return 0.5 * plan.width * tan(plan.pitch)


def rafter_length(plan: RoofPlan) -> float:
    """Length of a rafter from wall to ridge along the slope, m."""
    return 0.5 * plan.width / cos(plan.pitch)


def roof(plan: RoofPlan) -> Roof:
    """Slopes, gables, attic floor and volume of a plan, by plane geometry."""
    is_hip = plan.kind == "hip"
    ridge = plan.length - plan.width if is_hip else plan.length
    ends = _hips(plan) if is_hip else ()
    outer_width = plan.width + 2.0 * plan.overhang
    outer_length = plan.length + 2.0 * plan.overhang
    return Roof(
        slopes=(*_long_slopes(plan, ridge), *ends),
        gables=() if is_hip else _gables(plan),
        attic_floor=plan.length * plan.width,
        attic_volume=rise(plan) * plan.width * (2.0 * plan.length + ridge) / 6.0,
        ridge_height=plan.eave_height + rise(plan),
        ridge_length=ridge,
        mean_height=plan.eave_height + 0.5 * rise(plan),
        with_overhang=outer_width * outer_length / cos(plan.pitch),
    )


def _long_slopes(plan: RoofPlan, ridge: float) -> tuple[Plane, ...]:
    """The two slopes along the ridge: rectangles below a gable, trapezoids of a hip roof."""
    area = 0.5 * (plan.length + ridge) * rafter_length(plan)
    middle = (plan.length + 2.0 * ridge) / (3.0 * (plan.length + ridge))  # of a trapezoid, upwards
    height = plan.eave_height + middle * rise(plan)
    return tuple(
        Plane(f"slope {name}", area, plan.pitch, _turned(plan, turn), height)
        for name, turn in (("right", 0.25 * TURN), ("left", 0.75 * TURN))
    )


def _hips(plan: RoofPlan) -> tuple[Plane, ...]:
    """The triangles at the ends of a hip roof."""
    area = 0.5 * plan.width * rafter_length(plan)
    height = plan.eave_height + rise(plan) / 3.0
    return tuple(
        Plane(f"hip {name}", area, plan.pitch, _turned(plan, turn), height)
        for name, turn in (("ahead", 0.0), ("behind", 0.5 * TURN))
    )


def _gables(plan: RoofPlan) -> tuple[Plane, ...]:
    """The upright triangles at the ends of a gable roof."""
    area = 0.5 * plan.width * rise(plan)
    height = plan.eave_height + rise(plan) / 3.0
    return tuple(
        Plane(f"gable {name}", area, 0.5 * pi, _turned(plan, turn), height)
        for name, turn in (("ahead", 0.0), ("behind", 0.5 * TURN))
    )


def walls(plan: RoofPlan) -> tuple[Plane, ...]:
    """The four walls up to the eaves, gables apart."""
    sides = (("ahead", 0.0, plan.width), ("right", 0.25 * TURN, plan.length))
    both = (*sides, ("behind", 0.5 * TURN, plan.width), ("left", 0.75 * TURN, plan.length))
    return tuple(
        Plane(
            f"wall {name}",
            length * plan.eave_height,
            *(0.5 * pi, _turned(plan, turn), 0.5 * plan.eave_height),
        )
        for name, turn, length in both
    )


def _turned(plan: RoofPlan, turn: float) -> float:
    return (plan.ridge_azimuth + turn) % TURN


def outward(plane: Plane) -> tuple[float, float, float]:
    """Unit vector (east, north, up) that a plane faces."""
    level = sin(plane.tilt)
    return level * sin(plane.azimuth), level * cos(plane.azimuth), cos(plane.tilt)


@dataclass(frozen=True)
class KneeSpace:
    """The space behind a knee wall along one slope of a gable roof: m2, volume m3, depth m."""

    wall: float
    floor: float
    slope: float
    ends: float
    volume: float
    depth: float


def knee_space(plan: RoofPlan, height: float) -> KneeSpace:
    """What lies behind a knee wall of that height (m) along the eaves on one side of a gable roof.

    InputError where the wall would reach the ridge, or the roof has hips.
    """
    if plan.kind != "gable":
        raise refused("roof.kind", "knee walls are reckoned below gable roofs", 'give "gable"')
    depth = height / tan(plan.pitch)
    if not 0.0 < depth < 0.5 * plan.width:
        cure = f"give more than 0 and less than {rise(plan):.3g} m, the height of the ridge"
        raise refused("knee wall", "the wall does not stand below the slope", cure)
    return KneeSpace(
        wall=height * plan.length,
        floor=depth * plan.length,
        slope=hypot(depth, height) * plan.length,
        ends=height * depth,  # two triangles
        volume=0.5 * height * depth * plan.length,
        depth=depth,
    )


def knee_parts(plan: RoofPlan) -> tuple[Plane, ...]:
    """What is around the spaces behind both knee walls, and the floor below each; () without.

    `knee slope right`: the lower part of that slope; `knee wall`, which faces into the space,
    `knee floor`, and `knee end right ahead`: the corner of that gable.
    """
    if plan.knee_wall is None:
        return ()
    height, space = plan.knee_wall, knee_space(plan, plan.knee_wall)
    eave, found = plan.eave_height, []
    for side, turn in (("right", 0.25 * TURN), ("left", 0.75 * TURN)):
        faces = _turned(plan, turn)
        middle = eave + 0.5 * height
        found += [
            Plane(f"knee slope {side}", space.slope, plan.pitch, faces, middle),
            Plane(f"knee wall {side}", space.wall, 0.5 * pi, faces, middle),
            Plane(f"knee floor {side}", space.floor, 0.0, faces, eave),
        ]
        found += [
            Plane(f"knee end {side} {end}", 0.5 * space.ends, *upright)
            for end, at in (("ahead", 0.0), ("behind", 0.5 * TURN))
            for upright in [(0.5 * pi, _turned(plan, at), eave + height / 3.0)]
        ]
    return tuple(found)


def above_knee_walls(plane: Plane, plan: RoofPlan) -> Plane:
    """What the spaces behind knee walls leave of a slope, or of a gable; all of it without."""
    if plan.knee_wall is None:
        return plane
    height, space = plan.knee_wall, knee_space(plan, plan.knee_wall)
    gone, at = (space.slope, 0.5) if plane.tilt < 0.5 * pi else (space.ends, 1.0 / 3.0)
    area = plane.area - gone
    middle = (plane.area * plane.height - gone * (plan.eave_height + at * height)) / area
    return replace(plane, area=area, height=middle)


def hip_rafter_length(plan: RoofPlan) -> float:
    """Length of the rafter along a hip, from the corner to the ridge, m."""
    return hypot(0.5 * plan.width * sqrt(2.0), rise(plan))

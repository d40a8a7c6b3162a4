"""Roofs by hand: right triangles, prisms and pyramids, and what any closed body obeys."""

from __future__ import annotations

from math import cos, pi, radians, tan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assembly_sim.envelope.roof_geometry import (
    RoofPlan,
    hip_rafter_length,
    knee_space,
    outward,
    rafter_length,
    rise,
    roof,
    walls,
)
from assembly_sim.errors import InputError
from assembly_sim.files.case.roof import knee_volumes, parts
from assembly_sim.units import read

FOOT = 0.3048


def plans(kind):
    def made(length, share, pitch, azimuth):
        return RoofPlan(length, share * length, 3.0, pitch, azimuth, kind)

    return st.builds(
        made, st.floats(4, 40), st.floats(0.2, 1.0), st.floats(0.05, 1.3), st.floats(0, 6.28)
    )


def test_a_gable_roof_of_three_four_five():
    # 24 ft wide, pitch 9:12: the rafter is 15 ft, the rise 9 ft (a right triangle of 3, 4, 5)
    plan = RoofPlan(40 * FOOT, 24 * FOOT, 8 * FOOT, read("9:12", "angle"), pi / 2)
    found = roof(plan)
    assert rafter_length(plan) / FOOT == pytest.approx(15.0)
    assert rise(plan) / FOOT == pytest.approx(9.0)
    assert [s.area / FOOT**2 for s in found.slopes] == pytest.approx([600.0, 600.0])
    assert [g.area / FOOT**2 for g in found.gables] == pytest.approx([108.0, 108.0])
    assert found.attic_floor / FOOT**2 == pytest.approx(960.0)
    assert found.attic_volume / FOOT**3 == pytest.approx(0.5 * 24 * 9 * 40)
    assert found.ridge_height / FOOT == pytest.approx(17.0)
    assert found.mean_height / FOOT == pytest.approx(12.5)
    # ridge east and west: slopes face south and north, gables east and west
    assert [s.azimuth for s in found.slopes] == pytest.approx([pi, 0.0])
    assert [g.azimuth for g in found.gables] == pytest.approx([pi / 2, 3 * pi / 2])
    assert {s.tilt for s in found.slopes} == {plan.pitch}


def test_a_hip_roof_is_a_prism_between_two_half_pyramids():
    plan = RoofPlan(14.0, 8.0, 3.0, radians(45.0), kind="hip")
    found = roof(plan)
    assert (found.ridge_length, rise(plan)) == (pytest.approx(6.0), pytest.approx(4.0))
    # prism of 6 m below the ridge and a pyramid of 8 by 8 m, 4 m high
    assert found.attic_volume == pytest.approx(0.5 * 8 * 4 * 6 + 8 * 8 * 4 / 3)
    assert not found.gables
    assert [s.area for s in found.slopes] == pytest.approx([10 * 32**0.5] * 2 + [4 * 32**0.5] * 2)
    # a hip's rafter runs 4 m along, 4 m across and 4 m up
    assert hip_rafter_length(plan) == pytest.approx(48**0.5)


def test_a_square_hip_roof_is_a_pyramid():
    found = roof(RoofPlan(8.0, 8.0, 3.0, radians(30.0), kind="hip"))
    assert found.ridge_length == 0.0
    assert len({round(s.area, 9) for s in found.slopes}) == 1
    assert found.attic_volume == pytest.approx(64.0 * 4.0 * tan(radians(30.0)) / 3.0)


@pytest.mark.parametrize("kind", ["gable", "hip"])
@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.data())
def test_any_roof_is_closed(kind, data):
    """The areas of a closed body, as vectors, add up to nothing; slopes cover the plan (Gauss)."""
    plan = data.draw(plans(kind))
    found = roof(plan)
    faces = (*found.slopes, *found.gables)
    floor = found.attic_floor
    for axis, below in ((0, 0.0), (1, 0.0), (2, floor)):
        total = sum(face.area * outward(face)[axis] for face in faces)
        assert total == pytest.approx(below, abs=1e-9 * floor)
    assert sum(s.area for s in found.slopes) == pytest.approx(floor / cos(plan.pitch))
    # volume by the divergence theorem from the middle of the floor: distances of faces from there
    beyond = {"slope": 0.0, "hip": 0.5 * plan.length, "gable": 0.5 * plan.length}
    volume = 0.0
    for face in faces:
        name = face.name.split()[0]
        out = 0.5 * plan.width if name == "slope" else beyond[name]
        upright = name == "gable"
        distance = out if upright else out * tan(plan.pitch) * cos(plan.pitch)
        volume += face.area * distance / 3.0
    assert found.attic_volume == pytest.approx(volume)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(plans("gable"))
def test_middles_weigh_as_the_body_does(plan):
    """Green: the integral of height over a face's horizontal shadow is its area's middle times it;
    below two slopes that is the attic's volume."""
    found = roof(plan)
    above = sum(s.area * cos(s.tilt) * (s.height - plan.eave_height) for s in found.slopes)
    assert above == pytest.approx(found.attic_volume)
    hip = RoofPlan(plan.length, min(plan.width, plan.length), 3.0, plan.pitch, kind="hip")
    above = sum(s.area * cos(s.tilt) * (s.height - 3.0) for s in roof(hip).slopes)
    assert above == pytest.approx(roof(hip).attic_volume)


def test_overhang_and_walls():
    plan = RoofPlan(12.0, 8.0, 5.0, radians(40.0), overhang=0.5)
    assert roof(plan).with_overhang == pytest.approx(13.0 * 9.0 / cos(radians(40.0)))
    assert sum(w.area for w in walls(plan)) == pytest.approx(2 * (12.0 + 8.0) * 5.0)
    for axis in (0, 1):
        assert sum(w.area * outward(w)[axis] for w in walls(plan)) == pytest.approx(0, abs=1e-9)


def test_behind_a_knee_wall():
    # 4 ft high under 12:12: a triangle of 4 by 4 ft along 30 ft
    plan = RoofPlan(30 * FOOT, 24 * FOOT, 9 * FOOT, read("12:12", "angle"))
    found = knee_space(plan, 4 * FOOT)
    assert found.depth / FOOT == pytest.approx(4.0)
    assert found.volume / FOOT**3 == pytest.approx(240.0)
    assert (found.wall, found.floor) == (pytest.approx(120 * FOOT**2),) * 2
    assert found.slope == pytest.approx(120 * 2**0.5 * FOOT**2)
    assert found.ends / FOOT**2 == pytest.approx(16.0)
    with pytest.raises(InputError, match="less than 3.66 m"):
        knee_space(plan, 12.5 * FOOT)


def test_knee_walls_part_a_roof_and_lose_none_of_it():
    """What is behind and what is left: areas, first moments and volumes of the whole (geometry)."""
    plan = RoofPlan(10.0, 8.0, 3.0, radians(45.0), ridge_azimuth=radians(90.0))
    knee = RoofPlan(10.0, 8.0, 3.0, radians(45.0), ridge_azimuth=radians(90.0), knee_wall=1.5)
    whole, behind = parts(plan), parts(knee)
    assert behind["south knee slope"].area == pytest.approx(1.5 * 2**0.5 * 10.0)
    assert behind["south knee wall"].area == pytest.approx(15.0)
    assert behind["attic floor"].area + 2 * 15.0 == pytest.approx(80.0)
    for name, lower in (
        ("south slope", ("south knee slope",)),
        ("north slope", ("north knee slope",)),
        ("east gable", ("south knee east end", "north knee east end")),
    ):
        pieces = [behind[name], *(behind[one] for one in lower)]
        assert sum(one.area for one in pieces) == pytest.approx(whole[name].area)
        moment = sum(one.area * one.height for one in pieces)
        assert moment == pytest.approx(whole[name].area * whole[name].height)
        assert {one.azimuth for one in pieces} == {whole[name].azimuth}
    assert knee_volumes(knee) == pytest.approx(
        {"south knee space": 11.25, "north knee space": 11.25}
    )
    with pytest.raises(InputError, match="below the slope"):
        RoofPlan(10.0, 8.0, 3.0, radians(45.0), knee_wall=4.0)


def test_pitches_as_people_write_them():
    assert read("6:12", "angle") == pytest.approx(read("26.565 deg", "angle"), abs=1e-5)
    assert read("6/12", "angle") == read("6:12", "angle")


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"pitch": 0.0}, "roof.pitch"),
        ({"pitch": pi / 2}, "roof.pitch"),
        ({"length": 0.0}, "roof.length"),
        ({"width": float("nan")}, "roof.width"),
        ({"kind": "mansard"}, "roof.kind"),
        ({"kind": "hip", "width": 20.0}, "roof.width"),
        ({"eave_height": -1.0}, "roof.eave_height"),
        ({"overhang": 9.0}, "roof.overhang"),
    ],
)
def test_what_is_no_roof_is_refused(wrong, field):
    with pytest.raises(InputError) as refused:
        RoofPlan(**{"length": 12.0, "width": 8.0, "eave_height": 3.0, "pitch": 0.7} | wrong)
    (problem,) = refused.value.problems
    assert problem.field == field
    assert problem.cure

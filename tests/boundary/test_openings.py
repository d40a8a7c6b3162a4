"""Shapes of openings against geometry, leakage areas and a test's figure shared out."""

from math import pi

import pytest

from assembly_sim.boundary.openings import free_area, law, sized
from assembly_sim.errors import InputError
from assembly_sim.model.opening import (
    Fan,
    FreeArea,
    Gap,
    LeakageArea,
    MeasuredFlow,
    Opening,
    RoundHole,
    Side,
    SquareHole,
    Unsized,
    blower_door,
)
from assembly_sim.physics.airflow import leakage_area, round_hole, square_hole

INCH = 0.0254


@pytest.mark.parametrize(
    ("width", "length", "area", "across", "side", "at_4", "at_10"),
    [
        (1 / 4, 30, 7.5, 3.09, 2.74, 7.5, 11.9),
        (1 / 4, 36, 9.0, 3.385, 3.00, 9.0, 14.2),
        (1 / 4, 48, 12.0, 3.909, 3.46, 12.0, 19.0),
        (1 / 2, 36, 18.0, 4.787, 4.24, 18.0, 28.4),
        (1 / 8, 36, 4.5, 2.394, 2.12, 4.5, 7.1),
        (1 / 4, 152, 38.0, 6.96, 6.16, 38.0, 60.0),
    ],
)
def test_gaps(
    width: float,
    length: float,
    area: float,
    across: float,
    side: float,
    at_4: float,
    at_10: float,
) -> None:
    """in2, in and L/s: computed by geometry and the orifice formula (coefficient 0.6, 1.2 kg/m3).

    The last is a gap around an attic hatch of 22 x 54 in.
    """
    gap = Gap(width * INCH, length * INCH)
    assert free_area(gap) / INCH**2 == pytest.approx(area)
    assert round_hole(free_area(gap)) / INCH == pytest.approx(across, abs=0.006)
    assert square_hole(free_area(gap)) / INCH == pytest.approx(side, abs=0.006)
    assert 1e3 * law(gap).flow(4.0) == pytest.approx(at_4, abs=0.06)
    assert 1e3 * law(gap).flow(10.0) == pytest.approx(at_10, abs=0.1)


def test_flow_that_a_gap_round_an_attic_hatch_passes() -> None:
    """100 cfm through a 1/4 in gap round a hatch, as a public fact sheet on attic access says (US
    DOE, secondary): the formula needs 6.2 Pa for it, which a house has on a cold, windy day."""
    assert law(Gap(0.25 * INCH, 152 * INCH)).flow(6.2) == pytest.approx(100 * 4.719e-4, rel=0.01)


def test_equal_holes_pass_the_same() -> None:
    """Gap, round and square hole and free area of one size, at any pressure."""
    gap = Gap(0.25 * INCH, 36 * INCH)
    area = free_area(gap)
    others = (RoundHole(round_hole(area)), SquareHole(square_hole(area)), FreeArea(area))
    for shape in others:
        assert free_area(shape) == pytest.approx(area)
        assert law(shape).flow(17.0) == pytest.approx(law(gap).flow(17.0))


def test_leakage_area_by_definition() -> None:
    """500 cm2 <-> c 0.051 at n 0.67, 1.2 kg/m3 (ASHRAE Fundamentals 2021, ch. 16); 4 Pa, C = 1."""
    found = law(LeakageArea(500e-4, 0.67))
    assert found.coefficient == pytest.approx(0.051, rel=2e-3)
    assert leakage_area(found.flow(4.0)) == pytest.approx(500e-4)
    assert free_area(LeakageArea(6e-4)) == pytest.approx(10e-4)  # 6 / 0.6


def test_measured_flow_goes_through_its_point() -> None:
    shape = MeasuredFlow(0.5, 50.0, 0.65)
    assert law(shape).flow(50.0) == pytest.approx(0.5)
    assert law(shape).flow(4.0) == pytest.approx(0.5 * (4 / 50) ** 0.65)


def test_air_changes_at_50_pa() -> None:
    """7 an hour of 400 m3 are 2800 m3/h, 1648 cfm (arithmetic)."""
    assert blower_door(7.0, 400.0).flow == pytest.approx(2800 / 3600)
    assert blower_door(7.0, 400.0).flow / 4.719474e-4 == pytest.approx(1648, abs=1)


def test_a_test_is_shared_by_weight_after_what_is_known() -> None:
    known = Opening("door", Gap(0.006, 0.9), 1.0)
    between = Opening("stair door", Gap(0.01, 2.0), 1.0, None, "room", "attic")
    openings = (known, between, Opening("a", Unsized(), 0.0), Opening("b", Unsized(3.0), 5.0))
    test = MeasuredFlow(0.8, 50.0, 0.6)
    found = sized(openings, test)
    flows = [law(one.shape).flow(50.0) for one in found]  # type: ignore[arg-type]
    assert flows[0] + flows[2] + flows[3] == pytest.approx(0.8)
    assert flows[3] == pytest.approx(3.0 * flows[2])
    assert found[:2] == openings[:2]


@pytest.mark.parametrize(
    ("openings", "test", "words"),
    [
        ([Opening("a", Unsized(), 0.0)], None, "no size"),
        ([Opening("a", FreeArea(0.01), 0.0)], MeasuredFlow(0.5), "leave one of them unsized"),
        (
            [Opening("a", FreeArea(0.5), 0.0), Opening("b", Unsized(), 0.0)],
            MeasuredFlow(0.5),
            "nothing is left",
        ),
    ],
)
def test_a_test_that_does_not_fit(
    openings: list[Opening], test: MeasuredFlow | None, words: str
) -> None:
    with pytest.raises(InputError, match=words):
        sized(openings, test)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Gap(0.0, 1.0),
        lambda: Gap(-0.01, 1.0),
        lambda: Gap(0.5, 0.1),
        lambda: RoundHole(float("nan")),
        lambda: SquareHole(50.0),
        lambda: FreeArea(0.0),
        lambda: LeakageArea(0.01, 0.4),
        lambda: MeasuredFlow(-1.0),
        lambda: MeasuredFlow(1.0, 0.0),
        lambda: Unsized(0.0),
        lambda: Side(4.0, 0.0),
        lambda: Fan(1e4),
        lambda: blower_door(7.0, 0.0),
        lambda: Opening("a", 0.01, 1.0),  # type: ignore[arg-type]
        lambda: Opening("a", FreeArea(0.01), 1e4),
        lambda: Opening("a", FreeArea(0.01), 1.0, None, "room", "room"),
        lambda: Opening("a", FreeArea(0.01), 1.0, None, "outdoors", "room"),
        lambda: Opening("a", FreeArea(0.01), 1.0, Side(pi / 2, 0.0), "room", "attic"),
    ],
)
def test_what_no_opening_can_be(make) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError):
        make()

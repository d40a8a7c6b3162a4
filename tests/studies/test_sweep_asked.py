"""Questions to a sweep: indices against published ones, the front by brute force, limits."""

import math
from dataclasses import replace

import numpy as np
import pytest

from assembly_sim.errors import InputError
from assembly_sim.files.sweep.columns import Column, columns_of
from assembly_sim.studies.sweep.chance import wilson
from assembly_sim.studies.sweep.points import crossed, sobol, trajectory
from assembly_sim.studies.sweep.questions import asked_of, front, keeping, limit
from assembly_sim.studies.sweep.sensitivity import main_effect, morris, sobol_indices
from assembly_sim.studies.sweep.smallest import bisect
from assembly_sim.studies.sweep.table import of_rows
from tests.studies.sweeps import FACES, THICKNESS

NAMES = ("a", "b", "c")


def ishigami(points):
    """sin x + 7 sin^2 y + 0.1 z^4 sin x on the cube from -pi to pi."""
    x, y, z = np.pi * (2.0 * points.T - 1.0)
    return np.sin(x) + 7.0 * np.sin(y) ** 2 + 0.1 * z**4 * np.sin(x)


def test_sobol_indices_are_the_published_ones():
    """Ishigami and Homma 1990 with a 7, b 0.1, closed form as in Saltelli et al., Global
    Sensitivity Analysis: The Primer (2008): first order 0.3139, 0.4424, 0; total 0.5576, 0.4424,
    0.2437. Within 0.02 at 1024 base points."""
    found = sobol_indices(ishigami(crossed(sobol(6, 1024, 1))), NAMES)
    assert [one.factor for one in found] == list(NAMES)
    assert [one.first for one in found] == pytest.approx([0.3139, 0.4424, 0.0], abs=0.02)
    assert [one.total for one in found] == pytest.approx([0.5576, 0.4424, 0.2437], abs=0.02)
    for one in found:
        assert one.total_ends[0] <= one.total <= one.total_ends[1]


def test_main_effects_share_the_variance_like_first_order_indices():
    """The same published values, from plain points: means over 10 groups lose up to 15 %."""
    points = sobol(3, 8192, 2)
    shares = [main_effect(n, points[:, i], ishigami(points)).share for i, n in enumerate(NAMES)]
    assert shares == pytest.approx([0.3139, 0.4424, 0.0], abs=0.06)


def test_a_factor_that_does_nothing_has_no_part_where_variants_are_few():
    """Law: of y = x1 the second factor explains nothing; with a bin to each it had all of it."""
    points = sobol(2, 16, 1)
    one, other = (main_effect("a", points[:, i], points[:, 0]) for i in (0, 1))
    assert one.share > 0.85
    assert other.share < 0.1
    assert len(other.means) == 4


@pytest.mark.parametrize("given", [np.arange(7.0), np.array(list("abcdefg"), object)])
def test_few_variants_are_refused_but_where_one_factor_varies(given):
    with pytest.raises(InputError, match="7 variants are too few"):
        main_effect("a", given, np.arange(7.0))
    assert main_effect("a", given, np.arange(7.0), alone=True).means == tuple(range(7))


def test_elementary_effects_of_a_plane_are_its_slopes():
    """Of a linear function every effect is its coefficient (Morris 1991), so the spread is 0."""
    points = np.concatenate([trajectory(3, 1, i) for i in range(6)])
    found = morris(points, points @ np.array([2.0, -3.0, 0.0]) + 1.0, NAMES)
    assert [one.mean for one in found] == pytest.approx([2.0, -3.0, 0.0])
    assert [one.absolute for one in found] == pytest.approx([2.0, 3.0, 0.0])
    assert [one.spread for one in found] == pytest.approx([0.0] * 3, abs=1e-9)


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_one_missing_number_is_refused_rather_than_indices_of_zero(bad):
    points = crossed(sobol(6, 8, 1))
    values = ishigami(points)
    values[3] = bad
    for ask in (
        lambda: sobol_indices(values, NAMES),
        lambda: morris(points[:4], values[:4], NAMES),
        lambda: main_effect("a", points[:, 0], values),
    ):
        with pytest.raises(InputError, match="1 of .* have no number"):
            ask()


def test_no_indices_of_what_does_not_vary():
    with pytest.raises(InputError, match="no variance"):
        sobol_indices(np.ones(40), NAMES)


def test_the_front_is_what_no_other_beats():
    rng = np.random.default_rng(1)
    for _ in range(20):
        one, other = rng.integers(0, 12, (2, 60)).astype(float)
        one[3] = math.nan
        found = set(zip(one[front(one, other)], other[front(one, other)]))
        pairs = [(a, b) for a, b in zip(one, other) if a == a]
        beaten = {p for p in pairs if any(q != p and q[0] <= p[0] and q[1] <= p[1] for q in pairs)}
        assert found == set(pairs) - beaten


def rows(*told):
    """A sweep of rows (level's rank, heat loss, moisture); None: no verdict, or no number."""
    levels = ("dry with margin", "dry, thin margin", "gets wet, within limits", "past a limit")
    found = [
        {
            "variant": number,
            "thickness": 0.01 + 0.001 * number,
            "faces": "north",
            "status": "ok" if rank is not None else "failed",
            "level": "" if rank is None else levels[rank],
            **({} if rank is None else {"rank": float(rank)}),
            **({} if loss is None else {"annual_heat_loss_total_kwh_m2": loss}),
            **({} if wet is None else {"nearest_limit_last_year": wet}),
        }
        for number, (rank, loss, wet) in enumerate(told)
    ]
    columns: list[Column] = list(columns_of((THICKNESS, FACES)))
    return of_rows(found, columns, {"thickness": "length", "faces": "name"})


SWEEP = rows((0, 30.0, 0.5), (1, 20.0, 0.9), (3, 5.0, 1.4), (None, None, None), (0, None, 0.2))


def test_the_best_keep_the_level_and_have_the_number():
    """A wet variant, one that failed and one without a number are cheap, and none of the best."""
    found = asked_of(SWEEP, at_least="dry, thin margin")
    assert found.best.tolist() == [1, 0]
    assert (found.within, found.unjudged) == (3, 1)
    assert found.front.tolist() == [1, 0]
    assert asked_of(SWEEP, at_least="dry with margin").best.tolist() == [0]


def test_what_passes_a_limit_is_no_best_unless_it_is_asked_for():
    """The wet one loses least heat by far."""
    assert asked_of(SWEEP).best.tolist() == [1, 0]
    assert asked_of(SWEEP).front.tolist() == [1, 0]
    assert asked_of(SWEEP, at_least="past a limit").best.tolist() == [2, 1, 0]


def test_a_point_that_comes_again_is_one_of_the_best_once():
    """As trajectories of Morris do; a point that differs in one factor alone is another."""
    found = rows((0, 30.0, 0.5), (0, 20.0, 0.9), (0, 20.0, 0.9), (0, 20.0, 0.9))
    values = {"thickness": np.array([0.01, 0.02, 0.02, 0.03])}
    again = replace(found, values=dict(found.values) | values)
    assert asked_of(again).best.tolist() == [1, 3, 0]
    assert asked_of(again, most=2).best.tolist() == [1, 3]


def test_limits_on_columns():
    assert (
        limit(SWEEP, "annual_heat_loss_total_kwh_m2 <= 20").tolist()
        == [False, True, True] + [False] * 2
    )
    assert limit(SWEEP, "faces = south").sum() == 0
    assert keeping(SWEEP, None, ("thickness < 0.0115",)).tolist() == [True, True] + [False] * 3


@pytest.mark.parametrize(
    ("text", "cause"),
    [
        ("thicknes < 1", "did you mean 'thickness'"),
        ("thickness < wide", "no number"),
        ("faces < north", "holds texts"),
        ("thickness", "is no limit"),
    ],
)
def test_a_limit_that_is_none_is_refused(text, cause):
    with pytest.raises(InputError, match=cause):
        limit(SWEEP, text)


def test_a_level_that_is_none_is_refused():
    with pytest.raises(InputError, match="did you mean 'dry, thin margin'"):
        keeping(SWEEP, "dry thin margin")


@pytest.mark.parametrize("edge", [0.0, 0.013, 0.4, 0.77, 0.999])
def test_bisection_finds_where_it_turns_dry(edge):
    found, below, monotone, ran = bisect(lambda x: 1.0 if x >= edge else 3.0, 0.0, 1.0, 1, 0.01)
    assert monotone
    assert edge <= found <= edge + 0.01 or found == 0.0 == edge
    assert below is None if edge == 0.0 else edge - 0.01 <= below < edge
    assert len(ran) <= 11


def test_bisection_tells_where_nothing_is_dry_or_more_is_not_always_drier():
    assert bisect(lambda x: 3.0, 0.0, 1.0, 1, 0.1)[:3] == (None, 1.0, True)
    found = bisect(lambda x: 3.0 if x < 0.2 or 0.6 < x < 0.9 else 0.0, 0.0, 1.0, 1, 0.05)
    assert found[0] is None
    assert not found[2]
    assert bisect(lambda x: math.nan, 0.0, 1.0, 4, 0.1)[0] is None  # no verdict is not dry


def test_the_interval_of_a_share_is_wilsons():
    """Newcombe, Statistics in Medicine 17 (1998) 857, table I, from memory: 81 of 263 gives
    0.2553 to 0.3662, 15 of 148 gives 0.0624 to 0.1605."""
    assert wilson(81, 263) == pytest.approx((0.2553, 0.3662), abs=1e-4)
    assert wilson(15, 148) == pytest.approx((0.0624, 0.1605), abs=1e-4)
    assert wilson(0, 20)[0] == 0.0
    assert wilson(20, 20)[1] == 1.0

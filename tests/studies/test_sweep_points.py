"""Points of a plan: what they promise whatever the seed, and that more keep the old ones."""

import numpy as np
import pytest

from assembly_sim.errors import InputError
from assembly_sim.studies.sweep.points import count, crossed, points, trajectory, variants
from tests.studies.sweeps import FACES, THICKNESS, small_plan

DRAWN = ["latin hypercube", "sobol", "random", "morris", "sobol indices"]


def plan(method, counts, **more):
    factors = {"factors": (THICKNESS, FACES)} if method == "morris" else {}
    return small_plan(method=method, counts=counts, **factors, **more)


@pytest.mark.parametrize("method", DRAWN)
def test_more_points_keep_the_old_ones(method):
    few, many = ((8,), (8, 8)) if method == "latin hypercube" else ((8,), (16,))
    old, new = points(plan(method, few)), points(plan(method, many))
    assert len(new) == 2 * len(old)
    assert np.array_equal(new[: len(old)], old)
    assert ((new >= 0.0) & (new <= 1.0)).all()


@pytest.mark.parametrize("method", DRAWN)
def test_a_seed_gives_the_same_points_and_another_gives_others(method):
    first, again = (points(plan(method, (8,), seed=3)) for _ in range(2))
    assert np.array_equal(first, again)
    assert not np.array_equal(first, points(plan(method, (8,), seed=4)))


@pytest.mark.parametrize("method", DRAWN)
def test_as_many_variants_as_the_plan_says_numbered_from_0(method):
    given = plan(method, (8,))
    assert [one.number for one in variants(given)] == list(range(count(given)))


def test_each_batch_of_a_hypercube_has_one_point_in_each_slice():
    drawn = points(plan("latin hypercube", (10, 20)))
    for batch in (drawn[:10], drawn[10:]):
        slices = np.sort(np.floor(batch * len(batch)).astype(int), axis=0)
        assert (slices == np.arange(len(batch))[:, None]).all()


def test_a_trajectory_moves_each_factor_once_by_two_thirds():
    for number in range(20):
        steps = np.diff(trajectory(5, 1, number), axis=0)
        moved = np.abs(steps) > 1e-12
        assert (moved.sum(axis=1) == 1).all()
        assert (moved.sum(axis=0) == 1).all()
        assert np.allclose(np.abs(steps[moved]), 2.0 / 3.0)


def test_crossed_points_take_one_column_of_the_other_at_a_time():
    pairs = np.arange(12.0).reshape(2, 6)
    rows = crossed(pairs)
    assert rows[:2].tolist() == [[0, 1, 2], [3, 4, 5]]
    assert rows[2:5].tolist() == [[3, 1, 2], [0, 4, 2], [0, 1, 5]]


def test_a_factorial_has_every_pair_of_levels_once():
    given = small_plan(method="factorial", counts=(), factors=(THICKNESS, FACES))
    values = [one.values for one in variants(given)]
    assert len(values) == len(set(values)) == 10
    assert sorted({value for value, _ in values}) == pytest.approx([0.01, 0.015, 0.02, 0.025, 0.03])


def test_a_table_has_its_own_rows_and_refuses_an_option_that_is_not_there():
    rows = ((0.02, "south"), (0.011, "north"))
    given = small_plan(method="table", counts=(), factors=(THICKNESS, FACES), rows=rows)
    assert tuple(one.values for one in variants(given)) == rows
    wrong = small_plan(method="table", counts=(), factors=(THICKNESS, FACES), rows=((0.02, "up"),))
    with pytest.raises(InputError, match="no option 'up'"):
        list(variants(wrong))


@pytest.mark.parametrize(
    ("changed", "cause"),
    [
        ({"counts": ()}, "draws no point"),
        ({"counts": (0,)}, "draws no point"),
        ({"method": "sobol", "counts": (8, 8)}, "only a Latin hypercube"),
        ({"method": "sobol indices", "counts": (12,)}, "no power of 2"),
        ({"method": "guess"}, "no method"),
        ({"factors": ()}, "no factor"),
        ({"factors": (FACES, FACES)}, "two factors"),
        ({"assembly": 3}, "no assembly 3"),
        ({"method": "table", "counts": ()}, "belong together"),
    ],
)
def test_a_plan_that_is_none_is_refused(changed, cause):
    with pytest.raises(InputError, match=cause):
        small_plan(**changed)


def test_a_grid_without_end_is_refused_before_it_is_drawn():
    from dataclasses import replace

    factors = tuple(replace(THICKNESS, name=f"t{i}", steps=1000) for i in range(4))
    with pytest.raises(InputError, match="1000000000000 variants"):
        next(variants(small_plan(method="factorial", counts=(), factors=factors)))
    with pytest.raises(InputError, match="lower its count") as told:
        next(variants(small_plan(method="random", counts=(10**400,))))
    assert len(str(told.value)) < 200

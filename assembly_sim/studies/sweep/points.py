"""Points of a plan in the unit cube, and the variants they stand for.

Whatever the method, more points keep the old ones: a Sobol' sequence and a row of random numbers
go on where they ended, a Latin hypercube takes another batch, trajectories and base points have
seeds of their own. So a plan can be extended, and finished variants stay finished.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from math import prod

import numpy as np
from numpy.typing import NDArray

from assembly_sim.changes import Change
from assembly_sim.changes.factors import Level, Value
from assembly_sim.changes.plan import MOST_VARIANTS, Plan, refused

Array = NDArray[np.float64]

GRID = 4  # levels of a Morris trajectory, and its step of two thirds (Morris 1991)
JUMP = GRID / (2.0 * (GRID - 1.0))
MOST_DIMENSIONS = 21201  # of scipy's direction numbers


@dataclass(frozen=True)
class Variant:
    """One variant of a plan: its number from 0 and the level of each factor, in their order."""

    number: int
    levels: tuple[Level, ...]

    @property
    def values(self) -> tuple[Value, ...]:
        """Value of each factor."""
        return tuple(level.value for level in self.levels)

    @property
    def changes(self) -> tuple[Change, ...]:
        """All changes, factor by factor in the order of the plan."""
        return tuple(change for level in self.levels for change in level.changes)

    @property
    def cost(self) -> float:
        """What its levels cost together."""
        return sum(level.cost for level in self.levels)


def variants(plan: Plan) -> Iterator[Variant]:
    """All variants of a plan in the order of their numbers."""
    _refuse_too_many(plan)
    if plan.method == "factorial":
        grids = product(*(factor.levels() for factor in plan.factors))
        yield from (Variant(number, levels) for number, levels in enumerate(grids))
    elif plan.method == "table":
        for number, row in enumerate(plan.rows):
            yield variant_of(plan, number, row)
    else:
        for number, point in enumerate(points(plan)):
            levels = tuple(factor.at(float(u)) for factor, u in zip(plan.factors, point))
            yield Variant(number, levels)


def variant_of(plan: Plan, number: int, values: tuple[Value, ...]) -> Variant:
    """The variant of these values, one a factor. InputError for an option that is not there."""
    return Variant(number, tuple(factor.of(one) for factor, one in zip(plan.factors, values)))


def count(plan: Plan) -> int:
    """How many variants a plan has."""
    more = {"sobol indices": len(plan.factors) + 2, "morris": len(plan.factors) + 1}
    if plan.method == "factorial":
        return prod(len(factor.levels()) for factor in plan.factors)
    return len(plan.rows) if plan.method == "table" else plan.count * more.get(plan.method, 1)


def points(plan: Plan) -> Array:
    """Points of a drawn plan, (variants, factors), in 0-1."""
    size = len(plan.factors)
    if plan.method == "latin hypercube":
        return np.concatenate([_hypercube(size, n, plan.seed, i) for i, n in _batches(plan)])
    if plan.method == "sobol":
        return sobol(size, plan.count, plan.seed)
    if plan.method == "random":
        return np.random.default_rng(plan.seed).random((plan.count, size))
    if plan.method == "morris":
        return np.concatenate([trajectory(size, plan.seed, i) for i in range(plan.count)])
    return crossed(sobol(2 * size, plan.count, plan.seed))


def _batches(plan: Plan) -> Iterator[tuple[int, int]]:
    return enumerate(plan.counts)


def _hypercube(size: int, count: int, seed: int, batch: int) -> Array:
    """One Latin hypercube (McKay, Beckman and Conover 1979), by scipy."""
    from scipy.stats import qmc

    drawn = qmc.LatinHypercube(size, rng=np.random.default_rng([seed, batch])).random(count)
    return np.asarray(drawn)


def sobol(size: int, count: int, seed: int) -> Array:
    """The first points of a scrambled Sobol' sequence, by scipy; a power of 2 is balanced."""
    from scipy.stats import qmc

    if size > MOST_DIMENSIONS:
        raise refused(f"{size} dimensions", f"use {MOST_DIMENSIONS} at most", "factor")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # a count that is no power of 2 is the user's
        return np.asarray(qmc.Sobol(size, rng=np.random.default_rng(seed)).random(count))


def crossed(pairs: Array) -> Array:
    """Rows A, B and A with one column of B at a time, of each base point: (n (d + 2), d).

    pairs (n, 2 d): A beside B. What Sobol' indices by Saltelli et al. 2010 need.
    """
    size = pairs.shape[1] // 2
    rows = []
    for first, second in zip(pairs[:, :size], pairs[:, size:]):
        mixed = np.tile(first, (size, 1))
        np.fill_diagonal(mixed, second)
        rows.append(np.vstack([first, second, mixed]))
    return np.concatenate(rows)


def trajectory(size: int, seed: int, number: int) -> Array:
    """One trajectory of Morris, (factors + 1, factors): each factor moved once, one at a time.

    Levels 0, 1/3, 2/3, 1 and steps of 2/3 up or down (Morris, Technometrics 33 (1991) 161).
    """
    rng = np.random.default_rng([seed, number])
    here = rng.integers(0, GRID // 2, size) / (GRID - 1.0)
    up = rng.integers(0, 2, size).astype(bool)
    here = np.where(up, here, here + JUMP)
    rows = [here.copy()]
    for factor in rng.permutation(size):
        here[factor] += JUMP if up[factor] else -JUMP
        rows.append(here.copy())
    return np.array(rows)


def _refuse_too_many(plan: Plan) -> None:
    if (total := count(plan)) > MOST_VARIANTS:
        cause = f"the plan has {min(total, 10**15)} variants or more, {MOST_VARIANTS} are the most"
        cure = "draw points in place of a grid" if plan.method == "factorial" else "lower its count"
        raise refused(cause, cure, "factor")

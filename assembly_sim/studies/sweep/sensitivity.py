"""Which factor a response hangs on: Sobol' indices, elementary effects of Morris, main effects.

A response with a number missing is refused: one NaN among thousands makes indices of zeros, which
would say that nothing matters.
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem

Array = NDArray[np.float64]
BINS = 10  # groups of a factor of many values
FEW = 12  # values of a factor that are groups as they are
EACH = 4  # variants of a bin, at least: a mean of one says what all other factors did


@dataclass(frozen=True)
class Index:
    """Sobol' indices of one factor with ends of 95 % intervals: first order and total."""

    factor: str
    first: float
    total: float
    first_ends: tuple[float, float]
    total_ends: tuple[float, float]


@dataclass(frozen=True)
class Elementary:
    """Effects of one factor over its range: mean of absolute values, mean, spread (Morris)."""

    factor: str
    absolute: float
    mean: float
    spread: float


@dataclass(frozen=True)
class MainEffect:
    """Mean of a response over groups of one factor's values, all other factors varying.

    labels or middles of the groups; means (groups,); share: of the response's variance that the
    group's means explain, corrected for chance, 0 to 1.
    """

    factor: str
    at: tuple[Any, ...]
    means: tuple[float, ...]
    share: float

    @property
    def swing(self) -> float:
        """Highest mean less lowest."""
        return max(self.means) - min(self.means)


def refuse_missing(values: Array, what: str = "the response") -> None:
    """InputError where a number is missing."""
    lacking = int((~np.isfinite(values)).sum())
    if lacking:
        cause = f"{lacking} of {len(values)} variants have no number for {what}"
        cure = "mend or leave out what failed: indices of what is left would be wrong"
        raise InputError(Problem(cause, cure))


def sobol_indices(values: Array, names: Sequence[str], seed: int = 1) -> tuple[Index, ...]:
    """Sobol' indices of the rows of `crossed` points (A, B, A with a column of B ...), by scipy.

    First order after Saltelli et al. 2010 (Comput. Phys. Commun. 181, 259), total after Jansen
    1999; intervals by bootstrap. The base points are a power of 2.
    """
    from scipy.stats import sobol_indices as by_scipy

    refuse_missing(values)
    size = len(names)
    blocks = values.reshape(-1, size + 2).T  # (d + 2, n)
    n = blocks.shape[1]
    if np.ptp(values) == 0.0:
        cause = "all variants have the same response, which has no variance to share"
        raise InputError(Problem(cause, "ask for another response"))
    func: Any = {"f_A": blocks[:1], "f_B": blocks[1:2], "f_AB": blocks[2:, None, :]}
    found = by_scipy(func=func, n=n, rng=np.random.default_rng(seed))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # where a factor does nothing, ends are NaN
        ends = found.bootstrap(confidence_level=0.95)
    low, high = ends.first_order.confidence_interval
    low_total, high_total = ends.total_order.confidence_interval
    first, total = np.ravel(found.first_order), np.ravel(found.total_order)
    return tuple(
        Index(
            name,
            float(first[i]),
            float(total[i]),
            (float(np.ravel(low)[i]), float(np.ravel(high)[i])),
            (float(np.ravel(low_total)[i]), float(np.ravel(high_total)[i])),
        )
        for i, name in enumerate(names)
    )


def morris(points: Array, values: Array, names: Sequence[str]) -> tuple[Elementary, ...]:
    """Elementary effects of trajectories, points (rows, factors) in 0-1: change over step.

    Morris, Technometrics 33 (1991) 161; mean of absolute values after Campolongo et al. 2007.
    """
    refuse_missing(values)
    size = len(names)
    found: list[list[float]] = [[] for _ in names]
    for start in range(0, len(values), size + 1):
        for row in range(start + 1, start + size + 1):
            step = points[row] - points[row - 1]
            factor = int(np.argmax(np.abs(step)))
            found[factor].append(float((values[row] - values[row - 1]) / step[factor]))
    return tuple(
        Elementary(
            name,
            float(np.mean(np.abs(effects))),
            float(np.mean(effects)),
            float(np.std(effects, ddof=1)) if len(effects) > 1 else float("nan"),
        )
        for name, effects in zip(names, found)
    )


def main_effect(name: str, given: NDArray[Any], values: Array, alone: bool = False) -> MainEffect:
    """Means of a response over groups of a factor's values; works with any plan.

    alone: no other factor varies. InputError where variants are too few for groups.
    """
    refuse_missing(values)
    groups, at = grouped(given, alone)
    counts = np.bincount(groups, minlength=len(at))
    means = np.bincount(groups, values, minlength=len(at)) / counts
    within = ((values - means[groups]) ** 2).sum() / max(len(values) - len(at), 1)
    variance = values.var(ddof=1) if len(values) > 1 else 0.0
    share = 1.0 - within / variance if variance > 0.0 else 0.0
    return MainEffect(name, tuple(at), tuple(means.tolist()), min(max(float(share), 0.0), 1.0))


def grouped(given: NDArray[Any], alone: bool = False) -> tuple[NDArray[np.int64], list[Any]]:
    """Group of each value, and what each group is called: a label, a value, a bin's mean.

    Groups of one variant would give every factor all of the variance, so there are fewer bins of
    few variants; InputError where there are not two.
    """
    different, groups = np.unique(given, return_inverse=True)
    few = given.dtype.kind == "O" or len(different) <= FEW
    if few and (alone or len(different) == 1 or len(given) >= 2 * len(different)):
        return groups, different.tolist()
    bins = BINS if alone else min(BINS, len(given) // EACH)
    if given.dtype.kind == "O" or bins < 2:
        cause = f"{len(given)} variants are too few to tell one factor's part from another's"
        raise InputError(Problem(cause, "run more of them"))
    order = np.argsort(given, kind="stable")
    groups = np.empty(len(given), np.int64)
    groups[order] = np.arange(len(given)) * bins // len(given)
    middles = np.bincount(groups, given.astype(float)) / np.bincount(groups)
    return groups, middles.tolist()

"""What is asked of a sweep: best variants under limits, the front, what matters.

A variant without a verdict, or without the number that is asked for, is never among the best: it
is counted apart. Numbers of a run that stopped or did not converge are no numbers.
"""

from __future__ import annotations

import operator
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.words import nearest
from assembly_sim.studies.sweep.points import trajectory
from assembly_sim.studies.sweep.sensitivity import (
    Elementary,
    Index,
    MainEffect,
    main_effect,
    morris,
    sobol_indices,
)
from assembly_sim.studies.sweep.table import Sweep
from assembly_sim.verdict.rules import LEVELS, PAST

Rows = NDArray[np.int64]
Mask = NDArray[np.bool_]
ENERGY = "annual_heat_loss_total_kwh_m2"
MOISTURE = "nearest_limit_last_year"
WITHIN = LEVELS[PAST - 1]
JUDGED = "ok"  # the status of a variant that ended well and has a verdict
SOUND = (JUDGED, "no verdict")  # of one whose numbers are those of a whole run
COMPARED: dict[str, Callable[[Any, Any], Any]] = {
    "<=": operator.le,
    ">=": operator.ge,
    "<": operator.lt,
    ">": operator.gt,
    "=": operator.eq,
}


@dataclass(frozen=True)
class Effects:
    """What one response hangs on: by the kind of plan one of three; why none could be told."""

    response: str
    main: tuple[MainEffect, ...] = ()
    indices: tuple[Index, ...] = ()
    elementary: tuple[Elementary, ...] = ()
    refused: str = ""
    left_out: int = 0


@dataclass(frozen=True)
class Answers:
    """Answers of a sweep, rows by their places in its table.

    limits: what was asked, in words; within: how many rows with a verdict keep them; best: those,
    best first, each point once; front: rows of them that no other beats both ways, by rising
    energy; unjudged: rows without a verdict.
    """

    sweep: Sweep
    energy: str
    moisture: str
    statuses: dict[str, int]
    levels: dict[str, int]
    limits: tuple[str, ...]
    within: int
    best: Rows
    front: Rows
    unjudged: int
    effects: tuple[Effects, ...]


def asked_of(
    sweep: Sweep,
    at_least: str = WITHIN,
    where: tuple[str, ...] = (),
    by: str | None = None,
    moisture: str | None = None,
    most: int = 10,
) -> Answers:
    """All answers. at_least: a level of the verdict; where: `NAME <= VALUE` on columns (SI).

    Unless it is asked otherwise, nothing that passes a limit is among the best: of two roofs, the
    one that rots may well lose less heat.
    """
    energy, wet = by or ENERGY, moisture or MOISTURE
    known = judged(sweep)
    kept = keeping(sweep, at_least, where) & known
    order = np.argsort(sweep.number(energy), kind="stable")
    best = order[(kept & np.isfinite(sweep.number(energy)))[order]]
    return Answers(
        sweep=sweep,
        energy=energy,
        moisture=wet,
        statuses=dict(Counter(sweep.column("status").tolist())),
        levels=by_level(sweep),
        limits=(f"at least '{at_least}'", *where),
        within=int(kept.sum()),
        best=distinct(sweep, best, most),
        front=front(sweep.number(energy), sweep.number(wet), kept),
        unjudged=int((~known).sum()),
        effects=tuple(effects(sweep, name) for name in dict.fromkeys((energy, wet))),
    )


def distinct(sweep: Sweep, rows: Rows, most: int) -> Rows:
    """The first `most` of these rows whose factors differ: Morris comes back to points."""
    factors = [sweep.column(name).tolist() for name in sweep.factors]
    found: dict[tuple[Any, ...], int] = {}
    for row in rows.tolist():
        found.setdefault(tuple(values[row] for values in factors), row)
        if len(found) == most:
            break
    return np.array(list(found.values()), dtype=np.int64)


def judged(sweep: Sweep) -> Mask:
    """Rows that ended well and have a verdict."""
    ended = np.asarray(sweep.column("status") == JUDGED, dtype=bool)
    return ended & np.isfinite(sweep.number("rank"))


def sound(sweep: Sweep, name: str) -> NDArray[np.float64]:
    """A column of numbers, NaN where a run was not whole."""
    return np.where(np.isin(sweep.column("status").astype(str), SOUND), sweep.number(name), np.nan)


def by_level(sweep: Sweep) -> dict[str, int]:
    """How many variants have each level, driest first."""
    found = Counter(sweep.column("level").tolist())
    return {level: found[level] for level in LEVELS if found[level]}


def keeping(sweep: Sweep, at_least: str | None, where: tuple[str, ...] = ()) -> Mask:
    """Rows that keep all limits. One without a verdict keeps no level, NaN keeps nothing."""
    kept = np.ones(len(sweep), dtype=bool)
    if at_least is not None:
        kept &= judged(sweep) & (sweep.number("rank") <= rank_named(at_least))
    for text in where:
        kept &= limit(sweep, text)
    return kept


def rank_named(level: str) -> int:
    """Rank of a level. InputError with the nearest where there is none."""
    if level in LEVELS:
        return LEVELS.index(level)
    cure = nearest(level, LEVELS) or f"there are {', '.join(map(repr, LEVELS))}"
    raise InputError(Problem(f"there is no level '{level[:60]}'", cure, field="--at-least"))


def limit(sweep: Sweep, text: str) -> Mask:
    """Rows that keep one limit, `foam type = xps` or `cost <= 40`."""
    found = re.fullmatch(r"\s*(.+?)\s*(<=|>=|<|>|=)\s*(.+?)\s*", text)
    if found is None:
        cause, cure = f"'{text[:60]}' is no limit", "write NAME <= VALUE"
        raise InputError(Problem(cause, cure, field="--where"))
    name, sign, value = found.groups()
    values = sweep.column(name)
    if values.dtype.kind == "O":
        if sign != "=":
            raise InputError(Problem(f"'{name}' holds texts", "write =", field="--where"))
        return np.asarray(values == value, dtype=bool)
    try:
        number = float(value)
    except ValueError:
        cause, cure = f"'{value[:40]}' is no number", "write a bare number, SI"
        raise InputError(Problem(cause, cure, field="--where")) from None
    return np.asarray(COMPARED[sign](values, number), dtype=bool)


def front(one: NDArray[Any], other: NDArray[Any], kept: Mask | None = None) -> Rows:
    """Rows that no other row beats in one number without losing in the other, both to be small.

    By rising `one`; of equals the first.
    """
    usable = np.isfinite(one) & np.isfinite(other)
    rows = np.flatnonzero(usable if kept is None else usable & kept)
    order = rows[np.lexsort((other[rows], one[rows]))]
    best, found = np.inf, []
    for row in order:
        if other[row] < best:
            best = other[row]
            found.append(row)
    return np.array(found, dtype=np.int64)


def effects(sweep: Sweep, response: str) -> Effects:
    """What a response hangs on; where numbers are missing, why it is not told."""
    method, values = sweep.about.get("method"), sound(sweep, response)
    try:
        if method in ("sobol indices", "morris"):
            return _designed(sweep, response, values, str(method))
        known = np.isfinite(values)
        if not known.any():
            raise InputError(Problem("no variant has a number for it", "run years that are whole"))
        alone = len(sweep.factors) == 1
        main = tuple(
            main_effect(name, sweep.column(name)[known], values[known], alone)
            for name in sweep.factors
        )
        return Effects(response, main=main, left_out=int((~known).sum()))
    except (InputError, ValueError) as error:
        return Effects(response, refused=str(error))


def _designed(sweep: Sweep, response: str, values: NDArray[Any], method: str) -> Effects:
    """Indices of a plan made for them: they need every row of it."""
    if sweep.absent:
        cause = f"{len(sweep.absent)} variants of the plan are not run"
        raise InputError(Problem(cause, "run the sweep to its end"))
    if method == "sobol indices":
        return Effects(response, indices=sobol_indices(values, sweep.factors))
    trajectories = range(len(sweep) // (len(sweep.factors) + 1))
    seed, size = int(sweep.about["seed"]), len(sweep.factors)
    points = np.concatenate([trajectory(size, seed, number) for number in trajectories])
    return Effects(response, elementary=morris(points, values, sweep.factors))

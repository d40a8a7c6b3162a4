"""Tables of shards made one: only when all of it is there, or when told that it need not be."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.result.rows import Table, taken, write_rows
from assembly_sim.files.result.states import gather
from assembly_sim.files.sweep.columns import VARIANT
from assembly_sim.files.sweep.folder import Shard
from assembly_sim.files.sweep.store import read_folder

MERGED = "sweep.h5"
NAMED = 10  # variants or shards that are named in a message


def merge(folder: Path, incomplete: bool = False) -> tuple[Path, int]:
    """Write all shards' rows into one table; its place and how many rows it has.

    InputError where shards are of different plans, or rows are missing and `incomplete` is not
    said. Files of shards stay as they are.
    """
    table, columns, shards = read_folder(folder)
    if not shards:
        cause = "holds no table of a sweep"
        raise InputError(Problem(cause, "name the folder of --out", str(folder)))
    about = _of_one_plan(folder, shards)
    table = taken(table, np.flatnonzero(table[VARIANT.name] >= 0))
    left = missing(table, int(about["variants"]))
    if len(left) and not incomplete:
        raise _incomplete(folder, left, shards)
    target = folder / MERGED
    write_rows(target, table, columns, {**about, "shard": "1/1"})
    parts = [folder / f"states-{shard.stem}.h5" for shard, _ in shards if shard.of > 1]
    for part in (one for one in parts if one.exists()):
        gather(folder / "states-sweep.h5", [part])
    return target, len(table[VARIANT.name])


def missing(table: Table, count: int) -> list[int]:
    """Numbers of the plan that no row has."""
    return np.setdiff1d(np.arange(count), table[VARIANT.name]).tolist()


def _of_one_plan(folder: Path, shards: list[tuple[Shard, dict[str, Any]]]) -> dict[str, Any]:
    """What the shards share. InputError where one is of an earlier plan, case or version."""
    latest = shards[-1][1]
    for shard, about in shards:
        if about["plan_sha256"] != latest["plan_sha256"]:
            cause = f"{shard.stem} is of another plan, case or version than {shards[-1][0].stem}"
            cure = "run the earlier one again: what is finished and still holds is kept"
            raise InputError(Problem(cause, cure, str(folder)))
    return {name: value for name, value in latest.items() if not name.startswith("format")}


def _incomplete(
    folder: Path, left: list[int], shards: list[tuple[Shard, dict[str, Any]]]
) -> InputError:
    of = max(shard.of for shard, _ in shards)
    needed = sorted({number % of + 1 for number in left})
    named = ", ".join(f"{one}/{of}" for one in needed[:NAMED])
    more = " and more" if len(needed) > NAMED else ""
    first = ", ".join(map(str, left[:NAMED]))
    cause = f"{len(left)} variants are missing ({first}{', ...' if left[NAMED:] else ''})"
    cure = f"run shards {named}{more}" if of > 1 else "run the sweep to its end"
    return InputError(Problem(cause, f"{cure}, or say --incomplete", str(folder)))

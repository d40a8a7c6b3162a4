"""The folder of a sweep: which plan it belongs to, and the files of its shards.

    plan.json                 what the plan is, and its text
    sweep.h5                  rows of an undivided sweep, or of all shards merged
    sweep-03-of-16.h5         rows of one shard
    sweep-03-of-16.journal    its latest rows, until they are in the file above
    states/KEY.h5             hourly planes of each variant, where asked for

A folder takes one plan: another name, method, seed or other factors are refused. The same plan with
more points, or with a case that was changed, goes on in it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assembly_sim.changes.plan import Plan
from assembly_sim.errors import InputError, Problem
from assembly_sim.files.output import json_text, write_text
from assembly_sim.files.places import check_folder
from assembly_sim.files.plain_file import read_plain

PLAN = "plan.json"
FILE = re.compile(r"sweep(-(\d+)-of-(\d+))?\.(h5|journal)")
MOST_SHARDS = 100_000
LARGEST_PLAN = 20_000_000  # bytes: a plan with its text


@dataclass(frozen=True)
class Shard:
    """One of `of` parts of a sweep, `number` from 1: every variant of that remainder."""

    number: int = 1
    of: int = 1

    def __post_init__(self) -> None:
        if not (1 <= self.number <= self.of <= MOST_SHARDS):
            cause = f"there is no shard {self.number} of {self.of}"
            raise InputError(Problem(cause, "write 1/16 to 16/16", field="--shard"))

    def holds(self, number: int) -> bool:
        """Whether a variant is in it."""
        return number % self.of == self.number - 1

    @property
    def stem(self) -> str:
        """Name of its files without their endings."""
        if self.of == 1:
            return "sweep"
        width = len(str(self.of))
        return f"sweep-{self.number:0{width}d}-of-{self.of}"


def shard_named(text: str) -> Shard:
    """The shard that `3/16` names."""
    found = re.fullmatch(r"\s*(\d{1,6})\s*/\s*(\d{1,6})\s*", text)
    if found is None:
        raise InputError(Problem(f"'{text[:40]}' is no shard", "write 3/16", field="--shard"))
    return Shard(int(found[1]), int(found[2]))


def identity(plan: Plan) -> dict[str, Any]:
    """What makes a plan that plan: two in one folder are refused by it."""
    return {
        "name": plan.name,
        "method": plan.method,
        "seed": plan.seed,
        "factors": [factor.name for factor in plan.factors],
        "assembly": plan.case.assemblies[plan.assembly].name,
    }


def claim(folder: Path, plan: Plan) -> None:
    """Make the folder the plan's own, or refuse one that is another's. Nothing is overwritten."""
    check_folder(folder, "--out")
    folder.mkdir(exist_ok=True)
    known = about(folder)
    if known is None:
        if any(FILE.fullmatch(one.name) for one in folder.iterdir()):
            cause = f"holds a sweep without its {PLAN}"
            raise InputError(Problem(cause, "name another folder", str(folder)))
    else:
        _refuse_other(folder, known["plan"], identity(plan))
    told = {"plan": identity(plan), "text": plan.text, "file": plan.file}
    if known != told:
        write_text(json_text(told, 1) + "\n", folder / PLAN)


def _refuse_other(folder: Path, known: dict[str, Any], own: dict[str, Any]) -> None:
    for entry, value in own.items():
        if known.get(entry) != value:
            cause = f"holds another plan: its {entry} is {known.get(entry)!r}, here {value!r}"
            raise InputError(Problem(cause[:300], "name another folder", str(folder)))


def about(folder: Path) -> dict[str, Any] | None:
    """What the folder says of its plan; None where there is none."""
    file = folder / PLAN
    if not file.exists():
        return None
    try:
        told = json.loads(read_plain(file, LARGEST_PLAN, "a plan"))
        if isinstance(told, dict) and isinstance(told.get("plan"), dict):
            return told
    except (ValueError, RecursionError):  # InputError is a ValueError
        pass
    raise InputError(Problem("is no plan of a sweep", "restore it", str(file)))


def files(folder: Path) -> Iterator[tuple[Shard, Path, Path]]:
    """Shards that the folder holds anything of, with their table and their journal."""
    found = {
        _shard_of(one, int(match[2] or 1), int(match[3] or 1))
        for one in (folder.iterdir() if folder.is_dir() else ())
        if (match := FILE.fullmatch(one.name))
    }
    for shard in sorted(found, key=lambda one: (one.of, one.number)):
        yield shard, folder / f"{shard.stem}.h5", folder / f"{shard.stem}.journal"


def _shard_of(file: Path, number: int, of: int) -> Shard:
    try:
        return Shard(number, of)
    except InputError as error:
        raise InputError(Problem(error.problems[0].cause, "remove it", str(file))) from None

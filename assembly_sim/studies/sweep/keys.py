"""What a variant depends on, as one hash: by it a finished variant is known again.

Into it go the resolved base case with its weather and materials, the changes of the variant, what
is judged and how finely it is run, and the version, with the package's own sources: a program that
was changed has not computed what it would compute now. Names, notes and the plan's text are not
in it, nor is the variant's number.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import assembly_sim
from assembly_sim.changes import Change
from assembly_sim.changes.factors import Factor, Level, Range
from assembly_sim.changes.plan import Plan
from assembly_sim.solver.identity import case_sha256, pieces
from assembly_sim.studies.sweep.points import Variant, variants

ROOMS = ("physics", "model", "envelope", "boundary", "solver", "changes", "checks", "verdict")
"""Rooms that a row depends on."""


@cache
def version() -> str:
    """The version, with a hash of the sources that a row depends on."""
    digest = hashlib.sha256()
    package = Path(assembly_sim.__file__).parent
    own = [Path(__file__).with_name(name) for name in ("outcome.py", "work.py")]
    for file in [
        *own,
        *(file for room in ROOMS for file in sorted((package / room).rglob("*.py"))),
    ]:
        digest.update(file.read_bytes())
    return f"{assembly_sim.__version__}+{digest.hexdigest()[:12]}"


def base_sha256(plan: Plan) -> str:
    """Hash of what all variants of a plan share."""
    settings = (case_sha256(plan.case), plan.assembly, plan.refine, plan.steps, version())
    return _hash(settings)


def keyed(plan: Plan) -> Iterator[tuple[Variant, str]]:
    """Variants of a plan with their keys; a variant that comes again has a key of its own."""
    keys, seen = Keys(plan), Counter[str]()
    for variant in variants(plan):
        key = keys.of(variant)
        seen[key] += 1
        yield variant, key if seen[key] == 1 else f"{key}-{seen[key]}"


class Keys:
    """Keys of a plan's variants; what an option changes is hashed once."""

    def __init__(self, plan: Plan) -> None:
        self.base = base_sha256(plan)
        self._factors = plan.factors
        self._options: dict[tuple[int, float | str], str] = {}

    def of(self, variant: Variant) -> str:
        """Key of one variant, 32 hexadecimal digits."""
        levels = enumerate(zip(self._factors, variant.levels))
        told = [self._level(number, factor, level) for number, (factor, level) in levels]
        return hashlib.sha256("\n".join((self.base, *told)).encode()).hexdigest()[:32]

    def _level(self, number: int, factor: Factor, level: Level) -> str:
        if isinstance(factor, Range):
            return self._once(number, "into", factor.into) + f" {float(level.value):.17g}"
        return self._once(number, level.value, level.changes)

    def _once(self, number: int, name: float | str, changes: tuple[Change, ...]) -> str:
        if (number, name) not in self._options:
            self._options[number, name] = _hash(changes)
        return self._options[number, name]


def plan_sha256(plan: Plan) -> str:
    """Hash of a whole plan: base, factors and points. Shards of one sweep share it."""
    drawn = (plan.method, plan.counts, plan.seed, plan.rows)
    return _hash((base_sha256(plan), plan.factors, drawn))


def _hash(value: object) -> str:
    digest = hashlib.sha256()
    for piece in pieces(value):
        digest.update(piece)
    return digest.hexdigest()

"""What a probe adds to the plain object of the contract: numbers, and sentences in SI."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from assembly_sim.studies.probe import Move, Probing, Trial
from assembly_sim.verdict.contract import plain
from assembly_sim.words.figures import say


def with_probes(summary: Mapping[str, Any], probes: Sequence[Probing]) -> dict[str, Any]:
    """The summary with a `probe` for every assembly that was probed."""
    if not probes:
        return dict(summary)
    assemblies = [
        {**figures, "probe": probe_json(found)}
        for figures, found in zip(summary["assemblies"], probes, strict=True)
    ]
    return {**summary, "assemblies": assemblies}


def probe_json(found: Probing) -> dict[str, Any]:
    """All that was found of one assembly."""
    return {
        "assembly": found.assembly,
        "level": found.level,
        "limits": plain(found.limits),
        "moves": [move_json(move) for move in found.moves],
        "holds": [trial_json(trial) for trial in found.holds],
        "forgiveness": plain(found.forgiveness),
        "runs": found.runs,
    }


def move_json(move: Move) -> dict[str, Any]:
    """The smallest change of a quantity, or None with what was tried."""
    return {
        "quantity": move.quantity,
        "trial": None if move.trial is None else trial_json(move.trial),
        "tried": [say(change) for change in move.tried],
    }


def trial_json(trial: Trial) -> dict[str, Any]:
    """One changed case, with its level and the first reason for it."""
    return {
        "change": say(trial.change),
        "level": trial.level,
        "reason": trial.verdict.reasons[0],
    }

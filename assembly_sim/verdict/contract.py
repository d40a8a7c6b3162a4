"""The plain object of the contract, for `--json`: numbers, sentences in SI, lists and None.

Fields are added over time and never change their meaning; what is not finite becomes None.
"""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

from assembly_sim.checks.energy import Energy
from assembly_sim.checks.finding import Finding
from assembly_sim.solver.result import AssemblyResult, Result
from assembly_sim.verdict.summary import (
    AssemblySummary,
    RunSummary,
    typed_assembly,
    typed_summary,
)
from assembly_sim.verdict.verdict import Verdict
from assembly_sim.verdict.zone_summary import ZoneSummary
from assembly_sim.words.checks import particulars
from assembly_sim.words.figures import say

SCHEMA = 1
ENERGY_NAMES = {
    "heat_loss": ("annual_heat_loss", "kwh_m2"),
    "heat_gain": ("annual_heat_gain", "kwh_m2"),
    "heating_season_loss": ("heating_season_loss", "kwh_m2"),
    "cooling_season_gain": ("cooling_season_gain", "kwh_m2"),
    "peak_loss": ("peak_loss", "w_m2"),
    "peak_gain": ("peak_gain", "w_m2"),
}
ENERGY_PARTS = ("surface", "total", "conducted", "carried", "latent", "incoming_air")
MADE = ("energy", "window_energy", "has_year", "outcome", "verdict", "findings")
VERDICT_FIELDS = (
    *("level", "reasons", "leak_statement", "rank", "settled_level", "unsettled", "decided_by"),
    *("path", "plane", "value", "limit", "margin", "unit", "scope"),
)


def run_summary(result: Result) -> dict[str, Any]:
    """The summary of a run as plain numbers, words, lists and None, in SI."""
    return summary_json(typed_summary(result))


def assembly_summary(result: Result, found: AssemblyResult) -> dict[str, Any]:
    """One assembly of it."""
    return assembly_json(typed_assembly(result, found))


def summary_json(summary: RunSummary) -> dict[str, Any]:
    """A typed summary as the plain object."""
    return {
        "schema": SCHEMA,
        "version": summary.version,
        "inputs_sha256": summary.inputs_sha256,
        "climate": {
            "name": summary.climate,
            "hours": summary.climate_hours,
            "warnings": [say(note) for note in summary.climate_notes],
        },
        "years": summary.years,
        "period": plain(summary.period),
        "assumptions": [say(phrase) for phrase in summary.assumptions],
        "assemblies": [assembly_json(one) for one in summary.assemblies],
        "house": plain(summary.house),
        "zones": [zone_json(one) for one in summary.zones],
        "streams": plain(summary.streams),
        "cautions": [say(caution) for caution in summary.cautions],
    }


def zone_json(one: ZoneSummary) -> dict[str, Any]:
    """A zone as the plain object, with whether the criterion for icings is met."""
    found = plain(one)
    if one.ice_dam is not None:
        found["ice_dam"]["met"] = one.ice_dam.met
    return dict(found)


def assembly_json(one: AssemblySummary) -> dict[str, Any]:
    """One assembly as the plain object; a number that does not exist is None."""
    same = {
        field.name: plain(getattr(one, field.name))
        for field in fields(one)
        if field.name not in MADE
    }
    return {
        **same,
        **energy_json(one.energy),
        "window_energy": window_json(one.window_energy),
        "outcome": one.outcome.name,
        "verdict": verdict_json(one.verdict),
        "findings": [finding_json(finding) for finding in one.findings],
    }


def energy_json(found: Energy | None) -> dict[str, float | None]:
    """Energies by name and part; a name without a part is the flux at the room-side surface."""
    keys = {
        f"{stem}{'' if part == 'surface' else f'_{part}'}_{unit}": (name, part)
        for name, (stem, unit) in ENERGY_NAMES.items()
        for part in ENERGY_PARTS
    }
    if found is None:
        return dict.fromkeys(keys)
    return {key: number(getattr(getattr(found, n), part)) for key, (n, part) in keys.items()}


def window_json(found: Energy | None) -> dict[str, float | None] | None:
    """Energies of a window without `annual_` in their keys: none may be taken for a year's."""
    if found is None:
        return None
    return {key.removeprefix("annual_"): value for key, value in energy_json(found).items()}


def verdict_json(verdict: Verdict) -> dict[str, Any]:
    """A verdict by its fields, with its sentences."""
    return {name: plain(getattr(verdict, name)) for name in VERDICT_FIELDS}


def finding_json(finding: Finding) -> dict[str, Any]:
    """A finding with its margin, and in `note` what else was counted, in words."""
    return {**plain(finding), "note": particulars(finding), "margin": plain(finding.margin)}


def plain(value: Any) -> Any:
    """Dataclasses, tuples and numbers as JSON has them; what is not finite becomes None."""
    if isinstance(value, str):
        return say(value)
    if is_dataclass(value):
        return {one.name: plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, tuple | list):
        return [plain(one) for one in value]
    if isinstance(value, np.generic):
        value = value.item()
    return number(value) if isinstance(value, float) else value


def number(value: float | None) -> float | None:
    """A plain float, or None for what is missing or not finite."""
    return float(value) if value is not None and math.isfinite(value) else None

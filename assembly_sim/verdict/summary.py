"""The machine-readable summary of a run: one object of plain numbers, words, lists and None."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

from assembly_sim import __version__
from assembly_sim.boundary.period import USUAL_YEAR, whole_years
from assembly_sim.checks.energy import energy
from assembly_sim.checks.finding import Finding
from assembly_sim.checks.planes import has_year, last_year
from assembly_sim.envelope.airways import describe_leak
from assembly_sim.envelope.resistances import material_on_path
from assembly_sim.hand.summary import steady_summary
from assembly_sim.model import Layer
from assembly_sim.solver.result import AssemblyResult, Result
from assembly_sim.verdict.cautions import cautions
from assembly_sim.verdict.evidence import Evidence, evidence, findings, within
from assembly_sim.verdict.period import period_summary, stated_of_weather
from assembly_sim.verdict.verdict import judge

SCHEMA = 1
ENERGY_NAMES = {
    "heat_loss": ("annual_heat_loss", "kwh_m2"),
    "heat_gain": ("annual_heat_gain", "kwh_m2"),
    "heating_season_loss": ("heating_season_loss", "kwh_m2"),
    "cooling_season_gain": ("cooling_season_gain", "kwh_m2"),
    "peak_loss": ("peak_loss", "w_m2"),
    "peak_gain": ("peak_gain", "w_m2"),
}


def run_summary(result: Result) -> dict[str, Any]:
    """The whole summary of a run. Fields are added over time and never change their meaning."""
    case = result.case
    return {
        "schema": SCHEMA,
        "version": __version__,
        "inputs_sha256": result.provenance.get("inputs_sha256"),
        "climate": {
            "name": case.climate.name,
            "hours": case.climate.hours,
            "warnings": list(case.climate.notes),
        },
        "years": years_run(result),
        "period": period_summary(result),
        "assumptions": [
            *stated_of_weather(case),
            *(f"{a.name}: {describe_leak(a)}" for a in case.assemblies if a.leak is not None),
        ],
        "assemblies": [assembly_summary(result, found) for found in result.assemblies],
        "cautions": list(cautions(case)),
    }


def years_run(result: Result) -> float:
    """Years that were computed: a whole number, unless the run stopped or ran through a window."""
    climate = result.case.climate
    whole = whole_years(climate, result.hours)
    if not climate.wraps and whole and whole[0].start == 0:
        return len(whole)
    years = result.hours / (climate.hours if climate.wraps else USUAL_YEAR)
    return int(years) if years == int(years) else round(years, 3)


def assembly_summary(result: Result, found: AssemblyResult) -> dict[str, Any]:
    """One assembly of the summary; a number that does not exist is None."""
    found = within(result, found)
    proofs = evidence(result, found)
    checked = findings(proofs)
    paths = found.paths
    return {
        "name": found.assembly.name,
        "area_m2": found.assembly.area,
        "u_value_w_m2k": number(found.u_value),
        "surface_resistances": found.surface_resistances,
        **_energies(result, found),
        "window_energy": window_energy(result, found),
        "heat_balance_error": number(max(path.heat_balance_error for path in paths)),
        "moisture_balance_error": number(max(path.moisture_balance_error for path in paths)),
        "state_defect": number(max(path.state_defect for path in paths)),
        "converged": found.converged,
        "outcome": found.outcome.name,
        "planes": [
            _plane(proof, position, has_year(result))
            for proof in proofs
            for position in range(len(proof.path.planes))
        ],
        "layers": [row for proof in proofs for row in _layers(result, found, proof)],
        "verdict": dict(plain(judge(result, found, proofs))),
        "findings": [_finding(finding) for finding in checked],
        "steady": plain(steady_summary(result.case, found.assembly)),
    }


def plain(value: Any) -> Any:
    """Dataclasses, tuples and numbers as JSON has them; what is not finite becomes None."""
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


def _energies(result: Result, found: AssemblyResult) -> dict[str, float | None]:
    """Energy of the last year; None where there is no whole year, rather than part of one.

    A name without a part is that of the flux at the room-side surface alone.
    """
    if not has_year(result):
        return dict.fromkeys(_energy_keys())
    return _energy_values(result, found)


def window_energy(result: Result, found: AssemblyResult) -> dict[str, float | None] | None:
    """Energy of a window that holds no whole year, seasons by its own days; None of any other run.

    Keys are those of a year without `annual_`: no figure of 54 days may be taken for a year's.
    """
    if result.case.climate.wraps or has_year(result) or not result.hours:
        return None
    values = _energy_values(result, found)
    return {key.removeprefix("annual_"): value for key, value in values.items()}


def _energy_keys() -> dict[str, tuple[str, str]]:
    """Kind of energy and part behind each key."""
    return {
        f"{stem}{'' if part == 'surface' else f'_{part}'}_{unit}": (name, part)
        for name, (stem, unit) in ENERGY_NAMES.items()
        for part in ("surface", "total", "conducted", "carried", "latent", "incoming_air")
    }


def _energy_values(result: Result, found: AssemblyResult) -> dict[str, float | None]:
    values, keys = energy(result, found), _energy_keys()
    return {key: number(getattr(getattr(values, n), part)) for key, (n, part) in keys.items()}


def _plane(proof: Evidence, position: int, a_year: bool) -> dict[str, Any]:
    """One side of one plane: the last year's counts, humidity and mould of the whole run."""
    plane, found = proof.path.planes[position], proof.condensation[position]
    return {
        "index": plane.index,
        "name": plane.name,
        "side": plane.side,
        "path": proof.path.name,
        "reach": plane.reach,
        "drained": plane.drained,
        "condensation_risk_hours": found.last.risk_hours,
        "dew_point_hours": found.dew_point_hours,
        "wetting_potential_g_m2": number(found.wetting_potential),
        "max_relative_humidity": number(found.humidity_max),
        "mould_index_max": number(float(proof.mould_peak[position])),
        "hours_over_ice_saturation": found.last.over_ice_hours,
        "wet_hours": found.last.wet_hours,
        "longest_wet_spell_hours": found.last.longest_wet_spell,
        "free_water_max_kg_m2": number(found.last.free_water),
        "dries_within_year": found.last.dries if a_year else None,
    }


def _layers(result: Result, found: AssemblyResult, proof: Evidence) -> list[dict[str, Any]]:
    """Layers that hold water: its highest total, and for wood the moisture by mass, last year."""
    year, path = last_year(result), proof.path
    boards = {board.layer: board for board in proof.boards}
    rows = []
    for index, layer in enumerate(found.assembly.layers):
        if not isinstance(layer, Layer) or not path.layer_water[:, index].any():
            continue
        board = boards.get(index)
        rows.append(
            {
                "index": index,
                "name": layer.name,
                "material": material_on_path(layer, path.name).name,
                "path": path.name,
                "water_max_kg_m2": number(path.layer_water[year, index].max()),
                "water_min_kg_m2": number(path.layer_water[year, index].min()),
                "moisture_content_max": None
                if board is None
                else number(board.moisture[year].max()),
            }
        )
    return rows


def _finding(finding: Finding) -> dict[str, Any]:
    return {**plain(finding), "margin": plain(finding.margin)}

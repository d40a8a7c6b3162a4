"""What a sweep keeps of a run: the numbers of one row, and no hourly array."""

from __future__ import annotations

from collections.abc import Iterable
from math import isnan

from assembly_sim.checks.energy import Energy, energy
from assembly_sim.checks.finding import Finding
from assembly_sim.checks.planes import has_year
from assembly_sim.files.sweep.columns import NAN
from assembly_sim.solver.result import AssemblyResult, Result
from assembly_sim.verdict.evidence import evidence, findings, within
from assembly_sim.verdict.house_summary import is_house, spaces_of
from assembly_sim.verdict.summary import years_run
from assembly_sim.verdict.verdict import Verdict, judge

Cells = dict[str, float | str]
LONGEST = 300  # characters of a reason
OF_CHECK = {
    "mould index": "mould_index_max",
    "wood moisture": "wood_moisture_max",
    "free water": "free_water_max_kg_m2",
    "condensation-risk hours": "condensation_risk_hours",
    "wet hours": "wet_hours",
}
NOTHING = "nothing to judge"  # of an assembly that holds nothing that could come to harm
HARM = ("mould index", "wood moisture")


def outcome(result: Result, at: int = 0) -> Cells:
    """The row of one assembly of a run, without what the plan says of the variant."""
    found = within(result, result.assemblies[at])
    proofs = evidence(result, found)
    judged = judge(result, found, proofs)
    year = energy(result, found) if proofs and has_year(result) else None
    return {
        **_ended(found, judged),
        **_decided(judged),
        **_worst(result, found, judged),
        **_moisture(findings(proofs)),
        **_energies(year),
        **_of_house(result),
        **_balances(result, found),
    }


def failed(reason: str) -> Cells:
    """The row of a variant that could not be run."""
    return {"status": "failed", "reason": reason[:LONGEST]}


def _ended(found: AssemblyResult, judged: Verdict) -> Cells:
    """Status, and why there is no verdict: never an empty level without a reason."""
    if found.outcome.name != "completed":
        status = "stopped"
    elif not found.converged:
        status = "not converged"
    else:
        status = "ok" if judged.level is not None else "no verdict"
    reason = "" if status == "ok" else "; ".join(judged.reasons)
    return {"status": status, "reason": reason[:LONGEST], "level": judged.level or ""}


def _decided(judged: Verdict) -> Cells:
    return {
        "rank": _number(judged.rank),
        "settled_rank": _number(judged.settled_rank),
        "decided_by": judged.decided_by,
        "place": judged.plane,
        "path": judged.path,
        "value": _number(judged.value),
        "limit": _number(judged.limit),
        "margin": _number(judged.margin),
        "unit": judged.unit,
    }


def _worst(result: Result, own: AssemblyResult, judged: Verdict) -> Cells:
    """The wettest of all assemblies that ran: a house is run whole, and any part of it may rot.

    Without a rank where one has no verdict but has something to judge.
    """
    ranks = {own.assembly.name: _number(judged.rank)}
    for other in result.assemblies:
        if other.assembly.name == own.assembly.name:
            continue
        found = within(result, other)
        verdict = judge(result, found, evidence(result, found))
        if verdict.rank is not None or any(one.key != NOTHING for one in verdict.withheld):
            ranks[other.assembly.name] = _number(verdict.rank)
    name = max(ranks, key=lambda one: (isnan(ranks[one]), ranks[one]))
    return {"worst_rank": ranks[name], "worst_assembly": name}


def _of_house(result: Result) -> Cells:
    """Heat out of the rooms in the last year, where zones are part of the case."""
    if not is_house(result.case) or not has_year(result):
        return {}
    house = spaces_of(result).house
    return {} if house is None else {"house_loss_kwh": house.year_kwh}


def _moisture(found: Iterable[Finding]) -> Cells:
    """Largest value of each check that may decide; of harm, the one nearest to its limit."""
    known = [one for one in found if one.decides and one.value is not None]
    largest = {
        name: max((float(one.value or 0.0) for one in known if one.check == check), default=NAN)
        for check, name in OF_CHECK.items()
    }
    harm = [one for one in known if one.check in HARM and one.limit]
    return {
        **largest,
        "nearest_limit": _nearest((one.value, one.limit) for one in harm),
        "nearest_limit_last_year": _nearest((one.settled, one.limit) for one in harm),
    }


def _nearest(pairs: Iterable[tuple[float | None, float | None]]) -> float:
    """Largest value over its limit; NaN where there is none, or a value is not known."""
    shares = [NAN if value is None or not limit else value / limit for value, limit in pairs]
    return max(shares) if shares and not any(map(isnan, shares)) else NAN


def _energies(year: Energy | None) -> Cells:
    if year is None:
        return {}
    return {
        "annual_heat_loss_total_kwh_m2": year.heat_loss.total,
        "annual_heat_loss_conducted_kwh_m2": year.heat_loss.conducted,
        "annual_heat_loss_carried_kwh_m2": year.heat_loss.carried,
        "annual_heat_gain_total_kwh_m2": year.heat_gain.total,
        "heating_season_loss_total_kwh_m2": year.heating_season_loss.total,
        "cooling_season_gain_total_kwh_m2": year.cooling_season_gain.total,
        "peak_loss_total_w_m2": year.peak_loss.total,
        "peak_gain_total_w_m2": year.peak_gain.total,
    }


def _balances(result: Result, found: AssemblyResult) -> Cells:
    paths = found.paths
    return {
        "u_value_w_m2k": found.u_value,
        "years": float(years_run(result)),
        "heat_balance_error": max(path.heat_balance_error for path in paths),
        "moisture_balance_error": max(path.moisture_balance_error for path in paths),
        "state_defect": max(path.state_defect for path in paths),
        "inputs_sha256": result.provenance.get("inputs_sha256", ""),
    }


def _number(value: float | None) -> float:
    return NAN if value is None else float(value)

"""The summary of a run, typed: what text, page, JSON and tables are all made of.

Numbers are SI and the words are names; sentences are made from both, last. `run_summary` writes
it out as the plain object of the contract (`verdict/contract.py`).
"""

from __future__ import annotations

from dataclasses import dataclass

from assembly_sim import __version__
from assembly_sim.boundary.forcing import forcing_notes
from assembly_sim.boundary.period import USUAL_YEAR, whole_years
from assembly_sim.boundary.room_state import room_year
from assembly_sim.boundary.room_temperature import of_room
from assembly_sim.checks.energy import Energy, energy
from assembly_sim.checks.finding import Finding
from assembly_sim.checks.planes import has_year, last_year
from assembly_sim.envelope.airways import describe_leak
from assembly_sim.envelope.paths import defect_shares
from assembly_sim.envelope.resistances import drawn_u_value, material_on_path, steady_layers
from assembly_sim.hand.summary import SteadySummary, steady_summary
from assembly_sim.model import Case
from assembly_sim.solver.result import AssemblyResult, Outcome, Result
from assembly_sim.verdict.cautions import cautions, first_cautions
from assembly_sim.verdict.evidence import Evidence, evidence, findings, within
from assembly_sim.verdict.house_summary import HouseSummary, spaces_of
from assembly_sim.verdict.period import Period, period_of, stated_of_weather
from assembly_sim.verdict.stream_summary import StreamSummary
from assembly_sim.verdict.verdict import Verdict, judge
from assembly_sim.verdict.zone_summary import ZoneSummary


@dataclass(frozen=True)
class PlaneSummary:
    """One side of one plane on one path: counts of the last year, humidity and mould of all.

    Masses kg/m2 but for wetting_potential_g_m2; None where there is no such number.
    """

    index: int
    name: str
    side: str
    path: str
    reach: str
    drained: bool
    condensation_risk_hours: int
    dew_point_hours: int | None
    wetting_potential_g_m2: float | None
    max_relative_humidity: float
    mould_index_max: float | None
    hours_over_ice_saturation: int
    wet_hours: int
    longest_wet_spell_hours: int
    free_water_max_kg_m2: float
    dries_within_year: bool | None


@dataclass(frozen=True)
class LayerSummary:
    """A layer that holds water on one path: its extremes of the last year; moisture of wood."""

    index: int
    name: str
    material: str
    path: str
    water_max_kg_m2: float
    water_min_kg_m2: float
    moisture_content_max: float | None


@dataclass(frozen=True)
class DefectShare:
    """A path past a defect, and its share of the area (0-1)."""

    path: str
    share: float


@dataclass(frozen=True)
class AssemblySummary:
    """One assembly: energy of the last year (None where there is no whole year), moisture of all.

    window_energy: that of a window that holds no whole year, seasons by its own days; has_year:
    whether counts are of a whole year, not of the run.

    inside, outside: the spaces it lies between; faces_room: whether inside is a room, so that its
    heat is lost from one. u_value W/(m2 K), with its defects; as drawn: without them, None where
    there is none; defects: their paths and shares of the area. Surface resistances m2K/W, inside
    and outside; the errors are the largest of its paths.
    """

    name: str
    inside: str
    outside: str
    faces_room: bool
    area_m2: float
    u_value_w_m2k: float
    u_value_as_drawn_w_m2k: float | None
    defects: tuple[DefectShare, ...]
    surface_resistances: str
    surface_resistances_m2k_w: tuple[float, float]
    energy: Energy | None
    window_energy: Energy | None
    has_year: bool
    heat_balance_error: float
    moisture_balance_error: float
    state_defect: float
    fallback_steps: int
    converged: bool
    outcome: Outcome
    planes: tuple[PlaneSummary, ...]
    layers: tuple[LayerSummary, ...]
    verdict: Verdict
    findings: tuple[Finding, ...]
    steady: SteadySummary


@dataclass(frozen=True)
class RunSummary:
    """A run: what it rests on, once for all assemblies, then each of them.

    assumptions and climate_notes may hold quantities in marks (`units.marked`); room_notes: what
    was held back of the room's humidity, at the head of climate_notes as well; first_cautions:
    those that come before all others, a line each; all of them are in cautions too, at length.
    house, zones and streams: of a case that is more than assemblies in one room.
    """

    version: str
    inputs_sha256: str | None
    climate: str
    climate_hours: int
    climate_notes: tuple[str, ...]
    room_notes: tuple[str, ...]
    years: float
    period: Period
    assumptions: tuple[str, ...]
    assemblies: tuple[AssemblySummary, ...]
    cautions: tuple[str, ...]
    first_cautions: tuple[str, ...]
    house: HouseSummary | None = None
    zones: tuple[ZoneSummary, ...] = ()
    streams: tuple[StreamSummary, ...] = ()


def typed_summary(result: Result) -> RunSummary:
    """The whole summary of a run."""
    case, room = result.case, room_notes(result.case)
    spaces = spaces_of(result)
    return RunSummary(
        version=__version__,
        inputs_sha256=result.provenance.get("inputs_sha256"),
        climate=case.climate.name,
        climate_hours=case.climate.hours,
        climate_notes=(*room, *case.climate.notes),
        room_notes=room,
        years=years_run(result),
        period=period_of(result),
        assumptions=assumptions(result),
        assemblies=tuple(typed_assembly(result, found) for found in result.assemblies),
        cautions=cautions(case),
        first_cautions=first_cautions(case),
        house=spaces.house,
        zones=spaces.zones,
        streams=spaces.streams,
    )


def room_notes(case: Case) -> tuple[str, ...]:
    """What was held back of the rooms' humidity; the room's name where there are several."""
    if not case.more_rooms:
        return room_year(case).notes
    return tuple(
        f"{room.name}: {note}"
        for room in case.rooms
        for note in room_year(of_room(case, room.name)).notes
    )


def assumptions(result: Result) -> tuple[str, ...]:
    """What the case does not say and how its weather was used: once where all assemblies share it.

    What concerns one assembly alone begins with its name.
    """
    case = result.case
    zones = {zone.name for zone in case.zones}
    own = [
        *stated_of_weather(case),
        *(f"{one.name}: {note}" for one in case.assemblies for note in forcing_notes(case, one)),
        *(
            f"{one.name}: {describe_leak(one, one.inside in zones)}"
            for one in case.assemblies
            if one.leak is not None
        ),
    ]
    return once(own, [one.name for one in case.assemblies])


def once(phrases: list[str], names: list[str]) -> tuple[str, ...]:
    """Phrases that begin with a name, `wall: ...`, told once where every name has the same."""

    def bare(phrase: str) -> str:
        starts = [name for name in names if phrase.startswith(f"{name}: ")]
        return phrase.removeprefix(f"{max(starts, key=len)}: ") if starts else ""

    def is_shared(told: str) -> bool:
        return len(names) > 1 and bool(told) and all(f"{n}: {told}" in phrases for n in names)

    told = (bare(one) if is_shared(bare(one)) else one for one in phrases)
    return tuple(dict.fromkeys(told))


def years_run(result: Result) -> float:
    """Years that were computed: a whole number, unless the run stopped or ran through a window."""
    climate = result.case.climate
    whole = whole_years(climate, result.hours)
    if not climate.wraps and whole and whole[0].start == 0:
        return len(whole)
    years = result.hours / (climate.hours if climate.wraps else USUAL_YEAR)
    return int(years) if years == int(years) else round(years, 3)


def typed_assembly(result: Result, found: AssemblyResult) -> AssemblySummary:
    """One assembly of the summary."""
    found = within(result, found)
    proofs = evidence(result, found)
    paths = found.paths
    layers = steady_layers(found.assembly)
    past = defect_shares(found.assembly)
    return AssemblySummary(
        name=found.assembly.name,
        inside=found.assembly.inside,
        outside=found.assembly.outside,
        faces_room=found.assembly.inside in {room.name for room in result.case.rooms},
        area_m2=found.assembly.area,
        u_value_w_m2k=found.u_value,
        u_value_as_drawn_w_m2k=drawn_u_value(found.assembly) if past else None,
        defects=tuple(DefectShare(*one) for one in past.items()),
        surface_resistances=found.surface_resistances,
        surface_resistances_m2k_w=(layers.inner_surface, layers.outer_surface),
        energy=energy(result, found) if has_year(result) else None,
        window_energy=window_energy(result, found),
        has_year=has_year(result),
        heat_balance_error=max(path.heat_balance_error for path in paths),
        moisture_balance_error=max(path.moisture_balance_error for path in paths),
        state_defect=max(path.state_defect for path in paths),
        fallback_steps=max(int(path.statistics.get("fallback steps", 0.0)) for path in paths),
        converged=found.converged,
        outcome=found.outcome,
        planes=tuple(
            _plane(proof, position, has_year(result))
            for proof in proofs
            for position in range(len(proof.path.planes))
        ),
        layers=tuple(row for proof in proofs for row in _layers(result, found, proof)),
        verdict=judge(result, found, proofs),
        findings=findings(proofs),
        steady=steady_summary(result.case, found.assembly),
    )


def window_energy(result: Result, found: AssemblyResult) -> Energy | None:
    """Energy of a window that holds no whole year; None of any other run."""
    if result.case.climate.wraps or has_year(result) or not result.hours:
        return None
    return energy(result, found)


def _plane(proof: Evidence, position: int, a_year: bool) -> PlaneSummary:
    plane, found = proof.path.planes[position], proof.condensation[position]
    return PlaneSummary(
        index=plane.index,
        name=plane.name,
        side=plane.side,
        path=proof.path.name,
        reach=plane.reach,
        drained=plane.drained,
        condensation_risk_hours=found.last.risk_hours,
        dew_point_hours=found.dew_point_hours,
        wetting_potential_g_m2=found.wetting_potential,
        max_relative_humidity=found.humidity_max,
        mould_index_max=float(proof.mould_peak[position]),
        hours_over_ice_saturation=found.last.over_ice_hours,
        wet_hours=found.last.wet_hours,
        longest_wet_spell_hours=found.last.longest_wet_spell,
        free_water_max_kg_m2=found.last.free_water,
        dries_within_year=found.last.dries if a_year else None,
    )


def _layers(result: Result, found: AssemblyResult, proof: Evidence) -> list[LayerSummary]:
    """Layers that hold water: its extremes, and for wood the moisture by mass, last year."""
    year, path = last_year(result), proof.path
    boards = {board.layer: board for board in proof.boards}
    rows = []
    for index, layer in enumerate(found.assembly.layers):
        material = material_on_path(layer, path.name)
        if material is None or not path.layer_water[:, index].any():
            continue
        board, water = boards.get(index), path.layer_water[year, index]
        wettest = None if board is None else float(board.moisture[year].max())
        rows.append(
            LayerSummary(
                index=index,
                name=layer.name,
                material=material.name,
                path=path.name,
                water_max_kg_m2=float(water.max()),
                water_min_kg_m2=float(water.min()),
                moisture_content_max=wettest,
            )
        )
    return rows

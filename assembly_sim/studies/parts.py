"""A house in parts: what each lets out of the rooms hour by hour, and what becomes of it.

A part is a name, an area, two streams of heat (conducted, and carried by air) and a verdict,
wherever it comes from: an assembly by itself, or a house whose air and attics are solved together.
`pieces` cuts a case into what can be run by itself, and `parts_of` reads a run; all else of a
comparison is the same for both.
"""

from __future__ import annotations

import numpy as np

from assembly_sim.boundary.carried import mass_through, streams
from assembly_sim.boundary.period import whole_years
from assembly_sim.checks.energy import seasons_of
from assembly_sim.checks.planes import last_year
from assembly_sim.model import Case
from assembly_sim.solver.leaks import rows_alone
from assembly_sim.solver.result import AssemblyResult, Result
from assembly_sim.studies.house_parts import parts_of_house
from assembly_sim.studies.part import Array, Days, Marched, Part, way_out
from assembly_sim.studies.variation import alone
from assembly_sim.verdict.evidence import within
from assembly_sim.verdict.summary import AssemblySummary, typed_assembly

ELSEWHERE = "air that leaves elsewhere"
"""The part that stands for the rest of the house, where a case does not balance its air."""


def pieces(case: Case) -> tuple[Case, ...]:
    """What can be run by itself: each assembly in the room that all give, or a house as a whole."""
    if case.breathes or case.more_rooms or case.ducts:
        return (case,)
    return tuple(alone(case, at) for at in range(len(case.assemblies)))


def parts_of(result: Result) -> Marched:
    """The parts of one run."""
    summaries = [typed_assembly(result, found) for found in result.assemblies]
    converged = all(one.converged for one in summaries)
    stopped = any(found.outcome.name != "completed" for found in result.assemblies)
    if stopped or not whole_years(result.case.climate, result.hours):
        parts = tuple(_part(each, None, one) for each, one in zip(result.assemblies, summaries))
        return Marched(parts, None, np.zeros(0), np.zeros(0, dtype=bool), converged)
    year = last_year(result)
    cut = [within(result, found) for found in result.assemblies]
    incoming = [_net_incoming(result, found, year) for found in cut]
    air = cut[0].drivers
    marched = Marched(
        parts=tuple(_part(found, year, one) for found, one in zip(cut, summaries)),
        days=days_of(result, year),
        net_incoming=np.sum(incoming, axis=0),
        colder=air.outdoor_temperature[year] < air.room_temperature[year],
        converged=converged,
    )
    house = result.case.breathes or bool(result.case.more_rooms)
    return parts_of_house(result, year, marched) if house else marched


def _part(found: AssemblyResult, year: slice | None, summary: AssemblySummary) -> Part:
    """One assembly of a run, its paths together."""
    area = found.assembly.area
    nothing = np.zeros(0)

    def whole(name: str) -> Array:
        if year is None:
            return nothing
        paths = [path.share * getattr(path, name)[year] for path in found.paths]
        return area * np.sum(paths, axis=0)

    return Part(
        name=found.assembly.name,
        area=area,
        leaves=way_out(found.assembly),
        conducted=whole("heat_flux_room"),
        carried=whole("carried_heat"),
        resistance=1.0 / found.u_value,
        summary=summary,
    )


def _net_incoming(result: Result, found: AssemblyResult, year: slice) -> Array:
    """What warms the air that comes in through an assembly beyond what goes out, W.

    Air whose house is balanced goes out by another part; what is blown through layers is not in it.
    """
    assembly, case = found.assembly, result.case
    if case.breathes and not assembly.air_through:
        return np.zeros(year.stop - year.start)
    rows = rows_alone(case, assembly, None)
    air = streams(rows, mass_through(assembly))
    hours = np.arange(year.start, year.stop) % len(air.incoming_heat)
    return assembly.area * (air.incoming_heat - air.outgoing_heat)[hours]


def days_of(result: Result, year: slice) -> Days:
    """The last year's seasons and calendar."""
    climate = result.case.climate
    heating, cooling = seasons_of(result, within(result, result.assemblies[0]))
    hours = np.arange(year.start, year.stop)
    if climate.wraps:
        clock = hours % 24
    else:
        starts = climate.hour_starts[year]
        clock = (starts - starts.astype("datetime64[D]")).astype(int)
    return Days(heating[year], cooling[year], result.month[year], clock)


def whole_house(marched: tuple[Marched, ...]) -> tuple[tuple[Part, ...], Days] | None:
    """All parts of an option's house with its days; None where a run holds no whole year.

    Where more air comes in through the parts than leaves by them, the rest of the house lets it
    out again: what it takes with it is a part of its own, so that no leak that lets air in seems
    to save heat.
    """
    if any(one.days is None for one in marched):
        return None
    parts = tuple(part for one in marched for part in one.parts)
    net = np.sum([one.net_incoming for one in marched], axis=0)
    inward = np.where(marched[0].colder, net > 0.0, net < 0.0)
    if inward.any():
        left = np.where(inward, net, 0.0)
        parts += (Part(ELSEWHERE, 0.0, "leaks", np.zeros(len(left)), left),)
    days = marched[0].days
    assert days is not None
    return parts, days

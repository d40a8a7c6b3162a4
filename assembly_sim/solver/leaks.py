"""Leaks of a house whose air is balanced, as what marches beside its zones is given them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.columns import LEAK
from assembly_sim.boundary.forcing import boundary_rows
from assembly_sim.boundary.house import estimated, given_flows, leak_opening
from assembly_sim.boundary.house_rows import from_start
from assembly_sim.boundary.room_temperature import rooms_temperature
from assembly_sim.boundary.stamps import from_states, on_half_hours
from assembly_sim.model import Assembly, Case
from assembly_sim.model.assembly import OUTDOORS
from assembly_sim.solver.house import space_rows
from assembly_sim.solver.house_result import space_leaks, stream_results
from assembly_sim.solver.jobs import HouseJob, Job
from assembly_sim.solver.march import March
from assembly_sim.solver.result import StreamResult

Floats = NDArray[np.float64]


def leaks_of(case: Case, floats: Sequence[Job], marches: Sequence[March]) -> dict[int, Floats]:
    """Half-hour rows of each leak (kg/s, from the run's start) by the assembly's number.

    Of a house with zones its last year; of rooms alone the balance of their air, whose
    temperatures are known.
    """
    for job, found in zip(floats, marches):
        assert isinstance(job, HouseJob)
        hourly = space_leaks(found, job.house, case.climate.hours)
        return {number: _stamps(case, flow) for number, flow in hourly.items()}
    flows = estimated(case).flows
    leaky = [k for k, one in enumerate(case.assemblies) if leak_opening(one) is not None]
    if flows is None:
        return {}
    return {
        number: from_start(case, on_half_hours(case.climate, from_states, flows.flow[:, k]))
        for k, number in enumerate(leaky)
    }


def _stamps(case: Case, means: Floats) -> Floats:
    """Half-hour rows of hourly means: each at its half hour, half-way between at the hours."""
    before = np.roll(means, 1) if case.climate.wraps else np.append(means[:1], means[:-1])
    rows = np.column_stack([0.5 * (before + means), means]).ravel()
    return np.append(rows, rows[0] if case.climate.wraps else means[-1])


def rows_alone(case: Case, assembly: Assembly, leak: Floats | None) -> Floats:
    """Boundary rows of an assembly at no zone; `leak`: its stream (kg/s) where air is balanced."""
    if not case.breathes and assembly.outside == OUTDOORS and assembly.inside == case.room.name:
        return boundary_rows(case, assembly)
    rows = space_rows(case, assembly, estimated(case))
    if case.breathes:
        rows[:, LEAK] = 0.0 if leak is None else leak / assembly.area
    return rows


def known_streams(case: Case, ended: Sequence[tuple[Job, March]]) -> tuple[StreamResult, ...]:
    """Air between the spaces of a house by the hours of its run."""
    for job, found in ended:
        if isinstance(job, HouseJob):
            return stream_results(found, job.house)
    estimate, hours = estimated(case), ended[0][1].hours
    if estimate.flows is None:
        return ()
    temperature = {**rooms_temperature(case), OUTDOORS: case.climate.temperature}
    leaks = sum(leak_opening(one) is not None for one in case.assemblies)

    def through(flow: Floats) -> Floats:
        rows = from_start(case, on_half_hours(case.climate, from_states, flow))
        means = 0.25 * (rows[:-1:2] + 2.0 * rows[1::2] + rows[2::2])
        return np.resize(means, hours)

    named = [
        StreamResult(
            one.name,
            "leak" if k < leaks else "opening",
            one.inside,
            one.outside,
            through(estimate.flows.flow[:, k]),
            one,
        )
        for k, one in enumerate(estimate.openings)
    ]
    more = [
        StreamResult(one.name, "given", one.source, one.target, through(one.flow))
        for one in given_flows(case, temperature)
    ]
    return (*named, *more)

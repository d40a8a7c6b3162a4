"""Air between the spaces of a house: each hole, leak and fan in the heating season and the year."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.physics.airflow import REFERENCE_DENSITY
from assembly_sim.solver.result import Result, StreamResult

Array = NDArray[np.float64]
Hours = NDArray[np.bool_]
HOUR = 3600.0  # s


@dataclass(frozen=True)
class StreamSummary:
    """One way for air in the last year; flows m3/s of air of 1.2 kg/m3.

    kind: `leak` of the assembly of that name, `opening` or `given` (fan, duct, air change);
    heating_season_flow_m3_s: mean of what passed either way in the season's hours, of which
    hours_outward went from inside to outside; year_outward_kg, year_inward_kg: dry air. heat: kWh
    that it carried out of the rooms in the hours in which the house loses, of the season and of the
    year, part of what leaves by the way of its name; None where it joins no room, and of ducts,
    whose leaks are counted with them.
    """

    name: str
    kind: str
    inside: str
    outside: str
    heating_season_flow_m3_s: float
    heating_season_hours: int
    hours_outward: int
    year_outward_kg: float
    year_inward_kg: float
    heating_season_kwh: float | None
    year_kwh: float | None


def stream_summaries(
    result: Result,
    year: Hours,
    season: Hours,
    carried: dict[tuple[str, str], tuple[float, float]],
) -> tuple[StreamSummary, ...]:
    """Every stream of a run; carried: kWh by name and kind, of the season and of the year."""
    return tuple(
        _stream(one, result.hours, year, season, carried.get((one.name, one.kind)))
        for one in result.streams
    )


def _stream(
    one: StreamResult, hours: int, year: Hours, season: Hours, heat: tuple[float, float] | None
) -> StreamSummary:
    flow = one.flow[:hours]
    amount = np.abs(flow[season])
    return StreamSummary(
        name=one.name,
        kind=one.kind,
        inside=one.inside,
        outside=one.outside,
        heating_season_flow_m3_s=_mean(amount) / REFERENCE_DENSITY,
        heating_season_hours=int(season.sum()),
        hours_outward=int(np.count_nonzero(flow[season] > 0.0)),
        year_outward_kg=HOUR * float(np.maximum(flow[year], 0.0).sum()),
        year_inward_kg=HOUR * float(np.maximum(-flow[year], 0.0).sum()),
        heating_season_kwh=None if heat is None else heat[0],
        year_kwh=None if heat is None else heat[1],
    )


def _mean(values: Array) -> float:
    return float(values.mean()) if len(values) else 0.0

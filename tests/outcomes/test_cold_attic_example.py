"""What the notes on the examples say of the house with the cold attic, held to short runs of it.

60 days of winter: shares of heat are those of its heating season within some points.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from assembly_sim.changes import Set, applied
from assembly_sim.changes.leak import SealBetween
from assembly_sim.checks.house import ways_out
from assembly_sim.files.case.read import read_case
from assembly_sim.physics.moist_air import saturation_pressure_over_stable_phase
from assembly_sim.solver.result import Result
from assembly_sim.solver.run import run
from tests.windows import window

ROOT = Path(__file__).parents[2]
DUCTS = 'ducts."furnace ducts"'
MEASURES = {
    "as found": (),
    "fill": (Set('assembly."Attic floor".layer."loose fill".thickness', 0.4),),
    "sealed": (SealBetween("room", "attic", 0.9),),
    "ducts": (
        Set(f"{DUCTS}.supply_leak", 0.02),
        Set(f"{DUCTS}.return_leak", 0.01),
        Set(f"{DUCTS}.resistance", 8.0 * 0.176110),
    ),
}


@cache
def winter(measure: str) -> Result:
    """The house in December and January."""
    found = read_case(ROOT / "examples" / "cold_attic.toml")
    case = applied(found, *MEASURES[measure])
    climate = window(case.climate, 24 * 334, 24 * 60)
    return run(replace(case, climate=climate), workers=1)


def kept(measure: str) -> float:
    """Share of the heat as found that a measure keeps in."""
    heat = {
        name: sum(float(way.total.sum()) for way in ways_out(winter(name)))
        for name in ("as found", measure)
    }
    return 1.0 - heat[measure] / heat["as found"]


def damp_hours(measure: str) -> int:
    """Hours of condensation risk, over ice in frost, at the worse face of the north deck."""
    (north,) = (one for one in winter(measure).assemblies if one.assembly.name == "North slope")
    path = north.paths[0]
    stable = saturation_pressure_over_stable_phase(path.temperature[:, -2:])
    return int((path.vapour_pressure[:, -2:] / stable >= 0.95).sum(axis=0).max())


def test_what_each_measure_keeps_in():
    """8, 7 and 22 % of the heating season's heat, within some points."""
    assert kept("fill") == pytest.approx(0.08, abs=0.02)
    assert kept("sealed") == pytest.approx(0.07, abs=0.02)
    assert kept("ducts") == pytest.approx(0.22, abs=0.03)


def test_sealing_dries_the_deck_and_each_makes_the_attic_colder():
    """Less room air, or less heat; more fill without seals wets it."""
    assert damp_hours("sealed") < damp_hours("as found") < damp_hours("fill")
    mean = {name: winter(name).zones[0].temperature.mean() for name in MEASURES}
    assert all(mean[name] < mean["as found"] for name in ("fill", "sealed", "ducts"))
    assert min(mean, key=mean.__getitem__) == "ducts"

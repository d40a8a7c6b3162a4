"""Houses whose fate is known, and what their reports must not say of them (common practice).

The whole report is read, words and all: a rotting house that is called dry is the worst there is.
"""

from __future__ import annotations

import dataclasses
from functools import cache

import pytest

from assembly_sim.model import Ducts, Fan, Pipe
from assembly_sim.report.text import run_text
from assembly_sim.solver.result import Result
from assembly_sim.solver.run import run
from assembly_sim.verdict.rules import WET
from assembly_sim.verdict.summary import RunSummary, typed_summary
from tests import small_house

COOLER = Ducts(
    *("ducts", "attic", 0.35, 25.0, 12.0, 1.4, 286.15),
    full_load_temperature=308.15,
    balance_temperature=297.15,
    supply_leak=0.11,
    return_leak=0.11,
)
HUMID = small_house.TEXT.replace('"cold_inland"', '"hot_humid"').replace(
    'temperature = "20 degC"', 'temperature = "23 degC"'
)
VENTS = (("soffit", 0.01), ("ridge", 0.01))


def sized(case, **areas: float):
    """The case with other areas (m2) of some openings."""
    holes = tuple(
        dataclasses.replace(one, shape=dataclasses.replace(one.shape, area=areas[one.name]))
        if one.name in areas
        else one
        for one in case.openings
    )
    return dataclasses.replace(case, openings=holes)


@cache
def bath_fan() -> Result:
    """3 L/s of a bathroom's air, all the time, into an attic with small vents, and a pipe there."""
    case = sized(small_house.read(), hatch=2e-4, **dict(VENTS))
    return run(
        dataclasses.replace(
            case,
            fans=(Fan(0.003, "attic", "room", "bath fan"),),
            pipes=(Pipe("tap", "attic", insulation=0.025),),
        )
    )


@cache
def cooled() -> Result:
    """A cooler's ducts that leak in a hot attic."""
    return run(dataclasses.replace(small_house.read(HUMID), ducts=(COOLER,), years=1))


def read(result: Result) -> tuple[RunSummary, str]:
    return typed_summary(result), " ".join(run_text(result).split())


def test_a_bath_fan_into_an_attic_rots_its_deck_and_is_called_a_defect():
    """And its pipe freezes; nothing of it is called dry but the warm ceiling."""
    summary, text = read(bath_fan())
    (roof,) = (one for one in summary.assemblies if one.name == "Roof")
    assert roof.verdict.rank >= WET
    assert "Wettest around the attic in the 3 years computed is Roof" in text
    assert "Defect: a fan blows room air into an unheated space" in text
    assert "to attic to the attic" not in text
    (pipe,) = summary.zones[0].pipes
    assert pipe.hours_below_0_degc > 1000
    assert f"below freezing for {pipe.hours_below_0_degc} h" in text
    assert "right over a hole it may be wetter" in text


def test_leaking_ducts_of_a_cooler_are_no_way_that_costs_nothing():
    """No heat leaves by them in winter; in summer they are the largest that comes in."""
    summary, text = read(cooled())
    assert summary.house is not None
    first = summary.house.gains[0]
    assert first.name == "ducts in attic"
    assert first.kwh > 0.3 * summary.house.cooling_season_kwh
    assert sum(one.kwh for one in summary.house.gains) == pytest.approx(
        summary.house.cooling_season_kwh
    )
    assert "come into the rooms by it, most by ducts in attic" in text
    assert "dew on their jackets and boots is not computed" in text

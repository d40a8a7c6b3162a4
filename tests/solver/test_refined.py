"""Results stand when cells are an eighth as wide and steps a quarter as long: part of a study.

`python tests/bench/mesh.py` does it for all years of all subjects.
"""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest
from test_hard_cases import brick_in_the_rain

from assembly_sim.boundary.forcing import boundary_rows
from assembly_sim.checks.planes import humidity_at
from assembly_sim.errors import InputError
from assembly_sim.files.case.read import read_case
from assembly_sim.solver import run as running
from assembly_sim.solver.run import run, run_path
from tests.bench import mesh as study

EXAMPLES = Path(__file__).parents[2] / "examples"
GABLE_WALL = read_case(EXAMPLES / "gable_wall.toml")


def test_a_year_of_the_gable_wall():
    """Its sheathing is where a first cell of 1 mm counted 690 wet hours for 585."""
    (subject, _) = study.of_case("gable wall", GABLE_WALL, years=1)
    found = study.compared(subject)
    assert found["failed"] == {}


def test_weeks_of_random_walls():
    found = {one.name: study.compared(one)["failed"] for one in study.random_weeks(6)}
    assert len(found) == 6
    assert {name: failed for name, failed in found.items() if failed} == {}


def test_the_study_sees_a_mesh_that_is_too_coarse():
    """Half as many cells, and the same wall fails."""
    (subject, _) = study.of_case("gable wall", GABLE_WALL, years=1)
    coarse, usual = (study.figures(subject, subject.marching(r, 1.0)) for r in (0.4, 1.0))
    assert study.differences(coarse, usual)["failed"]


def test_the_committed_study_holds():
    """What was run of it, a year each: all of it lies within its limits."""
    found = json.loads(Path(study.__file__).with_suffix(".json").read_text())
    assert (found["refine"], found["steps"]) == (study.REFINE, study.STEPS)
    subjects = found["subjects"]
    assert len(subjects) >= 13
    assert [one["name"] for one in subjects if "stopped" in one] == []
    assert {one["name"]: list(one["failed"]) for one in subjects if one["failed"]} == {}


@pytest.mark.parametrize("refine", [0.0, -1.0, 33.0, math.nan, math.inf])
def test_a_refinement_that_makes_no_mesh_is_refused(refine):
    with pytest.raises(InputError, match=r"refine.*choose 0\.1 to 32"):
        run(GABLE_WALL, refine=refine)


def test_a_run_is_refined_and_says_so():
    month = replace(GABLE_WALL, climate=GABLE_WALL.climate, years=1)
    assert running.provenance(month).keys() >= {"version"}
    plain, fine = run(month), run(month, refine=2.0)
    assert plain.provenance["refine"] == "1"
    assert fine.provenance["refine"] == "2"
    wet = [one.assemblies[0].paths[0].layer_water[:, 3].max() for one in (plain, fine)]
    assert wet[0] != wet[1]
    assert wet[0] == pytest.approx(wet[1], rel=0.05)


def test_no_hour_s_humidity_passes_saturation():
    """Wet claddings and decks swing by kelvins within an hour; pores hold no more than 100 %."""
    case = replace(read_case(EXAMPLES / "rafter_bay_foam.toml"), years=1)
    for path in run(case).assemblies[0].paths:
        for position in range(len(path.planes)):
            humidity = humidity_at(path, position)
            assert humidity.min() > 0.0
            assert humidity.max() < 1.0001  # a kilogram of film adds 7e-6
        assert path.relative_humidity.max() > 0.999


def test_rain_on_cells_of_micrometres_stops_no_march():
    """Rain fills such a cell within a second: no cut mends the error that its flow's jump leaves.

    A storm in July once stopped it in hour 4691.
    """
    case = brick_in_the_rain()
    (part,) = case.assemblies
    rows = boundary_rows(case, part)
    _, outcome = run_path(case, part, "main", rows, 4700, refine=8.0, steps=0.25)
    assert outcome.name == "completed"

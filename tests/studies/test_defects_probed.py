"""Studies of assemblies with defects: what is tried can be, and tries to put them right."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assembly_sim.changes import applied
from assembly_sim.envelope.paths import as_drawn
from assembly_sim.model import Defect
from assembly_sim.solver.mesh import build_mesh
from assembly_sim.studies import ladders as tried
from assembly_sim.studies.forgiveness import position
from tests import synthetic
from tests.outcomes.built import case, climate, layer

FOAM, BATT = layer("polyiso", 50, "foam"), layer("glass-fibre batt", 140, "batt")
GAPS = (Defect("edge gaps", 0.025), Defect("thin", 0.05, left=0.04))
HALF = (Defect("edge gaps", 0.025), Defect("thin", 0.05, left=0.1))
CASE = case(
    (
        layer("plywood, exterior grade", 12.7, "deck"),
        replace(BATT, defects=HALF),
        replace(FOAM, defects=GAPS),
        layer("gypsum board", 12.5),
    ),
    climate("cold_inland"),
    0.40,
)


def test_thinner_foam_has_as_much_of_its_defects_left():
    ladder = tried.foam_ladder(CASE, 0)
    for variant in ladder.variants:
        foam = applied(CASE, *variant.changes).assemblies[0].layers[2]
        assert foam.thickness == pytest.approx(variant.value)
        assert [one.path for one in foam.defects] == ["edge gaps", "thin"]
        assert foam.defects[1].left / foam.thickness == pytest.approx(0.8)


def test_putting_all_of_them_right_is_tried():
    (variant,) = tried.repairs(CASE, 0)
    assert applied(CASE, *variant.changes).assemblies[0] == as_drawn(CASE.assemblies[0])
    roof = CASE.assemblies[0].name
    said = [str(one.words.text) for one in variant.changes]
    assert said == [f"{roof}, 1: defects none", f"{roof}, 2: defects none"]
    assert tried.repairs(synthetic.case(), 0) == ()


@pytest.mark.parametrize("path", ["main", "edge gaps", "thin"])
def test_water_is_put_at_the_plane_that_a_path_has(path):
    mesh = build_mesh(CASE.assemblies[0], path, 0.8)
    for plane in range(5):
        found = mesh.planes[position(mesh, plane)]
        assert found.index >= plane
        assert all(one.index < plane for one in mesh.planes[: position(mesh, plane)])

"""Studs in an empty cavity and battens in a gap: air layers that wood bridges."""

import math
from dataclasses import replace

import pytest

from assembly_sim.checks.wood import path_boards, wood_findings
from assembly_sim.envelope.resistances import path_shares, steady_layers, u_value
from assembly_sim.errors import InputError
from assembly_sim.files.case.read import read_case
from assembly_sim.model import AirLayer, Bridge, Layer
from assembly_sim.solver.run import run
from tests.outcomes.built import MATERIALS, PAINTED_BOARD, climate, gap, layer, sheet, wall

SPRUCE = MATERIALS["spruce"]
STUDS = (Bridge("studs", 0.2, SPRUCE),)
OUTSIDE = (layer("western red cedar", 19), sheet("asphalt felt no. 15"), layer("osb", 11))
EMPTY = (*OUTSIDE, AirLayer("cavity", 0.09, bridges=STUDS), *PAINTED_BOARD)
FILLED = (*OUTSIDE, layer("glass-fibre batt", 90, "cavity", bridges=STUDS), *PAINTED_BOARD)


def part(layers):
    return wall(layers, climate("cold_inland"), 0.4).assemblies[0]


def test_the_path_of_studs_is_that_of_studs_between_batts():
    """What stands beside the stud does not change the stud: resistances path by path."""
    empty, filled = steady_layers(part(EMPTY)), steady_layers(part(FILLED))
    assert path_shares(part(EMPTY)) == pytest.approx({"main": 0.8, "studs": 0.2})
    assert empty.resistances[1] == pytest.approx(filled.resistances[1])
    assert empty.resistances[0][3] == pytest.approx(0.18, abs=0.005)  # ISO 6946, still air


def test_the_u_value_lies_between_those_of_its_paths():
    open_air = replace(EMPTY[3], bridges=())
    none = u_value(part((*OUTSIDE, open_air, *PAINTED_BOARD)))
    solid = u_value(part((*OUTSIDE, Layer("wood", SPRUCE, 0.09), *PAINTED_BOARD)))
    assert solid < u_value(part(EMPTY)) < none


def test_studs_are_marched_and_judged_as_studs_between_batts_are():
    """Same path, same planes, same moisture: the air beside it is another path."""
    asked = wall(EMPTY, climate("cold_inland"), 0.4, years=1)
    other = wall(FILLED, climate("cold_inland"), 0.4, years=1)
    results = [run(case) for case in (asked, other)]
    found = []
    for result in results:
        (assembly,) = result.assemblies
        path = next(one for one in assembly.paths if one.name == "studs")
        boards = path_boards(assembly.assembly, path)
        moistures = wood_findings(result, assembly.assembly, path, boards)
        found.append({one.place: one.value for one in moistures})
    assert set(found[0]) == {"osb", "spruce in cavity", "western red cedar"}
    assert found[0]["spruce in cavity"] == pytest.approx(found[1]["spruce in cavity"], rel=1e-6)


def test_battens_in_a_vented_gap_are_part_of_the_cladding():
    from assembly_sim.envelope.rain import cladding_layers

    vented = replace(gap(30.0), bridges=(Bridge("battens", 0.1, SPRUCE),))
    layers = (layer("western red cedar", 19), vented, layer("osb", 11), *PAINTED_BOARD)
    assert cladding_layers(part(layers)) == {0, 1}


def test_a_file_says_it_in_the_words_of_layers(tmp_path):
    text = """
format = 1
name = "shed"
climate = "cold_inland"
room = { temperature = "18 degC", humidity = "40 %" }
[[assembly]]
name = "wall"
area = "10 m2"
tilt = "90 deg"
azimuth = "0 deg"
solar_absorptance = 0.6
emittance = 0.9
[[assembly.layer]]
material = "osb"
thickness = "11 mm"
[[assembly.layer]]
air = "90 mm"
bridges = [{ path = "studs", material = "spruce", share = "20 %" }]
[[assembly.layer]]
material = "gypsum board"
thickness = "12.5 mm"
"""
    (tmp_path / "shed.toml").write_text(text)
    (assembly,) = read_case(tmp_path / "shed.toml").assemblies
    assert assembly.layers[1].bridges == (Bridge("studs", 0.2, SPRUCE),)
    (tmp_path / "shed.toml").write_text(text.replace('"20 %"', '"100 %"'))
    with pytest.raises(InputError, match="share"):
        read_case(tmp_path / "shed.toml")
    assert math.isclose(sum(path_shares(assembly).values()), 1.0)

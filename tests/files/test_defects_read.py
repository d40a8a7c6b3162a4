"""Defects as people write them, read, changed, written back, and refused with line and cure."""

import dataclasses

import pytest
from case_texts import SOUND, line_of, problems

import assembly_sim as sim
from assembly_sim.changes import Set, Times, applied
from assembly_sim.envelope.resistances import (
    conductivity_at_reference,
    drawn_u_value,
    steady_layers,
    u_value,
)
from assembly_sim.model import Defect

PROBES = 'probes = [{ name = "pipe", depth = "30 mm" }]'
LINING = '\n[[assembly.layer]]\nmaterial = "gypsum board"\nthickness = "1/2 in"\n'


def with_defects(*entries: str) -> str:
    listed = ",\n".join(entries)
    return SOUND.replace(PROBES, f"{PROBES}\ndefects = [\n{listed},\n]", 1) + LINING


VOID = '{ path = "void", share = "5 %" }'
THIN = '{ path = "thin", share = "10 %", left = "90 mm", space = "inner" }'
CRUSHED = '{ path = "crushed", share = 0.02, compressed_to = "4 in" }'
GAPS = '{ path = "edge gaps", gap = "1/4 in", spacing = "16 in" }'


@pytest.fixture
def case(tmp_path):
    path = tmp_path / "case.toml"
    path.write_text(with_defects(VOID, THIN, CRUSHED, GAPS))
    return sim.read_case(path)


def test_defects_as_written(case):
    void, thin, crushed, gaps = case.assemblies[0].layers[2].defects
    assert void == Defect("void", 0.05)
    assert (thin.left, thin.space, thin.compressed) == (pytest.approx(0.09), "inner", False)
    assert (crushed.left, crushed.compressed) == (pytest.approx(0.1016), True)
    assert gaps.share == pytest.approx(2 * 0.25 / 16)  # both edges of a piece, by geometry
    assert gaps.left == 0.0


def test_written_back_it_is_the_same(case, tmp_path):
    sim.write_case(case, tmp_path / "again.toml")
    assert sim.read_case(tmp_path / "again.toml") == case


def test_a_defect_is_changed_by_its_name(case):
    layer = 'assembly."Back wall".layer."batt"'
    worse = applied(case, Times(f'{layer}.defects."void".share', 2.0))
    assert worse.assemblies[0].layers[2].defects[0].share == pytest.approx(0.1)
    put_right = applied(case, Set(f"{layer}.defects", ()))
    us = [u_value(one.assemblies[0]) for one in (put_right, case, worse)]
    assert us == sorted(us)


def test_a_case_with_a_base_puts_them_right(case, tmp_path):
    below = tmp_path / "case.toml"
    text = f'base = "{below.name}"\n[change."Back wall".layer."batt"]\ndefects = []\n'
    (tmp_path / "right.toml").write_text(text)
    assert sim.read_case(tmp_path / "right.toml").assemblies[0].layers[2].defects == ()


@pytest.mark.parametrize(
    ("entry", "why"),
    [
        ('{ path = "a", share = "5 %", left = "5.5 in" }', "as thick as the layer"),
        ('{ path = "a", share = "5 %", left = "2 in", compressed_to = "2 in" }', "given twice"),
        ('{ path = "a", share = "5 %", compressed_to = "10 mm" }', "no less than"),
        ('{ path = "a" }', "neither once nor by a gap"),
        ('{ path = "a", share = "5 %", gap = "5 mm", spacing = "400 mm" }', "neither once"),
        ('{ path = "a", gap = "5 mm" }', "needs a spacing"),
        ('{ path = "a", gap = "300 mm", spacing = "400 mm" }', "out of range"),
        ('{ path = "a", share = "85 %" }', "whole area"),
        ('{ path = "studs", share = "23 %" }', "two things"),
        ('{ path = "main", share = "5 %" }', "own materials"),
        ('{ path = "a", share = "5 %", space = "left" }', "accepted values"),
        ('{ path = "a", share = "-5 %" }', "out of range"),
    ],
)
def test_what_cannot_be_is_refused_at_its_place(entry, why, tmp_path):
    text = with_defects(entry)
    found = problems(text, tmp_path)
    assert any(why in f"{one.cause}; {one.cure}" for one in found)
    nearest = line_of(text, entry)
    assert all(one.line and abs(one.line - nearest) <= 20 and one.cure for one in found)


def test_only_insulation_has_defects(tmp_path):
    osb = 'thickness = "11 mm"\n'
    text = SOUND.replace(osb, f"{osb}defects = [{VOID}]\n")
    (found,) = problems(text, tmp_path)
    assert "only insulation" in found.cause
    assert found.line == line_of(text, "defects")


def test_metal_framing_is_refused_with_the_reason(tmp_path):
    text = SOUND.replace('material = "spruce"', 'material = "steel sheet, galvanised"')
    (found,) = problems(text, tmp_path)
    assert "W/(m K), hundreds of times what wood does" in found.cause
    assert "zone method" in found.cure
    assert found.line == line_of(text, "bridges")


def test_the_report_says_what_a_void_costs(case):
    result = sim.run(dataclasses.replace(case, years=1))
    (told,) = [line for line in sim.report_text(result).splitlines() if "U as drawn" in line]
    (one,) = sim.summary(result)["assemblies"]
    assert 0.0 < one["u_value_as_drawn_w_m2k"] < one["u_value_w_m2k"]
    lost = 100 * (1 - one["u_value_as_drawn_w_m2k"] / one["u_value_w_m2k"])
    assert f"{lost:.2g} % of its resistance lost" in told
    planes = {plane["name"] for plane in one["planes"] if plane["path"] == "thin"}
    assert {"air layer | batt", "batt | space left by batt"} <= planes


HATCH = """format = 1
name = "Floor"
climate = "cold_inland"
[room]
temperature = "20 degC"
humidity = "40 %"
[[assembly]]
name = "Attic floor"
area = "60 m2"
tilt = "0 deg"
sheltered = true
[[assembly.layer]]
name = "fill"
material = "cellulose, loose in attic"
thickness = "10 in"
defects = [{ path = "hatch", share = "1 %" }]
[[assembly.layer]]
name = "ceiling"
material = "gypsum board"
thickness = "1/2 in"
bridges = [{ path = "hatch", material = "plywood, exterior grade", share = "1 %" }]
"""


def test_a_bare_hatch_is_a_void_and_a_bridge_of_one_name(tmp_path):
    (tmp_path / "case.toml").write_text(HATCH)
    (floor,) = sim.read_case(tmp_path / "case.toml").assemblies
    steady = steady_layers(floor)
    assert steady.paths == ("main", "hatch")
    assert steady.shares == pytest.approx([0.99, 0.01])
    plywood = floor.layers[1].bridges[0].material
    lid = 0.0127 / conductivity_at_reference(plywood)
    assert steady.resistances[1] == pytest.approx([0.0, lid])
    by_hand = 0.99 * drawn_u_value(floor) + 0.01 / (lid + 0.2)  # ISO 6946: 0.10 above and below
    assert u_value(floor) == pytest.approx(by_hand)


def test_a_hatch_of_two_shares_is_refused(tmp_path):
    text = HATCH.replace('material = "plywood, exterior grade", share = "1 %"',
                         'material = "plywood, exterior grade", share = "2 %"')  # fmt: skip
    (found,) = problems(text, tmp_path)
    assert "another share" in found.cause
    assert found.line == line_of(text, "bridges")


ATTIC_FLOOR = """format = 1
name = "washed"
climate = "cold_inland"
room = { temperature = "20 degC", humidity = "40 %" }
[[assembly]]
name = "floor"
area = "80 m2"
tilt = "0 deg"
sheltered = true
[[assembly.layer]]
name = "fill"
material = "cellulose, loose in attic"
thickness = "200 mm"
defects = [{ path = "eaves", share = "10 %", WASHED }]
[[assembly.layer]]
material = "gypsum board"
thickness = "12.5 mm"
"""


def washed(entry, folder):
    path = folder / "washed.toml"
    path.write_text(ATTIC_FLOOR.replace("WASHED", entry))
    return sim.read_case(path)


def test_wind_at_the_eaves_leaves_part_of_the_resistance(tmp_path):
    """R/2 + 1 / (2/R + rho c n d) of the washed 100 mm (derived), by hand of the material's R."""
    case = washed('wind_washed = "100 mm", air_changes = "60 1/h"', tmp_path)
    (floor,) = case.assemblies
    (defect,) = floor.layers[0].defects
    conductivity = conductivity_at_reference(floor.layers[0].material)
    half = 0.05 / conductivity
    kept = half + 1.0 / (1.0 / half + 1.2 * 1006.0 * 60.0 / 3600.0 * 0.1)
    assert defect.left == pytest.approx(0.1 + conductivity * kept, rel=1e-3)
    assert u_value(floor) > drawn_u_value(floor)
    (note,) = (one for one in case.unstated if "wind washes" in one)
    assert "over 10 % of the area (eaves) with 60 air changes an hour:" in note
    assert "preset" not in note
    sim.write_case(case, tmp_path / "again.toml")
    assert sim.read_case(tmp_path / "again.toml") == case


def test_a_preset_of_washing_is_told_as_one(tmp_path):
    lost = []
    for name in ("loose baffle", "open eave"):
        case = washed(f'wind_washed = "{name}"', tmp_path)
        assert any(f"a preset, '{name}', that nobody measured" in note for note in case.unstated)
        lost.append(u_value(case.assemblies[0]))
    assert lost == sorted(lost)


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ('wind_washed = "100 mm"', "how much air washes it"),
        ('wind_washed = "open eave", air_changes = "9 1/h"', "its air changes"),
        ('wind_washed = "300 mm", air_changes = "9 1/h"', "more than there is"),
        ('wind_washed = "gale"', "gale"),
        ('wind_washed = "open eave", left = "50 mm"', "leave left"),
    ],
)
def test_washing_that_cannot_be_is_refused(entry, said, tmp_path):
    found = problems(ATTIC_FLOOR.replace("WASHED", entry), tmp_path)
    assert any(said in f"{one.cause}; {one.cure}" for one in found), [str(one) for one in found]
    assert all(one.line == line_of(ATTIC_FLOOR, "defects = [") for one in found)


def test_no_wind_gets_past_a_board(tmp_path):
    board = '[[assembly.layer]]\nmaterial = "gypsum board"\nthickness = "12.5 mm"\n'
    text = ATTIC_FLOOR.replace("WASHED", 'wind_washed = "open eave"')
    text = text.replace(
        '[[assembly.layer]]\nname = "fill"', f'{board}[[assembly.layer]]\nname = "fill"'
    )
    (found,) = problems(text, tmp_path)
    assert "no wind gets in there" in found.cause

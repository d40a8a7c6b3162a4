"""Sound case files: what is read, what is left to defaults, and cases that build on another."""

import dataclasses
import math
import tomllib
from pathlib import Path

import numpy as np
import pytest
from case_texts import SOUND, changed
from hypothesis import given
from hypothesis import strategies as st

from assembly_sim.files import folders
from assembly_sim.files.case.lines import entry_lines
from assembly_sim.files.case.read import read_case, schema, starting_case
from assembly_sim.files.case.schema import ThresholdsText
from assembly_sim.model import (
    AirLayer,
    ColumnOfFile,
    Constant,
    ExcessVapour,
    Layer,
    Membrane,
    MoistureBalance,
    OutdoorCurve,
    SineOverYear,
    Thresholds,
)
from assembly_sim.physics import pore_water
from assembly_sim.words.figures import say

EXAMPLES = sorted(
    path
    for path in (Path(__file__).parents[2] / "examples").glob("*.toml")
    if not path.stem.endswith("_sweep")  # a plan, not a case
)


def read(text, folder):
    (folder / "case.toml").write_text(text, encoding="utf-8")
    return read_case(folder / "case.toml")


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    return read(SOUND, tmp_path_factory.mktemp("sound"))


def test_values_arrive_in_the_units_of_the_model(sound):
    (wall,) = sound.assemblies
    assert sound.room.temperature == Constant(293.15)
    assert sound.room.humidity == Constant(0.4)
    assert sound.starting_humidity == 0.75
    assert sound.thresholds.mould_index == 2.0
    assert (wall.area, wall.outer.tilt) == pytest.approx((12.0, math.pi / 2))
    assert wall.outer.azimuth == pytest.approx(math.pi)
    assert wall.leak.flow == pytest.approx(0.2e-3)
    assert wall.leak.reference_pressure == 75.0


def test_layers_keep_their_order_and_get_names(sound):
    layers = sound.assemblies[0].layers
    assert [type(layer) for layer in layers] == [Layer, AirLayer, Layer, Membrane]
    assert [layer.name for layer in layers] == ["osb", "air layer", "batt", "kraft facing"]
    assert layers[2].thickness == pytest.approx(5.5 * 0.0254)
    assert layers[2].bridges[0].share == 0.23
    assert layers[2].probes[0].depth == pytest.approx(0.03)


def test_an_air_layer_takes_the_emittances_of_its_neighbours_unless_given(sound):
    board, air, batt, _ = sound.assemblies[0].layers
    assert air.emittance_outer == 0.05
    assert air.emittance_inner == batt.material.emittance


def test_a_measured_moisture_content_becomes_the_humidity_that_holds_it(sound):
    board = sound.assemblies[0].layers[0]
    temperature = pore_water.REFERENCE_TEMPERATURE
    suction = pore_water.suction(board.starting_humidity, temperature)
    held = pore_water.water_content(board.material.storage, suction)
    assert float(held) / board.material.density == pytest.approx(0.14, rel=1e-6)


def test_what_the_user_left_out_is_said_in_plain_words(tmp_path):
    text = changed('leak = "0.2 L/(s m2) at 75 Pa"\n', "").replace("years = 1\n", "")
    case = read(text, tmp_path)
    said = say(" | ".join(case.unstated))
    assert "Back wall: air leak 0.2 L/(s m2) at 75 Pa" in said
    assert "goes on until it settles" in said
    assert "neutral level" in said
    assert "no snow" in said
    assert "nothing is drained" in said  # bare sheathing outside: there is no cladding
    assert case.assemblies[0].leak.flow == pytest.approx(0.2e-3)
    assert "starting moisture" not in said


def test_only_the_users_own_none_turns_the_leak_off(tmp_path):
    case = read(changed('"0.2 L/(s m2) at 75 Pa"', '"none"'), tmp_path)
    assert case.assemblies[0].leak is None
    assert not any("air leak" in phrase for phrase in case.unstated)


@pytest.mark.parametrize(
    ("leak", "flow", "pressure"),
    [
        ("1 m3/(h m2) at 50 Pa", 1 / 3600, 50.0),
        ("0.04 cfm/ft2 at 75 Pa", 0.04 * 0.3048 / 60, 75.0),
        ("0.2 L/(s m2) at 0.3 psf", None, None),
    ],
)
def test_a_leak_is_a_flow_at_a_pressure(leak, flow, pressure, tmp_path):
    text = changed("0.2 L/(s m2) at 75 Pa", leak)
    if flow is None:  # psf is read as a mass on an area, which no pressure is
        with pytest.raises(ValueError, match="areal mass"):
            read(text, tmp_path)
        return
    built = read(text, tmp_path).assemblies[0].leak
    assert (built.flow, built.reference_pressure) == pytest.approx((flow, pressure))


@pytest.mark.parametrize(
    ("rule", "expected"),
    [
        ('{ mean = "40 %", amplitude = "10 %" }', SineOverYear(0.4, 0.1, 213.0)),
        ("{ class = 3 }", ExcessVapour(810.0)),  # ISO 13788 annex A, class 3, from memory
        ('{ class = 5, excess = "1300 Pa" }', ExcessVapour(1300.0)),
        ('{ curve = "EN 15026" }', OutdoorCurve(0.0)),
        ('{ curve = "EN 15026", occupancy = "high" }', OutdoorCurve(0.10)),
        (
            '{ volume = "250 m3", air_changes = "0.3 1/h", generation = "8.64 kg/day" }',
            MoistureBalance(250.0, 0.3, 1e-4, 0.70),
        ),
    ],
)
def test_rules_for_the_humidity(rule, expected, tmp_path):
    built = read(changed('\nhumidity = "40 %"', f"\nhumidity = {rule}"), tmp_path).room.humidity
    assert type(built) is type(expected)
    assert dataclasses.astuple(built) == pytest.approx(dataclasses.astuple(expected))


def test_a_rule_can_be_a_column_of_a_file_beside_the_case(tmp_path):
    values = np.linspace(30.0, 50.0, 8760)
    (tmp_path / "log.csv").write_text("hour,rh\n" + "".join(f"0,{v}\n" for v in values))
    rule = 'humidity = { file = "log.csv", column = "rh", unit = "%" }'
    built = read(changed('\nhumidity = "40 %"', f"\n{rule}"), tmp_path).room.humidity
    assert isinstance(built, ColumnOfFile)
    assert built.values == pytest.approx(values / 100.0)


def test_a_material_of_ones_own_is_used_like_any_other(tmp_path):
    own = """
[materials.pine]
density = "400 kg/m3"
specific_heat = "1600 J/(kg K)"
porosity = "70 %"
conductivity = { value = "0.1 W/(m K)", mean_temperature = "10 degC" }
vapour = { permeability = "2 ng/(m s Pa)" }
"""
    text = changed('material = "osb"', 'material = "pine"') + own
    text = text.replace('starting_moisture_content = "14 %"\n', "")
    assert read(text, tmp_path).assemblies[0].layers[0].material.density == 400.0


def test_a_case_overrides_its_base(tmp_path):
    (tmp_path / "deep").mkdir()
    (tmp_path / "deep" / "first.toml").write_text(SOUND)
    (tmp_path / "second.toml").write_text('base = "deep/first.toml"\n[room]\nhumidity = "30 %"\n')
    above = '[thresholds]\nwet_humidity = 0.99\nwet_hours = "2 day"'
    case = read(f'base = "second.toml"\nname = "Third"\n{above}', tmp_path)
    assert case.thresholds.wet_hours == 48.0
    assert case.name == "Third"
    assert case.room.humidity == Constant(0.3)
    assert case.room.temperature == Constant(293.15)
    assert (case.thresholds.mould_index, case.thresholds.wet_humidity) == (2.0, 0.99)
    assert len(case.assemblies) == 1
    assert '"Lean-to"' in case.text
    assert '"Third"' in case.text


def test_a_list_in_a_case_replaces_the_one_of_its_base_whole(tmp_path):
    (tmp_path / "base.toml").write_text(SOUND)
    wall = SOUND[SOUND.index("[[assembly]]") :].replace("Back wall", "Front wall")
    case = read('base = "base.toml"\n' + wall, tmp_path)
    assert [one.name for one in case.assemblies] == ["Front wall"]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_examples_are_sound(path):
    case = read_case(path)
    assert case.assemblies
    assert case.climate.hours == 8760
    assert read_case(path, climate="greensboro").climate.latitude == pytest.approx(36.1, abs=0.1)


def test_there_are_examples():
    assert len(EXAMPLES) >= 3


def test_a_sheltered_surface_needs_no_sun(tmp_path):
    text = changed("solar_absorptance = 0.6\nemittance = 0.9\n", "sheltered = true\n")
    outer = read(text.replace('azimuth = "180 deg"\n', ""), tmp_path).assemblies[0].outer
    assert outer.sheltered
    assert outer.leaked_rain_layer is None


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path, sound):
    path = tmp_path / "windows.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SOUND.replace("\n", "\r\n").encode())
    assert read_case(path).assemblies == sound.assemblies


def test_a_starting_case_is_sound_and_carries_its_name(tmp_path):
    assert read(starting_case('Ann\'s "north" roof'), tmp_path).name == 'Ann\'s "north" roof'


def test_the_schema_types_quantities_as_text_and_knows_every_entry():
    described = schema()
    layer = described["$defs"]["LayerText"]["properties"]
    assert layer["thickness"]["type"] == "string"
    assert "mm" in layer["thickness"]["description"]
    assert layer["material"] == {"type": "string"}
    assert described["additionalProperties"] is False
    for path in EXAMPLES:
        assert set(tomllib.loads(path.read_text())) <= set(described["properties"])


def test_every_threshold_can_be_set():
    assert set(ThresholdsText.model_fields) == {one.name for one in dataclasses.fields(Thresholds)}


def test_shipped_folders_are_found():
    assert list(folders.shipped("materials").glob("*.toml"))
    with pytest.raises(FileNotFoundError, match="install the package again"):
        folders.shipped("no such folder")


def test_lines_of_entries_in_every_form_that_toml_has():
    text = '''
top = """
[not.a.table]
x = 1
"""
[a."b.c"]   # heading
d.e = [
  1, # ]
  "]",
]
'q r' = { f = "}" }

[[list]]
x = 1
[list.below]
y = 2
[[list.items]]
z = \'\'\'
]\'\'\'
[[list]]
x = 3
'''
    lines = entry_lines(text)
    expected = {
        ("top",): 2,
        ("a", "b.c"): 6,
        ("a", "b.c", "d", "e"): 7,
        ("a", "b.c", "q r"): 11,
        ("list", 0, "x"): 14,
        ("list", 0, "below", "y"): 16,
        ("list", 0, "items", 0, "z"): 18,
        ("list", 1, "x"): 21,
    }
    assert {path: lines.get(path) for path in expected} == expected
    assert not [path for path in lines if "not" in path]


@given(
    names=st.lists(
        st.from_regex(r"[a-z_]{1,8}", fullmatch=True), min_size=1, max_size=8, unique=True
    ),
    gaps=st.lists(st.integers(0, 3), min_size=8, max_size=8),
    value=st.sampled_from(['"x"', "1", '"""a\n[b]\n"""', "[1,\n 2]", "'#'", "{ a = 1 }"]),
)
def test_every_key_is_found_on_its_line(names, gaps, value):
    text, expected = "", {}
    for name, gap in zip(names, gaps, strict=False):
        text += "\n" * gap + "# c = 1\n"
        expected[(name,)] = text.count("\n") + 1
        text += f"{name} = {value}\n"
    tomllib.loads(text)
    lines = entry_lines(text)
    assert {path: lines[path] for path in expected} == expected

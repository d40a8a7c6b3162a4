"""Changes told by a table: as in Python and as in a case with a base; faults have lines."""

import math

import pytest
from case_texts import INTERNALS, SOUND

import assembly_sim as sim
from assembly_sim.changes import (
    AddLayer,
    FillCavity,
    RemoveLayer,
    Seal,
    Set,
    Times,
    WinterHumidity,
    applied,
)
from assembly_sim.files.case.changes import from_path, from_table
from assembly_sim.files.case.text import load
from assembly_sim.model import Constant, ExcessVapour, SineOverYear

MATERIALS = sim.read_materials()
WALL = 'assembly."Back wall"'
LAYER = f'{WALL}.layer."batt"'


@pytest.fixture
def base(tmp_path):
    (tmp_path / "base.toml").write_text(SOUND)
    return sim.read_case(tmp_path / "base.toml")


def changes(text, case, folder):
    path = folder / "options.toml"
    path.write_text(f"[[option]]\nname = 'one'\n[option.change]\n{text}\n")
    source = load(path)
    table = source.entries["option"][0]["change"]
    return from_table(table, case, source, ("option", 0, "change"), MATERIALS)


WALL_AT, BATT_AT = ("assembly", "Back wall"), ("assembly", "Back wall", "layer", "batt")


@pytest.mark.parametrize(
    ("text", "change"),
    [
        (f'{LAYER}.thickness = "4 in"', Set((*BATT_AT, "thickness"), 0.1016)),
        (f'{LAYER}.material = "spruce"', Set((*BATT_AT, "material"), MATERIALS["spruce"])),
        (f"{LAYER}.thickness_times = 2", Times((*BATT_AT, "thickness"), 2.0)),
        (f"{LAYER}.remove = true", RemoveLayer("Back wall", "batt")),
        (f'{LAYER}.bridges."studs".share = "10 %"',
         Set((*BATT_AT, "bridges", "studs", "share"), 0.1)),
        (f'{WALL}.layer."air layer".fill = "glass-fibre batt"',
         FillCavity("Back wall", "air layer", MATERIALS["glass-fibre batt"])),
        (f'{WALL}.layer."kraft facing".membrane = "aluminium foil facing"',
         Set((*WALL_AT, "layer", "kraft facing", "membrane"),
             MATERIALS["aluminium foil facing"])),
        (f'{WALL}.layer."osb".starting_moisture_content = "20 %"',
         Set((*WALL_AT, "layer", "osb", "starting_moisture_content"), 0.2)),
        (f'{WALL}.azimuth = "90 deg"', Set((*WALL_AT, "azimuth"), math.pi / 2)),
        (f"{WALL}.solar_absorptance = 0.3", Set((*WALL_AT, "solar_absorptance"), 0.3)),
        (f'{WALL}.leak = "none"', Set((*WALL_AT, "leak"), None)),
        (f"{WALL}.leak_times = 2", Times((*WALL_AT, "leak"), 2.0)),
        (f'{WALL}.seal = "80 %"', Seal("Back wall", 0.8)),
        (f'{WALL}.add = [{{ before = "osb", material = "polyiso", thickness = "50 mm" }}]',
         AddLayer("Back wall", sim.Layer("polyiso", MATERIALS["polyiso"], 0.05), "osb")),
        ('starting_humidity = "90 %"', Set(("starting_humidity",), 0.9)),
        ('code_edition = "2021"', Set(("code_edition",), "2021")),
        ("years = 4", Set(("years",), 4)),
        ("thresholds.mould_index = 1.5", Set(("thresholds", "mould_index"), 1.5)),
        ('room.winter_humidity = "5 %"', WinterHumidity(0.05)),
        ('room.humidity = "50 %"', Set(("room", "humidity"), Constant(0.5))),
        ('material."osb".conductivity_times = 1.2',
         Times(("material", "osb", "conductivity"), 1.2)),
    ],
)  # fmt: skip
def test_a_table_tells_a_change(text, change, base, tmp_path):
    (found,) = changes(text, base, tmp_path)
    assert type(found) is type(change)
    if isinstance(change, Set) and isinstance(change.value, float):
        assert found.path == change.path
        assert found.value == pytest.approx(change.value, rel=1e-12)
    else:
        assert found == change
    assert found.apply(base) != base


def test_a_climate_by_name(base, tmp_path):
    (found,) = changes('climate = "hot_humid"', base, tmp_path)
    assert found.apply(base).climate == sim.read_climate("hot_humid")


def test_the_same_entries_as_of_a_case_with_a_base(base, tmp_path):
    """`[change]` of a case and a table of changes, entry by entry, give equal cases."""
    entries = (
        'leak = "0.4 L/(s m2) at 50 Pa"',
        'azimuth = "90 deg"',
        'layer."batt".thickness = "100 mm"',
        'layer."batt".material = "cellulose, dense-packed"',
        'layer."osb".starting_moisture_content = "20 %"',
        'layer."osb".thickness = "18 mm"',
        'layer."kraft facing".airtight = true',
    )
    for entry in entries:
        case = f'format = 1\nbase = "base.toml"\n[change."Back wall"]\n{entry}\n'
        (tmp_path / "case.toml").write_text(case)
        option = applied(base, *changes(f"{WALL}.{entry}", base, tmp_path))
        assert option == sim.read_case(tmp_path / "case.toml"), entry


def test_a_leak_keeps_what_the_text_does_not_tell(base, tmp_path):
    text = f'{WALL}.height_above_neutral_level = "4 m"\n{WALL}.leak = "1 m3/(h m2) at 50 Pa"'
    leak = applied(base, *changes(text, base, tmp_path)).assemblies[0].leak
    assert (leak.height_above_neutral_level, leak.reference_pressure) == (4.0, 50.0)
    again = f'{WALL}.leak = "none"\n{WALL}.seal = "50 %"'
    with pytest.raises(sim.InputError, match=r"options.toml:5: .*seal: there is no leak"):
        changes(again, base, tmp_path)


SWINGS = SOUND.replace('humidity = "40 %"', 'humidity = { mean = "40 %", amplitude = "10 %" }')


def test_parts_of_a_rule_of_the_room(tmp_path):
    """`room.humidity.mean` alone, as in a case with a base; parts that need one another at once."""
    (tmp_path / "base.toml").write_text(SWINGS)
    swings = sim.read_case(tmp_path / "base.toml")
    for text, rule in (
        ('room.humidity.mean = "50 %"', SineOverYear(0.5, 0.1)),
        ('room.humidity = { mean = "95 %", amplitude = "2 %" }', SineOverYear(0.95, 0.02)),
        ("room.humidity.amplitude_times = 2", SineOverYear(0.4, 0.2)),
        ('room.humidity = "50 %"', Constant(0.5)),
        ("room.humidity = { class = 2 }", ExcessVapour(540.0)),
    ):
        assert applied(swings, *changes(text, swings, tmp_path)).room.humidity == rule, text
    for text, why in (
        ('room.humidity.mean = "95 %"', "highest|out of range"),
        ('room.humidity.men = "95 %"', "did you mean 'mean'"),
    ):
        with pytest.raises(sim.InputError, match=rf"options.toml:4: .*({why})"):
            changes(text, swings, tmp_path)


def test_an_entry_by_its_path_in_text(base, tmp_path):
    (tmp_path / "plan.toml").write_text('[[factor]]\npath = "years"\nvalues = [3, 4]\n')
    source = load(tmp_path / "plan.toml")
    where = ("factor", 0, "values")
    (found,) = from_path(f"{LAYER}.thickness", "4 in", base, source, where, MATERIALS)
    assert found.apply(base).assemblies[0].layers[2].thickness == pytest.approx(0.1016)
    with pytest.raises(sim.InputError, match=r"plan.toml:3: .*nothing is called 'bat'.*'batt'"):
        wrong = f'{WALL}.layer."bat".thickness'
        from_path(wrong, "4 in", base, source, where, MATERIALS)
    with pytest.raises(sim.InputError, match=r"plan.toml:3: .*no path to a field"):
        from_path("a..b", 1, base, source, where, MATERIALS)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ('assembly."Bak wall".azimuth = "9 deg"', "did you mean 'Back wall'"),
        (f'{WALL}.layer."bat".thickness = "4 in"', "did you mean 'batt'"),
        (f'{LAYER}.thicknes = "4 in"', "did you mean 'thickness'"),
        (f"{LAYER}.thickness = 4", "length needs a unit|number and a unit|unit"),
        (f'{LAYER}.thickness = "4 kg"', "4 kg"),
        (f'{LAYER}.thickness = "9 m"', "out of range"),
        (f'{LAYER}.material = "glas-fibre batt"', "did you mean 'glass-fibre batt'"),
        (f'{LAYER}.fill = "spruce"', "is no air layer"),
        (f'{LAYER}.air = "20 mm"', "Layer has no 'air'"),
        (f"{LAYER}.remove = false", "stays unless it is removed"),
        (f'{LAYER}.bridges."stud".share = "5 %"', "did you mean 'studs'"),
        (f'{WALL}.azimut = "9 deg"', "did you mean 'azimuth'"),
        (f'{WALL}.leak = "0.2 L/(s m2)"', "at what pressure"),
        (f"{WALL}.leak_times = -1", "no factor"),
        (f'{WALL}.seal = "180 %"', "out of range"),
        (f"{WALL} = 3", "no table of changes"),
        (f'{WALL}.add = [{{ before = "osbb", membrane = "kraft facing" }}]', "did you mean 'osb'"),
        (f'{WALL}.add = [{{ before = "osb" }}]', "one of these"),
        (f'{WALL}.add = [{{ after = "osb", membrane = "kraft facing" }}]', "before = the layer"),
        (f'{WALL}.add = [{{ material = "spruce" }}]', "'thickness' is missing"),
        (f"{WALL}.add = 3", "no list of layers"),
        ('climate = "hot_humit"', "no such climate"),
        ('starting_humidity = "150 %"', "out of range"),
        ("years = 0", "out of range"),
        ("year = 3", "did you mean 'years'"),
        ("room = 3", "not a table"),
        ('room.humidity = { men = "3 %" }', "humidity"),
        ('room.humidty = "3 %"', "did you mean 'humidity'"),
        ('thresholds.mould_indx = "3"', "did you mean 'mould_index'"),
        ('material."osb".conductivity = "0.1 W/(m K)"', "by factors"),
        ('material."osbb".conductivity_times = 1.1', "did you mean 'osb'"),
        ('material."osb".conductvity_times = 1.1', "did you mean 'conductivity'"),
    ],
)
def test_faults_have_file_line_and_cure(text, why, base, tmp_path):
    with pytest.raises(sim.InputError, match=why) as refused:
        changes(text, base, tmp_path)
    for one in refused.value.problems:
        assert one.file == str(tmp_path / "options.toml")
        assert one.line == 4
        assert one.cause
        assert one.cure
        assert not any(word in str(one).lower() for word in INTERNALS)

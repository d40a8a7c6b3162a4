"""Malformed case files: each is refused with place, cause and cure, in no library's words."""

import pytest
from case_texts import SOUND, changed, line_of, problems

from assembly_sim.errors import InputError
from assembly_sim.files.case.read import read_case, starting_case

# old text, new text, field of the problem, part of the cause or the cure
ONE_WRONG_ENTRY = [
    ("format = 1", "format = 2", "format", "accepted values"),
    ("format = 1", 'format = "1"', "format", "accepted values"),
    ("format = 1", "form = 1", "form", "did you mean 'format'"),
    ('name = "Lean-to"', "name = 3", "name", "no name"),
    ('name = "Lean-to"', 'name = ""', "name", "no name"),
    ('name = "Lean-to"', 'name = "a\\nb"', "name", "no name"),
    ('name = "Lean-to"', f'name = "{"n" * 200}"', "name", "no name"),
    ('climate = "cold_inland"', 'climat = "cold_inland"', "climat", "did you mean 'climate'"),
    ('climate = "cold_inland"', 'climate = "nowhere.csv"', "climate", "no such climate"),
    ('climate = "cold_inland"', "climate = 7", "climate", "no name"),
    ('climate = "cold_inland"', 'climate = "."', "climate", "folder"),
    ('climate = "cold_inland"', 'climate = "case.toml"', "", "no weather file"),
    ("years = 1", "years = 0", "years", "at least 1"),
    ("years = 1", "years = -3", "years", "at least 1"),
    ("years = 1", "years = 1e300", "years", "whole number"),
    ("years = 1", "years = 999999999999999999999", "years", "at most 50"),
    ("years = 1", "years = 2.5", "years", "whole number"),
    ("years = 1", "years = nan", "years", "whole number"),
    ("years = 1", 'years = "3"', "years", "whole number"),
    ("years = 1", "years = true", "years", "whole number"),
    ("years = 1", "years = []", "years", "whole number"),
    ("start_month = 10", "start_month = 13", "start_month", "at most 12"),
    ("start_month = 10", "start_month = 0", "start_month", "at least 1"),
    ("start_month = 10", 'start_month = "October"', "start_month", "write 10"),
    ("start_month = 10", 'start_month = "autumn"', "start_month", "whole number"),
    ("start_month = 10", "start_mnth = 10", "start_mnth", "start_month"),
    ('humidity = "75 %"', 'humidity = "175 %"', "starting_humidity", "out of range"),
    ('humidity = "75 %"', 'humidity = "0 %"', "starting_humidity", "more than 0 %"),
    ('humidity = "75 %"', "humidity = 75", "starting_humidity", "out of range"),
    ('humidity = "75 %"', "humidity = nan", "starting_humidity", "number"),
    ('humidity = "75 %"', "humidity = inf", "starting_humidity", "number"),
    ('humidity = "75 %"', "humidity = -0.1", "starting_humidity", "out of range"),
    ('humidity = "75 %"', 'humidity = "75 percents"', "starting_humidity", "not known"),
    ('humidity = "75 %"', 'humidity = "0,75"', "starting_humidity", "comma"),
    ('humidity = "75 %"', "humidity = true", "starting_humidity", "quantity is needed"),
    ('humidity = "75 %"', "humidity = 2001-01-01", "starting_humidity", "quantity is needed"),
    ("years = 1", "code_edition = 2021", "code_edition", '"2021"'),
    ("years = 1", 'code_edition = "R806"', "code_edition", '"2021"'),
    ("[thresholds]", "[threshold]", "threshold", "did you mean 'thresholds'"),
    ("mould_index = 2", "mould_index = 7", "thresholds.mould_index", "out of range"),
    ("mould_index = 2", 'mould_index = "2 m"', "thresholds.mould_index", "measures length"),
    ("mould_index = 2", "mold_index = 2", "thresholds.mold_index", "did you mean 'mould_index'"),
    ("mould_index = 2", "wood_moisture = 0.2", "thresholds.wood_moisture", "no unit"),
    ("mould_index = 2", "wet_hours = 168", "thresholds.wet_hours", "no unit"),
    ("mould_index = 2", 'run_off_water = "1 mm"', "thresholds.run_off_water", "measures length"),
    ('temperature = "20 degC"', "temperature = 20", "room.temperature", "no unit"),
    ('temperature = "20 degC"', 'temperature = "20 C/W"', "room.temperature", "not known"),
    ('temperature = "20 degC"', 'temperature = "400 degC"', "room.temperature", "out of range"),
    ('temperature = "20 degC"', 'temperature = "70 degC"', "room.temperature", "70 degF is 21"),
    ('temperature = "20 degC"', 'temperature = "21 K"', "room.temperature", "from -40 degC"),
    (
        *('temperature = "20 degC"', 'temperature = { mean = "45 degC", amplitude = "9 K" }'),
        *("room.temperature.amplitude", "54 degC"),
    ),
    ('temperature = "20 degC"', 'temperature = "-1 K"', "room.temperature", "absolute zero"),
    ('temperature = "20 degC"', 'temperature = "nan degC"', "room.temperature", "number"),
    ('temperature = "20 degC"', 'temperature = "1e999 K"', "room.temperature", "finite"),
    ('temperature = "20 degC"', "temperature = {}", "room.temperature", "rule"),
    ('temperature = "20 degC"', "temperature = { class = 2 }", "room.temperature", "rule"),
    ('temperature = "20 degC"', "temperture = 3", "room.temperture", "did you mean 'temperature'"),
    (
        *('temperature = "20 degC"', 'temperature = { mean = "20 degC", amplitude = "2 %" }'),
        *("room.temperature.amplitude", "measures fraction"),
    ),
    (
        *('temperature = "20 degC"', 'temperature = { mean = "20 degC" }'),
        *("room.temperature.amplitude", "missing"),
    ),
    (
        *('temperature = "20 degC"', 'temperature = { curve = "EN 15206" }'),
        *("room.temperature.curve", "EN 15026"),
    ),
    (
        *('temperature = "20 degC"', 'temperature = { file = "x.csv", column = "t", unit = "C" }'),
        *("room.temperature.unit", "degC"),
    ),
    (
        *(
            'temperature = "20 degC"',
            'temperature = { mean = "20 degC", amplitude = "2 K", day = 3}',
        ),
        *("room.temperature.day", "peak_day"),
    ),
    ('\nhumidity = "40 %"', '\nhumidity = "140 %"', "room.humidity", "out of range"),
    ('\nhumidity = "40 %"', '\nhumidity = "0.4 %"', "room.humidity", "from 1 % to 100 %"),
    ('\nhumidity = "40 %"', "\nhumidity = []", "room.humidity", "quantity is needed"),
    ('\nhumidity = "40 %"', "\nhumidity = { class = 6 }", "room.humidity.class", "at most 5"),
    ('\nhumidity = "40 %"', "\nhumidity = { class = 5 }", "room.humidity.class", "excess"),
    ('\nhumidity = "40 %"', "\nhumidity = { class = 2.5 }", "room.humidity.class", "whole number"),
    ('\nhumidity = "40 %"', "\nhumidity = { clas = 2 }", "room.humidity", "rule"),
    ('\nhumidity = "40 %"', '\nhumidity = { excess = "5 %" }', "room.humidity.excess", "fraction"),
    (
        *('\nhumidity = "40 %"', '\nhumidity = { mean = "95 %", amplitude = "10 %" }'),
        *("room.humidity.amplitude", "possible range"),
    ),
    (
        *('\nhumidity = "40 %"', '\nhumidity = { mean = "40 %", amplitude = "5 %", peak_day = 0 }'),
        *("room.humidity.peak_day", "at least 1"),
    ),
    (
        *(
            '\nhumidity = "40 %"',
            '\nhumidity = { mean = "40 %", amplitude = "5 %", peak_day = nan }',
        ),
        *("room.humidity.peak_day", "out of range"),
    ),
    (
        *('\nhumidity = "40 %"', '\nhumidity = { volume = "250 m3", air_changes = "0.3 1/h" }'),
        *("room.humidity.generation", "8 L/day"),
    ),
    (
        *('\nhumidity = "40 %"', '\nhumidity = { curve = "EN 15026", occupancy = "some" }'),
        *("room.humidity.occupancy", "normal"),
    ),
    ('area = "12 m2"', 'area = "0 m2"', "assembly[1].area", "out of range"),
    ('area = "12 m2"', 'area = "-12 m2"', "assembly[1].area", "out of range"),
    ('area = "12 m2"', 'area = "1e300 m2"', "assembly[1].area", "out of range"),
    ('area = "12 m2"', 'area = "12 m"', "assembly[1].area", "measures length, not area"),
    ('area = "12 m2"', "area = 12", "assembly[1].area", "no unit"),
    ('tilt = "90 deg"', 'tilt = "200 deg"', "assembly[1].tilt", "out of range"),
    ('tilt = "90 deg"', 'tilt = "wall"', "assembly[1].tilt", "number"),
    ('tilt = "90 deg"', 'tilt = "90"', "assembly[1].tilt", "no unit"),
    ('azimuth = "180 deg"', 'azimuth = "south"', "assembly[1].azimuth", "clockwise from north"),
    ('azimuth = "180 deg"', 'azimuth = "-10 deg"', "assembly[1].azimuth", "out of range"),
    ('azimuth = "180 deg"\n', "", "assembly[1]", "azimuth of the outer surface not given"),
    ("solar_absorptance = 0.6\n", "", "assembly[1]", "solar_absorptance of the outer"),
    ("emittance = 0.9\n", "", "assembly[1]", "emittance of the outer surface not given"),
    ("solar_absorptance = 0.6", "solar_absorptance = 6", "assembly[1].solar_absorptance", "range"),
    ("emittance = 0.9", "emitance = 0.9", "assembly[1].emitance", "did you mean 'emittance'"),
    ("emittance = 0.9", 'sheltered = "yes"', "assembly[1].sheltered", "true or false"),
    ("emittance = 0.9", 'height = "5 kg"', "assembly[1].height", "measures mass, not length"),
    ("emittance = 0.9", "rain_exposure = 9", "assembly[1].rain_exposure", "out of range"),
    ("emittance = 0.9", "leaked_rain = 1", "assembly[1].leaked_rain", "to 50 %"),
    ("emittance = 0.9", 'height = "3 km"', "assembly[1].height", "to 500 m"),
    ("emittance = 0.9", 'order_meant = "yes"', "assembly[1].order_meant", "true or false"),
    ("emittance = 0.9", 'leaked_rain = "200 %"', "assembly[1].leaked_rain", "out of range"),
    ("emittance = 0.9", 'fan_pressure = "5 psf"', "assembly[1].fan_pressure", "areal mass"),
    ("emittance = 0.9", "leak_exponent = 0.3", "assembly[1].leak_exponent", "out of range"),
    ("emittance = 0.9", 'air_through = "1 cfm"', "assembly[1].air_through", "measures air flow"),
    (
        *("emittance = 0.9", 'emittance = 0.9\nleaked_rain_layer = "felt"'),
        *("assembly[1].leaked_rain_layer", "no layer behind"),
    ),
    ('"0.2 L/(s m2) at 75 Pa"', '"0.2 L/(s m2)"', "assembly[1].leak", "at 75 Pa"),
    ('"0.2 L/(s m2) at 75 Pa"', '"0.2 m3/(s m2) at 75 Pa"', "assembly[1].leak", "to 100 L/(s m2)"),
    ('"0.2 L/(s m2) at 75 Pa"', '"None"', "assembly[1].leak", "none"),
    ('"0.2 L/(s m2) at 75 Pa"', "false", "assembly[1].leak", "none"),
    ('"0.2 L/(s m2) at 75 Pa"', '"-1 L/(s m2) at 75 Pa"', "assembly[1].leak", "out of range"),
    ('"0.2 L/(s m2) at 75 Pa"', '"1 L/(s m2) at 0 Pa"', "assembly[1].leak", "out of range"),
    ('"0.2 L/(s m2) at 75 Pa"', '"1 perm at 75 Pa"', "assembly[1].leak", "measures permeance"),
    ('"0.2 L/(s m2) at 75 Pa"', '"1 cfm/ft2 at 75"', "assembly[1].leak", "no unit"),
    ('material = "osb"', 'material = "obs"', "layer[1].material", "did you mean 'osb'"),
    ('material = "osb"', 'material = "OSB"', "layer[1].material", "did you mean 'osb'"),
    ('material = "osb"', 'material = "moon rock"', "layer[1].material", "materials"),
    ('material = "osb"', "material = 3", "layer[1].material", "not a name"),
    ('material = "osb"', 'materiel = "osb"', "layer[1].materiel", "'material'"),
    (
        'material = "osb"',
        'material = "kraft facing"',
        "layer[1].material",
        "membrane =",
    ),
    ('material = "osb"', 'membrane = "osb"', "layer[1].membrane", "material ="),
    ('"osb"\nthickness = "11 mm"', '"osb"', "layer[1].thickness", "missing"),
    ('thickness = "11 mm"', 'thickness = "0 mm"', "layer[1].thickness", "from 0.05 mm"),
    ('thickness = "11 mm"', 'thickness = "11 ft"', "layer[1].thickness", "range"),
    ('thickness = "11 mm"', 'thickness = "2 ft"', "layer[1].thickness", "609.6 mm of osb"),
    ('thickness = "5 1/2 in"', 'thickness = "7 1/4 ft"', "layer[3].thickness", "to 1500 mm"),
    ('thickness = "5 1/2 in"', 'thickness = "0.3 mm"', "layer[3].thickness", "from 0.5 mm"),
    ('air = "25 mm"', 'air = "25 ft"', "layer[2].air", "to 2000 mm"),
    ('thickness = "11 mm"', 'thickness = "-11 mm"', "layer[1].thickness", "range"),
    ('thickness = "11 mm"', 'thickness = "1e400 m"', "layer[1].thickness", "finite"),
    ('thickness = "11 mm"', 'thickness = "11 km"', "layer[1].thickness", "range"),
    ('thickness = "11 mm"', 'thickness = "11 inn"', "layer[1].thickness", "not known"),
    ('thickness = "11 mm"', 'thickness = "11 mil"', "layer[1].thickness", "meaning"),
    ('thickness = "11 mm"', 'thickness = "5,5 in"', "layer[1].thickness", "comma"),
    ('thickness = "11 mm"', 'thickness = "1 perm"', "layer[1].thickness", "permeance"),
    ('thickness = "11 mm"', 'thickness = ""', "layer[1].thickness", "number"),
    ('thickness = "11 mm"', "thickness = []", "layer[1].thickness", "quantity"),
    ('"14 %"', '"140 %"', "layer[1].starting_moisture_content", "cannot hold"),
    ('"14 %"', '"0 %"', "layer[1].starting_moisture_content", "cannot hold"),
    ('"14 %"', '"-4 %"', "layer[1].starting_moisture_content", "out of range"),
    ('"14 %"', "0.14", "layer[1].starting_moisture_content", "no unit"),
    (
        *('"14 %"', '"14 %"\nstarting_humidity = "80 %"'),
        *("layer[1].starting_humidity", "twice"),
    ),
    ('air = "25 mm"', 'air = "0 mm"', "layer[2].air", "out of range"),
    ('air = "25 mm"', 'air = "25 mm"\nthickness = "1 mm"', "layer[2].thickness", "air"),
    ('air = "25 mm"', 'air = "25 mm"\nmaterial = "osb"', "layer[2]", "exactly one"),
    ('air = "25 mm"', 'air = "25 mm"\nair_changes = 5', "layer[2].air_changes", "unit"),
    (
        "emittance_outer = 0.05",
        "emittance_outer = 5",
        "layer[2].emittance_outer",
        "0 %",
    ),
    ("emittance_outer = 0.05", "airtight = true", "layer[2].airtight", "unknown entry"),
    ('name = "batt"', 'name = "batt"\nairtight = "yes"', "layer[3].airtight", "true"),
    ('share = "23 %"', 'share = "100 %"', "layer[3].bridges[1].share", "out of range"),
    ('share = "23 %"', 'share = "0 %"', "layer[3].bridges[1].share", "out of range"),
    ('share = "23 %"', 'shares = "23 %"', "layer[3].bridges[1].shares", "'share'"),
    (', share = "23 %"', "", "layer[3].bridges[1].share", "missing"),
    (
        'material = "spruce"',
        'material = "spruc"',
        "layer[3].bridges[1].material",
        "'spru",
    ),
    (
        '[{ path = "studs", material = "spruce", share = "23 %" }]',
        "3",
        "layer[3].bridges",
        "list",
    ),
    (
        *(
            'share = "23 %" }',
            'share = "60 %" }, { path = "b", material = "spruce", share = "50 %" }',
        ),
        *("layer[3].bridges", "whole area"),
    ),
    (
        *(
            'share = "23 %" }',
            'share = "6 %" }, { path = "studs", material = "oak", share = "5 %" }',
        ),
        *("layer[3].bridges", "same path"),
    ),
    ('depth = "30 mm"', 'depth = "300 mm"', "layer[3].probes[1].depth", "not inside"),
    ('depth = "30 mm"', 'depth = "0 mm"', "layer[3].probes[1].depth", "not inside"),
    ('depth = "30 mm"', "depth = 30", "layer[3].probes[1].depth", "no unit"),
    ('name = "pipe", ', "", "layer[3].probes[1].name", "missing"),
    (
        *('membrane = "kraft facing"', 'membrane = "kraft facing"\nthickness = "1 mm"'),
        *("layer[4].thickness", "a membrane has no thickness"),
    ),
    (
        'membrane = "kraft facing"',
        'membrane = "kraft face"',
        "layer[4].membrane",
        "kraft",
    ),
    ('membrane = "kraft facing"', 'air = "5 mm"', "layer[4]", "cannot stand here"),
    ('name = "batt"\n', 'name = "osb"\n', "", ""),
    ("[room]", "[room]\nvolume = 3", "room.volume", "known here are temperature, humidity"),
    ("format = 1", "format = 1\nassembly_count = 1", "assembly_count", "unknown entry"),
    ("format = 1", 'format = 1\nbase = "none.toml"', "base", "no case file"),
    ("format = 1", "format = 1\nbase = 3", "base", "not a file name"),
    ("format = 1", 'format = 1\nbase = "."', "base", "no case file"),
    ("format = 1", 'format = 1\nbase = "case.toml"', "base", "leads back"),
    ("[room]", "materials = 3\n[room]", "materials", "table"),
    ("[room]", "[materials]\nmine = 3\n[room]", "materials.mine", "table"),
    (
        *("[room]", '[materials.mine]\nform = "sheet"\n[room]'),
        *("materials.mine.vapour", "missing"),
    ),
    ("[thresholds]\nmould_index = 2", "", "", ""),
]
SOUND_AFTER_ALL = {('name = "batt"\n', 'name = "osb"\n'), ("[thresholds]\nmould_index = 2", "")}
BROKEN = [one for one in ONE_WRONG_ENTRY if one[:2] not in SOUND_AFTER_ALL]


@pytest.mark.parametrize(("old", "new", "field", "said"), BROKEN)
def test_one_wrong_entry_is_named_with_its_line(old, new, field, said, tmp_path):
    found = problems(changed(old, new), tmp_path)
    about = [
        one
        for one in found
        if one.field in (field, f"assembly[1].{field}") and said in f"{one.cause}; {one.cure}"
    ]
    assert about, [str(one) for one in found]
    assert about[0].line is not None
    assert about[0].cure


@pytest.mark.parametrize(("old", "new"), sorted(SOUND_AFTER_ALL))
def test_what_only_looks_wrong_is_read(old, new, tmp_path):
    (tmp_path / "case.toml").write_text(changed(old, new))
    names = [layer.name for layer in read_case(tmp_path / "case.toml").assemblies[0].layers]
    assert len(set(names)) == len(names)


# The end of the text, and a part of what is said.
CUT_AT = [
    ("format", "not complete"),
    ("format =", "value is missing"),
    ('name = "Lean', "closing quote"),
    ('name = "Lean-to"\nclimate', "not complete"),
    ("[ro", "not complete"),
    ("[room]\ntemperature = ", "value is missing"),
    ("[[assembly", "not complete"),
    ("[[assembly]", "not complete"),
    ("bridges = [", "value is missing"),
    ('bridges = [{ path = "studs", ', "not complete"),
    ('bridges = [{ path = "studs", material = "spruce", share = "23 %" }', "bracket"),
]


@pytest.mark.parametrize(("end", "said"), CUT_AT)
def test_a_text_cut_short_names_the_line_where_it_ends(end, said, tmp_path):
    text = SOUND[: SOUND.index(end) + len(end)]
    (found,) = problems(text, tmp_path)
    assert found.line in (text.count("\n"), text.count("\n") + 1)
    assert said in found.cause
    assert found.cure


@pytest.mark.parametrize("lines", range(line_of(SOUND, 'thickness = "11 mm"')))
def test_a_text_cut_after_a_line_says_what_is_missing(lines, tmp_path):
    found = problems("".join(SOUND.splitlines(keepends=True)[:lines]), tmp_path)
    assert any("is missing" in one.cause or "not given" in one.cause for one in found)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('thickness = "11 mm"', "thickness = 11 mm", "in quotes"),
        ('thickness = "11 mm"', "thickness = mm", "in quotes"),
        ('thickness = "11 mm"', 'thickness = "11 mm', "closing quote"),
        ('thickness = "11 mm"', 'thickness "11 mm"', "name ="),
        ('thickness = "11 mm"', 'thickness = "11 mm"\nthickness = "9 mm"', "twice"),
        ("[thresholds]", "[room]", "twice"),
        ("[room]", "[room", "TOML"),
        ("years = 1", "years = 01", ""),
        ("years = 1", "years = " + "9" * 5000, ""),
        ("years = 1", "years = " + "[" * 5000, ""),
        ("years = 1", "years = 2001-13-45", ""),
        ("years = 1", 'years = "\\q"', ""),
        ("years = 1", "years = 1\x00", ""),
        ("[[assembly]]", "[assembly]", ""),
    ],
)
def test_a_slip_of_form_is_explained(old, new, said, tmp_path):
    found = problems(changed(old, new), tmp_path)
    assert any(said in f"{one.cause}; {one.cure}" for one in found)
    assert all(one.line is not None for one in found)


def test_text_of_another_encoding_is_refused_at_its_line(tmp_path):
    latin = changed('"Lean-to"', '"Lean-to \xe9"').encode("latin-1")
    (found,) = problems(latin, tmp_path)
    assert found.line == line_of(SOUND, "Lean-to")
    assert "UTF-8" in found.cause + found.cure
    assert problems(SOUND.encode("utf-16"), tmp_path)


@pytest.mark.parametrize("content", [b"", b"\x89PNG\r\n\x1a\n\x00", b"\n\n\n", b"# only words\n"])
def test_a_file_that_is_no_case_is_refused(content, tmp_path):
    assert problems(content, tmp_path)


def test_a_folder_a_missing_file_and_a_huge_file_are_refused(tmp_path):
    (tmp_path / "huge.toml").write_bytes(b"#" * 2_000_000)
    for path, said in (
        (tmp_path, "folder"),
        (tmp_path / "none.toml", "no such file"),
        (tmp_path / ("x" * 5000), "cannot be read"),
        (tmp_path / "a\0b", "no such file"),
        (tmp_path / "huge.toml", "ordinary size"),
    ):
        with pytest.raises(InputError, match=said):
            read_case(path)


@pytest.mark.parametrize("length", [1, 2, 5])
def test_a_ring_of_bases_is_refused(length, tmp_path):
    for number in range(length):
        text = f'format = 1\nbase = "{(number + 1) % length}.toml"\n'
        (tmp_path / f"{number}.toml").write_text(text)
    with pytest.raises(InputError, match="leads back"):
        read_case(tmp_path / "0.toml")


def test_a_mistake_in_a_base_is_named_in_the_base(tmp_path):
    (tmp_path / "below.toml").write_text(changed('"11 mm"', '"11 inn"'))
    (found,) = problems('base = "below.toml"\nname = "Above"\n', tmp_path)
    assert found.file.endswith("below.toml")
    assert found.line == line_of(SOUND, '"11 mm"')


def test_all_mistakes_are_told_at_once_in_the_order_of_their_lines(tmp_path):
    text = SOUND
    for old, new in (("years = 1", "years = 0"), ('"12 m2"', '"12"'), ('"osb"', '"obs"')):
        text = text.replace(old, new)
    found = problems(text, tmp_path)
    assert [one.field for one in found] == [
        *("years", "assembly[1].area", "assembly[1].layer[1].material")
    ]
    assert all(one.source_line == text.split("\n")[one.line - 1] for one in found)


def test_two_layers_two_assemblies_or_two_shares_of_one_name_are_refused(tmp_path):
    named = changed('material = "osb"', 'name = "batt"\nmaterial = "osb"')
    assert "two layers are called" in problems(named, tmp_path)[0].cause
    wall = SOUND[SOUND.index("[[assembly]]") :]
    assert "two assemblies are called" in problems(SOUND + wall, tmp_path)[0].cause
    bridge = 'bridges = [{ path = "studs", material = "spruce", share = "9 %" }]\nthickness = "11'
    other = changed('thickness = "11', bridge)
    assert "another share" in problems(other, tmp_path)[0].cause


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (["h", *["40"] * 8760], "no column"),
        (["humidity", *["40"] * 5], "5 rows"),
        (["humidity", *["40"] * 8759, "x"], "number"),
        (["humidity", *["40"] * 8759, "nan"], "number"),
        (["humidity", *["40"] * 8759, "101"], "no possible humidity"),
        (["humidity", *["0.4"] * 8760], "mean would be 0.4 %"),
        ([], "the file is empty"),
    ],
)
def test_a_bad_column_of_a_file_is_refused(rows, said, tmp_path):
    (tmp_path / "room.csv").write_text("\n".join(rows))
    rule = 'humidity = { file = "room.csv", column = "humidity", unit = "%" }'
    (found,) = problems(changed('\nhumidity = "40 %"', f"\n{rule}"), tmp_path)
    assert said in found.cause + found.cure


GYPSUM = '[[assembly.layer]]\nmaterial = "gypsum board"\nthickness = "12.5 mm"\n\n'


def test_layers_in_the_wrong_order_are_refused_at_their_line_unless_meant(tmp_path):
    """A room's finish in the weather: common practice, no source."""
    text = changed("[[assembly.layer]]\n", GYPSUM + "[[assembly.layer]]\n")
    (found,) = problems(text, tmp_path)
    assert found.field == "assembly[1].layer[1]"
    assert found.line == line_of(text, "[[assembly.layer]]")
    assert "order_meant = true" in found.cure
    for entry in ("order_meant = true", "sheltered = true"):
        sound = text.replace("emittance = 0.9", f"emittance = 0.9\n{entry}", 1)
        (tmp_path / "case.toml").write_text(sound, "utf-8")
        (wall,) = read_case(tmp_path / "case.toml").assemblies
        assert wall.order_meant is entry.startswith("order")


def test_a_starting_case_needs_a_name():
    for name in ("", " ", "a\nb"):
        with pytest.raises(InputError):
            starting_case(name)

"""A case that is written reads back to an equal one, or is refused with the reason and no file."""

import dataclasses
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

import assembly_sim as sim
from assembly_sim.model import (
    AirLayer,
    Case,
    ColumnOfFile,
    ConductivityPoints,
    Constant,
    ConstantDiffusivity,
    Ducts,
    ExcessVapour,
    Fan,
    FreeArea,
    Material,
    MeasuredFlow,
    MoistureBalance,
    NamedDepth,
    Opening,
    OutdoorCurve,
    Points,
    RetentionCurve,
    RetentionTerm,
    Room,
    Side,
    SineOverYear,
    Thresholds,
    Zone,
)
from assembly_sim.model.opening import Gap, LeakageArea, RoundHole, SquareHole, Unsized, Wetted
from assembly_sim.solver.identity import case_sha256
from tests import synthetic
from tests.solver import random_walls

EXAMPLES = sorted(
    path
    for path in (Path(__file__).parents[2] / "examples").glob("*.toml")
    if not path.stem.endswith("_sweep")  # a plan, not a case
)
NUMBER = st.floats(0.05, 0.95)
HUMIDITY_RULES = st.one_of(
    NUMBER.map(Constant),
    st.builds(SineOverYear, st.floats(0.4, 0.6), st.floats(0.0, 0.3), st.floats(1.0, 366.0)),
    st.floats(0.0, 2000.0).map(ExcessVapour),
    st.sampled_from([OutdoorCurve(), OutdoorCurve(0.10)]),
    st.builds(
        MoistureBalance,
        *(
            st.floats(low, high)
            for low, high in ((10.0, 900.0), (0.0, 3.0), (0.0, 1e-3), (0.2, 1.0))
        ),
    ),
    st.just(ColumnOfFile(tuple(np.random.default_rng(16).uniform(0.2, 0.7, 8760).tolist()))),
)
TEMPERATURE_RULES = st.one_of(
    st.floats(280.0, 300.0).map(Constant),
    st.builds(SineOverYear, st.floats(285.0, 295.0), st.floats(0.0, 5.0)),
    st.just(OutdoorCurve()),
)
LIMITS = st.builds(Thresholds, mould_index=st.floats(0.5, 6.0), wood_moisture=st.floats(0.1, 0.3))
FACTOR = st.floats(0.9, 1.1)


def takes(wall):
    """Whether the reader takes its layers: air lies between two others, rain gets behind one."""
    air = [isinstance(part[0], float) for part in wall.layers]
    apart = not any(one and other for one, other in zip(air, air[1:]))
    return apart and not air[0] and not air[-1] and wall.leaked_rain_layer != 0


@st.composite
def cases(draw):
    wall = draw(random_walls.walls().filter(takes))
    assembly = random_walls.built(wall)
    if draw(st.booleans()):  # materials that are not those of the table
        factor = draw(FACTOR)
        assembly = dataclasses.replace(
            assembly, layers=tuple(of_its_own(one, factor) for one in assembly.layers)
        )
    return Case(
        draw(st.sampled_from(["plain", 'a "quoted" name', "Dachstuhl, größer \N{SNOWMAN}"])),
        random_walls.climate(wall.climate),
        Room(draw(TEMPERATURE_RULES), draw(HUMIDITY_RULES)),
        (assembly, dataclasses.replace(assembly, name="sealed", leak=None)),
        years=draw(st.none() | st.integers(1, 50)),
        start_month=draw(st.integers(1, 12)),
        starting_humidity=draw(NUMBER),
        thresholds=draw(LIMITS),
        code_zone=draw(st.none() | st.just("6")),
        code_edition=draw(st.none() | st.just("2021")),
    )


def of_its_own(layer, factor):
    """The layer with its material scaled; its name tells by how much, so that names are single."""
    if isinstance(layer, AirLayer):
        return layer
    kind = "material" if hasattr(layer, "material") else "sheet"
    old = getattr(layer, kind)
    curve = "conductivity" if kind == "material" else "permeance"
    points = getattr(old, curve)
    scaled = Points(points.x, tuple(value * factor for value in points.y))
    new = dataclasses.replace(old, name=f"{old.name}, my own", **{curve: scaled})
    return dataclasses.replace(layer, **{kind: new})


def written(case, folder, **how):
    path = folder / "written.toml"
    sim.write_case(case, path, **how)
    return sim.read_case(path)


SIDES = st.none() | st.builds(Side, st.floats(0.0, math.pi), st.floats(0.0, 6.28))
SHAPES = st.one_of(
    st.floats(1e-5, 0.01).flatmap(lambda width: st.builds(Gap, st.just(width), st.floats(0.01, 9))),
    st.builds(RoundHole, st.floats(1e-3, 1.0)),
    st.builds(SquareHole, st.floats(1e-3, 1.0)),
    st.builds(FreeArea, st.floats(1e-6, 3.0)),
    st.builds(LeakageArea, st.floats(1e-6, 3.0), st.floats(0.5, 1.0)),
    st.builds(MeasuredFlow, st.floats(1e-6, 3.0), st.floats(4.0, 75.0), st.floats(0.5, 1.0)),
)
DUCTS = st.builds(
    Ducts,
    *(st.sampled_from(["ducts", "furnace"]), st.just("attic"), st.floats(0.01, 2.0)),
    *(st.floats(0.0, 50.0), st.floats(0.0, 50.0), st.floats(0.1, 5.0), st.floats(300.0, 350.0)),
    *(st.floats(230.0, 270.0), st.floats(280.0, 290.0), st.floats(0.0, 0.5)),
    room=st.sampled_from(["room", "wing"]),
)


@st.composite
def houses(draw):
    """A random case with an attic above, a wing beside, and all that a house may have."""
    case = draw(cases())
    first = dataclasses.replace(case.assemblies[0], inside="attic")
    under = dataclasses.replace(first.outer, sheltered=True, leaked_rain_layer=None)
    floor = dataclasses.replace(
        first, name="floor", inside="wing", outside="attic", outer=under, order_meant=True
    )
    ways = [("room", "outdoors"), ("attic", "outdoors"), ("wing", "attic"), ("room", "wing")]
    solid = [one.name for one in floor.layers if hasattr(one, "material")]
    once = [name for name in solid if [one.name for one in floor.layers].count(name) == 1]
    wets = draw(st.none() | st.sampled_from([Wetted("floor", name) for name in once] or [None]))
    openings = [
        Opening(
            *(f"opening {i}", draw(SHAPES), draw(st.floats(-2.0, 9.0)), side, *way),
            wets=wets if way == ("wing", "attic") else None,
        )
        for i, way in enumerate(ways)
        for side in [draw(SIDES) if way[1] == "outdoors" else None]
    ]
    test = draw(st.none() | st.builds(MeasuredFlow, st.floats(190.0, 200.0)))
    if test is not None:
        openings.append(Opening("joints", Unsized(draw(st.floats(0.1, 5.0))), 1.0))
    spaces = draw(st.permutations(["room", "wing", "attic"]))
    flow = draw(st.floats(-0.1, 0.1))
    return dataclasses.replace(
        case,
        assemblies=(first, floor),
        more_rooms=(Room(draw(TEMPERATURE_RULES), draw(HUMIDITY_RULES), "wing"),),
        zones=(
            Zone(
                "attic", *(draw(st.floats(1.0, 500.0)), draw(st.floats(0.0, 1e6)), 1.5, 3.0, 1e-6)
            ),
        ),
        openings=tuple(openings),
        fans=(
            Fan(flow, spaces[0], spaces[1]),
            Fan(0.0, "attic", name="fan 2"),
            Fan(-0.01, "room", name="bath"),
            Fan(0.01, "room", name="supply"),
        ),
        ducts=(draw(DUCTS),),
        blower_door=test,
    )


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_examples_read_back(path, tmp_path):
    case = sim.read_case(path)
    again = written(case, tmp_path)
    assert again == case
    assert case_sha256(again) == case_sha256(case)
    assert all(note in again.text for note in case.unstated)
    assert [one.name for one in tmp_path.iterdir()] == ["written.toml"]


@settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    database=None,
    phases=(Phase.generate,),
    suppress_health_check=list(HealthCheck),
)
@given(cases())
def test_random_cases_read_back(tmp_path_factory, case):
    folder = tmp_path_factory.mktemp("written")
    again = written(case, folder)
    assert again == case
    assert case_sha256(again) == case_sha256(case)


@settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    database=None,
    phases=(Phase.generate,),
    suppress_health_check=list(HealthCheck),
)
@given(houses())
def test_random_houses_read_back(tmp_path_factory, case):
    again = written(case, tmp_path_factory.mktemp("house"))
    assert again == case
    assert case_sha256(again) == case_sha256(case)


def test_a_written_case_gives_the_same_run(tmp_path):
    case = dataclasses.replace(sim.read_case(EXAMPLES[0]), years=1)
    one, other = sim.run(case), sim.run(written(case, tmp_path))
    assert one.provenance["inputs_sha256"] == other.provenance["inputs_sha256"]
    for before, after in zip(one.assemblies[0].paths, other.assemblies[0].paths):
        np.testing.assert_array_equal(after.temperature, before.temperature)
        np.testing.assert_array_equal(after.heat_flux_room, before.heat_flux_room)


def of_material(material):
    case = sim.read_case(EXAMPLES[0])
    first = case.assemblies[0]
    index = next(i for i, one in enumerate(first.layers) if hasattr(one, "thickness"))
    layers = list(first.layers)
    layers[index] = dataclasses.replace(layers[index], material=material, thickness=0.1, probes=())
    return dataclasses.replace(case, assemblies=(dataclasses.replace(first, layers=tuple(layers)),))


SPRUCE = sim.read_materials()["spruce"]


@pytest.mark.parametrize(
    "material",
    [
        *(one for one in sim.read_materials().values() if isinstance(one, Material)),
        dataclasses.replace(
            SPRUCE,
            storage=RetentionCurve(
                300.0, (RetentionTerm(0.3, 1e-5, 1.5, 0.4), RetentionTerm(0.7, 1e-7, 2.0, 0.5))
            ),
            liquid=ConductivityPoints((10.0, 200.0), (1e-20, 1e-12)),
        ),
        dataclasses.replace(SPRUCE, liquid=ConstantDiffusivity(1e-10), mould_class="resistant"),
        dataclasses.replace(SPRUCE, permeability_temperature_exponent=0.5, solar_absorptance=0.3),
    ],
    ids=lambda material: material.name,
)
def test_every_kind_of_material_reads_back(material, tmp_path):
    """Under a name of its own, so that none comes from the shipped table."""
    case = of_material(dataclasses.replace(material, name="of my own"))
    again = written(case, tmp_path)
    assert again == case
    assert '[materials."of my own"]' in again.text
    layers = zip(again.assemblies[0].layers, case.assemblies[0].layers)
    assert all(
        dict(a.material.sources) == dict(b.material.sources)
        for a, b in layers
        if isinstance(a, sim.Layer) and a.material.name == "of my own"
    )


def test_named_depths_and_weather_of_ones_own(tmp_path):
    case = sim.read_case(EXAMPLES[0], climate="wet_mild_coast")
    layers = list(case.assemblies[0].layers)
    at = next(i for i, one in enumerate(layers) if hasattr(one, "probes"))
    layers[at] = dataclasses.replace(
        layers[at], probes=(NamedDepth("pin", layers[at].thickness / 3),)
    )
    one = dataclasses.replace(case.assemblies[0], layers=tuple(layers))
    case = dataclasses.replace(case, assemblies=(one,))
    assert written(case, tmp_path) == case
    own = tmp_path / "own.csv"
    own.write_text("# a note of mine\n", encoding="utf-8")
    text = (Path(__file__).parents[2] / "climates" / "cold_inland.csv").read_text()
    own.write_text(text.replace("# latitude: ", "# note: mine\n# latitude: ", 1))
    case = dataclasses.replace(case, climate=sim.read_climate(own))
    assert written(case, tmp_path, climate="own.csv") == case


def colder(case):
    return dataclasses.replace(case.climate, temperature=case.climate.temperature - 1.0)


def in_room(**rules):
    return lambda case: dataclasses.replace(case, room=dataclasses.replace(case.room, **rules))


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (lambda case: dataclasses.replace(case, climate=colder(case)), "climate"),
        (lambda case: synthetic.case(), "none of the weather that is shipped"),
        (
            lambda case: of_material(dataclasses.replace(SPRUCE, name="soft", specific_heat=1.0)),
            "specific_heat",
        ),
        (lambda case: of_material(dataclasses.replace(SPRUCE, density=410.0)), "have this name"),
        (in_room(humidity=OutdoorCurve(0.05)), "an offset of 0.05"),
        (lambda case: dataclasses.replace(case, name="two\nlines"), "name"),
        (in_room(humidity=ColumnOfFile((0.4,) * 8759)), "8759 rows"),
        (in_room(humidity=ColumnOfFile((math.nan,) + (0.4,) * 8759)), "humidity"),
    ],
)
def test_what_no_file_can_say_is_refused_and_leaves_nothing(change, why, tmp_path):
    with pytest.raises(sim.InputError, match=why):
        sim.write_case(change(sim.read_case(EXAMPLES[1])), tmp_path / "case.toml")
    assert list(tmp_path.iterdir()) == []


def test_hourly_columns_stand_beside(tmp_path):
    rule = ColumnOfFile(tuple(np.linspace(0.3, 0.6, 8760).tolist()), "somewhere.csv")
    case = in_room(humidity=rule)(sim.read_case(EXAMPLES[0]))
    assert written(case, tmp_path) == case
    assert sorted(one.name for one in tmp_path.iterdir()) == ["written.room.csv", "written.toml"]

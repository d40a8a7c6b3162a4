"""Materials of the user's own: what loads, and what is refused with the reason."""

import math
from copy import deepcopy

import numpy as np
import pytest

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.material import read as materials
from assembly_sim.model import (
    ConductivityPoints,
    ConstantDiffusivity,
    Material,
    RetentionCurve,
    Sheet,
    TwoPointStorage,
)
from assembly_sim.physics import pore_water

GOOD = {
    "density": "650 kg/m3",
    "specific_heat": "1250 J/(kg K)",
    "porosity": "56 %",
    "conductivity": {"value": "0.106 W/(m K)", "mean_temperature": "24 degC"},
    "vapour": {
        "specimen_thickness": "10 mm",
        "humidity": "30 50 70 %",
        "permeance": "56 110 210 ng/(Pa s m2)",
    },
    "storage": {
        "humidity": "20 50 90 %",
        "moisture_content": "3 6.6 16 %",
        "saturation": "500 kg/m3",
    },
    "liquid": {"uptake_coefficient": "0.0022 kg/(m2 s^0.5)"},
}
TWO_POINT = {"at_80_percent": "60 kg/m3", "saturation": "400 kg/m3"}
RETENTION = {
    "saturation": "146 kg/m3",
    "weight": "1",
    "alpha": "8e-8 1/Pa",
    "n": "1.6",
    "m": "0.375",
}
SHEET = {"form": "sheet", "vapour": {"permeance": "0.06 perm"}}


def report(path: tuple[str, ...], cause: str, cure: str) -> Problem:
    return Problem(cause, cure, "own.toml", 7, ".".join(path))


def changed(**entries):
    """GOOD with entries replaced; `a__b` reaches into a table, None takes the entry out."""
    table = deepcopy(GOOD)
    for key, value in entries.items():
        *outer, last = key.split("__")
        where = table
        for name in outer:
            where = where[name]
        if value is None:
            del where[last]
        else:
            where[last] = value
    return table


def refused(table) -> tuple[Problem, ...]:
    with pytest.raises(InputError) as error:
        materials.from_table("mine", table, report)
    return error.value.problems


def test_a_good_table_becomes_si():
    mine = materials.from_table("mine", GOOD, report)
    assert isinstance(mine, Material)
    assert mine.storage.water_content == pytest.approx((19.5, 42.9, 104.0))
    assert mine.permeability.y[1] == pytest.approx(110e-12 * 0.010)
    assert mine.conductivity.x == (297.15,)


def test_the_benchmark_material_of_en_15026_can_be_typed_in():
    """EN 15026:2007, annex A (from memory): w(50 %, 20 degC) 42.943 kg/m3, computed."""
    water = np.array([0.0, 36.5, 73.0, 109.5, 146.0])
    d = water - 73.0
    log_k = -39.2619 + 0.0704 * d - 1.7420e-4 * d**2 - 2.7953e-6 * d**3
    log_k += -1.1566e-7 * d**4 + 2.5969e-9 * d**5
    table = changed(
        conductivity={
            "value": "1.5 W/(m K)",
            "mean_temperature": "20 degC",
            "gain_per_water": "15.8e-3 W m2/(kg K)",
        },
        storage=RETENTION,
        liquid={
            "water_content": " ".join(map(str, water)) + " kg/m3",
            "conductivity": " ".join(f"{math.exp(k):.6e}" for k in log_k) + " s",
        },
    )
    mine = materials.from_table("mine", table, report)
    assert isinstance(mine.storage, RetentionCurve)
    assert isinstance(mine.liquid, ConductivityPoints)
    suction = pore_water.suction(0.5, 293.15)
    assert float(pore_water.water_content(mine.storage, suction)) == pytest.approx(42.943, abs=2e-3)
    assert mine.conductivity_per_water == pytest.approx(15.8e-3)
    assert mine.liquid.conductivity[2] == pytest.approx(math.exp(-39.2619), rel=1e-5)


def test_two_point_storage_diffusivity_factor_and_gain():
    table = changed(
        storage=TWO_POINT,
        liquid={"diffusivity": "6e-10 m2/s"},
        vapour={"resistance_factor": "50", "temperature_exponent": "0.81"},
        conductivity__gain_per_moisture="1.3",
    )
    mine = materials.from_table("mine", table, report)
    assert mine.storage == TwoPointStorage(60.0, 400.0)
    assert mine.liquid == ConstantDiffusivity(6e-10)
    assert mine.permeability.y == pytest.approx((3.9e-12,))
    assert mine.permeability_temperature_exponent == 0.81
    assert mine.conductivity_per_water == pytest.approx(0.106 * 1.3 / 650)


def test_a_sheet_by_permeance_and_by_equivalent_air_layer():
    by_perm = materials.from_table("film", SHEET, report)
    assert isinstance(by_perm, Sheet)
    assert by_perm.permeance.y == pytest.approx((0.06 * 5.721e-11,), rel=1e-3)
    layer = {"form": "sheet", "vapour": {"air_layer_thickness": "2 m"}}
    assert materials.from_table("film", layer, report).permeance.y == pytest.approx((9.75e-11,))


# What is wrong, the field that is named, a part of the cause.
BAD = {
    "sorption falls": (
        changed(storage__moisture_content="3 6.6 5 %"),
        *("storage.moisture_content", "falls from 42.9 to 32.5"),
    ),
    "water beyond the pores": (
        changed(storage__saturation="700 kg/m3"),
        *("storage.saturation", "do not fit into the pores (560 kg/m3)"),
    ),
    "last point above saturation": (
        changed(storage__saturation="80 kg/m3"),
        *("storage.moisture_content", "lies above saturation"),
    ),
    "humidity of sorption at 100 %": (
        changed(storage__humidity="20 50 100 %"),
        *("storage.humidity", "is not possible"),
    ),
    "humidity out of order": (
        changed(storage__humidity="20 90 50 %"),
        *("storage.humidity", "do not rise"),
    ),
    "humidity twice": (changed(vapour__humidity="30 50 50 %"), "vapour.humidity", "do not rise"),
    "humidity above 1": (changed(vapour__humidity="30 50 170 %"), "vapour.humidity", "170"),
    "humidity below 0": (changed(vapour__humidity="-3 50 70 %"), "vapour.humidity", "-3"),
    "unequal lists": (changed(vapour__humidity="30 50 %"), "vapour.permeance", "3 values"),
    "curve without humidity": (
        changed(vapour__humidity=None),
        *("vapour.permeance", "3 values stand against 1 points"),
    ),
    "permeance zero": (
        changed(vapour__permeance="0 110 210 ng/(Pa s m2)"),
        *("vapour.permeance", "not possible"),
    ),
    "permeance negative": (
        changed(vapour__permeance="-5 110 210 ng/(Pa s m2)"),
        *("vapour.permeance", "not possible"),
    ),
    "more open than air": (
        changed(vapour__permeance="56 110 210 g/(Pa s m2)"),
        *("vapour.permeance", "not possible"),
    ),
    "factor zero": (changed(vapour={"resistance_factor": "0"}), "vapour.resistance_factor", "0"),
    "no unit": (changed(density="650"), "density", "no unit"),
    "wrong kind of unit": (changed(density="650 mm"), "density", "measures length"),
    "unknown unit": (changed(density="650 kg/m33"), "density", "not known"),
    "not a number": (changed(density="nan kg/m3"), "density", "number"),
    "endless": (changed(density="1e999 kg/m3"), "density", "finite"),
    "density zero": (changed(density="0 kg/m3"), "density", "not possible"),
    "porosity above 1": (changed(porosity="1.2"), "porosity", "not possible"),
    "porosity negative": (changed(porosity="-1 %"), "porosity", "not possible"),
    "conductivity zero": (
        changed(conductivity__value="0 W/(m K)"),
        *("conductivity.value", "not possible"),
    ),
    "conductivity without its temperature": (
        changed(conductivity__mean_temperature=None),
        *("conductivity", "missing"),
    ),
    "conductivity as a text": (changed(conductivity="0.1 W/(m K)"), "conductivity", "no table"),
    "two gains": (
        changed(
            conductivity__gain_per_moisture="1", conductivity__gain_per_water="1e-3 W m2/(kg K)"
        ),
        *("conductivity", "twice"),
    ),
    "entry missing": (changed(specific_heat=None), "specific_heat", "missing"),
    "unknown entry": (changed(densty="650 kg/m3"), "densty", "has no place here"),
    "unknown entry inside": (changed(vapour__humidty="50 %"), "vapour.humidty", "no place here"),
    "two descriptions": (
        changed(storage__at_80_percent="60 kg/m3"),
        *("storage.at_80_percent", "no place here"),
    ),
    "empty list": (changed(storage__humidity=[]), "storage.humidity", "empty"),
    "a number for a text": (changed(vapour__permeance=[1, 2, 3]), "vapour.permeance", "no unit"),
    "true for a quantity": (changed(density=True), "density", "quantity"),
    "two points too near": (
        changed(storage={"at_80_percent": "380 kg/m3", "saturation": "400 kg/m3"}),
        *("storage.at_80_percent", "too near saturation"),
    ),
    "weights": (
        changed(storage=RETENTION | {"weight": "0.9"}),
        *("storage.weight", "add up to 0.9"),
    ),
    "pore families unequal": (
        changed(storage=RETENTION | {"n": "1.6 2"}),
        *("storage.n", "2 values"),
    ),
    "liquid without storage": (changed(storage=None), "liquid", "only where water is stored"),
    "uptake without capillary water": (
        changed(storage__humidity="20 50 89 %", storage__moisture_content="3 6.6 76 %"),
        *("liquid.uptake_coefficient", "full at 90 %"),
    ),
    "uptake negative": (
        changed(liquid__uptake_coefficient="-1 kg/(m2 s^0.5)"),
        *("liquid.uptake_coefficient", "not possible"),
    ),
    "conductivity beyond saturation": (
        changed(liquid={"water_content": "0 600 kg/m3", "conductivity": "1e-20 1e-10 s"}),
        *("liquid.water_content", "not possible"),
    ),
    "unknown kind": (changed(kinds=["wodd"]), "kinds", "unknown word"),
    "kinds as a text": (changed(kinds="wood"), "kinds", "no list"),
    "unknown mould class": (changed(mould_class="fair"), "mould_class", "unknown word"),
    "unknown confidence": (changed(confidence="sure"), "confidence", "unknown word"),
    "emittance": (changed(emittance="1.4"), "emittance", "not possible"),
    "absorptance": (changed(solar_absorptance="-0.1"), "solar_absorptance", "not possible"),
    "source of nothing": (changed(sources={"colour": "x"}), "sources.colour", "no place here"),
    "empty source": (changed(sources={"density": " "}), "sources.density", "is a text"),
    "form as a list": (changed(form=["sheet"]), "form", "unknown form"),
    "unknown form": (changed(form="slab"), "form", "unknown form"),
    "sheet with a density": (SHEET | {"density": "1 kg/m3"}, "density", "no place here"),
    "sheet without resistance": ({"form": "sheet"}, "vapour", "missing"),
    "sheet of no permeance": (
        {"form": "sheet", "vapour": {"permeance": "0 perm"}},
        *("vapour.permeance", "not possible"),
    ),
    "no table at all": ("oak", "", "a material is a table"),
}


@pytest.mark.parametrize("case", BAD)
def test_impossible_tables_are_refused_with_the_reason(case):
    table, field, cause = BAD[case]
    problems = refused(table)
    assert [problem.field for problem in problems] == [field]
    assert cause in problems[0].cause
    assert problems[0].cure


def test_all_that_is_wrong_is_said_at_once():
    table = changed(density="650", porosity="2", conductivity__value="0 W/(m K)")
    assert {p.field for p in refused(table)} == {"density", "porosity", "conductivity.value"}


def test_a_near_miss_is_suggested():
    assert "did you mean 'density'?" in refused(changed(densty="1 kg/m3"))[0].cure


OWN = """
[references]
sheet7 = "maker's data sheet 7"

["osb"]
form = "sheet"
vapour = { permeance = "1 perm" }
sources = { vapour = "sheet7, cup A" }
"""


def test_a_file_of_ones_own_wins_and_spells_out_its_sources(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(OWN)
    both = materials.load(path)
    assert both["osb"].sources["vapour"] == "maker's data sheet 7, cup A"
    assert len(both) == len(materials.load())
    assert isinstance(materials.load()["osb"], Material)


def test_a_problem_names_file_line_and_field(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(OWN + '\n["my slab"]\ndensity = "1 kg/m3"\nporosity = "3"\n')
    with pytest.raises(InputError) as error:
        materials.load(path)
    problem = next(p for p in error.value.problems if p.field == "my slab.porosity")
    assert (problem.file, problem.line) == (str(path), 12)
    assert problem.source_line == 'porosity = "3"'


def test_references_that_are_no_table_of_texts(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text("references = 3\n")
    with pytest.raises(InputError, match="own.toml:1: references: this is no table of texts"):
        materials.load(path)


def test_a_factor_is_not_shown_as_a_share():
    problem = refused(changed(vapour={"resistance_factor": "0.1"}))[0]
    assert problem.cure == "give a number from 0.5 to 1e+08"


def test_a_missing_file_is_an_input_error(tmp_path):
    with pytest.raises(InputError, match="no such file"):
        materials.load(tmp_path / "none.toml")

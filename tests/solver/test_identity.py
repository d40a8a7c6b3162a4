"""The inputs' hash tells apart all that a run depends on, and nothing else."""

import dataclasses
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import assembly_sim as sim
from assembly_sim.model import ColumnOfFile, Constant
from assembly_sim.solver.identity import case_sha256
from tests import synthetic

EXAMPLE = Path(__file__).parents[2] / "examples" / "rafter_bay_foam.toml"
CASE = sim.read_case(EXAMPLE)


def with_assembly(**changes):
    (first,) = CASE.assemblies
    return dataclasses.replace(CASE, assemblies=(dataclasses.replace(first, **changes),))


def doubled():
    layers = CASE.assemblies[0].layers
    thicker = [
        dataclasses.replace(one, thickness=2.0 * one.thickness, probes=())
        if hasattr(one, "thickness")
        else one
        for one in layers
    ]
    return with_assembly(layers=tuple(thicker))


def one_bit_warmer():
    temperature = np.array(CASE.climate.temperature)
    temperature[4000] = np.nextafter(temperature[4000], 400.0)
    return dataclasses.replace(
        CASE, climate=dataclasses.replace(CASE.climate, temperature=temperature)
    )


def other_foam():
    foam = next(one for one in CASE.assemblies[0].layers if one.name == "rigid foam")
    denser = dataclasses.replace(foam.material, density=foam.material.density + 1.0)
    layers = CASE.assemblies[0].layers
    return with_assembly(
        layers=tuple(dataclasses.replace(x, material=denser) if x is foam else x for x in layers)
    )


def stricter():
    limits = dataclasses.replace(CASE.thresholds, mould_index=2.0)
    return dataclasses.replace(CASE, thresholds=limits)


@pytest.mark.parametrize(
    "make",
    [
        *(doubled, one_bit_warmer, other_foam, stricter),
        lambda: with_assembly(leak=None),
        lambda: dataclasses.replace(CASE, years=3),
        lambda: dataclasses.replace(CASE, code_zone="6"),
        lambda: dataclasses.replace(CASE, climate=dataclasses.replace(CASE.climate, rain=None)),
    ],
)
def test_what_a_run_depends_on_changes_the_hash(make):
    other = make()
    assert case_sha256(other) != case_sha256(CASE)
    assert other != CASE


def test_a_number_of_another_kind_of_rule_is_another_case():
    """A constant of 0.4 against a column of 0.4: equal bytes of numbers, other descriptions."""
    hours = CASE.climate.hours
    rules = (Constant(0.4), ColumnOfFile((0.4,) * hours), ColumnOfFile((0.4,) * (hours - 1)))
    rooms = [dataclasses.replace(CASE.room, humidity=rule) for rule in rules]
    hashes = {case_sha256(dataclasses.replace(CASE, room=room)) for room in rooms}
    assert len(hashes) == 3


def test_a_column_is_known_by_its_rows_and_not_by_its_file():
    def hash_of(values, source):
        rule = ColumnOfFile(tuple(values), source, (source,))
        return case_sha256(
            dataclasses.replace(CASE, room=dataclasses.replace(CASE.room, humidity=rule))
        )

    values = np.full(CASE.climate.hours, 0.4)
    other = values.copy()
    other[17] = np.nextafter(0.4, 1.0)
    assert hash_of(values, "a.csv") == hash_of(values, "b.csv")
    assert hash_of(values, "a.csv") != hash_of(other, "a.csv")


def test_text_path_and_what_is_left_unsaid_do_not(tmp_path):
    text = EXAMPLE.read_text()
    (tmp_path / "other.toml").write_text("# a comment\n" + text.replace('"1/2 in"', '"0.5 in"'))
    other = sim.read_case(tmp_path / "other.toml")
    assert other.text != CASE.text
    assert case_sha256(other) == case_sha256(CASE)
    assert other == CASE
    said = tmp_path / "said.toml"
    said.write_text(text.replace('code_zone = "7"', 'code_zone = "7"\nstarting_humidity = "80 %"'))
    assert sim.read_case(said).unstated != CASE.unstated
    assert case_sha256(sim.read_case(said)) == case_sha256(CASE)


def test_another_table_of_materials_with_another_value(tmp_path):
    table = Path(__file__).parents[2] / "materials" / "insulation_foam.toml"
    same, other = tmp_path / "same.toml", tmp_path / "other.toml"
    same.write_text(table.read_text())
    part = table.read_text().partition('["polyiso"]')
    assert part[2].count('specific_heat = "') >= 1
    start, key, rest = part[2].partition('specific_heat = "')
    other.write_text(part[0] + part[1] + start + key + "9" + rest[1:])
    assert case_sha256(sim.read_case(EXAMPLE, materials=same)) == case_sha256(CASE)
    assert case_sha256(sim.read_case(EXAMPLE, materials=other)) != case_sha256(CASE)


def test_sources_and_notes_of_weather_do_not_count():
    quiet = dataclasses.replace(CASE.climate, notes=(), source_sha256="", flags={})
    assert case_sha256(dataclasses.replace(CASE, climate=quiet)) == case_sha256(CASE)


def test_the_same_in_another_process():
    """Other string hashes, so another order of sets."""
    code = (
        "import sys, assembly_sim as sim; from assembly_sim.solver.identity import case_sha256\n"
        "print(case_sha256(sim.read_case(sys.argv[1])))"
    )
    for seed in ("1", "2"):
        ran = subprocess.run(
            [sys.executable, "-c", code, str(EXAMPLE)],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        )
        assert ran.stdout.strip() == case_sha256(CASE)


def test_every_field_of_a_result_of_formulas_is_known():
    assert len(case_sha256(synthetic.case())) == 64

"""Cases at the edge: what once passed in silence, ended in a trace or took memory without end."""

from __future__ import annotations

import os
import resource
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from case_texts import SOUND, changed, problems

from assembly_sim import to_si
from assembly_sim.envelope.resistances import path_shares, u_value
from assembly_sim.errors import InputError, Problem
from assembly_sim.files.case.read import read_case
from assembly_sim.model import Constant, ExcessVapour, Layer
from assembly_sim.physics.surface import air_layer_resistance
from assembly_sim.units import UnitError

HUNDREDS = "1" + "0" * 400
MANY_LAYERS = '\n[[assembly.layer]]\nmaterial = "osb"\nthickness = "11 mm"\n' * 3000
MANY_BRIDGES = ", ".join(
    f'{{ path = "p{k}", material = "spruce", share = "0.1 %" }}' for k in range(30)
)


def one(text: str, folder: Path) -> str:
    return "\n".join(str(problem) for problem in problems(text, folder))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('path = "studs"', 'path = "main"', "call the bridge another name"),
        (
            'depth = "30 mm" }',
            'depth = "30 mm" }, { name = "x", depth = "30 mm" }',
            "another probe",
        ),
        ('depth = "30 mm"', 'depth = "0.01 mm"', "on a face"),
        ('thickness = "11 mm"', 'thickness = "1e-6 mm"', "write from 0.05 mm"),
        ('climate = "cold_inland"', 'climate = "~nosuchuser/x.csv"', "no such climate"),
        ('climate = "cold_inland"', 'climate = "a\\u0000b"', "climate"),
        ("format = 1", 'base = "a\\u0000b"', "no file name"),
        ("format = 1", f'base = "{"n" * 3000}"', "no case file"),
        ("years = 1", f"years = {HUNDREDS}", "at most 50"),
        ('"75 %"', HUNDREDS, "too long"),
        ('"40 %"', f"{{ mean = 0.5, amplitude = 0.1, peak_day = {HUNDREDS} }}", "number"),
        ('"40 %"', f"{{ class = {HUNDREDS} }}", "at most 5"),
        ("mould_index = 2", f"mould_index = {HUNDREDS}", "too long"),
        ("[[assembly]]", "[assembly]", "write [[assembly]]"),
        ("[[assembly.layer]]", "[[layer]]", "write [[assembly.layer]]"),
        ('climate = "cold_inland"', 'climate = "C:\\weather\\x.csv"', "write / between folders"),
        ('tilt = "90 deg"', 'tilt = "6/10"', "6:12"),
        ('azimuth = "180 deg"', 'azimuth = "north"', "clockwise from north"),
        ("start_month = 10", 'start_month = "October"', "write 10, without quotes"),
        ("[[assembly]]", "[[assembly]]\n" * 600, "50 at most"),
        ('"0.2 L/(s m2) at 75 Pa"', '"0.2 L/(s m2)"', "at what pressure"),
        ("format = 1", "a" + ".a" * 20000 + " = 1", "too many parts"),
        ("format = 1", "a = " + "[" * 20000 + "]" * 20000, "nested too deep"),
        ("format = 1", "[change.x]", "base"),
        ('share = "23 %" }', f'share = "23 %" }}, {MANY_BRIDGES}', "12 at most"),
    ],
)
def test_what_no_case_can_mean_is_refused_with_a_cure(
    old: str, new: str, said: str, tmp_path: Path
) -> None:
    began, peak = time.thread_time(), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert said in one(changed(old, new), tmp_path)
    assert time.thread_time() - began <= 3.0
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - peak <= 200_000  # kB


def test_thousands_of_equal_layers_are_refused_at_once(tmp_path: Path) -> None:
    """They were named one by one before they were counted: cubic in their number."""
    began = time.thread_time()
    assert "60 at most" in one(SOUND + MANY_LAYERS, tmp_path)
    assert time.thread_time() - began <= 5.0


def test_places_of_a_large_text_are_found_in_linear_time(tmp_path: Path) -> None:
    tables = "".join(f"[t{k}]\nx = 1\n" for k in range(40_000))
    began = time.thread_time()
    found = problems(SOUND + tables, tmp_path)
    assert time.thread_time() - began <= 20.0
    assert found[0].line == SOUND.count("\n") + 1


def test_bases_without_end_are_refused(tmp_path: Path) -> None:
    for number in range(1200):
        (tmp_path / f"{number}.toml").write_text(f'base = "{number + 1}.toml"\n')
    (tmp_path / "1200.toml").write_text(SOUND)
    assert "more than 10 cases" in one('base = "0.toml"\n', tmp_path)


def test_a_bridge_called_main_is_refused_in_python_too(tmp_path: Path) -> None:
    """It replaced the main route, and U became that of the studs' share alone."""

    (tmp_path / "case.toml").write_text(SOUND)
    wall = read_case(tmp_path / "case.toml").assemblies[0]
    batt = wall.layers[2]
    assert isinstance(batt, Layer)
    renamed = replace(batt, bridges=tuple(replace(b, path="main") for b in batt.bridges))
    assert sum(path_shares(wall).values()) == pytest.approx(1.0)
    with pytest.raises(InputError, match="name of the main route"):
        u_value(replace(wall, layers=(*wall.layers[:2], renamed, *wall.layers[3:])))


def test_a_face_that_sends_nothing_leaves_convection_alone() -> None:
    """Radiation between grey plates, 1 / (1/e1 + 1/e2 - 1): nothing where one does not radiate."""
    assert air_layer_resistance(0.02, 0.0, 0.9, 1.5708) == pytest.approx(1.0 / 1.25)
    almost = air_layer_resistance(0.02, 1e-9, 0.9, 1.5708)
    assert air_layer_resistance(0.02, 0.0, 0.0, 1.5708) == pytest.approx(almost)


def test_a_bound_that_is_named_can_be_written(tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    path.write_text(changed('share = "23 %"', 'share = "99.9 %"'))
    assert path_shares(read_case(path).assemblies[0])["studs"] == 0.999


CLASS_3 = "{ class = 3 }"
SWING = '{ mean = "45 %", amplitude = "10 %" }'


def test_a_rule_of_the_room_is_replaced_whole_by_one_of_another_kind(tmp_path: Path) -> None:
    (tmp_path / "base.toml").write_text(changed('humidity = "40 %"', f"humidity = {SWING}"))
    above = tmp_path / "above.toml"
    above.write_text(f'base = "base.toml"\nroom.humidity = {CLASS_3}\n')
    assert isinstance(read_case(above).room.humidity, ExcessVapour)
    above.write_text('base = "base.toml"\nroom.humidity = "30 %"\n')
    assert read_case(above).room.humidity == Constant(0.3)
    above.write_text('base = "base.toml"\nroom.humidity.amplitude = "5 %"\n')
    assert read_case(above).room.humidity.amplitude == 0.05  # type: ignore[union-attr]


def test_single_layers_of_a_base_are_changed(tmp_path: Path) -> None:
    (tmp_path / "base.toml").write_text(SOUND)
    above = tmp_path / "above.toml"
    above.write_text(
        'base = "base.toml"\n[change."Back wall"]\nleak = "none"\n'
        '[change."Back wall".layer.batt]\nthickness = "8 in"\n'
        '[change."Back wall".layer."kraft facing"]\nmembrane = "latex primer, one coat"\n'
        '[change."Back wall".layer."air layer"]\nmaterial = "eps"\nthickness = "25 mm"\n'
    )
    wall = read_case(above).assemblies[0]
    assert wall.leak is None
    assert [layer.name for layer in wall.layers][1:3] == ["air layer", "batt"]
    assert wall.layers[2].thickness == pytest.approx(0.2032)  # type: ignore[union-attr]
    assert wall.layers[2].bridges  # type: ignore[union-attr]
    assert wall.layers[1].material.name == "eps"  # type: ignore[union-attr]
    assert wall.layers[3].sheet.name == "latex primer, one coat"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("change", "said", "line"),
    [
        ('[change."Bak wall"]\narea = "1 m2"', "did you mean 'Back wall'", 2),
        ('[change."Back wall".layer.bat]\nthickness = "1 m"', "did you mean 'batt'", 2),
        ('[change."Back wall".layer.batt]\nthickness = "1 J"', "measures", 3),
        ('[change."Back wall".layer]\nbatt = { thickness = "1 J" }', "measures", 3),
        ('[change."Back wall"]\naera = "1 m2"', "did you mean 'area'", 3),
        ("change = 3", "no table of changes", 2),
        ("change = { x = 3 }", "no table of changes", 2),
    ],
)
def test_a_wrong_change_is_named_where_it_stands(
    change: str, said: str, line: int, tmp_path: Path
) -> None:
    (tmp_path / "base.toml").write_text(SOUND)
    found = problems(f'base = "base.toml"\n{change}\n', tmp_path)
    assert said in f"{found[0].cause}; {found[0].cure}"
    assert (found[0].line, Path(found[0].file).name) == (line, "case.toml")


def test_kinds_of_quantity_are_listed() -> None:
    with pytest.raises(UnitError, match="conductivity.*length.*temperature"):
        to_si("18 in", "lenght")


@pytest.mark.parametrize("kind", ["pipe", "/dev/zero", "folder"])
@pytest.mark.parametrize("use", ["case", "base", "climate", "materials", "column"])
def test_files_that_never_end_are_refused(kind: str, use: str, tmp_path: Path) -> None:
    """A pipe that nobody writes to blocked for ever, a device never ends."""
    name = "odd" if kind != "/dev/zero" else kind
    if kind == "pipe":
        os.mkfifo(tmp_path / "odd")
    if kind == "folder":
        (tmp_path / "odd").mkdir()
    case = tmp_path / "case.toml"
    column = f'humidity = {{ file = "{name}", column = "x", unit = "%" }}'
    case.write_text(
        {
            "base": f'base = "{name}"\n',
            "climate": changed('"cold_inland"', f'"{name}"'),
            "column": changed('humidity = "40 %"', column),
        }.get(use, SOUND)
    )
    with pytest.raises(InputError):
        read_case(
            tmp_path / name if use == "case" else case,
            materials=tmp_path / name if use == "materials" else None,
        )


def test_no_message_is_long_or_quotes_much_of_a_file(tmp_path: Path) -> None:
    """20 MB of message came of one file; and a stranger's `base` may name any file."""
    many = InputError(*(Problem("c" * 10_000, "u" * 10_000, "f", k, "e") for k in range(9999)))
    assert len(str(many)) < 50_000
    assert "9979 more" in str(many)
    (tmp_path / "secret").write_text("password " + "s" * 5000 + "\n")
    (found,) = problems('base = "secret"\n', tmp_path)
    assert str(found).count("s") < 150
    assert len(str(found)) < 400


def test_what_the_machine_cannot_hold_is_refused_before_the_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    from assembly_sim.solver import jobs, run

    (tmp_path / "case.toml").write_text(SOUND)
    case = read_case(tmp_path / "case.toml")
    with monkeypatch.context() as small:
        small.setattr(run, "_memory", lambda: 1e6)
        with pytest.raises(InputError, match="fewer years"):
            run.run(case)
    with monkeypatch.context() as coarse:
        coarse.setattr(jobs, "MOST_NODES", 20)
        with pytest.raises(InputError, match="below 20 cells"):
            run.run(case)
    with monkeypatch.context() as slow:
        slow.setattr(run, "SLOW_LOOK", 0.0)
        slow.setattr(run, "SLOW_YEAR", 0.0)
        run.run(case)
        assert caplog.text.count("minutes a path and year") == 1


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"years": "3"}, "Case.years: is a str; give a whole number or None"),
        ({"years": True}, "Case.years: is a bool; give a whole number"),
        ({"starting_humidity": float("nan")}, "case.starting_humidity: nan is out of range"),
        ({"assemblies": None}, "Case.assemblies: is None; give a tuple, each item Assembly"),
        ({"room": Constant(3.0)}, "Case.room: is a Constant; give Room"),
        ({"thresholds": {}}, "Case.thresholds: is a dict; give Thresholds"),
    ],
)
def test_values_of_another_type_are_refused_in_python(
    change: dict[str, Any], said: str, tmp_path: Path
) -> None:
    import assembly_sim as sim

    (tmp_path / "case.toml").write_text(SOUND)
    case = read_case(tmp_path / "case.toml")
    with pytest.raises(InputError) as refused:
        sim.run(replace(case, **change))
    assert said in str(refused.value)


def test_a_file_may_lie_deep(tmp_path):
    """A name has 80 letters, a path as many as the system takes."""
    deep = tmp_path.joinpath(*["a folder of a long name"] * 5)
    deep.mkdir(parents=True)
    base = (Path(__file__).parents[2] / "examples" / "gable_wall.toml").read_text(encoding="utf-8")
    (deep / "base.toml").write_text(base, encoding="utf-8")
    case = tmp_path / "case.toml"
    case.write_text(f'base = "{(deep / "base.toml").as_posix()}"\nname = "short"\n')
    assert read_case(case).name == "short"

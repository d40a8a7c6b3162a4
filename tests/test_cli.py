"""The command line as a user meets it: what is printed where, what is written, exit codes."""

from __future__ import annotations

import dataclasses
import json
import logging
import os
import shlex
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import assembly_sim.studies.probe as probing
from assembly_sim import cli
from assembly_sim.api import hourly_table, to_xarray
from assembly_sim.cli_terminal import progress_line
from assembly_sim.errors import InputError, Problem
from assembly_sim.files.case import read as case_files
from assembly_sim.files.result.write import read_hdf5
from assembly_sim.hand.summary import steady_summary
from assembly_sim.report import text
from assembly_sim.report.blocks import block_text
from assembly_sim.report.moisture import planes_table
from assembly_sim.report.steady import steady_block
from assembly_sim.solver import run as solver
from assembly_sim.solver import warm_up
from assembly_sim.solver.result import Outcome, Result
from assembly_sim.studies.probe import Limit, Probing
from assembly_sim.verdict.contract import run_summary
from assembly_sim.verdict.summary import typed_summary
from tests import synthetic

ROOT = Path(__file__).parent.parent
THIS_COPY = {**os.environ, "PYTHONPATH": str(ROOT)}  # what is installed would be compiled once more


def call(*arguments: str) -> int:
    with pytest.raises(SystemExit) as ended:
        cli.main(list(arguments))
    assert isinstance(ended.value.code, int)
    return ended.value.code


@pytest.fixture
def computed(monkeypatch: pytest.MonkeyPatch) -> Callable[[Result], None]:
    """Let a run answer with a given result, at once: the solver has its own tests."""

    def answer(result: Result) -> None:
        monkeypatch.setattr(case_files, "read_case", lambda *_, **__: result.case)
        monkeypatch.setattr(solver, "run", lambda *_, **__: result)

    return answer


@pytest.fixture(scope="module")
def year() -> Result:
    return synthetic.result()


@pytest.fixture(scope="module")
def summary(year: Result) -> dict[str, Any]:
    return run_summary(year)


def test_run_prints_the_table_and_writes_what_was_asked(
    tmp_path: Path, computed: Any, year: Result, capsys: Any
) -> None:
    computed(year)
    out, json_file, folder = tmp_path / "r.h5", tmp_path / "r.json", tmp_path / "tables"
    code = call("run", "x.toml", "--out", f"{out}", "--json", f"{json_file}", "--csv", f"{folder}")
    assert code == 0
    printed = capsys.readouterr()
    assert "rafter bay" in printed.out
    assert printed.err == ""
    assert read_hdf5(out).hours == 8760
    assert json.loads(json_file.read_text())["schema"] == 1
    assert sorted(path.name for path in folder.iterdir()) == [
        "1_rafter_bay_cavity_planes.csv",
        "1_rafter_bay_fluxes.csv",
        "1_rafter_bay_framing_planes.csv",
    ]


def test_json_on_standard_output_sends_the_table_to_standard_error(
    computed: Any, year: Result, capsys: Any
) -> None:
    computed(year)
    assert call("run", "x.toml", "--json", "-") == 0
    printed = capsys.readouterr()
    assert json.loads(printed.out)["assemblies"][0]["name"] == "rafter bay"
    assert "U-value" in printed.err


def test_run_that_stops_exits_with_3_and_says_when_where_and_the_cure(
    computed: Any, tmp_path: Path, capsys: Any
) -> None:
    ended = Outcome("stopped", 99, "cavity", "deck", "board", "no solution", "a finer mesh")
    computed(synthetic.result(hours=100, outcome=ended))
    assert call("run", "x.toml", "--out", str(tmp_path / "part.h5")) == 3
    printed = capsys.readouterr().out
    for word in ("NOT CONVERGED", "hour   99", "day 5, 03:00, in October", "deck", "a finer mesh"):
        assert word in printed
    assert read_hdf5(tmp_path / "part.h5").assemblies[0].outcome == ended


def test_run_that_went_through_unsoundly_exits_with_3(
    computed: Any, year: Result, capsys: Any
) -> None:
    unsound = dataclasses.replace(year.assemblies[0], converged=False)
    computed(dataclasses.replace(year, assemblies=(unsound,)))
    assert call("run", "x.toml") == 3
    printed = capsys.readouterr().out
    assert "heat and water do not add up: defect of the state 1.0e-08" in printed
    assert "by the fallback" in printed
    assert "no verdict" in printed


def test_run_that_stops_at_once_still_reports(computed: Any, capsys: Any) -> None:
    computed(synthetic.result(hours=0, outcome=Outcome("stopped", 0, cause="no solution")))
    assert call("run", "x.toml", "--json", "-") == 3
    printed = capsys.readouterr()
    assert "hour   0 of the run" in printed.err
    assert json.loads(printed.out)["assemblies"][0]["annual_heat_loss_kwh_m2"] is None


def test_whole_road_from_case_to_summary(tmp_path: Path, capsys: Any) -> None:
    """One assembly through one real year: nothing here is replaced."""
    case = tmp_path / "one.toml"
    case.write_text(f'base = "{ROOT / "examples" / "attic_floor.toml"}"\nyears = 1\n')
    assert call("run", str(case), "--climate", "greensboro", "--json", "-") == 0
    found = json.loads(capsys.readouterr().out)
    assert found["climate"]["hours"] == 8760
    for assembly in found["assemblies"]:
        assert assembly["converged"]
        assert assembly["heat_balance_error"] <= 1e-9
        assert assembly["moisture_balance_error"] <= 1e-9
        assert assembly["annual_heat_loss_kwh_m2"] > assembly["heating_season_loss_kwh_m2"] > 0


def test_bad_input_exits_with_2_and_writes_nothing(
    tmp_path: Path, monkeypatch: Any, capsys: Any
) -> None:
    def refuse(*_: Any, **__: Any) -> None:
        raise InputError(Problem("is no thickness", "write 140 mm", "x.toml", 7, "thickness"))

    monkeypatch.setattr(case_files, "read_case", refuse)
    assert call("run", "x.toml", "--json", str(tmp_path / "r.json")) == 2
    printed = capsys.readouterr()
    assert printed.err == "x.toml:7: thickness: is no thickness; write 140 mm\n"
    assert printed.out == ""
    assert list(tmp_path.iterdir()) == []


def test_interrupted_run_exits_with_130_and_leaves_no_file(
    tmp_path: Path, monkeypatch: Any, year: Result, computed: Any, capsys: Any
) -> None:
    def interrupt(*_: Any, **__: Any) -> None:
        raise KeyboardInterrupt

    computed(year)
    monkeypatch.setattr(solver, "run", interrupt)
    assert call("run", "x.toml", "--out", str(tmp_path / "r.h5")) == 130
    assert "Traceback" not in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--out", "{folder}"], "is a folder"),
        (["--json", "{folder}/none/r.json"], "cannot write in folder"),
        (["--report", "{folder}"], "is a folder"),
        (["--report", "{folder}/none/page.html"], "cannot write in folder"),
        (["--csv", "{folder}/file"], "is a file, not a folder"),
        (["--csv", "{folder}/none/tables"], "cannot write in folder"),
    ],
)
def test_place_that_cannot_be_written_is_refused_before_the_run(
    tmp_path: Path, monkeypatch: Any, capsys: Any, arguments: list[str], words: str
) -> None:
    def run_anyway(*_: Any, **__: Any) -> None:
        pytest.fail("the run started")

    monkeypatch.setattr(case_files, "read_case", run_anyway)
    (tmp_path / "file").touch()
    assert call("run", "x.toml", *(part.format(folder=tmp_path) for part in arguments)) == 2
    assert words in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [["run"], ["run", "x", "--units", "cgs"], ["walk"]])
def test_wrong_use_exits_with_2_and_shows_the_usage(arguments: list[str], capsys: Any) -> None:
    assert call(*arguments) == 2
    assert "Usage" in capsys.readouterr().err


def test_missing_case_is_named(capsys: Any) -> None:
    assert call("run", "no_such_case.toml") == 2
    printed = capsys.readouterr().err
    assert "no_such_case.toml" in printed
    assert "Traceback" not in printed


def test_progress_shows_only_where_somebody_watches(monkeypatch: Any, capsys: Any) -> None:
    assert progress_line() is None
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    show = progress_line()
    assert show is not None
    show(0.25, "month 3 of 12")
    show(1.0, "done")
    assert capsys.readouterr().err == "\r\033[K 25% month 3 of 12\r\033[K"


def test_new_case_is_one_that_reads_and_is_never_overwritten(tmp_path: Path, capsys: Any) -> None:
    path = tmp_path / "shed.toml"
    assert call("new", str(tmp_path / "shed")) == 0
    assert case_files.read_case(path).name == "shed"
    before = path.read_text()
    assert call("new", str(path)) == 2
    assert "exists already" in capsys.readouterr().err
    assert path.read_text() == before


def test_new_tells_a_command_that_can_be_copied(tmp_path: Path, capsys: Any) -> None:
    assert call("new", str(tmp_path / "my roof")) == 0
    told = capsys.readouterr().out.rpartition("then `")[2].rstrip("`\n")
    assert shlex.split(told) == ["assembly-sim", "run", str(tmp_path / "my roof.toml")]


def test_a_misspelt_word_of_the_trade_is_known(capsys: Any) -> None:
    assert call("materials", "drywal") == 2
    assert "did you mean 'drywall'" in capsys.readouterr().err


def test_schema_is_json_that_names_its_dialect(capsys: Any) -> None:
    assert call("schema") == 0
    assert "json-schema.org" in json.loads(capsys.readouterr().out)["$schema"]


def test_climate_shows_a_year_and_writes_its_colder_kin(tmp_path: Path, capsys: Any) -> None:
    cold = tmp_path / "cold.csv"
    assert call("climate", "cold_inland", "--cold-year", "--seed", "3", "--to", str(cold)) == 0
    made = capsys.readouterr().out
    assert call("climate", str(cold)) == 0
    again = capsys.readouterr().out
    days = [line for line in made.splitlines() if line.startswith("Heating degree days")]
    assert days
    assert days[0] in again


def test_climate_that_is_not_there_exits_with_2(capsys: Any) -> None:
    assert call("climate", "atlantis.epw") == 2
    assert "atlantis.epw" in capsys.readouterr().err


def test_materials_lists_and_shows_one_with_its_sources(capsys: Any) -> None:
    assert call("materials") == 0
    assert len(capsys.readouterr().out.splitlines()) > 25
    assert call("materials", "gypsum board") == 0
    assert "density" in capsys.readouterr().out
    assert call("materials", "gypsum bord") == 2
    assert "did you mean 'gypsum board'" in capsys.readouterr().err


def test_drawing_of_a_material_is_a_whole_picture_or_none(tmp_path: Path, capsys: Any) -> None:
    assert call("materials", "osb", "--plot", str(tmp_path / "osb.svg")) == 0
    assert "</svg>" in (tmp_path / "osb.svg").read_text()
    assert call("materials", "osb", "--plot", str(tmp_path / "osb.tune")) == 2
    assert [path.name for path in tmp_path.iterdir()] == ["osb.svg"]


def test_version(capsys: Any) -> None:
    assert call("--version") == 0
    assert "0.1.0" in capsys.readouterr().out


def test_report_holds_every_figure_of_the_summary(year: Result, summary: dict[str, Any]) -> None:
    report = text.run_text(year, full=True)
    figures = summary["assemblies"][0]
    assert f"{figures['annual_heat_loss_total_kwh_m2']:.1f} kWh/m2" in report
    assert f"{figures['annual_heat_loss_total_kwh_m2'] * 24:.0f} kWh" in report
    assert f"{figures['peak_loss_total_w_m2']:.1f} W/m2" in report
    for word in (*summary["assumptions"], *summary["climate"]["warnings"], "0.270 W/(m2 K)"):
        assert word in " ".join(report.split())
    assert max(map(len, report.splitlines())) <= 106


def test_report_in_inch_pound_units_is_the_same_energy(
    year: Result, summary: dict[str, Any]
) -> None:
    """By 1 Btu = 1055.056 J (ISO 31-4) and 1 ft = 0.3048 m, computed."""
    report = text.run_text(year, "ip", full=True)
    loss = summary["assemblies"][0]["annual_heat_loss_kwh_m2"]
    assert f"{loss * 3.6 / 1.055056 * 0.3048**2:.1f} kBtu/ft2" in report
    assert "W/m2" not in report


def test_report_sets_hand_methods_beside_the_run(year: Result, summary: dict[str, Any]) -> None:
    found = steady_summary(year.case, year.case.assemblies[0])
    block = block_text(steady_block(found))
    assert f"combined (ISO 6946) {found.u_value.combined:.3f} W/(m2 K)" in block
    assert f"ISO 13788): {found.surface.element:.2f}" in block
    assert "vapour retarder class I: foil" in block
    assert block in text.run_text(year, full=True)


def test_every_figure_of_a_plane_stands_in_the_row_of_its_path(year: Result) -> None:
    """None of one path is shown in the row of another: row by row what the summary holds."""
    one = typed_summary(year).assemblies[0]
    rows = block_text(planes_table(one)).splitlines()
    held = sorted(one.planes, key=lambda plane: plane.index)
    assert len(rows) == 1 + len(one.planes) + len({plane.name for plane in one.planes})
    named = [row for row in rows if row.startswith("    ")]
    for plane in held:
        where = plane.path if plane.side == "both" else f"{plane.path}, {plane.side} side"
        figures = f"{100 * plane.max_relative_humidity:.1f} %"
        assert any(where in row and figures in row for row in named)
    assert max(map(len, rows)) <= 105


def test_hourly_table_holds_units_and_the_mean_over_paths(year: Result) -> None:
    table = hourly_table(year, "rafter bay")
    first, second = year.assemblies[0].paths
    expected = 0.9 * first.heat_flux_room + 0.1 * second.heat_flux_room
    np.testing.assert_allclose(table["heat flux at the room (W/m2)"], expected)
    planes = hourly_table(year, 0, "framing")
    assert len(planes.columns) == 2 + 3 * len(second.planes)
    with pytest.raises(InputError, match="no path 'void'; one of cavity, framing"):
        hourly_table(year, 0, "void")


def test_csv_holds_what_the_result_holds(
    tmp_path: Path, computed: Any, year: Result, capsys: Any
) -> None:
    computed(year)
    assert call("run", "x.toml", "--csv", str(tmp_path)) == 0
    kept = np.loadtxt(tmp_path / "1_rafter_bay_fluxes.csv", delimiter=",", skiprows=1)
    drivers = year.assemblies[0].drivers
    np.testing.assert_allclose(kept[:, 3] + 273.15, drivers.outdoor_temperature, atol=1e-3)
    assert [kept[0, 2], kept[-1, 2]] == [10.0, 9.0]


@pytest.mark.skipif(sys.platform == "win32", reason="no pseudo-terminal there")
def test_reader_that_goes_away_gets_no_traceback() -> None:
    line = f"{sys.executable} -m assembly_sim.cli climate cold_inland | head -1"
    done = subprocess.run(line, shell=True, capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr


def test_newcomers_commands_are_the_same_in_readme_and_in_ci() -> None:
    readme, ci = (ROOT / "README.md").read_text(), (ROOT / ".ci" / "run").read_text()
    for command in (
        "python -m pip install . && assembly-sim run examples/rafter_bay_foam.toml",
        "python -m pip install '.[test]' && python -m pytest",
    ):
        assert command in readme
        assert command in ci


def test_probe_goes_into_the_summary_and_into_the_report(
    computed: Any, monkeypatch: pytest.MonkeyPatch, capsys: Any, tmp_path: Path
) -> None:
    """The command asks for a probe of every assembly; what a probe finds has tests of its own."""
    asked: list[int] = []

    def found(result: Result, at: int, progress: Any) -> Probing:
        asked.append(at)
        limit = Limit("air leak", "m3/(s m2) at 75 Pa", 2e-4, 4e-4, 0.0, 1e-3)
        return Probing("roof", "dry, thin margin", limits=(limit,), runs=7)

    computed(synthetic.result())
    monkeypatch.setattr(probing, "probe", found)
    summary = tmp_path / "summary.json"
    call("run", "x.toml", "--probe", "--full", "--json", str(summary))
    (assembly,) = json.loads(summary.read_text())["assemblies"]
    assert asked == [0]
    assert assembly["probe"]["limits"][0]["dry_up_to"] == 2e-4
    shown = capsys.readouterr().out
    assert "7 further runs" in shown
    assert "air leak: dry up to 0.2 L/(s m2) at 75 Pa, not at 0.4" in shown


def test_tables_in_inch_pound_units_hold_the_same_states(
    tmp_path: Path, computed: Any, year: Result, capsys: Any
) -> None:
    """By 1 Btu = 1055.056 J, 1 grain = 64.79891 mg and degF = 1.8 degC + 32, computed."""
    computed(year)
    for units in ("si", "ip"):
        (tmp_path / units).mkdir()
        assert call("run", "x.toml", "--csv", str(tmp_path / units), "--units", units) == 0
    si, ip = (
        np.loadtxt(tmp_path / one / "1_rafter_bay_fluxes.csv", delimiter=",", skiprows=1)
        for one in ("si", "ip")
    )
    head = (tmp_path / "ip" / "1_rafter_bay_fluxes.csv").read_text().splitlines()[0]
    for unit in ("W/m2", "degC", "kg/m2", "(Pa)", "g/(m2 h)"):
        assert unit not in head.replace("grain/(h ft2)", "")
    np.testing.assert_array_equal(si[:, :3], ip[:, :3])
    np.testing.assert_allclose(ip[:, 3], 1.8 * si[:, 3] + 32.0, atol=1e-3)
    btu = 1055.056 / 3600.0 / 0.3048**2
    np.testing.assert_allclose(ip[:, 7] * btu, si[:, 7], rtol=1e-4, atol=1e-5)
    grain = 0.06479891 / 0.3048**2  # g/m2
    np.testing.assert_allclose(ip[:, 11] * grain, si[:, 11], rtol=1e-4, atol=1e-5)


@pytest.mark.skipif(sys.platform != "linux", reason="no peak memory of a program there")
def test_ten_years_by_the_hour_stay_under_400_mb(tmp_path: Path) -> None:
    """Two paths, hourly planes and all tables on disk: the process's peak, libraries and all."""
    case = tmp_path / "long.toml"
    case.write_text(f'base = "{ROOT / "examples" / "rafter_bay_foam.toml"}"\nyears = 10\n')
    code = f"""
from pathlib import Path
from assembly_sim import cli
try:
    cli.main(["run", {str(case)!r}, "--out", "long.h5", "--csv", "tables"])
finally:  # the program's own peak: that of wait4 counts the process it was forked from
    peak = next(s for s in Path("/proc/self/status").read_text().splitlines() if "VmHWM" in s)
    Path("peak").write_text(peak.split()[1])
"""
    compiled = "from assembly_sim.solver import warm_up; warm_up.ready()"
    for program in (compiled, code):  # compiling takes more
        subprocess.run([sys.executable, "-c", program], cwd=tmp_path, env=THIS_COPY, check=True)
    assert int((tmp_path / "peak").read_text()) <= 400 * 1024  # kB, as /proc counts them
    assert read_hdf5(tmp_path / "long.h5").hours == 87_600


BOARD = """format = 1
name = "board"
climate = "cold_inland"
years = 1

[room]
temperature = "20 degC"
humidity = "40 %"

[[assembly]]
name = "wall"
area = "1 m2"
tilt = "90 deg"
azimuth = "0 deg"
solar_absorptance = 0.5
emittance = 0.9
leak = "none"

[[assembly.layer]]
name = "board"
material = "plywood, exterior grade"
thickness = "18 mm"
"""
OPTION = """
[[option]]
name = "as found"

[[option]]
name = "thick"
[option.change.assembly."wall".layer."board"]
thickness = "25 mm"
"""
THICKNESS = """format = 1
name = "boards"
case = "board.toml"
refine = 0.1

[[factor]]
name = "board"
path = 'assembly."wall".layer."board".thickness'
values = ["12 mm", "18 mm"]
"""
STRICT = """
import sys
from assembly_sim import cli
def call(*line):
    try:
        cli.main(list(line))
    except SystemExit as ended:
        assert not ended.code, (line, ended.code)
call("run", "board.toml", "--climate", "greensboro", "--out", "r.h5", "--json", "r.json",
     "--csv", "tables", "--report", "r.html")
call("compare", "options.toml", "--csv", "c.csv", "--report", "c.html")
call("sweep", "plan.toml", "--look")
call("sweep", "plan.toml", "--out", "swept", "-j", "2")
call("sweep", "report", "swept", "--to", "figures")
import assembly_sim as sim
result = sim.read_result("r.h5")
sim.to_xarray(result, "wall"), sim.hourly_table(result, "wall"), sim.sweep_table("swept")
"""


def test_no_warning_of_ours_is_an_error(tmp_path: Path) -> None:
    """As `python -W error` runs it, from a case in the sun to all that can be written of it.

    What pandas tells pvlib is not ours, but ended each run of a wall that sees the sun.
    """
    (tmp_path / "board.toml").write_text(BOARD)
    (tmp_path / "options.toml").write_text(BOARD + OPTION)
    (tmp_path / "plan.toml").write_text(THICKNESS)
    line = [sys.executable, "-W", "error", "-c", STRICT]
    done = subprocess.run(
        line, cwd=tmp_path, env=THIS_COPY, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "Warning" not in done.stderr
    assert "heat loss" in done.stdout


def test_what_is_installed_holds_its_data_and_says_that_it_is_typed() -> None:
    """Of the wheel itself: skipped where the package is installed to be edited, or not at all."""
    import importlib.metadata

    try:
        files = importlib.metadata.files("assembly-sim") or []
    except importlib.metadata.PackageNotFoundError:
        files = []
    held = {file.as_posix() for file in files}
    if "assembly_sim/cli.py" not in held:
        pytest.skip("no wheel is installed")
    assert "assembly_sim/py.typed" in held
    for folder in ("climates", "materials"):
        for file in (ROOT / folder).iterdir():
            if file.suffix in (".csv", ".toml"):
                assert f"assembly_sim/_data/{folder}/{file.name}" in held


def test_type_checkers_are_told_that_the_package_is_typed() -> None:
    assert (Path(cli.__file__).parent / "py.typed").read_bytes() == b""


def test_an_hourly_table_for_xarray_has_units(year: Result) -> None:
    table, found = hourly_table(year, "rafter bay"), to_xarray(year, "rafter bay")
    assert found.sizes == {"hour that ends": 8760}
    flux = found["heat flux at the room (W/m2)"]
    assert flux.attrs["units"] == "W/m2"
    np.testing.assert_array_equal(flux, table["heat flux at the room (W/m2)"])
    np.testing.assert_array_equal(found["hour that ends"], table.index)


def processor_time(pid: int) -> float:
    """Seconds of processor time that a process has used, by the system's account."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


@pytest.mark.skipif(sys.platform != "linux", reason="no account of processor time there")
@pytest.mark.parametrize(
    ("years", "more", "at_work"),
    [(30, [], b"%"), (3, ["--probe"], b"probing")],
    ids=["run", "probe"],
)
def test_interrupt_stops_a_long_run_at_once_and_leaves_nothing(
    tmp_path: Path, years: int, more: list[str], at_work: bytes
) -> None:
    """Ctrl-C is answered once a month of every march: by some 0.7 s of work, half of it Python's.

    A probe is asked as it begins, when it looks what becomes of water: that once went on for 3 s.
    """
    warm_up.ready()
    import pty

    example = ROOT / "examples" / "rafter_bay_foam.toml"
    case = tmp_path / "long.toml"
    case.write_text(f'base = "{example}"\nyears = {years}\n')
    line = [sys.executable, "-m", "assembly_sim.cli", "run", str(case), "--out", "long.h5", *more]
    controller, terminal = pty.openpty()
    child = subprocess.Popen(
        line,
        cwd=tmp_path,
        env=THIS_COPY,
        stdout=subprocess.PIPE,
        stderr=terminal,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # ignored in background
    )
    os.close(terminal)
    shown = b""
    while at_work not in shown:  # progress: the solver is at work
        shown += os.read(controller, 1000)
    before = processor_time(child.pid)
    child.send_signal(signal.SIGINT)
    _, status, usage = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    assert child.returncode == 130
    assert usage.ru_utime + usage.ru_stime - before <= 1.5  # a busy core takes longer over its work
    assert [path.name for path in tmp_path.iterdir()] == ["long.toml"]
    os.close(controller)


@pytest.mark.parametrize(("hours", "year"), [(3 * 8760, 8760), (2 * 8784, 8784), (30, 8760)])
def test_hourly_table_is_indexed_by_dates(hours: int, year: int) -> None:
    """Every hour's own month by another way: the weather's months laid end to end."""
    lengths = [31, 29 if year == 8784 else 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    months = np.repeat(np.arange(1, 13), np.array(lengths) * 24)
    table = hourly_table(synthetic.result(hours=hours, climate=synthetic.climate(year)))
    begins = table.index - np.timedelta64(1, "h")
    first = 24 * sum(lengths[:9])
    np.testing.assert_array_equal(begins.month, np.resize(np.roll(months, -first), hours))
    assert table.index.is_monotonic_increasing
    assert table.index.is_unique
    assert table.index.name == "hour that ends"


def test_a_fault_of_the_program_is_told_from_bad_input(monkeypatch: Any, capsys: Any) -> None:
    def broken(*_: Any, **__: Any) -> None:
        raise KeyError("x\n\x1b[31m" * 1000)

    monkeypatch.setattr(case_files, "read_case", broken)
    monkeypatch.delenv(cli.TRACE, raising=False)
    assert call("run", "x.toml") == 4
    said = capsys.readouterr().err
    assert "at fault here" in said
    assert "KeyError" in said
    assert "Please report" in said
    assert said.count("\n") == 1
    assert len(said) < 600
    assert "\x1b" not in said
    monkeypatch.setenv(cli.TRACE, "1")
    assert call("run", "x.toml") == 4
    assert "in broken" in capsys.readouterr().err


ESCAPES = "\x1b]0;owned\x07\x1b[2J\x9b31m\u202e\udce9"


@pytest.mark.parametrize("place", ["climate", "case", "plane", "error", "material", "log"])
def test_nothing_in_a_file_steers_the_terminal(
    place: str, computed: Any, monkeypatch: Any, capsys: Any, tmp_path: Path
) -> None:
    """Names, headings, titles and sources of errors may come from anywhere."""
    run = synthetic.result()
    if place == "climate":
        run = synthetic.result(climate=dataclasses.replace(run.case.climate, name=ESCAPES))
    if place == "case":
        run = dataclasses.replace(run, case=dataclasses.replace(run.case, name=ESCAPES))
    if place == "plane":
        run = synthetic.result(assemblies=(synthetic.assembly(ESCAPES),))
    computed(run)
    if place == "error":
        (tmp_path / "x.toml").write_text(f"{ESCAPES[:-1]} = 3\n")
        monkeypatch.undo()
        call("run", str(tmp_path / "x.toml"), "--climate", ESCAPES)
    elif place == "material":
        call("materials", ESCAPES)
    else:
        call("run", ESCAPES)
        if place == "log":
            logging.getLogger("assembly_sim").warning("of %s", ESCAPES)
    printed = capsys.readouterr()
    shown = printed.out + printed.err
    assert "\\x1b" in shown or place == "log"
    assert shown.replace("\n", "").isprintable()


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_what_the_terminal_cannot_show_is_spelled_out(encoding: str, tmp_path: Path) -> None:
    name = os.fsdecode("fünf 五".encode() + b"\xff") if sys.platform == "linux" else "fünf 五"
    case = tmp_path / f"{name}.toml"
    case.write_text("x = 1\n")
    done = subprocess.run(
        [sys.executable, "-m", "assembly_sim.cli", "run", os.fsencode(case)],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": f"{encoding}:strict"},
        check=False,
    )
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr
    assert b"unknown entry" in done.stderr


@pytest.mark.parametrize("name", ["", ".", "..", "a/..", "/"])
def test_a_case_without_a_name_is_refused(name: str, capsys: Any) -> None:
    assert call("new", name) == 2
    assert "no name" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("word", "material"),
    [
        ("drywall", "gypsum board"),
        ("plywood", "plywood, exterior grade"),
        ("stucco", "portland stucco"),
        ("poly", "polyethylene film 0.15 mm"),
        ("fiberglass", "glass-fibre batt"),
        ("fiberglass batts", "glass-fibre batt"),
        ("aluminum", "aluminium sheet"),
    ],
)
def test_words_of_the_trade_find_materials(word: str, material: str, capsys: Any) -> None:
    assert call("materials", word) == 0
    assert material in capsys.readouterr().out

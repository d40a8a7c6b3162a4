"""What the user has is never lost: what is written where, and what happens when it cannot be."""

from __future__ import annotations

import json
import os
import signal
import stat
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from assembly_sim.files.output import json_text, uninterrupted, whole_file, write_text
from assembly_sim.files.result import write as results
from assembly_sim.files.result.csv import table_names, write_csv
from assembly_sim.files.result.write import read_hdf5
from tests import synthetic
from tests.test_cli import call

ROOT = Path(__file__).parent.parent
EXAMPLE = ROOT / "examples" / "attic_floor.toml"
posix = pytest.mark.skipif(sys.platform == "win32", reason="no such files there")


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A case with a base, in a folder of its own."""
    (tmp_path / "base.toml").write_text(EXAMPLE.read_text())
    path = tmp_path / "case.toml"
    path.write_text('base = "base.toml"\nyears = 1\nclimate = "year.csv"\n')
    (tmp_path / "year.csv").write_bytes((ROOT / "climates" / "cold_inland.csv").read_bytes())
    return path


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--out", "case.toml"], "also the case"),
        (["--json", "base.toml"], "also the base"),
        (["--report", "base.toml"], "also the base"),
        (["--out", "year.csv"], "also the climate"),
        (["--json", "./sub/../year.csv"], "also the climate"),
        (["--out", "a.h5", "--json", "a.h5"], "also the place of --json"),
        (["--materials", "own.toml", "--json", "own.toml"], "also the materials"),
        (["--csv", ".", "--json", "1_attic_floor_fluxes.csv"], "also the place of --json"),
        (["--csv", ".", "--json", "linked"], "is a link to"),
        (["--json", "pipe"], "no plain file"),
        (["--out", "/dev/null"], "no plain file"),
        (["--out", "hard.h5"], "also the climate"),
    ],
)
@posix
def test_an_output_replaces_no_input_no_other_output_and_nothing_odd(
    arguments: list[str], words: str, case: Path, monkeypatch: Any, capsys: Any
) -> None:
    from assembly_sim.solver import run as solver

    monkeypatch.chdir(case.parent)
    monkeypatch.setattr(solver, "run", lambda *_, **__: pytest.fail("the run started"))
    (case.parent / "sub").mkdir()
    (case.parent / "own.toml").write_text("")
    os.symlink("year.csv", "linked")
    os.mkfifo("pipe")
    os.link("year.csv", "hard.h5")
    before = {path.name: path.stat().st_mtime_ns for path in case.parent.iterdir()}
    assert call("run", "case.toml", *arguments) == 2
    assert words in capsys.readouterr().err
    assert before == {path.name: path.stat().st_mtime_ns for path in case.parent.iterdir()}


@posix
@pytest.mark.parametrize(
    "arguments",
    [["climate", "year.csv", "--to", "year.csv"], ["climate", "year.csv", "--to", "linked"]],
)
def test_a_weather_file_is_not_replaced_by_what_is_made_of_it(
    arguments: list[str], case: Path, monkeypatch: Any
) -> None:
    monkeypatch.chdir(case.parent)
    os.symlink("year.csv", "linked")
    before = Path("year.csv").read_bytes()
    assert call(*arguments) == 2
    assert Path("year.csv").read_bytes() == before


@posix
def test_a_result_that_is_replaced_keeps_its_rights_and_a_new_one_gets_the_usual(
    tmp_path: Path,
) -> None:
    old, new = tmp_path / "old.json", tmp_path / "new.json"
    old.touch()
    old.chmod(0o600)
    write_text("{}", old)
    write_text("{}", new)
    plain = tmp_path / "plain"
    plain.touch()
    assert stat.S_IMODE(old.stat().st_mode) == 0o600
    assert stat.S_IMODE(new.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)


def test_the_part_of_a_file_can_be_seen_and_is_gone_afterwards(tmp_path: Path) -> None:
    with pytest.raises(RuntimeError), whole_file(tmp_path / ("n" * 200 + ".h5")) as part:
        assert not part.name.startswith(".")
        assert ".part-" in part.name
        assert part.suffix == ".h5"
        raise RuntimeError
    assert list(tmp_path.iterdir()) == []


def test_tables_of_names_in_other_letters_are_all_there(tmp_path: Path) -> None:
    """Two paths in Greek letters shared one file, and the second replaced the first."""
    from dataclasses import replace

    run = synthetic.result(hours=24)
    names = ("κοιλότητα", "δοκοί")
    paths = tuple(
        replace(path, name=name) for path, name in zip(run.assemblies[0].paths, names, strict=True)
    )
    renamed = replace(run, assemblies=(replace(run.assemblies[0], paths=paths),))
    written = write_csv(renamed, tmp_path)
    assert len(set(written)) == 3
    assert len(list(tmp_path.iterdir())) == 3
    assert len(set(table_names(run.case))) == len(table_names(run.case))


WRITE = """
import resource, sys
from pathlib import Path
from assembly_sim.files.result.write import write_hdf5
from tests import synthetic
run = synthetic.result(hours=2000)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), resource.RLIM_INFINITY))
try:
    write_hdf5(run, sys.argv[2])
except OSError as error:
    print(error.filename, error.strerror)
"""


@posix
def test_a_full_disk_ends_in_a_message_not_in_a_crash(tmp_path: Path) -> None:
    """At every size from nothing to nearly the whole file; the library used to end in a crash."""
    target = tmp_path / "run.h5"
    results.write_hdf5(synthetic.result(hours=2000), target)
    whole = target.stat().st_size
    target.write_text("old")
    for size in [0, 100, 3000, *(int(whole * part) for part in (0.4, 0.9, 0.99))]:
        done = subprocess.run(
            [sys.executable, "-c", WRITE, str(size), str(target)],
            capture_output=True,
            text=True,
            cwd=ROOT,
            check=False,
        )
        assert (done.returncode, done.stdout) == (0, f"{target} File too large\n"), done.stderr
        assert target.read_text() == "old"
        assert list(tmp_path.iterdir()) == [target]


@posix
def test_interrupts_are_answered_while_hdf5_is_written(tmp_path: Path) -> None:
    """Ctrl-C in the library's own code was swallowed 5 times of 24 before."""
    run = synthetic.result(hours=8760)
    began = time.perf_counter()
    results.write_hdf5(run, tmp_path / "run.h5")
    lasted = time.perf_counter() - began
    (tmp_path / "run.h5").write_text("old")
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        for moment in range(12):
            wait = lasted * (moment + 0.5) / 16
            timer = threading.Timer(wait, os.kill, (os.getpid(), signal.SIGINT))
            timer.start()
            with pytest.raises(KeyboardInterrupt):
                for _ in range(50):  # a busy machine may end one before its turn
                    results.write_hdf5(run, tmp_path / "other.h5")
                    (tmp_path / "other.h5").unlink()
            assert {path.name for path in tmp_path.iterdir()} <= {"run.h5", "other.h5"}
    finally:
        signal.signal(signal.SIGINT, before)
    assert (tmp_path / "run.h5").read_text() == "old"


@posix
def test_an_interrupt_held_back_is_raised_at_the_end() -> None:
    reached = []
    with pytest.raises(KeyboardInterrupt), uninterrupted() as pause:
        os.kill(os.getpid(), signal.SIGINT)
        reached.append(1)
        pause()
        reached.append(2)
    assert reached == [1]
    with pytest.raises(KeyboardInterrupt), uninterrupted():
        os.kill(os.getpid(), signal.SIGINT)
        reached.append(3)
    assert reached == [1, 3]


def test_text_that_is_no_character_or_steers_is_escaped_in_json() -> None:
    text = "a\x1b[31m\u202e\udc80\x9b\u00e9\U000e0001"
    written = json_text({"name": text})
    assert written.isprintable()
    assert "\u00e9" in written
    assert json.loads(written)["name"] == text


def test_results_of_names_that_are_no_unicode_are_written(tmp_path: Path) -> None:
    from dataclasses import replace

    run = synthetic.result(hours=24)
    odd = replace(run, case=replace(run.case, file="caf\udce9.toml"))
    results.write_hdf5(odd, tmp_path / "run.h5")
    assert read_hdf5(tmp_path / "run.h5").case.file == "caf\udce9.toml"

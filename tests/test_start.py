"""How a run starts: what is loaded, how quick it is, and code that is compiled once."""

from __future__ import annotations

import inspect
import logging
import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import assembly_sim
from assembly_sim.solver import warm_up
from assembly_sim.solver.kernel import cache

PACKAGE = Path(assembly_sim.__file__).parent
HEAVY = {"pandas", "pint", "pvlib", "matplotlib", "scipy", "h5py", "pydantic", "numba", "numpy"}


def loaded(code: str) -> set[str]:
    """Modules that a new interpreter loads for `code`, by its own account."""
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", code], capture_output=True, text=True, check=True
    )
    return {match[1] for match in re.finditer(r"\|\s+([\w.]+)\s*$", done.stderr, re.MULTILINE)}


def test_importing_the_package_loads_nothing_else_of_it() -> None:
    modules = loaded("import assembly_sim")
    assert {each for each in modules if each.startswith("assembly_sim")} == {"assembly_sim"}
    assert {each.split(".")[0] for each in modules} & (HEAVY | {"click"}) == set()


@pytest.mark.parametrize("arguments", [["--help"], ["run", "--help"], ["--version"]])
def test_help_loads_nothing_heavy(arguments: list[str]) -> None:
    modules = loaded(f"from assembly_sim.cli import commands; commands({arguments})")
    assert "click" in {each.split(".")[0] for each in modules}
    assert {each.split(".")[0] for each in modules} & HEAVY == set()


@pytest.mark.skipif(not hasattr(os, "wait4"), reason="no processor time of one child here")
def test_help_is_quick() -> None:
    """<= 0.35 s of processor time, which a busy machine does not stretch as it does the clock."""
    code = "from assembly_sim.cli import main; main(['--help'])"
    times = []
    for _ in range(3):
        child = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.DEVNULL)
        _, status, usage = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        assert child.returncode == 0
        times.append(usage.ru_utime + usage.ru_stime)
    assert min(times) <= 0.35


@pytest.fixture
def cold(monkeypatch: pytest.MonkeyPatch) -> Iterator[pytest.MonkeyPatch]:
    """Settings of a process that has not looked for its folder yet."""
    cache.folder.cache_clear()
    yield monkeypatch
    monkeypatch.undo()
    cache.folder.cache_clear()


SOURCES = [path.relative_to(PACKAGE).as_posix() for path in cache.sources()]


def frozen(function: Any, found: dict[str, set[str]]) -> None:
    """Note, by module, the names that a compiled function takes from outside itself.

    By what the interpreter sees in it, not by the text of its file.
    """
    plain = getattr(function, "py_func", function)
    if plain.__name__ in found.setdefault(plain.__module__, set()):
        return
    found[plain.__module__].add(plain.__name__)
    for value in inspect.getclosurevars(plain).globals.values():
        if hasattr(value, "py_func"):
            frozen(value, found)


def test_key_covers_every_file_of_what_is_compiled() -> None:
    """Functions, and the files that hold a constant that a compiled function names."""
    from assembly_sim.solver.kernel import hours

    found: dict[str, set[str]] = {}
    frozen(hours.march, found)
    modules = {name.removeprefix("assembly_sim.").replace(".", "/") + ".py" for name in found}
    assert len(modules) >= 8
    assert modules <= set(SOURCES)
    assert {"physics/constants.py", "physics/pore_water.py"} <= set(SOURCES)


def copied(place: Path) -> Path:
    """A copy of the package's sources that compiled code imports."""
    package = place / "assembly_sim"
    for each in SOURCES:
        (package / each).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(PACKAGE / each, package / each)
    return package


@pytest.mark.parametrize("name", SOURCES)
def test_edit_of_any_source_changes_the_key(name: str, tmp_path: Path) -> None:
    package = copied(tmp_path)
    before = cache.key(package)
    assert before == cache.key(package)
    with (package / name).open("a") as source:
        source.write("EXTRA = 1\n")
    assert cache.key(package) != before


@pytest.mark.parametrize(
    "line",
    [
        "from assembly_sim.physics import new",
        "from assembly_sim.physics.new import GRAVITY",
        "import assembly_sim.physics.new as other",
        "def late():\n    from assembly_sim.physics.new import GRAVITY",
        "from assembly_sim.physics.between import GRAVITY",
    ],
)
def test_key_follows_a_new_import(line: str, tmp_path: Path) -> None:
    """A file that compiled code comes to import, at whatever remove, is in the key from then on."""
    package = copied(tmp_path)
    new = package / "physics" / "new.py"
    new.write_text("GRAVITY = 9.81\n")
    (package / "physics" / "between.py").write_text(
        "from assembly_sim.physics.new import GRAVITY\n"
    )
    before = cache.key(package)
    new.write_text("GRAVITY = 9.82\n")
    assert cache.key(package) == before  # nobody imports it yet
    with (package / "solver" / "kernel" / "flows.py").open("a") as source:
        source.write(line + "\n")
    imported = cache.key(package)
    new.write_text("GRAVITY = 9.83\n")
    assert len({before, imported, cache.key(package)}) == 3


def test_folder_is_the_users_own_or_where_the_user_says(
    cold: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    cold.delenv("NUMBA_CACHE_DIR", raising=False)
    cold.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache.folder() == tmp_path / "assembly_sim" / "compiled" / cache.key()
    cache.folder.cache_clear()
    cold.setenv("NUMBA_CACHE_DIR", str(tmp_path / "mine"))
    assert cache.folder() == tmp_path / "mine" / "compiled" / cache.key()


def test_kernel_loads_without_a_cache_where_nothing_is_writable(tmp_path: Path) -> None:
    """A file stands where each folder would be: that stops an administrator too."""
    (tmp_path / "file").touch()
    refused = str(tmp_path / "file")
    places = ("HOME", "XDG_CACHE_HOME", "LOCALAPPDATA", "NUMBA_CACHE_DIR")
    code = (
        "from assembly_sim.solver.kernel import cache, hours; "
        "print(cache.folder(), type(hours.march._cache).__name__)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, **dict.fromkeys(places, refused)},
    )
    assert done.stdout.split() == ["None", "NullCache"]


def test_without_a_cache_each_process_compiles_and_says_what_to_do(
    caplog: pytest.LogCaptureFixture,
) -> None:
    calls: list[int] = []
    warm_up.compile_once(None, lambda: calls.append(1))
    assert calls == [1]
    assert "set NUMBA_CACHE_DIR" in caplog.text


def test_processes_that_start_cold_compile_once_between_them(tmp_path: Path) -> None:
    """Four at once; each would write its number when it compiles, for half a second."""
    code = f"""
import os, time
from pathlib import Path
from assembly_sim.solver.warm_up import compile_once
place = Path({str(tmp_path)!r})
def compiling():
    (place / str(os.getpid())).touch()
    time.sleep(0.5)
compile_once(place, compiling)
assert len([p for p in place.iterdir() if p.name.isdigit()]) == 1
"""
    started = [subprocess.Popen([sys.executable, "-c", code]) for _ in range(4)]
    assert [process.wait(60) for process in started] == [0, 0, 0, 0]
    assert len([path for path in tmp_path.iterdir() if path.name.isdigit()]) == 1


def test_compiling_that_fails_is_tried_again(tmp_path: Path) -> None:
    def stopped() -> None:
        raise KeyboardInterrupt

    calls: list[int] = []
    with pytest.raises(KeyboardInterrupt):
        warm_up.compile_once(tmp_path, stopped)
    for _ in range(2):
        warm_up.compile_once(tmp_path, lambda: calls.append(1))
    assert calls == [1]


def test_it_is_said_once_that_the_solver_compiles(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.INFO)
    for _ in range(3):
        warm_up.compile_once(tmp_path, lambda: None)
    assert [record.levelname for record in caplog.records] == ["WARNING"]
    assert "compiling the solver, once" in caplog.text


def test_code_of_other_versions_goes_when_unused_for_a_month(tmp_path: Path) -> None:
    for name, age in (("mine", 40), ("recent", 20), ("forgotten", 40)):
        (tmp_path / name).mkdir()
        (tmp_path / name / "code.nbc").touch()
        os.utime(tmp_path / name, times=(time.time() - age * 86400.0,) * 2)
    warm_up.compile_once(tmp_path / "mine", lambda: None)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mine", "recent"]


def test_what_is_compiled_beforehand_is_what_a_run_calls() -> None:
    """The kernel knows one set of argument types after the small march and after a real one."""
    from assembly_sim.solver import forcing, room_state, run
    from assembly_sim.solver.kernel import hours

    warm_up.march_one_hour()
    before = len(hours.march.signatures)
    case = assembly_sim.read_case(PACKAGE.parent / "examples" / "attic_floor.toml")
    rows = forcing.boundary_rows(case, case.assemblies[0], room_state.room_rows(case))
    run.run_path(case, case.assemblies[0], "main", rows, hours=24)
    assert before == len(hours.march.signatures) == 1

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
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

import assembly_sim
from assembly_sim.solver import warm_up
from assembly_sim.solver.kernel import cache

PACKAGE = Path(assembly_sim.__file__).parent
HEAVY = {"pandas", "pint", "pvlib", "matplotlib", "scipy", "h5py", "pydantic", "numba", "numpy"}
HEAVY |= {"jinja2"}


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


def test_only_marked_code_of_other_versions_goes_when_unused_for_a_month(tmp_path: Path) -> None:
    """A folder of the user's beside ours, as in NUMBA_CACHE_DIR, was removed with all it held."""
    for name, age in (("mine", 40), ("recent", 20), ("forgotten", 40), ("thesis", 400)):
        (tmp_path / name).mkdir()
        (tmp_path / name / "code.nbc").touch()
        if name != "thesis":
            (tmp_path / name / cache.MARK).touch()
        os.utime(tmp_path / name, times=(time.time() - age * 86400.0,) * 2)
    warm_up.compile_once(tmp_path / "mine", lambda: None)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mine", "recent", "thesis"]


DAMAGES: dict[str, Callable[[Path], object]] = {
    "index empty": lambda place: (place / "sub" / "march.nbi").write_bytes(b""),
    "index cut": lambda place: os.truncate(place / "sub" / "march.nbi", 3),
    "index gone": lambda place: (place / "sub" / "march.nbi").unlink(),
    "one bit of code": lambda place: (place / "sub" / "march.1.nbc").write_bytes(b"cod\x65 "),
    "code empty": lambda place: (place / "sub" / "march.1.nbc").write_bytes(b""),
    "code gone": lambda place: (place / "sub" / "march.1.nbc").unlink(),
    "more code": lambda place: (place / "sub" / "march.2.nbc").write_bytes(b"x"),
    "seal empty": lambda place: (place / cache.SEAL).write_bytes(b""),
    "seal cut": lambda place: os.truncate(place / cache.SEAL, 20),
    "seal gone": lambda place: (place / cache.SEAL).unlink(),
    "seal of another kind": lambda place: (place / cache.SEAL).write_bytes(b"[1, 2]"),
    "seal no text": lambda place: (place / cache.SEAL).write_bytes(b"\xff\xfe\x00"),
    "seal nested": lambda place: (place / cache.SEAL).write_bytes(b"[" * 99999),
    "seal of nothing": lambda place: (place / cache.SEAL).write_bytes(b"{}"),
    "seal of other code": lambda place: (place / cache.SEAL).write_text(
        (place / cache.SEAL).read_text().replace("a", "b")
    ),
    "seal a folder": lambda place: in_its_place(place / cache.SEAL, Path.mkdir),
    "seal a pipe": lambda place: in_its_place(place / cache.SEAL, os.mkfifo),
    "index a folder": lambda place: in_its_place(place / "sub" / "march.nbi", Path.mkdir),
    "code a pipe": lambda place: in_its_place(place / "sub" / "march.1.nbc", os.mkfifo),
    "index and code exchanged": lambda place: exchanged(
        place / "sub" / "march.nbi", place / "sub" / "march.1.nbc"
    ),
    "a file for its folder": lambda place: in_its_place(place / "sub", Path.touch),
    "all gone": lambda place: shutil.rmtree(place / "sub"),
}


def in_its_place(thing: Path, make: Callable[[Path], object]) -> None:
    """Put something else where a file or a folder is."""
    shutil.rmtree(thing) if thing.is_dir() else thing.unlink()
    make(thing)


def exchanged(one: Path, other: Path) -> None:
    between = one.with_suffix(".between")
    one.rename(between)
    other.rename(one)
    between.rename(other)


@pytest.mark.parametrize("damage", DAMAGES.values(), ids=DAMAGES)
def test_kept_code_that_is_damaged_is_dropped_and_made_anew(
    damage: Callable[[Path], object], tmp_path: Path
) -> None:
    """An empty index after a power cut ended every later run."""
    calls: list[int] = []

    def compiling() -> None:
        assert list(tmp_path.rglob("*.nb?")) == []  # nothing damaged is read
        calls.append(1)
        (tmp_path / "sub").mkdir(exist_ok=True)
        (tmp_path / "sub" / "march.nbi").write_bytes(b"index")
        (tmp_path / "sub" / "march.1.nbc").write_bytes(b"code")

    for _ in range(2):
        warm_up.compile_once(tmp_path, compiling)
    assert calls == [1]
    damage(tmp_path)
    for _ in range(2):
        warm_up.compile_once(tmp_path, compiling)
    assert calls == [1, 1]


@pytest.mark.skipif(sys.platform == "win32", reason="no pipes there")
@pytest.mark.parametrize("make", [Path.mkdir, os.mkfifo], ids=["folder", "pipe"])
def test_a_lock_that_is_no_file_is_made_anew(make: Any, tmp_path: Path) -> None:
    """The one ended each run, the other kept it waiting for ever."""
    make(tmp_path / cache.LOCK)
    calls: list[int] = []
    for _ in range(2):
        warm_up.compile_once(tmp_path, lambda: calls.append(1))
    assert calls == [1]
    assert (tmp_path / cache.LOCK).is_file()


def test_code_that_cannot_be_kept_is_compiled_without(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    calls: list[str] = []

    def compiling() -> None:
        calls.append("compiling")
        if len(calls) == 1:
            raise OSError(28, "No space left on device")

    warm_up.compile_once(tmp_path, compiling, lambda: calls.append("keep nothing"))
    assert calls == ["compiling", "keep nothing", "compiling"]
    assert "No space left" in caplog.text


@pytest.mark.skipif(sys.platform == "win32", reason="no such rights there")
@pytest.mark.parametrize("rights", [0o777, 0o770, 0o702, 0o1777])
def test_code_is_not_taken_from_a_folder_that_others_can_write(
    cold: pytest.MonkeyPatch, tmp_path: Path, rights: int
) -> None:
    """numba unpickles what is kept: whoever writes there runs code in the user's name."""
    cold.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    assert cache.folder() is not None
    cache.folder.cache_clear()
    (tmp_path / "compiled" / cache.key()).chmod(rights)
    assert cache.folder() is None
    (tmp_path / "compiled" / cache.key()).chmod(0o700)
    cache.folder.cache_clear()
    (tmp_path / "compiled").chmod(0o777)  # another may put a folder in its place
    assert cache.folder() is None


@pytest.mark.skipif(sys.platform == "win32", reason="no such links there")
def test_code_is_not_taken_through_a_link(cold: pytest.MonkeyPatch, tmp_path: Path) -> None:
    cold.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    (tmp_path / "compiled").mkdir()
    (tmp_path / "theirs").mkdir(mode=0o700)
    (tmp_path / "compiled" / cache.key()).symlink_to(tmp_path / "theirs")
    assert cache.folder() is None


def test_nothing_is_kept_where_keeping_failed() -> None:
    code = (
        "from assembly_sim.solver.kernel import compiled, hours; compiled.keep_nothing(); "
        "print({type(each._cache).__name__ for each in vars(hours).values() "
        "if hasattr(each, 'enable_caching')})"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "{'NullCache'}"


def test_settings_of_numba_and_of_the_process_are_left_as_found() -> None:
    code = (
        "import os, numba; before = numba.config.CACHE_DIR; mask = os.umask(0o27); "
        "from assembly_sim.solver.kernel import hours; "
        "print(numba.config.CACHE_DIR == before, os.umask(0) == 0o27)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["True", "True"]


def test_the_process_mask_is_never_touched() -> None:
    """It is one for all threads: a file another thread makes meanwhile would be open to all."""
    sources = [path.read_text() for path in PACKAGE.rglob("*.py")]
    assert not [text for text in sources if "umask(" in text]


def test_what_is_compiled_beforehand_is_what_a_run_calls() -> None:
    """A real march brings no set of argument types that the small one did not (zones do)."""
    from assembly_sim.boundary import forcing, room_state
    from assembly_sim.solver import run
    from assembly_sim.solver.kernel import hours

    warm_up.ready()
    warm_up.march_one_hour()
    before = len(hours.march.signatures)
    case = assembly_sim.read_case(PACKAGE.parent / "examples" / "attic_floor.toml")
    rows = forcing.boundary_rows(case, case.assemblies[0], room_state.room_rows(case))
    run.run_path(case, case.assemblies[0], "main", rows, hours=24)
    assert before == len(hours.march.signatures) >= 1

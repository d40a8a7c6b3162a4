"""Where compiled code is kept, so that only the first run on a machine compiles.

numba notices edits in the file that holds a function, not in those whose functions and constants
went into it. The folder is therefore keyed by the content of every file that compiled code imports,
by where they are (numba keeps each place's code apart), by the versions that compile and by the
processor.

What is kept is machine code that numba unpickles, so it is taken only from a folder that is the
user's own, and only as it was when it was sealed: a list of the files with their hashes.
"""

from __future__ import annotations

import ast
import hashlib
import json
import logging
import os
import shutil
import stat
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from functools import cache
from importlib.metadata import version
from pathlib import Path

log = logging.getLogger(__name__)

_PACKAGE = Path(__file__).resolve().parents[2]
COMPILED = "solver/kernel"  # the folder of the code that is compiled
MARK = "made_by_assembly_sim"  # file in each folder that this package may remove
SEAL = "sealed.json"
LOCK = "lock"
UNUSED = 30.0 * 86400.0  # s after which another version's compiled code is removed


def user_cache() -> Path:
    """The user's cache folder of this package: `XDG_CACHE_HOME`, `LOCALAPPDATA` or `~/.cache`.

    Raises RuntimeError where the user has no home.
    """
    base = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    return (Path(base) if base else Path.home() / ".cache") / "assembly_sim"


def sources(package: Path = _PACKAGE) -> list[Path]:
    """Files of compiled code and all files of the package that they import, theirs in turn too.

    Imports are read from the text, and those inside functions count; nothing is imported.
    """
    found: set[Path] = set()
    left = set((package / COMPILED).glob("*.py"))
    while left:
        path = left.pop()
        found.add(path)
        left |= set(_imported(path, package)) - found
    return sorted(found)


def _imported(path: Path, package: Path) -> Iterator[Path]:
    """Files of the package that a file imports: modules, and packages by their `__init__`."""
    for node in _statements(ast.parse(path.read_bytes())):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            names = [f"{node.module}.{alias.name}" for alias in node.names] + [f"{node.module}"]
        for name in names:
            top, *parts = name.split(".")
            place = package.joinpath(*parts)
            files = (place.with_suffix(".py"), place / "__init__.py") if top == package.name else ()
            yield from (file for file in files if parts and file.is_file())


def _statements(node: ast.AST) -> Iterator[ast.AST]:
    """All statements below a node: an import is one, and expressions are most of a file."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.stmt | ast.excepthandler | ast.match_case):
            yield child
            yield from _statements(child)


def key(package: Path = _PACKAGE) -> str:
    """Key of the compiled code: content and place of sources, versions, processor."""
    made_by = f"{package} {version('numba')} {version('llvmlite')} {sys.version_info[:2]}"
    digest = hashlib.sha256(f"{made_by} {_processor()}".encode())
    for path in sources(package):
        digest.update(f"{path.relative_to(package).as_posix()}\n".encode())
        digest.update(path.read_bytes())
    for path in sorted((package / COMPILED).glob("*.py")):
        digest.update(str(path.stat().st_mtime_ns).encode())  # by which numba goes
    return digest.hexdigest()[:16]


def _processor() -> str:
    """Name and abilities of the processor that code is compiled for."""
    from llvmlite import binding

    return f"{binding.get_host_cpu_name()} {binding.get_host_cpu_features().flatten()}"


@cache
def folder() -> Path | None:
    """Folder of this version's compiled code, made if need be; None where none is to be trusted.

    Inside `NUMBA_CACHE_DIR` where the user set it, in the user's cache folder otherwise; it must
    be the user's own and closed to others.
    """
    chosen = os.environ.get("NUMBA_CACHE_DIR")
    try:
        found = (Path(chosen) if chosen else user_cache()) / "compiled" / key()
        found.parent.mkdir(parents=True, exist_ok=True)
        found.mkdir(mode=0o700, exist_ok=True)
        if not is_own(found):
            return None
        tempfile.TemporaryFile(dir=found).close()
        (found / MARK).touch()
    except (OSError, RuntimeError):
        return None
    return found.resolve()


def is_own(place: Path) -> bool:
    """Whether a folder is this user's, no other can write in it, and none can put another there.

    Where the system has no owners, the user's own folders are taken to be private.
    """
    if not hasattr(os, "geteuid"):
        return True
    state = place.lstat()
    if not stat.S_ISDIR(state.st_mode) or state.st_uid != os.geteuid() or state.st_mode & 0o022:
        return False
    above = [folder.stat().st_mode for folder in place.resolve().parents]
    return not any(mode & stat.S_IWOTH and not mode & stat.S_ISVTX for mode in above)


def _code(place: Path) -> Iterator[Path]:
    """Files of compiled code in a folder."""
    return (file for file in sorted(place.rglob("*")) if file.suffix in (".nbi", ".nbc"))


def _hashes(place: Path) -> dict[str, str]:
    """Hash of each file of code by its place; none of what is no file, as a pipe, which blocks."""
    return {
        file.relative_to(place).as_posix(): (
            hashlib.sha256(file.read_bytes()).hexdigest() if file.is_file() else "no file"
        )
        for file in _code(place)
    }


def seal(place: Path, kinds: Iterable[str] = ("paths",)) -> None:
    """Note what is in a folder of compiled code, now that it is whole: for which kinds of chain."""
    part = place / f"{SEAL}.part-{os.getpid()}"
    part.write_text(json.dumps({"kinds": sorted(kinds), "files": _hashes(place)}))
    os.replace(part, place / SEAL)


def held(place: Path) -> frozenset[str]:
    """Kinds of chain that a folder's code is for; none if it is not as it was when sealed."""
    try:
        if not (place / SEAL).is_file():
            return frozenset()
        found = json.loads((place / SEAL).read_bytes())
        whole = found["files"] == _hashes(place)
        return frozenset(map(str, found["kinds"])) if whole else frozenset()
    except (OSError, ValueError, RecursionError, KeyError, TypeError):
        return frozenset()


def is_whole(place: Path, kind: str = "paths") -> bool:
    """Whether a folder holds what it held when it was sealed, that of this kind with it."""
    return kind in held(place)


def empty(place: Path) -> None:
    """Remove all from a folder of compiled code but its mark and its lock, whatever it became."""
    for each in place.iterdir():
        if each.name not in (MARK, LOCK):
            _remove(each)


def _remove(thing: Path) -> None:
    with suppress(OSError):
        if thing.is_dir() and not thing.is_symlink():
            shutil.rmtree(thing)
        else:
            thing.unlink()


@contextmanager
def alone(place: Path) -> Iterator[None]:
    """Hold `place` against other processes; where the system has no such lock, go on without.

    The lock goes with the process that holds it, however that ends.
    """
    if (place / LOCK).exists() and not (place / LOCK).is_file():
        _remove(place / LOCK)  # a folder cannot be opened, a pipe never ends
    with (place / LOCK).open("w") as file:
        try:
            import fcntl
        except ImportError:
            yield
            return
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            log.warning("waiting for another process that compiles the solver")
            fcntl.flock(file, fcntl.LOCK_EX)
        except OSError:
            log.info("no lock on %s", place)  # a network drive that has none
        yield


def remove_unused(place: Path) -> None:
    """Remove the compiled code of other versions beside `place` that nobody used for a month.

    Only what carries the mark of this package: `NUMBA_CACHE_DIR` may hold what is the user's.
    """
    for other in place.parent.iterdir():
        with suppress(OSError):
            ours = not other.is_symlink() and (other / MARK).is_file()
            if ours and other != place and time.time() - other.stat().st_mtime > UNUSED:
                shutil.rmtree(other)


def mark_used(place: Path) -> None:
    """Note that `place` is in use, so that no other version removes it."""
    with suppress(OSError):
        os.utime(place)

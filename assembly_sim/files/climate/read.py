"""Weather files found and read: typical years (TMY3), EPW and the canonical CSV."""

from __future__ import annotations

import hashlib
import importlib.util
import os
from dataclasses import replace
from pathlib import Path

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.climate import kept as climate_cache
from assembly_sim.files.climate.check import climate_of
from assembly_sim.files.climate.csv import is_canonical, read_canonical, write_canonical
from assembly_sim.files.climate.epw import is_epw, read_epw
from assembly_sim.files.climate.rows import LONGEST_QUOTE, decode, separators_cure
from assembly_sim.files.climate.tmy3 import is_tmy3, read_tmy3
from assembly_sim.files.folders import shipped
from assembly_sim.files.plain_file import read_plain
from assembly_sim.model.climate import Climate

__all__ = ["find_climate", "read_climate", "shipped_climates", "write_canonical"]

LARGEST_FILE = 50_000_000  # bytes; a TMY3 year has two million
# typical years that come with a library the package needs anyway
IN_PVLIB = {"greensboro": "723170TYA.CSV", "sand point": "703165TY.csv"}


def shipped_climates() -> list[str]:
    """Names that `find_climate` knows without a path."""
    return [*sorted(path.stem for path in shipped("climates").glob("*.csv")), *IN_PVLIB]


def find_climate(name: str, relative_to: Path | None = None) -> Path:
    """Path of a climate: a shipped name, `greensboro` or `sand point`, or a path.

    A path is taken relative to `relative_to` (the case's folder), else the working directory.
    Raises `InputError` when there is none.
    """
    if not name.strip() or "\0" in name:
        raise InputError(Problem("no climate is named", f"known are {_known()}", field="climate"))
    if name.lower() in IN_PVLIB:
        return _inside_pvlib(IN_PVLIB[name.lower()])
    if name in shipped_climates():
        return shipped("climates") / f"{name}.csv"
    path = (relative_to or Path()) / os.path.expanduser(name)  # leaves ~nobody as it is
    try:
        there = path.exists()
    except OSError:  # a name longer than the system takes
        there = False
    if not there:
        cure = f"give a path that exists or one of {_known()}"
        raise InputError(Problem("there is no such climate", cure, name[:200], field="climate"))
    return path


def _known() -> str:
    return ", ".join(f"'{name}'" for name in shipped_climates())


def _inside_pvlib(file: str) -> Path:
    """A file inside the library's folder, found without importing the library."""
    spec = importlib.util.find_spec("pvlib")
    path = Path(spec.origin).parent / "data" / file if spec and spec.origin else Path(file)
    if not path.is_file():
        raise InputError(Problem("pvlib's wheel does not hold this file", "", file))
    return path


def read_climate(path: Path | str) -> Climate:
    """The canonical climate of a weather file, its format told by its content.

    A text may also be a name that `find_climate` knows, such as "cold_inland"; a `Path` is always
    a file. Ready climates are kept in the user's cache folder under the hash of the file's bytes.
    Raises `InputError` naming file, line and field.
    """
    if isinstance(path, str):
        path = find_climate(path)
    data = read_plain(path, LARGEST_FILE, "a year of hourly weather")
    sha256 = hashlib.sha256(data).hexdigest()
    kept = climate_cache.load(sha256)
    if kept is not None:
        return kept
    climate = read_bytes(data, str(path), sha256)
    climate_cache.store(climate)
    return climate


def read_bytes(data: bytes, file: str, sha256: str = "") -> Climate:
    """The canonical climate of a file's content; `file` only names it in messages."""
    lines, notes = decode(data, file)
    for known, read in ((is_canonical, read_canonical), (is_tmy3, read_tmy3), (is_epw, read_epw)):
        if known(lines):
            reading = read(lines, file)
            climate = climate_of(reading, sha256)
            return _with_notes(climate, (f"{reading.kind} file", *notes))
    cause = "this is no weather file of a known format"
    cure = "give TMY3, EPW, or the canonical CSV that climates/README.md describes"
    cure = separators_cure("\n".join(lines[:9]), cure)
    raise InputError(Problem(cause, cure, file, 1, source_line=lines[0][:LONGEST_QUOTE]))


def _with_notes(climate: Climate, notes: tuple[str, ...]) -> Climate:
    return replace(climate, notes=notes + climate.notes)

"""Output that is whole or not there: a file is written beside its place and moved in at the end."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from assembly_sim.errors import InputError, Problem


@contextmanager
def whole_file(path: str | Path) -> Iterator[Path]:
    """Give a temporary path beside `path`; move it there when the block ends well, else drop it.

    The file takes the usual permissions of a new file. Raises OSError where nothing can be written.
    """
    target = Path(path)
    ending = f".part{target.suffix}"  # some writers choose their format by the ending
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=ending, dir=target.parent)
    os.close(handle)
    try:
        yield Path(name)
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(name, 0o666 & ~mask)  # mkstemp makes it private, a result is not
        os.replace(name, target)
    finally:
        with suppress(FileNotFoundError):
            os.unlink(name)


def check_outputs(json_file: str | None, out: Path | None, csv: Path | None) -> None:
    """Raise InputError unless all that a run is asked to write can be written; the run is long."""
    if json_file and json_file != "-":
        check_file(json_file, "--json")
    if out:
        check_file(out, "--out")
    if csv:
        check_folder(csv, "--csv")


def check_file(path: str | Path, option: str) -> None:
    """Raise InputError unless a file can be written at `path`; asked before a long run starts."""
    target = Path(path)
    if target.is_dir():
        raise InputError(
            Problem("is a folder", "name a file inside it", file=str(path), field=option)
        )
    _check_parent(target.parent, str(path), option)


def check_folder(path: str | Path, option: str) -> None:
    """Raise InputError unless `path` is a folder, or can become one, that takes new files."""
    target = Path(path)
    if target.exists() and not target.is_dir():
        raise InputError(
            Problem("is a file, not a folder", "name a folder", file=str(path), field=option)
        )
    _check_parent(target if target.exists() else target.parent, str(path), option)


def _check_parent(folder: Path, path: str, option: str) -> None:
    """Try it: permission bits do not tell the truth for an administrator or a full mount."""
    try:
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as error:
        cause = f"cannot write in folder {folder} ({(error.strerror or 'refused').lower()})"
        cure = "name a place in a folder that exists and that you may write to"
        raise InputError(Problem(cause, cure, file=path, field=option)) from None


def summary_text(summary: Mapping[str, Any]) -> str:
    """The machine-readable summary as one JSON object. NaN in it raises ValueError: null is due."""
    return json.dumps(summary, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def write_text(text: str, path: str | Path) -> None:
    """Write `text` to a file, whole or not at all (UTF-8)."""
    with whole_file(path) as part:
        part.write_text(text, encoding="utf-8")

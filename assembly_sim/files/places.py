"""Where a command may write: asked before a long run starts, so that nothing is lost at its end."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.output import odd


def check_outputs(
    json_file: str | None, out: Path | None, csv: Path | None, report: Path | None = None
) -> None:
    """Raise InputError unless all that a run is asked to write can be written; the run is long."""
    if json_file and json_file != "-":
        check_file(json_file, "--json")
    if out:
        check_file(out, "--out")
    if csv:
        check_folder(csv, "--csv")
    if report:
        check_file(report, "--report")


def check_apart(
    outputs: Iterable[tuple[str, str | Path]], inputs: Mapping[str, str | Path]
) -> None:
    """Raise InputError where an output is one of the inputs, or another output.

    outputs: option and place of each; inputs: places by what they are.
    """
    taken = [(f"{what} {place}", Path(place)) for what, place in inputs.items()]
    for option, place in outputs:
        for what, other in taken:
            if _same(Path(place), other):
                cause = f"is also {what}, which it would replace"
                raise InputError(Problem(cause, "name another", file=str(place), field=option))
        taken.append((f"the place of {option} {place}", Path(place)))


def _same(one: Path, other: Path) -> bool:
    if os.path.realpath(one) == os.path.realpath(other):
        return True
    try:
        return one.samefile(other)
    except OSError:
        return False


def check_file(path: str | Path, option: str) -> None:
    """Raise InputError unless a file can be written at `path`; asked before a long run starts."""
    target = Path(path)
    if target.is_dir():
        raise _refused("is a folder", "name a file inside it", path, option)
    if why := odd(target):
        raise _refused(why, "name a plain file, itself and not by a link", path, option)
    _check_parent(target.parent, path, option)


def check_folder(path: str | Path, option: str) -> None:
    """Raise InputError unless `path` is a folder, or can become one, that takes new files."""
    target = Path(path)
    if target.exists() and not target.is_dir():
        raise _refused("is a file, not a folder", "name a folder", path, option)
    _check_parent(target if target.exists() else target.parent, path, option)


def check_tables(folder: Path, names: Iterable[str], option: str) -> list[tuple[str, Path]]:
    """Option and place of each table in a folder; InputError where one cannot be written there."""
    places = [folder / name for name in names]
    for place in places if folder.exists() else ():
        check_file(place, option)
    return [(option, place) for place in places]


def _check_parent(folder: Path, path: str | Path, option: str) -> None:
    """Try it: permission bits do not tell the truth for an administrator or a full mount."""
    try:
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as error:
        cause = f"cannot write in folder {folder} ({(error.strerror or 'refused').lower()})"
        cure = "name a place in a folder that exists and that you may write to"
        raise _refused(cause, cure, path, option) from None


def _refused(cause: str, cure: str, path: str | Path, option: str) -> InputError:
    return InputError(Problem(cause, cure, file=str(path), field=option))

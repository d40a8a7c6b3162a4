"""Bytes of a plain file that a user named: never a folder, a device, or more than is sensible."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from assembly_sim.errors import InputError, Problem

# Opened without waiting: a pipe that nobody writes to would block for ever.
_FLAGS = os.O_RDONLY | sum(getattr(os, n, 0) for n in ("O_NONBLOCK", "O_NOCTTY", "O_BINARY"))


def read_plain(path: Path, largest: int, what: str) -> bytes:
    """Content of a plain file of less than `largest` bytes that `what` names in a message.

    What it is, is asked of the open file, and no more than `largest` is read whatever size its
    folder tells. Raises InputError.
    """
    cure = f"{what} is a plain file below {largest // 1_000_000} MB"
    try:
        handle = os.open(path, _FLAGS)
        try:
            cause, data = _content(handle, largest)
        finally:
            os.close(handle)
    except (OSError, ValueError) as error:
        cause = f"cannot be read ({getattr(error, 'strerror', None) or 'no such name'})"
    if cause:
        raise InputError(Problem(cause, cure, str(path)))
    return data


def _content(handle: int, largest: int) -> tuple[str, bytes]:
    """What is wrong with an open file, or nothing, and its content."""
    kind = os.fstat(handle).st_mode
    if stat.S_ISDIR(kind):
        return "this is a folder", b""
    if not stat.S_ISREG(kind):
        return "this is a pipe or a device, not a file", b""
    with os.fdopen(handle, "rb", closefd=False) as file:
        data = file.read(largest) or b""
    return ("the file is too large" if len(data) >= largest else ""), data

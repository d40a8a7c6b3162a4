"""Rows as they finish: a file that only grows, a line a row, each with its own checksum.

A process that is killed leaves at most its last line torn, which is then dropped: every line
before it is whole. HDF5 gives no such promise: a file that is killed while it is written to may
not open again. So rows go here first, and into a whole new HDF5 file now and then.
"""

from __future__ import annotations

import json
import math
import os
import zlib
from collections.abc import Iterator
from pathlib import Path

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.output import odd
from assembly_sim.files.sweep.columns import NAN

Cells = dict[str, float | str]
LONGEST_LINE = 1_000_000  # bytes
SYNC = 20
"""Lines between two times that the disk itself is asked to have them, for when power fails."""


class Journal:
    """An open journal; one process at a time holds it."""

    def __init__(self, path: Path) -> None:
        _check_plain(path)
        self.path = path
        self._handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o666)
        self._lines = 0
        try:
            _lock(self._handle, path)
            os.ftruncate(self._handle, _whole(path))
        except BaseException:
            os.close(self._handle)
            raise

    def append(self, row: Cells) -> None:
        """Add a row. OSError where the disk takes no more: what is there stays whole."""
        data = _line(row)
        start = os.fstat(self._handle).st_size
        if os.write(self._handle, data) != len(data):
            os.ftruncate(self._handle, start)
            raise OSError(None, "is on a disk that is full", str(self.path))
        self._lines += 1
        if self._lines % SYNC == 0:
            os.fsync(self._handle)

    def rows(self) -> Iterator[Cells]:
        """All rows, oldest first."""
        return read(self.path)

    def empty(self) -> None:
        """Forget the rows: they are in the HDF5 file now."""
        os.ftruncate(self._handle, 0)

    def close(self) -> None:
        """Let go of it."""
        os.close(self._handle)


def read(path: Path) -> Iterator[Cells]:
    """Rows of a journal, up to the first line that is not whole."""
    _check_plain(path)
    if not path.exists():
        return
    with path.open("rb") as file:
        while line := file.readline(LONGEST_LINE):
            row = _row(line, path)
            if row is None:
                return
            yield row


def _line(row: Cells) -> bytes:
    """A row as a line: checksum, then JSON in which a missing number is null."""
    plain = {k: None if isinstance(v, float) and math.isnan(v) else v for k, v in row.items()}
    data = json.dumps(plain, ensure_ascii=True, allow_nan=True).encode()
    return b"%08x " % zlib.crc32(data) + data + b"\n"


def _check_plain(path: Path) -> None:
    """Refuse a journal that is a link, a device or a folder: it would be added to, or never end."""
    if why := odd(path):
        raise InputError(Problem(why, "remove it: a journal is a plain file", str(path)))


def _row(line: bytes, path: Path) -> Cells | None:
    """The row of a line, None where the line is torn. InputError for a whole line that is none."""
    if not line.endswith(b"\n") or line[8:9] != b" ":
        return None
    data = line[9:-1]
    if line[:8] != b"%08x" % zlib.crc32(data):
        return None
    try:
        row = json.loads(data)
        if all(value is None or type(value) in (int, float, str) for value in row.values()):
            return {key: NAN if value is None else value for key, value in row.items()}
    except (ValueError, AttributeError, RecursionError):
        pass
    cause, cure = "a journal holds what is no row", "remove it: what it held is run again"
    raise InputError(Problem(cause, cure, str(path)))


def _whole(path: Path) -> int:
    """Bytes of a journal up to the end of its last whole line."""
    size = 0
    with path.open("rb") as file:
        while line := file.readline(LONGEST_LINE):
            if _row(line, path) is None:
                break
            size += len(line)
    return size


def _lock(handle: int, path: Path) -> None:
    """Hold the file alone. InputError where another process does."""
    try:
        import fcntl
    except ImportError:  # no such lock on this system
        return
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        cause, cure = "another sweep is at work here", "wait for it, or take another folder"
        raise InputError(Problem(cause, cure, str(path))) from None

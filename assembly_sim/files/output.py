"""Output that is whole or not there: a file is written beside its place and moved in at the end."""

from __future__ import annotations

import io
import json
import os
import secrets
import signal
import stat
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any


@contextmanager
def whole_file(path: str | Path) -> Iterator[Path]:
    """Give a path beside `path` to write to; move it there when the block ends well, else drop it.

    A new file takes the usual permissions, one that is replaced keeps its own. Raises OSError that
    names `path` where nothing can be written. What a process that was killed leaves behind is
    called `NAME.part-` and some letters.
    """
    target = Path(path)
    # some writers choose their format by the ending
    part = target.with_name(f"{target.stem[:40]}.part-{secrets.token_hex(3)}{target.suffix[:10]}")
    try:
        _refuse_odd(target)
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
        yield part
        with suppress(FileNotFoundError):
            os.chmod(part, stat.S_IMODE(target.stat().st_mode))
        os.replace(part, target)
    except OSError as error:
        if error.filename in (None, str(part), part):
            error.filename, error.filename2 = str(target), None
        raise
    finally:
        with suppress(FileNotFoundError):
            os.unlink(part)


def _refuse_odd(target: Path) -> None:
    if why := odd(target):
        raise OSError(None, why, str(target))


def odd(target: Path) -> str:
    """Why a place is not to be replaced by a file: a link, a device, a pipe; '' where it is."""
    if target.is_symlink():
        return f"is a link to {os.readlink(target)}"
    if target.exists() and not target.is_file():
        return "is no plain file but a device, a pipe or the like"
    return ""


@contextmanager
def uninterrupted() -> Iterator[Callable[[], None]]:
    """Hold Ctrl-C back while a library is at work that would swallow it.

    Gives what raises KeyboardInterrupt where it is safe; what is held back at the end is raised
    there. Outside the main thread Ctrl-C does not arrive, so nothing is held back.
    """
    held: list[int] = []

    def pause() -> None:
        if held:
            raise KeyboardInterrupt

    if threading.current_thread() is not threading.main_thread():
        yield pause
        return
    before = signal.signal(signal.SIGINT, lambda number, _: held.append(number))
    try:
        yield pause
    finally:
        signal.signal(signal.SIGINT, before)
    pause()


class Sink(io.FileIO):
    """A file that takes all it is given, and tells at `check` and at the end what went wrong.

    The HDF5 library cannot close a file that it cannot write to: it tries again as the process
    ends, and takes the process down. So it never learns that a disk is full.
    """

    def __init__(self, path: Path) -> None:
        super().__init__(path, "r+b")
        self.error: OSError | None = None

    def __exit__(self, kind: Any, *rest: Any) -> None:
        self.close()
        if kind is None or issubclass(kind, Exception):
            self.check()

    def write(self, data: Any) -> int:
        """Write all of `data`, or note why not and go on."""
        view, done = memoryview(data).cast("B"), 0
        while self.error is None and done < len(view):
            try:
                done += super().write(view[done:]) or 0
            except OSError as error:
                self.error = error
        return len(view)

    def truncate(self, size: int | None = None) -> int:
        """Set the file's size, or note why not and go on."""
        try:
            return super().truncate(size) if self.error is None else size or 0
        except OSError as error:
            self.error = error
            return size or 0

    def check(self) -> None:
        """Raise the OSError that was met, if any."""
        if self.error is not None:
            raise self.error


def summary_text(summary: Mapping[str, Any], ascii_only: bool = False) -> str:
    """The machine-readable summary as one JSON object. NaN in it raises ValueError: null is due."""
    return json_text(summary, 2, ascii_only) + "\n"


def json_text(value: Any, indent: int | None = None, ascii_only: bool = False) -> str:
    """JSON in which what steers a terminal, hides or is no character stands as an escape."""
    text = json.dumps(value, indent=indent, ensure_ascii=ascii_only, allow_nan=False)
    if text.isprintable():
        return text
    return "".join(c if c == "\n" or c.isprintable() else json.dumps(c)[1:-1] for c in text)


def write_text(text: str, path: str | Path) -> None:
    """Write `text` to a file, whole or not at all (UTF-8)."""
    with whole_file(path) as part:
        part.write_text(text, encoding="utf-8")

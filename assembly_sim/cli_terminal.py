"""What every command prints with: text that steers no terminal, and a line of progress."""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable

import click

from assembly_sim.errors import visible


def say(text: str, err: bool = False, nl: bool = True) -> None:
    """Print text: nothing in it steers the terminal, and what its encoding lacks is spelled out."""
    encoding = (sys.stderr if err else sys.stdout).encoding or "utf-8"
    plain = visible(text).encode(encoding, "backslashreplace").decode(encoding)
    click.echo(plain, err=err, nl=nl)


def shown(record: logging.LogRecord) -> bool:
    """Make a record's text such as may be printed."""
    record.msg, record.args = visible(record.getMessage()), ()
    return True


def progress_line() -> Callable[[float, str], None] | None:
    """Return what shows progress (share done, what is going on), None where nobody watches."""
    if not sys.stderr.isatty():
        return None

    def show(share: float, what: str) -> None:
        line = "" if share >= 1.0 else f"{share:4.0%} {visible(what)}"
        click.echo(f"\r\033[K{line}", err=True, nl=False)

    return show

"""Words and lists that several texts share."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

WIDTH = 100
MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August"),
    *("September", "October", "November", "December"),
)


def bullets(title: str, lines: Iterable[str]) -> str:
    """Return a titled list, wrapped; nothing where the list is empty."""
    wrapped = [
        textwrap.fill(line, WIDTH, initial_indent="  - ", subsequent_indent="    ")
        for line in lines
    ]
    return "\n".join([title, *wrapped]) if wrapped else ""

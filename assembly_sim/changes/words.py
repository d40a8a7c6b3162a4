"""What a change says of itself: a sentence with gaps, and the numbers that go in with their kinds.

Units are chosen when it is printed, so one change serves SI and US readers, page and table.
"""

from __future__ import annotations

from dataclasses import dataclass

from assembly_sim.units import show

Quantity = tuple[float, str]
"""A number in the model's unit, and its kind as in `unit_table.KINDS`, `factor` for none."""


@dataclass(frozen=True)
class Words:
    """`text` with {0}, {1} ... where the quantities go; other braces of names are doubled."""

    text: str
    quantities: tuple[Quantity, ...] = ()


def named(text: str) -> str:
    """A name as it may stand in the text of `Words`."""
    return text.replace("{", "{{").replace("}", "}}")


def plain(words: Words, system: str = "si") -> str:
    """The sentence in units of a system, `si` or `ip`."""
    shown = [
        f"{value:g}" if kind == "factor" else show(value, kind, system)
        for value, kind in words.quantities
    ]
    return words.text.format(*shown)

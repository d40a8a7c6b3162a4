"""What a case is, as one hash: all that a run depends on, and nothing that it does not.

Every description goes in with its kind and its fields' names, numbers by their bits, weather and
columns row by row. What a user may say of a case without changing it stays out: its text and path,
notes, sources, and which figures were left to the defaults. So two cases of one hash
run alike, and a hash is the same in any process and on any machine.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from numbers import Real
from typing import Any

import numpy as np

from assembly_sim.model import Case

SAID_OF_WEATHER = frozenset({"notes", "source_sha256", "flags"})
"""Fields of a `Climate` that say where its rows come from; a run reads the rows."""


def case_sha256(case: Case) -> str:
    """SHA-256 of the resolved case, as hexadecimal digits."""
    digest = hashlib.sha256()
    for piece in pieces(case):
        digest.update(piece)
    return digest.hexdigest()


def pieces(value: Any) -> Iterator[bytes]:
    """A value as bytes that no other value gives: each with its kind, and its length where due."""
    if is_dataclass(value):
        yield from _text(type(value).__name__)
        for name in described(value):
            yield from _text(name)
            yield from pieces(getattr(value, name))
    elif isinstance(value, np.ndarray):
        yield f"array {value.shape} ".encode()
        yield np.ascontiguousarray(value, dtype="<f8").tobytes()
    elif isinstance(value, str):
        yield from _text(value)
    elif isinstance(value, bool) or value is None:
        yield repr(value).encode()
    elif isinstance(value, Real):
        yield f"number {float(value) + 0.0:.17g} ".encode()
    else:
        yield from _several(value)


def described(value: Any) -> list[str]:
    """Names of the fields that two equal descriptions share."""
    left_out = SAID_OF_WEATHER if type(value).__name__ == "Climate" else ()
    return [one.name for one in fields(value) if one.compare and one.name not in left_out]


def _text(text: str) -> Iterator[bytes]:
    data = text.encode("utf-8", "surrogatepass")
    yield f"text {len(data)} ".encode()
    yield data


def _several(value: Any) -> Iterator[bytes]:
    """A row, a set or a table of values; a long row of numbers goes in as an array."""
    if isinstance(value, Mapping):
        items: Any = sorted(value.items())
    elif isinstance(value, frozenset):
        items = sorted(value)
    else:
        items = value
        if len(value) > 100 and all(type(one) is float for one in value):
            yield from pieces(np.array(value))
            return
    yield f"{type(value).__name__} {len(items)} ".encode()
    for item in items:
        yield from pieces(item)

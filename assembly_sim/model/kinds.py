"""Descriptions held to the types that their classes declare: Python itself does not look.

`replace(layer, thickness="140 mm")` would make a layer that no equation can take. What is asked of
one value (a thickness above zero) stands in its class; here is only what kind of value it is. Every
class of the room looks at its own fields as it is made; `check_kinds` looks at all depths, for what
comes from a file of results or past those classes.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from math import isfinite
from numbers import Integral, Real
from typing import Any

from assembly_sim.errors import InputError, Problem


def check_fields(description: Any) -> None:
    """Raise InputError where a field, or an item of its row, is not of its declared type.

    Called first in every `__post_init__`: what follows may then look into its fields.
    """
    kind: Any = type(description)
    for name in _hints(kind):
        check_field(description, name, getattr(description, name), f"{kind.__name__}.{name}")


def check_field(description: Any, name: str, value: Any, place: str) -> None:
    """The same for one value that is to be in a field of a description, `place` in messages."""
    kind: Any = type(description)
    _check_outermost(value, _hints(kind)[name], place)


def _check_outermost(value: Any, kind: Any, place: str) -> None:
    if not _fits(value, kind):
        _refuse(place, f"is {_told(value)}", f"give {_words(kind)}")
    if isinstance(value, tuple):
        for number, item in enumerate(value):
            inner = f"{place}[{number}]"
            _check_outermost(item, _item_kind(kind, value, number, place), inner)
    elif isinstance(value, Mapping):
        for name, item in value.items():
            _check_outermost(item, _mapped_kind(kind), f"{place}[{name!r:.40}]")
    elif isinstance(value, frozenset):
        (inner_kind, *_) = (*typing.get_args(kind), Any)
        for item in value:
            _check_outermost(item, inner_kind, place)


def numbers_of(values: Any, place: str) -> tuple[float, ...]:
    """A row of numbers, of any kind, as a tuple; InputError where it is none."""
    row: Any = None if isinstance(values, str | bytes | Mapping) else values
    try:
        return tuple(float(value) for value in row)
    except (TypeError, ValueError, OverflowError):
        _refuse(place, f"{_told(values)} is no row of numbers", "give a tuple of numbers")


def _told(value: Any) -> str:
    """The type of a value, or what else keeps it from being what it should be."""
    if isinstance(value, Real) and not isinstance(value, bool) and not _in_range(value):
        return "a number too large"
    name = type(value).__name__
    return "None" if value is None else f"{'an' if name[0] in 'aeiouAEIOU' else 'a'} {name}"


def check_kinds(value: Any, kind: Any, place: str, finite: bool = True) -> None:
    """Raise InputError for the first value, at any depth, that is not of its declared type.

    `finite`: neither are numbers that are not finite accepted. Arrays are not looked into.
    """
    if not _fits(value, kind):
        _refuse(place, f"is {_told(value)}", f"give {_words(kind)}")
    if finite and isinstance(value, float) and not isfinite(value):
        _refuse(place, f"is {value}", "give an ordinary number")
    if is_dataclass(value) and not isinstance(value, type):
        hints = _hints(type(value))
        for field in fields(value):
            inner = f"{place}.{field.name}"
            check_kinds(getattr(value, field.name), hints[field.name], inner, finite)
    elif isinstance(value, tuple):
        for number, item in enumerate(value):
            check_kinds(item, _item_kind(kind, value, number, place), f"{place}[{number}]", finite)
    elif isinstance(value, Mapping):
        for name, item in value.items():
            check_kinds(item, _mapped_kind(kind), f"{place}[{name!r:.40}]", finite)


def _refuse(place: str, cause: str, cure: str) -> typing.NoReturn:
    raise InputError(Problem(cause, cure, field=place))


@cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _alternatives(kind: Any) -> tuple[Any, ...]:
    several = typing.get_origin(kind) in (typing.Union, types.UnionType)
    return typing.get_args(kind) if several else (kind,)


def _fits(value: Any, kind: Any) -> bool:
    """Whether a value is of a type as far as its outermost layer goes."""
    return any(_is(value, one) for one in _alternatives(kind))


def _is(value: Any, kind: Any) -> bool:
    if kind is Any:
        return True
    if kind in (float, int):
        wider = Real if kind is float else Integral
        return isinstance(value, wider) and not isinstance(value, bool) and _in_range(value)
    plain = types.NoneType if kind is None else typing.get_origin(kind) or kind
    return isinstance(value, plain) if isinstance(plain, type) else True


def _in_range(value: Real) -> bool:
    try:
        float(value)
    except OverflowError:
        return False
    return True


def _mapped_kind(kind: Any) -> Any:
    """Type of the values of a mapping."""
    parts = (typing.get_args(one) for one in _alternatives(kind))
    return next((two[1] for two in parts if len(two) == 2), Any)


def _item_kind(kind: Any, value: tuple[Any, ...], number: int, place: str) -> Any:
    """Type of one item of a tuple, by the alternative that has as many items."""
    for one in _alternatives(kind):
        parts = typing.get_args(one)
        if len(parts) == 2 and parts[1] is Ellipsis:
            return parts[0]
        if len(parts) == len(value):
            return parts[number]
    if kind is Any or kind is tuple:
        return Any
    _refuse(place, f"has {len(value)} entries", f"give {_words(kind)}")


_SPOKEN = {
    **{types.NoneType: "None", int: "a whole number", float: "a number", str: "a text"},
    bool: "True or False",
}


def _words(kind: Any) -> str:
    """A type as its reader would say it."""
    return " or ".join(dict.fromkeys(_word(one) for one in _alternatives(kind)))


def _word(kind: Any) -> str:
    items = typing.get_args(kind)
    if typing.get_origin(kind) is tuple and items[1:] == (Ellipsis,):
        return f"a tuple, each item {_words(items[0])}"
    return str(_SPOKEN.get(kind) or getattr(kind, "__name__", kind))

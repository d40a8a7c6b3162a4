"""The case that a case builds on (`base`), and what it changes of it.

A case may name another with `base = "other.toml"`, relative to its own folder. Its own entries then
override: tables are merged entry by entry, everything else (also a list of tables such as
`[[assembly]]`) is replaced whole. A rule for the room of another kind replaces the base's rule
whole. `[change."assembly".layer."layer"]` changes single entries of an assembly or layer of the
base, `[change.opening."attic hatch"]` those of an opening; zone, other_room, fan and
ducts alike. A base may have a base of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from assembly_sim.errors import InputError
from assembly_sim.files.case import lines as case_lines
from assembly_sim.files.case.text import CaseText, Place, load
from assembly_sim.files.words import nearest

MOST_BASES = 10
KIND_OF_RULE = {
    **{"mean": "sine", "amplitude": "sine", "curve": "curve", "file": "column"},
    **{"class": "class", "excess": "class"},
    "as": "as",
    **{"otherwise": "schedule", "at": "schedule"},
    **{"volume": "balance", "generation": "balance", "air_changes": "balance"},
}
_RULES = (("room", "temperature"), ("room", "humidity"))
LISTS = ("zone", "other_room", "opening", "fan", "ducts", "pipe")
"""Lists of a house whose items `[change]` reaches by name."""
_CONTENTS = ("material", "membrane", "air")


def load_with_bases(path: Path | str, seen: tuple[Path, ...] = ()) -> CaseText:
    """Read a case with everything it builds on. Raises InputError; `seen` guards against cycles."""
    own = load(path)
    base = own.entries.pop("base", None)
    if base is None:
        return own
    seen = (*seen, Path(own.file).resolve())
    below = load_with_bases(_base_file(own, base, seen), seen)
    text = f"{below.text.rstrip()}\n\n# {Path(own.file).name}, onto the text above:\n{own.text}"
    change = own.entries.pop("change", {})
    entries = merged(below.entries, own.entries)
    places = {**below.places, **own.places, **_changed(entries, change, own)}
    return CaseText(entries, own.file, text, places, (*below.files, *own.files))


def kind_of_rule(rule: Any) -> str | None:
    """Kind of a room's rule by its first telling entry; None where no entry tells."""
    if not isinstance(rule, dict):
        return "constant"
    return next((KIND_OF_RULE[entry] for entry in rule if entry in KIND_OF_RULE), None)


def _base_file(own: CaseText, base: Any, seen: tuple[Path, ...]) -> Path:
    """Path of the base that a case names, or what is wrong with it."""

    def refused(cause: str, cure: str) -> InputError:
        return InputError(own.problem(("base",), cause, cure))

    if not isinstance(base, str) or not base:
        raise refused("the base is not a file name", "write a text")
    if not base.isprintable():
        raise refused("the base is no file name", "write letters on one line")
    if len(seen) > MOST_BASES:
        cause = f"more than {MOST_BASES} cases build on one another"
        raise refused(cause, "join some of them to one file")
    path = Path(own.file).parent / base
    try:
        resolved, there = path.resolve(), path.is_file()
    except (OSError, RuntimeError):
        resolved, there = path, False
    if resolved in seen:
        raise refused(f"'{base[:60]}' leads back to a case that builds on it", "remove a base")
    if not there:
        cure = "give a path relative to this file, with / between folders"
        raise refused(f"there is no case file '{base[:60]}'", cure)
    return path


def merged(
    below: Mapping[str, Any], above: Mapping[str, Any], path: tuple[str, ...] = ()
) -> dict[str, Any]:
    """Tables merged entry by entry; any other entry of `above` replaces the one of `below`."""
    result = dict(below)
    for key, value in above.items():
        here, old = (*path, key), result.get(key)
        both = isinstance(value, dict) and isinstance(old, dict)
        if both and here in _RULES:
            both = kind_of_rule(value) in (None, kind_of_rule(old))
        result[key] = merged(result[key], value, here) if both else value
    return result


def _changed(entries: dict[str, Any], change: Any, own: CaseText) -> dict[case_lines.Path, Place]:
    """Put what `change` says into the assemblies of `entries`; places of what it says."""
    places: dict[case_lines.Path, Place] = {}
    for name, table, path in named_tables(change, ("change",), own):
        if _is_list_of_house(name, entries):
            places |= _changed_list(name, table, path, entries, own)
            continue
        number, found = _found(entries.get("assembly"), name, path, own, "assembly")
        layers = list(found["layer"]) if isinstance(found.get("layer"), list) else []
        for word, entry, inner in named_tables(table.pop("layer", {}), (*path, "layer"), own):
            at, layer = _found(layers, word, inner, own, "layer")
            layers[at] = _new_layer(layer, entry)
            places |= _moved(entry, inner, ("assembly", number, "layer", at), own)
        places |= _moved(table, path, ("assembly", number), own)
        assemblies = list(entries["assembly"])
        assemblies[number] = {**found, "layer": layers, **table}
        entries["assembly"] = assemblies
    return places


def _is_list_of_house(name: str, entries: Mapping[str, Any]) -> bool:
    """Whether a name means a list of tables, and no assembly that is called so."""
    assemblies = entries.get("assembly")
    listed = assemblies if isinstance(assemblies, list) else []
    return name in LISTS and name not in [_name(one) for one in listed if isinstance(one, dict)]


def _changed_list(
    word: str, table: dict[str, Any], path: case_lines.Path, entries: dict[str, Any], own: CaseText
) -> dict[case_lines.Path, Place]:
    """New entries of the items of a list, by name: `[change.opening."attic hatch"]`."""
    places: dict[case_lines.Path, Place] = {}
    for name, new, here in named_tables(table, path, own):
        number, found = _found(entries.get(word), name, here, own, word)
        items = list(entries[word])
        items[number] = {**_without_other_size(found, new), **new}
        entries[word] = items
        places |= _moved(new, here, (word, number), own)
    return places


def _without_other_size(old: dict[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    """An opening's entries but for a size or a weight that a new one replaces."""
    gone = {"size", "weight", "exponent"} if {"size", "weight"} & set(new) else set[str]()
    return {key: value for key, value in old.items() if key not in gone}


def named_tables(
    value: Any, path: case_lines.Path, own: CaseText
) -> Iterator[tuple[str, dict[str, Any], case_lines.Path]]:
    """Tables inside a table, by name, each a copy, with their paths."""
    cure = 'write [change."name of the assembly".layer."name of the layer"] above new entries'
    if not isinstance(value, dict):
        raise InputError(own.problem(path, "this is no table of changes", cure))
    for name, table in value.items():
        if not isinstance(table, dict):
            raise InputError(own.problem((*path, name), "this is no table of changes", cure))
        yield name, dict(table), (*path, name)


def _found(
    items: Any, name: str, path: case_lines.Path, own: CaseText, word: str
) -> tuple[int, dict[str, Any]]:
    """Number and table of the only item of this name."""
    tables = [item for item in items if isinstance(item, dict)] if isinstance(items, list) else []
    known = [_name(table) for table in tables]
    if known.count(name) != 1:
        several = name in known
        cause = f"{'more than one' if several else 'no'} {word} of the base is called '{name[:60]}'"
        cure = "give each its own name there" if several else nearest(name, known)
        listed = ", ".join(known)[:200]
        raise InputError(own.problem(path, cause, cure or f"there are: {listed}"))
    return known.index(name), tables[known.index(name)]


def _name(table: Mapping[str, Any]) -> str:
    """The name of an assembly or layer: the user's, or what the layer is made of."""
    for entry in ("name", "material", "membrane"):
        if isinstance(table.get(entry), str):
            return str(table[entry])
    return "air layer" if "air" in table else ""


def _new_layer(old: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    """A layer with new entries; one of another kind keeps nothing but its name."""
    kinds = [{entry for entry in _CONTENTS if entry in table} for table in (old, new)]
    if kinds[1] and kinds[1] != kinds[0]:
        return {"name": _name(old), **new}
    return {**old, **new}


def _moved(
    table: Mapping[str, Any], source: case_lines.Path, target: case_lines.Path, own: CaseText
) -> dict[case_lines.Path, Place]:
    return {(*target, entry): own.place((*source, entry)) for entry in table}

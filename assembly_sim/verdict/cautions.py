"""Cautions that go with every verdict, each tied to what the case contains."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from functools import cache
from importlib.resources import files

from assembly_sim.model import USUAL_LEAK, AirLayer, Assembly, Case, Layer, Membrane

WALL_FROM = math.radians(60.0)
DULL = 0.2


NO_WORDS: frozenset[str] = frozenset()


def cautions(case: Case, more: frozenset[str] = NO_WORDS) -> tuple[str, ...]:
    """The cautions that concern a case, in the order of the data file; more: further words."""
    return tuple(caution["text"] for caution in _concerning(case, more))


def first_cautions(case: Case, more: frozenset[str] = NO_WORDS) -> tuple[str, ...]:
    """Those that come before all others, a line each: of life, and of what cannot be undone."""
    return tuple(caution["short"] for caution in _concerning(case, more) if "short" in caution)


def _concerning(case: Case, more: frozenset[str]) -> Iterator[dict]:
    words = caution_words(case) | more
    for caution in _data():
        some = caution.get("any")
        if words.issuperset(caution.get("all", ())) and (not some or words & set(some)):
            yield caution


@cache
def _data() -> tuple[dict, ...]:
    text = files("assembly_sim.verdict").joinpath("cautions.toml").read_text(encoding="utf-8")
    return tuple(tomllib.loads(text)["caution"])


def caution_words(case: Case) -> frozenset[str]:
    """What a case contains, in the words that the data file may ask for.

    The kinds of every material and sheet; `wall`, `roof`, `attic floor` (sheltered and not
    upright), `roof or floor`; `sealed roof` (no vented layer), `tight` (an airtight layer, no
    leak or no more than 0.2 L/(s m2) at 75 Pa), `foil` (a bright sheet), `membrane`, `insulation`
    of any sort, `insulated inside masonry`, and `probe` (a named depth). `fan into a zone`: air of
    a room blown into an attic or the like; `ducts in a zone`, `cold ducts in a zone`; `openings`.
    """
    own = (word for assembly in case.assemblies for word in _words(assembly))
    return frozenset((*own, *_words_of_house(case)))


def _words_of_house(case: Case) -> Iterator[str]:
    zones, rooms = ({one.name for one in some} for some in (case.zones, case.rooms))
    if any(fan.flow and fan.way[0] in rooms and fan.way[1] in zones for fan in case.fans):
        yield "fan into a zone"
    if case.ducts:
        yield "ducts in a zone"
    if not all(one.heats for one in case.ducts):
        yield "cold ducts in a zone"
    if case.openings:
        yield "openings"


def _words(assembly: Assembly) -> Iterator[str]:
    yield from _kinds(assembly)
    yield from _form(assembly)
    layers = assembly.layers
    if any(isinstance(layer, Membrane) for layer in layers):
        yield "membrane"
    if any(isinstance(layer, Membrane) and layer.sheet.emittance <= DULL for layer in layers):
        yield "foil"
    if any(isinstance(layer, Layer) and layer.probes for layer in layers):
        yield "probe"
    if _is_tight(assembly):
        yield "tight"
    if _insulated_inside_masonry(assembly):
        yield "insulated inside masonry"


def _kinds(assembly: Assembly) -> Iterator[str]:
    for layer in assembly.layers:
        if isinstance(layer, Layer):
            for material in (layer.material, *(bridge.material for bridge in layer.bridges)):
                yield from material.kinds
            if _insulates(layer):
                yield "insulation"
        elif isinstance(layer, Membrane):
            yield from layer.sheet.kinds
        else:
            for bridge in layer.bridges:
                yield from bridge.material.kinds


def _form(assembly: Assembly) -> Iterator[str]:
    if assembly.outer.tilt >= WALL_FROM:
        yield "wall"
        return
    yield "roof or floor"
    if assembly.outer.sheltered:
        yield "attic floor"
        return
    yield "roof"
    if not any(isinstance(layer, AirLayer) and layer.air_changes for layer in assembly.layers):
        yield "sealed roof"


def _is_tight(assembly: Assembly) -> bool:
    """Whether the assembly is drawn as airtight as good practice asks, or more."""
    leak = assembly.leak
    if leak is None or any(getattr(layer, "airtight", None) for layer in assembly.layers):
        return True
    usual = USUAL_LEAK
    return leak.flow_at(usual.reference_pressure) <= usual.flow * 1.001


def _insulates(layer: object) -> bool:
    kinds = layer.material.kinds if isinstance(layer, Layer) else frozenset()
    return bool(kinds & {"insulation", "air-impermeable insulation", "foam plastic"})


def _insulated_inside_masonry(assembly: Assembly) -> bool:
    """Whether a layer of insulation lies inside one of masonry."""
    behind = False
    for layer in assembly.layers:
        if behind and _insulates(layer):
            return True
        behind = behind or (isinstance(layer, Layer) and "masonry" in layer.material.kinds)
    return False

"""A case with what it is made of uncertain: its plan of random variants, usual spreads by default.

    [uncertain]
    leak = 2.0                   # factor: 84 % lie below the case's leak times 2
    humidity = "3 %"             # standard deviation, in points
    conductivity = 0.03          # as a share, of every insulation by itself
    absorptance = false          # certain

What is left out has the spread of `usual.toml`. Conductivities are those of insulation, and
permeabilities those of all layers that are not air; each material varies by itself.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from assembly_sim.changes import Set, Times, WinterHumidity
from assembly_sim.changes.factors import Factor, Range
from assembly_sim.changes.laws import Law
from assembly_sim.changes.plan import Plan
from assembly_sim.errors import InputError, Problem
from assembly_sim.files.case.base import load_with_bases
from assembly_sim.files.case.read import read_case
from assembly_sim.files.case.text import CaseText
from assembly_sim.files.words import nearest
from assembly_sim.model import AirLayer, Assembly, Case, Layer, Material
from assembly_sim.model.ranges import RANGES
from assembly_sim.units import UnitError, read

FACTORS = ("leak", "conductivity", "permeability")  # of these a factor or share, else points
INSULATION = {"insulation", "air-impermeable insulation", "foam plastic"}


@cache
def usual() -> dict[str, dict[str, Any]]:
    """The usual spreads by name, each with its source."""
    text = Path(__file__).with_name("usual.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def uncertain_plan(
    path: Path | str, count: int = 100, seed: int = 1, assembly: str | None = None
) -> Plan:
    """The plan of a case's uncertainty, random points. InputError for what cannot be read."""
    source, case = load_with_bases(path), read_case(path)
    names = [one.name for one in case.assemblies]
    if assembly is None and len(names) > 1:
        cure = f"say --assembly, one of {', '.join(names)}"
        raise InputError(Problem("the case has several assemblies", cure, str(path)))
    if assembly is not None and assembly not in names:
        cure = nearest(assembly, names) or f"there are {', '.join(names)}"
        raise InputError(Problem(f"there is no assembly '{assembly[:60]}'", cure, str(path)))
    at = names.index(assembly) if assembly else 0
    factors = tuple(uncertain_factors(case, at, spreads(source)))
    name = f"{case.name}, uncertain"
    return Plan(name, case, factors, "random", (count,), seed, assembly=at, file=str(path))


def spreads(source: CaseText) -> dict[str, Law]:
    """Law of each quantity that is uncertain: as the case says, else as usual."""
    told = source.entries.get("uncertain", {})
    if not isinstance(told, dict):
        raise InputError(source.problem(("uncertain",), "this is not a table", "write [uncertain]"))
    for entry in told:
        if entry not in usual():
            cure = nearest(entry, usual()) or f"known here are {', '.join(usual())}"
            raise InputError(
                source.problem(("uncertain", entry), f"unknown entry '{entry[:60]}'", cure)
            )
    laws = {name: _law(name, told.get(name, True), source) for name in usual()}
    return {name: law for name, law in laws.items() if law is not None}


def _law(name: str, value: Any, source: CaseText) -> Law | None:
    """The law of one quantity; None where it is certain."""
    row, at = usual()[name], ("uncertain", name)
    if value is False:
        return None
    low, high = row["within"]
    usually = float(row["factor"] if "factor" in row else row["spread"])
    spread = usually if value is True else _size(name, value, source)
    try:
        if "factor" in row:
            return Law("lognormal", 1.0, spread, low=low, high=high)
        middle = 1.0 if name in FACTORS else 0.0
        return Law("normal", middle, spread, low=low, high=high)
    except InputError as error:
        found = error.problems[0]
        raise InputError(source.problem(at, found.cause, found.cure)) from None


def _size(name: str, value: Any, source: CaseText) -> float:
    """A spread as written: a bare number, or a text with %."""
    try:
        return read(value, "fraction")
    except UnitError as error:
        raise InputError(source.problem(("uncertain", name), error.cause, error.cure)) from None


def uncertain_factors(case: Case, at: int, laws: dict[str, Law]) -> Iterator[Factor]:
    """What of a case is uncertain, a factor each."""
    assembly = case.assemblies[at]
    here = ("assembly", assembly.name)
    if "leak" in laws and assembly.leak is not None:
        yield Range("air leak", (Times((*here, "leak"), 1.0),), laws["leak"])
    if "humidity" in laws:
        yield Range("winter humidity", (WinterHumidity(0.0),), laws["humidity"])
    if "start" in laws:
        yield from _start(case, assembly, laws["start"])
    if "absorptance" in laws and not assembly.outer.sheltered:
        field = (*here, "solar_absorptance")
        law = _about(laws["absorptance"], assembly.outer.solar_absorptance, "solar absorptance")
        yield Range("solar absorptance", (Set(field, assembly.outer.solar_absorptance),), law)
    for material in _materials(assembly):
        path, name = ("material", material.name), material.name.replace("/", "-")
        if "conductivity" in laws and material.kinds & INSULATION:
            times = (Times((*path, "conductivity"), 1.0),)
            yield Range(f"conductivity of {name}", times, laws["conductivity"])
        if "permeability" in laws:
            times = (Times((*path, "permeability"), 1.0),)
            yield Range(f"permeability of {name}", times, laws["permeability"])


def _start(case: Case, assembly: Assembly, law: Law) -> Iterator[Factor]:
    """The start of the whole, and of each layer that has one of its own."""
    own = _about(law, case.starting_humidity, "starting humidity")
    yield Range("starting humidity", (Set(("starting_humidity",), case.starting_humidity),), own)
    for layer in assembly.layers:
        start = layer.starting_humidity if isinstance(layer, Layer) else None
        if start is not None:
            path = ("assembly", assembly.name, "layer", layer.name, "starting_humidity")
            at = _about(law, start, "starting humidity")
            yield Range(
                f"starting humidity of {layer.name.replace('/', '-')}", (Set(path, start),), at
            )


def _about(law: Law, middle: float, span: str) -> Law:
    """A law of differences about a middle, cut off where the quantity ends."""
    low = max(middle + law.low, RANGES[span].low + 1e-3)
    high = min(middle + law.high, RANGES[span].high)
    if not math.isfinite(low + high):
        raise InputError(Problem("a spread without ends", "give ends"))
    return Law("normal", middle, law.b, low=low, high=high)


def _materials(assembly: Assembly) -> list[Material]:
    """Materials of the layers and bridges, each once, outside to inside."""
    found: dict[str, Material] = {}
    for layer in assembly.layers:
        if isinstance(layer, Layer):
            found.setdefault(layer.material.name, layer.material)
        if isinstance(layer, Layer | AirLayer):
            for bridge in layer.bridges:
                found.setdefault(bridge.material.name, bridge.material)
    return list(found.values())

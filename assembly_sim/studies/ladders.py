"""What a probe tries on a case: ladders of one change each, from the case as it is outward."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import degrees, pi

from assembly_sim.changes import AddLayer, Change, ChangeSheet, Set, WinterHumidity
from assembly_sim.changes.path import Path
from assembly_sim.changes.room import winter_humidity
from assembly_sim.envelope.airways import airways
from assembly_sim.envelope.retarders import is_batt_or_fill, is_foam_or_board
from assembly_sim.files.climate.years import tenth_percentile_year
from assembly_sim.files.material.read import load
from assembly_sim.model import USUAL_LEAK, Case, Layer, Material, Sheet
from assembly_sim.model.ranges import RANGES, thickness_range
from assembly_sim.units import marked

HUMIDITY_STEP = 0.025
MORE_HUMIDITY = 2  # steps: 5 points
LEAST_HUMIDITY, MOST_HUMIDITY = 0.10, 0.80
LEAK_FACTORS = (0.0, 0.1, 0.2, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0, 3.0, 5.0, 10.0)
MORE_LEAK = 2.0
ADDED_FOAM = "polyiso"
ADDED = (0.025, 0.05, 0.1, 0.15)  # m
THINNER = (0.75, 0.5, 0.25)
SHEETS = ("kraft facing", "polyamide film, humidity-variable", "polyethylene film 0.15 mm")
LIGHT, DARK = 0.3, 0.9  # solar absorptance
LEVEL_SURFACE = 0.05  # rad: flatter than this no orientation counts
COMPASS = {"north": 0.0, "east": pi / 2.0, "south": pi, "west": 1.5 * pi}


@dataclass(frozen=True)
class Variant:
    """One trial: what is changed, in words, the changed quantity (SI), and the changes to make.

    No changes: the case as it is, whose verdict is known.
    """

    change: str
    value: float
    changes: tuple[Change, ...] = ()


@dataclass(frozen=True)
class Ladder:
    """Variants of one quantity in rising order; `start` is where a search begins.

    That is the case as it is, where the ladder holds it. hard: index of the variant that the
    verdict should still hold on, None where there is none; unit: that of the variants' values.
    """

    variants: tuple[Variant, ...]
    start: int
    hard: int | None = None
    unit: str = "1"

    def up(self) -> tuple[Variant, ...]:
        """Variants above the start, nearest first."""
        return self.variants[self.start + 1 :]

    def down(self) -> tuple[Variant, ...]:
        """Variants below the start, nearest first."""
        return self.variants[: self.start][::-1]


def assembly_path(case: Case, at: int, *steps: str | int) -> Path:
    """Path to a field of the assembly of this index."""
    return ("assembly", case.assemblies[at].name, *steps)


def humidity_ladder(case: Case) -> Ladder:
    """Winter humidity of the room in steps of 2.5 points about the case's own."""
    here = winter_humidity(case)
    below = max(0, int((here - LEAST_HUMIDITY) / HUMIDITY_STEP))
    above = max(0, int((MOST_HUMIDITY - here) / HUMIDITY_STEP))

    def variant(step: int) -> Variant:
        points = step * HUMIDITY_STEP
        words = f"winter humidity of the room {100 * (here + points):.1f} %"
        return Variant(words, here + points, (WinterHumidity(points),) if step else ())

    hard = below + MORE_HUMIDITY if above >= MORE_HUMIDITY else None
    return Ladder(tuple(variant(step) for step in range(-below, above + 1)), below, hard)


def leak_ladder(case: Case, at: int) -> Ladder:
    """Air leak from none to ten times the case's own, or the usual one where it has none."""
    own = case.assemblies[at].leak
    usual = own or USUAL_LEAK
    here = 1.0 if own else 0.0

    def variant(factor: float) -> Variant:
        flow = factor * usual.flow
        pressure = marked(usual.reference_pressure, "leak pressure")
        words = f"{marked(flow, 'air flow per area')} at {pressure}"
        words = f"air leak of {words}" if factor else "no air leak at all"
        leak = replace(usual, flow=usual.flow * factor) if factor else None
        other = Set(assembly_path(case, at, "leak"), leak)
        return Variant(words, flow, (other,) if factor != here else ())

    most = RANGES["leak flow"].high
    factors = [one for one in LEAK_FACTORS if one <= 1.0 or one * usual.flow <= most]
    variants = tuple(variant(factor) for factor in factors)
    hard = factors.index(MORE_LEAK) if own and MORE_LEAK in factors else None
    unit = f"m3/(s m2) at {usual.reference_pressure:.0f} Pa"
    return Ladder(variants, factors.index(here), hard, unit)


def foam_layer(case: Case, at: int) -> int | None:
    """Index of the thickest layer of foam or tight board in the assembly, None without one."""
    foams = {
        index: layer.thickness
        for index, layer in enumerate(case.assemblies[at].layers)
        if isinstance(layer, Layer) and is_foam_or_board(layer)
    }
    return max(foams, key=lambda index: foams[index], default=None)


def foam_ladder(case: Case, at: int) -> Ladder | None:
    """The assembly's own foam thinner and thicker."""
    index = foam_layer(case, at)
    if index is None:
        return None
    layer = case.assemblies[at].layers[index]
    assert isinstance(layer, Layer)
    possible = RANGES[thickness_range(layer.material.kinds)].holds
    thinner = [size for part in THINNER[::-1] if possible(size := layer.thickness * part)]
    thicker = [size for more in ADDED if possible(size := layer.thickness + more)]
    sizes = [*thinner, layer.thickness, *thicker]

    def variant(size: float) -> Variant:
        words = f"{layer.name} {marked(size, 'length')} thick"

        here = assembly_path(case, at, "layer", index)
        # a named depth, or what a defect leaves, may lie beyond the thinner layer
        rest = ("probes", "defects") if layer.defects else ("probes",)
        cleared = (Set((*here, one), ()) for one in rest)
        part = size / layer.thickness
        left = tuple(replace(one, left=part * one.left) for one in layer.defects)
        again = (Set((*here, "defects"), left),) if left else ()
        changes = (*cleared, Set((*here, "thickness"), size), *again)
        return Variant(words, size, () if size == layer.thickness else changes)

    return Ladder(tuple(variant(size) for size in sizes), len(thinner))


def outside_foam(case: Case, at: int) -> tuple[Variant, ...]:
    """Foam added outside the layer on which room air that leaks out arrives, thin to thick."""
    plane = airways(case.assemblies[at]).outward
    if not plane or not isinstance(case.assemblies[at].layers[plane - 1], Layer):
        return ()
    behind = case.assemblies[at].layers[plane - 1].name
    foam, name = load()[ADDED_FOAM], case.assemblies[at].name
    assert isinstance(foam, Material)

    def variant(size: float) -> Variant:
        words = f"{marked(size, 'length')} of {ADDED_FOAM} outside {behind}"
        added = Layer(f"added {foam.name}", foam, size)
        return Variant(words, size, (AddLayer(name, added, plane - 1),))

    return tuple(variant(size) for size in ADDED)


def repairs(case: Case, at: int) -> tuple[Variant, ...]:
    """All insulation as it is drawn, where some of it is missing, thin or pressed together."""
    layers = enumerate(case.assemblies[at].layers)
    faulty = [number for number, one in layers if isinstance(one, Layer) and one.defects]
    changes = tuple(Set(assembly_path(case, at, "layer", n, "defects"), ()) for n in faulty)
    return (Variant("insulation without its defects", 0.0, changes),) if changes else ()


def sheets(case: Case, at: int) -> tuple[Variant, ...]:
    """Other vapour retarders in the place behind the innermost insulation."""
    layers = case.assemblies[at].layers
    fills = [i for i, one in enumerate(layers) if is_batt_or_fill(one) or is_foam_or_board(one)]
    if not fills or fills[-1] + 1 >= len(layers):
        return ()
    place, known = fills[-1] + 1, load()

    def variant(name: str) -> Variant:
        sheet = known[name]
        assert isinstance(sheet, Sheet)
        words = f"{name} on the room side of {layers[place - 1].name}"
        return Variant(words, 0.0, (ChangeSheet(case.assemblies[at].name, place, sheet),))

    present = getattr(getattr(layers[place], "sheet", None), "name", "")
    return tuple(variant(name) for name in SHEETS if name != present)


def colours(case: Case, at: int) -> tuple[Variant, ...]:
    """A light and a dark surface, where the sun gets to it."""
    outer = case.assemblies[at].outer
    if outer.sheltered:
        return ()
    named = {"lighter": LIGHT} if outer.solar_absorptance > LIGHT + 0.1 else {}
    named |= {"darker": DARK} if outer.solar_absorptance < DARK - 0.1 else {}

    def variant(name: str, absorptance: float) -> Variant:
        words = f"a {name} surface, solar absorptance {absorptance:g}"
        path = assembly_path(case, at, "solar_absorptance")
        return Variant(words, absorptance, (Set(path, absorptance),))

    return tuple(variant(*one) for one in named.items())


def orientations(case: Case, at: int) -> tuple[Variant, ...]:
    """The main points of the compass that the assembly does not face."""
    outer = case.assemblies[at].outer
    if outer.sheltered or outer.tilt < LEVEL_SURFACE:
        return ()

    def variant(name: str, azimuth: float) -> Variant:
        words = f"facing {name}"
        return Variant(words, azimuth, (Set(assembly_path(case, at, "azimuth"), azimuth),))

    def apart(azimuth: float) -> float:
        return abs((degrees(azimuth - outer.azimuth) + 180.0) % 360.0 - 180.0)

    return tuple(variant(name, angle) for name, angle in COMPASS.items() if apart(angle) >= 45.0)


def hard_years(case: Case, at: int) -> tuple[Variant, ...]:
    """Years colder and wetter than nine in ten, made from the climate."""
    dry = case.assemblies[at].outer.sheltered or case.climate.rain is None

    def variant(kind: str) -> Variant:
        year = tenth_percentile_year(case.climate, kind)
        return Variant(f"a {kind} year as one in ten is", 0.0, (Set(("climate",), year),))

    return tuple(variant(kind) for kind in (("cold",) if dry else ("cold", "wet")))

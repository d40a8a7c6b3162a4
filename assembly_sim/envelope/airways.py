"""Where air gets to: which planes leaks reach, judged by the airtight layers.

Plane j lies between element j - 1 and element j of the layers, 0 the outer surface. A cavity is a
run of layers that let air through and hold some: an air layer or air-open insulation; sheets alone
are none. Room air that leaks out passes every airtight layer by its joints and mixes in every
cavity; it is coldest, and wets most, where it meets the airtight layer outside the outermost
cavity, so there all of it is mixed. Inward is the mirror: the innermost cavity. A vented air layer
and all layers outside of it count as outdoors, but for two kinds. Where most insulation lies
outside of it, it carries off no leak, which goes on outward through the cold. And behind a deck or
sheathing it does so only if much more air comes in than leaks; else the leak mixes in it as in any
cavity.
"""

from __future__ import annotations

from dataclasses import dataclass

from assembly_sim.envelope.paths import defect_shares, on_path
from assembly_sim.envelope.rain import cladding_layers, drainage_plane
from assembly_sim.envelope.resistances import conductivity_at_reference
from assembly_sim.model import AirLayer, Assembly, Layer, Membrane
from assembly_sim.model.assembly import AnyLayer

AIRTIGHT_FLOW = 1.0e-4  # m3/(s m2) at 75 Pa: half of what a whole assembly is allowed
AIRTIGHT_PRESSURE = 75.0  # Pa
AIR_DENSITY = 1.2  # kg/m3
INSULATION = frozenset({"insulation", "air-impermeable insulation"})
DILUTED = 10.0  # times the leak that has to come into a vented layer to carry it off, ours
LEAK_PRESSURE = 4.0  # Pa at which the two are compared, that of leakage areas


@dataclass(frozen=True)
class Airways:
    """Planes where leak air mixes (None: nowhere) and what each plane can be reached by.

    outward: plane where room air leaves; inward: plane where outdoor air leaves; reach: by plane,
    `room`, `outdoors` or `none`; drained: by plane, True outside and on the drainage plane.
    """

    outward: int | None
    inward: int | None
    reach: tuple[str, ...]
    drained: tuple[bool, ...]


def is_airtight(element: AnyLayer) -> bool:
    """Whether a layer stops air: as the user says, else by its material's air permeability.

    A material or sheet without a figure counts as airtight unless it is fibrous or loose
    insulation (kind `insulation` without `air-impermeable insulation`).
    """
    if isinstance(element, AirLayer):
        return False
    if element.airtight is not None:
        return element.airtight
    if isinstance(element, Membrane):
        permeance = element.sheet.air_permeance
        return permeance is None or _flow(permeance) <= AIRTIGHT_FLOW
    permeability = element.material.air_permeability
    if permeability is None:
        return not _is_air_open_insulation(element)
    return _flow(permeability / element.thickness) <= AIRTIGHT_FLOW


def _flow(permeance: float) -> float:
    return permeance * AIRTIGHT_PRESSURE / AIR_DENSITY


def _is_air_open_insulation(element: AnyLayer) -> bool:
    kinds = _kinds(element)
    return "insulation" in kinds and "air-impermeable insulation" not in kinds


def _kinds(element: AnyLayer) -> frozenset[str]:
    return element.material.kinds if isinstance(element, Layer) else frozenset()


def holds_air(element: AnyLayer) -> bool:
    """Whether leak air can mix in a layer: still air, or insulation that lets air through.

    Foam that the user calls leaky counts: its joints lead to the gap behind it.
    """
    if isinstance(element, AirLayer):
        return True
    return bool(_kinds(element) & INSULATION) and not is_airtight(element)


def airways(assembly: Assembly) -> Airways:
    """Leak planes, reach and drainage of an assembly's planes."""
    layers = assembly.layers
    first = _first_indoors(assembly)
    runs = cavities(layers, first)
    reach = ["outdoors" if j <= first else "none" for j in range(len(layers) + 1)]
    for start, end in runs:
        reach[start : end + 1] = ["room"] * (end + 1 - start)
    reach[-1] = "room"
    drainage = drainage_plane(assembly)
    return Airways(
        outward=next((start for start, _ in runs if start > first), None),
        inward=next((end for _, end in runs[::-1] if end < len(layers)), None),
        reach=tuple(reach),
        drained=tuple(drainage is not None and j <= drainage for j in range(len(layers) + 1)),
    )


def _first_indoors(assembly: Assembly) -> int:
    """Index of the first layer that does not count as outdoors."""
    gaps = range(len(assembly.layers))
    return max((i + 1 for i in gaps if _is_outdoors(assembly, i)), default=0)


def _is_outdoors(assembly: Assembly, index: int) -> bool:
    """Whether an air layer is vented, before what may get wet or so well that no leak matters."""
    gap, cladding = assembly.layers[index], cladding_layers(assembly)
    if not isinstance(gap, AirLayer) or not gap.air_changes or _is_warm(assembly.layers, index):
        return False
    before = {i: _kinds(a) for i, a in enumerate(assembly.layers[:index]) if isinstance(a, Layer)}
    if all(i in cladding or kinds & (INSULATION | {"masonry"}) for i, kinds in before.items()):
        return True
    leak = 0.0 if assembly.leak is None else assembly.leak.flow_at(LEAK_PRESSURE)
    return gap.air_changes / 3600.0 * gap.thickness >= DILUTED * leak


def _is_warm(layers: tuple[AnyLayer, ...], index: int) -> bool:
    """Whether at least as much insulation lies outside of a layer as inside of it, and some."""
    outside, inside = (
        sum(_insulates(layer) for layer in some) for some in (layers[:index], layers[index + 1 :])
    )
    return outside > 0.0 and outside >= inside


def _insulates(layer: AnyLayer) -> float:
    """Resistance (m2 K/W) of a layer of insulation at 10 degC, 0 of any other."""
    if not isinstance(layer, Layer) or not _kinds(layer) & INSULATION:
        return 0.0
    return layer.thickness / conductivity_at_reference(layer.material)


def cavities(layers: tuple[AnyLayer, ...], first: int) -> list[tuple[int, int]]:
    """First and last plane of every cavity from layer `first` inward, outermost first."""
    found, start = [], None
    for j in range(first, len(layers) + 1):
        open_here = j < len(layers) and not is_airtight(layers[j])
        if open_here and start is None:
            start = j
        elif not open_here and start is not None:
            if any(holds_air(layer) for layer in layers[start:j]):
                found.append((start, j))
            start = None
    return found


def meets_cavity(assembly: Assembly) -> bool:
    """Whether leak air, were there any, would meet a plane that it can wet or dry on any path."""
    ways = [airways(assembly)]
    ways += [airways(on_path(assembly, path).assembly) for path in defect_shares(assembly)]
    return any(way.outward is not None or way.inward is not None for way in ways)


def mixes_past_defects(assembly: Assembly) -> tuple[str, ...]:
    """Paths past a defect in which room air that leaks out mixes, though it does not as drawn.

    Gaps beside foam, that is. Each has as much leak air a m2 as the assembly: where all of it
    gathers in the gaps they get more.
    """
    if airways(assembly).outward is not None:
        return ()
    owns = {path: on_path(assembly, path).assembly for path in defect_shares(assembly)}
    return tuple(path for path, own in owns.items() if airways(own).outward is not None)


def bare_to_its_inside(assembly: Assembly) -> bool:
    """Whether no layer keeps the air inside from the cold ones: no insulation, no air layer.

    Then what that air wets it wets at the inner face, as boards over an attic; behind insulation
    or a lining with air behind it, it would be in the joints, where a leak takes it.
    """
    layers = assembly.layers
    return not any(isinstance(one, AirLayer) or _kinds(one) & INSULATION for one in layers)


def describe_leak(assembly: Assembly, floats: bool = False) -> str:
    """Where the leak mixes, in words, for the list of assumptions.

    floats: the space inside is a zone, whose own air leaks out here.
    """
    way, air = airways(assembly), f"{assembly.inside} air" if floats else "room air"
    if way.outward is None:
        past = mixes_past_defects(assembly)
        if past:
            return (
                f"{air} that leaks out finds a cavity to mix in only where the insulation is not "
                f"as drawn ({', '.join(past)}), by as much a m2 as the whole assembly leaks"
            )
        bare = floats and bare_to_its_inside(assembly)
        untested = (
            f"its inner face has the air of {assembly.inside}, which is computed with it"
            if bare
            else "so no figure here tests what it might do"
        )
        return (
            f"no cavity (air layer or air-open insulation) inside an airtight layer: {air} that "
            f"leaks out wets nothing on its way, {untested}"
        )
    names = [layer.name for layer in assembly.layers]
    outer = names[way.outward - 1]
    return f"leak air mixes fully where {outer} meets {names[way.outward]} (an upper bound)"

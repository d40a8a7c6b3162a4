"""Where air gets to: which planes leaks reach, judged by the airtight layers.

Plane j lies between element j - 1 and element j of the layers, 0 the outer surface. Room air that
leaks out passes the lining by its joints, fills the first run of layers that let air through and
leaves at the first airtight layer beyond it: there it is coldest, there it mixes. Inward is the
mirror. All layers out to the innermost vented air layer count as outdoors.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from assembly_sim.model import AirLayer, Assembly, Membrane
from assembly_sim.model.assembly import AnyLayer

AIRTIGHT_FLOW = 1.0e-4  # m3/(s m2) at 75 Pa: half of what a whole assembly is allowed
AIRTIGHT_PRESSURE = 75.0  # Pa
AIR_DENSITY = 1.2  # kg/m3
WALL_TILT = pi / 3  # rad: steeper than this an outer surface is clad and drained as a wall is


@dataclass(frozen=True)
class Airways:
    """Planes where leak air mixes (None: nowhere) and what each plane can be reached by.

    outward: plane where room air leaves; inward: plane where outdoor air leaves; reach: by plane,
    `room`, `outdoors` or `none`; drained: by plane, True outside the drainage plane.
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
        kinds = element.material.kinds
        return "insulation" not in kinds or "air-impermeable insulation" in kinds
    return _flow(permeability / element.thickness) <= AIRTIGHT_FLOW


def _flow(permeance: float) -> float:
    return permeance * AIRTIGHT_PRESSURE / AIR_DENSITY


def airways(assembly: Assembly) -> Airways:
    """Leak planes, reach and drainage of an assembly's planes."""
    layers = assembly.layers
    tight = [is_airtight(layer) for layer in layers]
    vented = [i for i, a in enumerate(layers) if isinstance(a, AirLayer) and a.air_changes > 0]
    first = vented[-1] + 1 if vented else 0
    run = _run_from_room(tight, first)
    reach = ["outdoors" if j <= first else "none" for j in range(len(layers) + 1)]
    for j in run:
        reach[j] = "room"
    reach[-1] = "room"
    last_drained = _last_drained(assembly, first)
    return Airways(
        outward=run[0] if run and run[0] > first else None,
        inward=_plane_inward(tight, first),
        reach=tuple(reach),
        drained=tuple(j <= last_drained for j in range(len(layers) + 1)),
    )


def _last_drained(assembly: Assembly, first: int) -> int:
    """Innermost plane outside the drainage plane, which is where leaked rain goes if it is told.

    Else on a wall the vented air's outer face; on a roof the roofing's, since a deck over a
    vented layer must stay dry.
    """
    if assembly.outer.leaked_rain_layer is not None:
        return assembly.outer.leaked_rain_layer
    if assembly.outer.tilt >= WALL_TILT:
        return max(first - 1, 0)
    kinds = [getattr(layer, "material", layer) for layer in assembly.layers]
    roofing = [i for i, one in enumerate(kinds) if "roofing" in getattr(one, "kinds", ())]
    return roofing[0] if roofing else 0


def _run_from_room(tight: list[bool], first: int) -> list[int]:
    """Planes bounding the first run of open layers met from the room, outermost first."""
    j = len(tight)
    while j > first and tight[j - 1]:
        j -= 1
    end = j
    while j > first and not tight[j - 1]:
        j -= 1
    return list(range(j, end + 1)) if end > j else []


def _plane_inward(tight: list[bool], first: int) -> int | None:
    """Plane where outdoor air that leaks in meets the first airtight layer beyond an open one."""
    j = first
    while j < len(tight) and tight[j]:
        j += 1
    start = j
    while j < len(tight) and not tight[j]:
        j += 1
    return j if start < j < len(tight) else None


def describe_leak(assembly: Assembly) -> str:
    """Where the leak mixes, in words, for the list of assumptions."""
    way = airways(assembly)
    if way.outward is None:
        return "no cavity behind an airtight layer: leak air passes without wetting a plane"
    names = [layer.name for layer in assembly.layers]
    outer = names[way.outward - 1] if way.outward else "outdoors"
    return f"leak air mixes fully where {outer} meets {names[way.outward]} (an upper bound)"

"""What every check reads off a run: humidities at planes, the last year, faces of layers."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from assembly_sim.model import Assembly, Layer, Material
from assembly_sim.model.assembly import AnyLayer
from assembly_sim.solver.result import PathResult, Plane, Result

Array = NDArray[np.float64]

TENDER = frozenset({"very sensitive", "sensitive", None})


def humidity_at(path: PathResult, position: int) -> Array:
    """Relative humidity over liquid at one plane of a path, (hours,), 0-1.

    The convention of weather files, isotherms and the mould index; what frost and condensate obey
    is over ice below 0 degC. The mean of the hour's humidities, which no pore passes 1 with.
    """
    return np.asarray(path.relative_humidity[:, position])


def last_year(result: Result) -> slice:
    """The last whole year of a run, or all its hours where it holds less than one."""
    return slice(max(0, result.hours - result.case.climate.hours), result.hours)


def hour_means(at_hour_end: Array) -> Array:
    """Means of the hours of a quantity given at their ends and linear between, (hours,)."""
    before = np.concatenate((at_hour_end[:1], at_hour_end[:-1]))
    return 0.5 * (before + at_hour_end)


def place_of(plane: Plane) -> str:
    """A plane in words, with its side where its two sides differ."""
    return plane.name if plane.side == "both" else f"{plane.name}, {plane.side} side"


def may_decide(assembly: Assembly, plane: Plane) -> bool:
    """Whether a verdict may rest on this plane.

    Planes outside the drainage plane and the outer surface may not, they are meant to get wet;
    nor the back of cladding or roofing on a sheet or air, where rain drains; nor a named depth,
    which lies inside a material.
    """
    backs_cladding = plane.inner_material is None and sheds_rain(plane.outer_material)
    inside = 0 < plane.index <= len(assembly.layers)
    return inside and not plane.drained and not backs_cladding


def sheds_rain(material: Material | None) -> bool:
    """Whether a material is cladding or roofing, there to get wet in place of what it covers."""
    return material is not None and bool(material.kinds & {"cladding", "roofing"})


def condensation_decides(assembly: Assembly, plane: Plane) -> bool:
    """Whether condensation here may decide: not where outdoor air washes the plane.

    Dew and frost of clear nights are weather there; boards and mould beside it still decide.
    """
    return may_decide(assembly, plane) and plane.reach != "outdoors"


def water_harms(plane: Plane) -> bool:
    """Whether a side of the plane is wood, paper or the like: mould grows readily, or is unknown.

    Between foam, foil, fibre and metal a film matters only once it is enough to run off.
    """
    sides = (plane.outer_material, plane.inner_material)
    return any(side is not None and side.mould_class in TENDER for side in sides)


def room_surface(assembly: Assembly, path: PathResult) -> int:
    """Position in `path.planes` of the surface that faces the room."""
    inside = len(assembly.layers)
    return max(
        (i for i, plane in enumerate(path.planes) if plane.index <= inside),
        key=lambda i: path.planes[i].index,
    )


def layer_material(layer: AnyLayer, path: str) -> Material | None:
    """What a layer is made of along a path; None for membranes and air layers."""
    if not isinstance(layer, Layer):
        return None
    return next((b.material for b in layer.bridges if b.path == path), layer.material)


def face_planes(assembly: Assembly, path: PathResult, layer: int) -> tuple[int, int]:
    """Positions in `path.planes` of the outer and the inner face of the layer of this index.

    Plane j lies between layers j - 1 and j; of two with one index, the one that touches it.
    """
    material = layer_material(assembly.layers[layer], path.name)

    def nearest(index: int, touching: Callable[[Plane], Material | None]) -> int:
        def strangeness(position: int) -> tuple[int, bool]:
            plane = path.planes[position]
            return abs(plane.index - index), touching(plane) is not material

        return min(range(len(path.planes)), key=strangeness)

    return (
        nearest(layer, lambda plane: plane.inner_material),
        nearest(layer + 1, lambda plane: plane.outer_material),
    )

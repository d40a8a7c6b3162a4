"""What every check reads off a run: humidities at planes, the last year, faces of layers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.model import Assembly, Layer, Material
from assembly_sim.model.assembly import AnyLayer
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.physics.moist_air import saturation_pressure, saturation_pressure_over_ice
from assembly_sim.solver.result import PathResult, Plane, Result

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Humidity:
    """Relative humidity at the planes of a path, (hours, planes), 0-1.

    over_liquid: the convention of weather files, isotherms and the mould index; over_stable:
    over ice where the plane is below 0 degC, which is what frost and condensate obey.
    """

    over_liquid: Array
    over_stable: Array


def humidity_of(path: PathResult) -> Humidity:
    """Humidities from the vapour pressure and temperature of each plane and hour."""
    liquid = path.vapour_pressure / saturation_pressure(path.temperature)
    stable = liquid.copy()
    cold = path.temperature < ICE_POINT
    stable[cold] = path.vapour_pressure[cold] / saturation_pressure_over_ice(path.temperature[cold])
    return Humidity(liquid, stable)


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


def may_decide(plane: Plane) -> bool:
    """Whether a verdict may rest on this plane.

    Planes outside the drainage plane may not, nor the outer surface: both are meant to get wet.
    """
    return not plane.drained and plane.depth > 0.0


def layer_material(layer: AnyLayer, path: str) -> Material | None:
    """What a layer is made of along a path; None for membranes and air layers."""
    if not isinstance(layer, Layer):
        return None
    return next((b.material for b in layer.bridges if b.path == path), layer.material)


def layer_depth(assembly: Assembly, index: int) -> float:
    """Depth (m) of the outer face of layer `index`, from the outer surface."""
    return sum(getattr(layer, "thickness", 0.0) for layer in assembly.layers[:index])


def face_planes(assembly: Assembly, path: PathResult, index: int) -> tuple[int, int]:
    """Positions in `path.planes` of the outer and the inner face of layer `index`."""
    layer = assembly.layers[index]
    material = layer_material(layer, path.name)
    name = material.name if material else ""
    start = layer_depth(assembly, index)
    end = start + getattr(layer, "thickness", 0.0)

    def strangeness(plane: Plane, depth: float, touching: Material | None) -> tuple[float, bool]:
        return round(abs(plane.depth - depth), 9), touching is None or touching.name != name

    planes = range(len(path.planes))
    outer = min(
        planes, key=lambda i: strangeness(path.planes[i], start, path.planes[i].inner_material)
    )
    inner = min(
        planes, key=lambda i: strangeness(path.planes[i], end, path.planes[i].outer_material)
    )
    return outer, inner

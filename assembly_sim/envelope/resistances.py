"""An assembly as steady resistances, path by path: what every hand calculation starts from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.envelope.paths import (
    MAIN_PATH,
    as_drawn,
    defect_on,
    defect_shares,
    material_on_path,
    on_path,
    path_shares,
)
from assembly_sim.model import AirLayer, Assembly, Material, Membrane, Points
from assembly_sim.model.assembly import AnyLayer
from assembly_sim.physics.resistance import combined_resistance
from assembly_sim.physics.surface import (
    AIR_LAYER_TEMPERATURE,
    OUTER_RESISTANCE,
    air_layer_resistance,
    heat_flow_direction,
    inner_surface_resistance,
)

__all__ = [
    "MAIN_PATH",
    "SteadyLayers",
    "conductivity_at_reference",
    "drawn_u_value",
    "layer_permeance",
    "layer_resistance",
    "material_on_path",
    "path_shares",
    "side_by_side",
    "steady_layers",
    "u_value",
    "vapour_thickness",
]

Array = NDArray[np.float64]
Method = Callable[[ArrayLike, ArrayLike, float, float], float]
ROUNDED_AIR_PERMEABILITY = 2.0e-10  # kg/(m s Pa), as ISO 13788 rounds it, from memory
AIR_LAYER_SD = 0.01  # m, whatever its thickness (ISO 13788, from memory)
IMPERMEABLE_SD = 1500.0  # m, where a material lets nothing through: foil in ISO 10456, from memory


@dataclass(frozen=True)
class SteadyLayers:
    """Layers outside to inside that count in a steady balance, with their resistances.

    paths: names and shares: (paths,) of the area; resistances: (paths, layers), m2K/W, without
    the surfaces; inner_surface and outer_surface in m2K/W; direction of the loss; left_out:
    names of a vented air layer and all that lies outside it; defects: the paths past a defect.
    """

    layers: tuple[AnyLayer, ...]
    paths: tuple[str, ...]
    shares: Array
    resistances: Array
    inner_surface: float
    outer_surface: float
    direction: str
    left_out: tuple[str, ...] = ()
    defects: tuple[str, ...] = ()

    @property
    def convention(self) -> str:
        """The surface resistances used, in words."""
        return (
            f"ISO 6946, heat flow {self.direction}: inside {self.inner_surface:.2f}, "
            f"outside {self.outer_surface:.2f} m2K/W"
        )


def _at(points: Points, x: float) -> float:
    """A curve's value at x, held flat outside its points."""
    return float(np.interp(x, points.x, points.y))


def conductivity_at_reference(material: Material) -> float:
    """Dry conductivity, W/(m K), at 10 degC (the reference of ISO 10456)."""
    return _at(material.conductivity, AIR_LAYER_TEMPERATURE)


def layer_resistance(layer: AnyLayer, path: str, tilt: float) -> float:
    """Resistance of one layer on one path, m2K/W; a membrane has none."""
    material = material_on_path(layer, path)
    if material is not None and not isinstance(layer, Membrane):
        return layer.thickness / conductivity_at_reference(material)
    if isinstance(layer, AirLayer):
        return air_layer_resistance(
            layer.thickness, layer.emittance_outer, layer.emittance_inner, tilt
        )
    return 0.0


def layer_permeance(layer: AnyLayer, path: str, relative_humidity: float) -> float:
    """Vapour permeance of one layer on one path, kg/(m2 s Pa), at a humidity (0-1) and 20 degC.

    Of a defect: what is left; its air is next to nothing beside it, and all there is of a void.
    """
    if isinstance(layer, Membrane):
        return _at(layer.sheet.permeance, relative_humidity)
    material = material_on_path(layer, path)
    if material is None:
        return ROUNDED_AIR_PERMEABILITY / AIR_LAYER_SD
    defect = defect_on(layer, path)
    thickness = layer.thickness if defect is None else defect.left
    return _at(material.permeability, relative_humidity) / thickness


def vapour_thickness(layer: AnyLayer, path: str, relative_humidity: float = 0.5) -> float:
    """Equivalent air-layer thickness sd (m) of one layer, sd = delta_0 / W, at 50 % RH."""
    permeance = layer_permeance(layer, path, relative_humidity)
    return ROUNDED_AIR_PERMEABILITY / permeance if permeance > 0.0 else IMPERMEABLE_SD


def _first_counted(layers: tuple[AnyLayer, ...]) -> int:
    """Index of the first layer inside the innermost vented air layer, 0 where none is vented."""
    vented = [i for i, a in enumerate(layers) if isinstance(a, AirLayer) and a.air_changes > 0]
    return vented[-1] + 1 if vented else 0


def steady_layers(assembly: Assembly) -> SteadyLayers:
    """The assembly as ISO 6946 sees it (from memory): dry, at 10 degC, without leaks.

    An air layer vented to outdoors counts as well ventilated, whatever its air changes: it and
    all outside it are left out, and the outer surface resistance becomes the inner one (still
    air), as for an assembly towards an attic.
    """
    tilt = assembly.outer.tilt
    first = _first_counted(assembly.layers)
    layers = assembly.layers[first:]
    shares = path_shares(assembly)
    resistances = [_resistances(assembly, path)[first:] for path in shares]
    inner = inner_surface_resistance(tilt)
    return SteadyLayers(
        layers=layers,
        paths=tuple(shares),
        shares=np.array(list(shares.values())),
        resistances=np.array(resistances),
        inner_surface=inner,
        outer_surface=inner if first or assembly.outer.sheltered else OUTER_RESISTANCE,
        direction=heat_flow_direction(tilt),
        left_out=tuple(layer.name for layer in assembly.layers[:first]),
        defects=tuple(defect_shares(assembly)),
    )


def _resistances(assembly: Assembly, path: str) -> Array:
    """Resistance of each drawn layer on a path, (layers,) m2K/W: zero where nothing is left."""
    own, row = on_path(assembly, path), np.zeros(len(assembly.layers))
    for index, piece in zip(own.drawn, own.assembly.layers):
        row[index] += layer_resistance(piece, path, assembly.outer.tilt)
    return row


def u_value(assembly: Assembly) -> float:
    """U-value, W/(m2 K), by the combined method of ISO 6946 without corrections.

    Paths past a defect stand beside it, each with its share: a void is wider than it is deep, so
    heat does not find its way from the sides.
    """
    return side_by_side(steady_layers(assembly), combined_resistance)


def drawn_u_value(assembly: Assembly) -> float:
    """U-value, W/(m2 K), of the assembly as drawn, without its defects."""
    return u_value(as_drawn(assembly))


def side_by_side(steady: SteadyLayers, method: Method) -> float:
    """U-value, W/(m2 K), by a method for what is drawn, with each path past a defect beside it."""
    surfaces = (steady.inner_surface, steady.outer_surface)
    past = np.array([path in steady.defects for path in steady.paths])
    drawn = 1.0 - float(steady.shares[past].sum())
    own = steady.shares[~past] / drawn
    beside = steady.resistances[past].sum(axis=1) + sum(surfaces)
    u = 1.0 / method(steady.resistances[~past], own, *surfaces)
    return drawn * u + float(np.sum(steady.shares[past] / beside))

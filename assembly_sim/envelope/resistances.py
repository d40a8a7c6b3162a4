"""An assembly as steady resistances, path by path: what every hand calculation starts from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.model import AirLayer, Assembly, Layer, Material, Membrane, Points
from assembly_sim.model.assembly import AnyLayer
from assembly_sim.physics.resistance import combined_resistance
from assembly_sim.physics.surface import (
    AIR_LAYER_TEMPERATURE,
    OUTER_RESISTANCE,
    air_layer_resistance,
    heat_flow_direction,
    inner_surface_resistance,
)

Array = NDArray[np.float64]
MAIN_PATH = "main"
ROUNDED_AIR_PERMEABILITY = 2.0e-10  # kg/(m s Pa), as ISO 13788 rounds it, from memory
AIR_LAYER_SD = 0.01  # m, whatever its thickness (ISO 13788, from memory)
IMPERMEABLE_SD = 1500.0  # m, where a material lets nothing through: foil in ISO 10456, from memory


@dataclass(frozen=True)
class SteadyLayers:
    """Layers outside to inside that count in a steady balance, with their resistances.

    paths: names and shares: (paths,) of the area; resistances: (paths, layers), m2K/W, without
    the surfaces; inner_surface and outer_surface in m2K/W; direction of the loss; left_out:
    names of a vented air layer and all that lies outside it.
    """

    layers: tuple[AnyLayer, ...]
    paths: tuple[str, ...]
    shares: Array
    resistances: Array
    inner_surface: float
    outer_surface: float
    direction: str
    left_out: tuple[str, ...] = ()

    @property
    def convention(self) -> str:
        """The surface resistances used, in words."""
        return (
            f"ISO 6946, heat flow {self.direction}: inside {self.inner_surface:.2f}, "
            f"outside {self.outer_surface:.2f} m2K/W"
        )


def path_shares(assembly: Assembly) -> dict[str, float]:
    """Share of the area of each path by name; the first, `main`, is what no bridge takes."""
    bridged = {
        bridge.path: bridge.share
        for layer in assembly.layers
        if not isinstance(layer, Membrane)
        for bridge in layer.bridges
    }
    if MAIN_PATH in bridged:
        cause = f"a bridge of '{assembly.name}' takes the name of the main route"
        raise InputError(Problem(cause, f"give it another name than '{MAIN_PATH}'"))
    return {MAIN_PATH: 1.0 - sum(bridged.values()), **bridged}


def material_on_path(layer: AnyLayer, path: str) -> Material | None:
    """What fills a layer on a path: its bridge of that path, or its own material.

    None for membranes, and for air where no stud or batten takes its place.
    """
    if isinstance(layer, Membrane):
        return None
    own = layer.material if isinstance(layer, Layer) else None
    return next((b.material for b in layer.bridges if b.path == path), own)


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
    """Vapour permeance of one layer on one path, kg/(m2 s Pa), at a humidity (0-1) and 20 degC."""
    if isinstance(layer, Membrane):
        return _at(layer.sheet.permeance, relative_humidity)
    material = material_on_path(layer, path)
    if material is None:
        return ROUNDED_AIR_PERMEABILITY / AIR_LAYER_SD
    return _at(material.permeability, relative_humidity) / layer.thickness


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
    resistances = [[layer_resistance(a, path, tilt) for a in layers] for path in shares]
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
    )


def u_value(assembly: Assembly) -> float:
    """U-value, W/(m2 K), by the combined method of ISO 6946 without corrections."""
    steady = steady_layers(assembly)
    return 1.0 / combined_resistance(
        steady.resistances, steady.shares, steady.inner_surface, steady.outer_surface
    )

"""Assemblies: layers listed outside to inside, the outer surface, and the air that leaks past."""

from __future__ import annotations

from dataclasses import dataclass

from assembly_sim.model.material import Material, Sheet

NOWHERE = "none"
"""The `leaked_rain_layer` of a surface whose leaked rain goes nowhere."""


@dataclass(frozen=True)
class Bridge:
    """Another material that takes the layer's place over a share of the area.

    Bridges of one `path` name in several layers are one parallel route, with one share.
    """

    path: str
    share: float
    material: Material


@dataclass(frozen=True)
class Probe:
    """A named depth inside a layer (m from its outer face): a pipe, a fastener, a sensor."""

    name: str
    depth: float


@dataclass(frozen=True)
class Layer:
    """A layer of one material, thickness m; `airtight` None: judged by the material.

    `starting_humidity` (0-1) overrides the case's where given.
    """

    name: str
    material: Material
    thickness: float
    starting_humidity: float | None = None
    airtight: bool | None = None
    bridges: tuple[Bridge, ...] = ()
    probes: tuple[Probe, ...] = ()


@dataclass(frozen=True)
class Membrane:
    """A sheet between two layers, or a coating on a surface; `airtight` as for a layer."""

    name: str
    sheet: Sheet
    airtight: bool | None = None


@dataclass(frozen=True)
class AirLayer:
    """An air layer, thickness m, faces' emittances; vented to outdoors by `air_changes` (1/h)."""

    name: str
    thickness: float
    emittance_outer: float = 0.9
    emittance_inner: float = 0.9
    air_changes: float = 0.0


AnyLayer = Layer | Membrane | AirLayer


@dataclass(frozen=True)
class OuterSurface:
    """What faces outdoors. Angles in radians.

    tilt 0 is a level roof, pi/2 a wall; azimuth is clockwise from north; height (m) above ground
    for wind; rain_exposure and rain_deposition are factors of the wind-driven rain (0: sheltered);
    leaked_rain is the share of the rain that gets past the cladding, onto the outer face of the
    layer called `leaked_rain_layer`, `none`: nowhere, None: where `envelope.rain` finds that a wall
    drains; sheltered: faces an attic or the like, with neither sun, sky, wind nor rain.
    """

    tilt: float
    azimuth: float
    solar_absorptance: float
    emittance: float
    height: float = 5.0
    rain_exposure: float = 1.0
    rain_deposition: float = 0.35
    leaked_rain: float = 0.01
    leaked_rain_layer: str | None = None
    sheltered: bool = False


@dataclass(frozen=True)
class AirLeak:
    """Air through joints: flow (m3/(s m2)) at a reference pressure (Pa), exponent of power law.

    height_above_neutral_level in m; fan_pressure in Pa, positive blows outward.
    """

    flow: float
    reference_pressure: float
    exponent: float = 0.65
    height_above_neutral_level: float = 2.5
    fan_pressure: float = 0.0


@dataclass(frozen=True)
class Assembly:
    """A wall, roof or floor: layers outside to inside, area m2.

    leak None: the user's own `none`, diffusion only. air_through: steady air flow through the
    layers themselves, m3/(s m2), positive outward.
    """

    name: str
    area: float
    outer: OuterSurface
    layers: tuple[AnyLayer, ...]
    leak: AirLeak | None
    air_through: float = 0.0

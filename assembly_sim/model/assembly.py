"""Assemblies: layers listed outside to inside, the outer surface, and the air that leaks past.

Each holds what no reader may break; InputError names field, cause and cure.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from assembly_sim.errors import InputError, Problem
from assembly_sim.model.defect import Defect, metal_trouble, refuse_defects
from assembly_sim.model.kinds import check_fields
from assembly_sim.model.material import Material, Sheet
from assembly_sim.model.order import CURE, disorder
from assembly_sim.model.ranges import refuse_outside, refused, thickness_range

OUTDOORS, ROOM = "outdoors", "room"
"""What a space is called that needs no description, and the room that every case has."""

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

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside(f"bridge {self.path}", share=("bridge share", self.share))
        metal = metal_trouble(self.material)
        if metal is not None:
            raise refused(f"bridge {self.path}.material", *metal)


@dataclass(frozen=True)
class NamedDepth:
    """A named depth inside a layer (m from its outer face): a pipe, a fastener, a sensor."""

    name: str
    depth: float

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside(f"probe {self.name}", depth=("depth of a probe", self.depth))


@dataclass(frozen=True)
class Layer:
    """A layer of one material, thickness m; `airtight` None: judged by the material.

    `starting_humidity` (0-1) overrides the case's where given. `defects`: where it is not as drawn.
    """

    name: str
    material: Material
    thickness: float
    starting_humidity: float | None = None
    airtight: bool | None = None
    bridges: tuple[Bridge, ...] = ()
    probes: tuple[NamedDepth, ...] = ()
    defects: tuple[Defect, ...] = ()

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside(
            f"layer {self.name}",
            thickness=(thickness_range(self.material.kinds), self.thickness),
            starting_humidity=("starting humidity", self.starting_humidity),
        )
        for probe in self.probes:
            if not 0.0 < probe.depth < self.thickness:
                cure = f"give a depth between 0 and {self.thickness:g} m"
                raise refused(f"layer {self.name}.probes", f"{probe.name} is not inside", cure)
        _refuse_no_room(f"layer {self.name}.bridges", [one.share for one in self.bridges])
        refuse_defects(f"layer {self.name}", self.material, self.thickness, self.defects)
        paths = [one.path for one in in_place_of(self)]
        if self.defects and len(set(paths)) < len(paths):
            cause = "one path has two things in the layer's place"
            raise refused(f"layer {self.name}.defects", cause, "give each its own path")


def _refuse_no_room(field: str, shares: list[float]) -> None:
    if sum(shares) >= 1.0:
        cure = "give shares whose sum is below 1"
        raise refused(field, "the shares of the bridges make up the whole area", cure)


@dataclass(frozen=True)
class Membrane:
    """A sheet between two layers, or a coating on a surface; `airtight` as for a layer."""

    name: str
    sheet: Sheet
    airtight: bool | None = None

    def __post_init__(self) -> None:
        check_fields(self)


@dataclass(frozen=True)
class AirLayer:
    """An air layer, thickness m, faces' emittances; vented to outdoors by `air_changes` (1/h).

    `bridges`: studs, battens or the like that fill it over a share of the area.
    """

    name: str
    thickness: float
    emittance_outer: float = 0.9
    emittance_inner: float = 0.9
    air_changes: float = 0.0
    bridges: tuple[Bridge, ...] = ()

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside(
            f"air layer {self.name}",
            thickness=("air layer thickness", self.thickness),
            emittance_outer=("emittance of a face", self.emittance_outer),
            emittance_inner=("emittance of a face", self.emittance_inner),
            air_changes=("air changes of a layer", self.air_changes),
        )
        _refuse_no_room(f"air layer {self.name}.bridges", [one.share for one in self.bridges])


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

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside(
            "outer surface",
            tilt=("tilt", self.tilt),
            azimuth=("azimuth", self.azimuth),
            solar_absorptance=("solar absorptance", self.solar_absorptance),
            emittance=("emittance", self.emittance),
            height=("height", self.height),
            rain_exposure=("rain factor", self.rain_exposure),
            rain_deposition=("rain factor", self.rain_deposition),
            leaked_rain=("leaked rain", self.leaked_rain),
        )


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

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside(
            "leak",
            flow=("leak flow", self.flow),
            reference_pressure=("leak pressure", self.reference_pressure),
            exponent=("leak exponent", self.exponent),
            height_above_neutral_level=(
                *("height above the neutral level", self.height_above_neutral_level),
            ),
            fan_pressure=("fan pressure", self.fan_pressure),
        )

    def flow_at(self, pressure: float) -> float:
        """Flow (m3/(s m2)) at another pressure (Pa), by the power law."""
        return self.flow * (pressure / self.reference_pressure) ** self.exponent


USUAL_LEAK = AirLeak(flow=0.2e-3, reference_pressure=75.0)
"""The usual limit for an assembly, which a case that says nothing of its leak has (common
practice; codes ask for no more of a tight assembly)."""


@dataclass(frozen=True)
class Assembly:
    """A wall, roof or floor: layers outside to inside, area m2.

    leak None: the user's own `none`, diffusion only. air_through: steady air flow through the
    layers themselves, m3/(s m2), positive outward. order_meant: layers that look listed the wrong
    way round are not. outside and inside: the spaces it lies between, by name; one that has no
    outdoors outside is sheltered.
    """

    name: str
    area: float
    outer: OuterSurface
    layers: tuple[AnyLayer, ...]
    leak: AirLeak | None
    air_through: float = 0.0
    order_meant: bool = False
    outside: str = OUTDOORS
    inside: str = ROOM

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside(
            self.name, area=("area", self.area), air_through=("air through", self.air_through)
        )
        if self.inside in (self.outside, OUTDOORS):
            cause = f"it lies between {self.outside} and {self.inside}"
            raise refused(self.name, cause, "name the space inside, another or outdoors outside")
        if self.outside != OUTDOORS and not self.outer.sheltered:
            cause = f"neither sun, sky nor rain comes to it from {self.outside}"
            raise refused(f"{self.name}.outer", cause, "let its outer surface be sheltered")
        self._refuse_missing_layers()
        shares: dict[str, float] = {}
        for one in (one for layer in self.layers for one in in_place_of(layer)):
            if shares.setdefault(one.path, one.share) != one.share:
                cure = "one path takes one share of the area through all layers"
                raise refused(self.name, f"the path {one.path} has two shares", cure)
        _refuse_no_room(self.name, list(shares.values()))
        self._refuse_nothing_left(shares)
        self._refuse_disorder()

    def _refuse_nothing_left(self, paths: Iterable[str]) -> None:
        solid = [layer for layer in self.layers if isinstance(layer, Layer)]
        for path in paths:
            voids = [one for a in solid for one in a.defects if one.path == path and not one.left]
            if len(voids) == len(solid):
                cure = "leave something that parts the room from outdoors; a hole is a leak"
                raise refused(self.name, f"on the path {path} no layer is left", cure)

    def _refuse_missing_layers(self) -> None:
        if not any(isinstance(layer, Layer) for layer in self.layers):
            raise refused(self.name, "no layer has a material", "give at least one Layer")
        self._refuse_unknown_drainage([layer.name for layer in self.layers])

    def _refuse_unknown_drainage(self, names: list[str]) -> None:
        rain = self.outer.leaked_rain_layer
        if rain in (None, NOWHERE) or names.count(rain) == 1:
            return
        cause = f"'{rain}' is the name of {names.count(rain)} layers"
        cure = f"name one of {', '.join(names)}, or '{NOWHERE}'"
        raise refused(f"{self.name}.leaked_rain_layer", cause, cure)

    def _refuse_disorder(self) -> None:
        if self.order_meant:
            return
        kinds = [kinds_of(layer) for layer in self.layers]
        found = disorder(kinds, [layer.name for layer in self.layers], self.outer.sheltered)
        if found is not None:
            raise InputError(Problem(found.cause, CURE, field=self.name))


def in_place_of(layer: AnyLayer) -> tuple[Bridge | Defect, ...]:
    """What stands in a layer's place on other paths; a membrane lies on all."""
    return (*getattr(layer, "bridges", ()), *getattr(layer, "defects", ()))


def kinds_of(layer: AnyLayer) -> frozenset[str]:
    """Kinds of a layer's material or sheet; air has none."""
    if isinstance(layer, AirLayer):
        return frozenset()
    return layer.material.kinds if isinstance(layer, Layer) else layer.sheet.kinds

"""What a layer of a case file may hold: a material with a thickness, a membrane, or air."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import (
    BeforeValidator,
    Discriminator,
    Field,
    Tag,
    TypeAdapter,
    WithJsonSchema,
    model_validator,
)

from assembly_sim.envelope.resistances import MAIN_PATH, conductivity_at_reference
from assembly_sim.files.case import fields as of
from assembly_sim.files.case.fields import EntryError, Table
from assembly_sim.hand.wind_washing import WASHED, washed_thickness
from assembly_sim.model import Defect
from assembly_sim.model.defect import metal_trouble, trouble
from assembly_sim.model.ranges import THINNEST, thickness_range
from assembly_sim.physics import pore_water

MOST_PATHS = 12  # besides the main one; each is marched apart
MOST_PROBES = 20  # in a layer


class BridgeText(Table):
    """Another material over a share of the layer's area, one parallel route a path name."""

    path: of.Name = "framing"
    material: of.MaterialName
    share: of.BridgeShare

    @model_validator(mode="after")
    def _is_no_main_route(self) -> BridgeText:
        _other_route(self.path, "bridge", '"framing"')
        metal = metal_trouble(self.material)
        if metal is not None:
            raise EntryError(*metal, "material")
        return self


def _other_route(path: str, what: str, such: str) -> None:
    if path == MAIN_PATH:
        cause = f"'{MAIN_PATH}' is the route through the layers' own materials"
        raise EntryError(cause, f"call the {what} another name, such as {such}", "path")


def _presets() -> str:
    return " or ".join(f'"{name}"' for name in WASHED)


def _washed(value: Any) -> Any:
    """A preset by its name as it is; everything else a depth."""
    return value if isinstance(value, str) and value in WASHED else _DEPTH.validate_python(value)


_DEPTH = TypeAdapter(of.ThicknessLeft)
WindWashed = Annotated[float | str, BeforeValidator(_washed), WithJsonSchema({"type": "string"})]


class DefectText(Table):
    """Insulation that is missing, thin or pressed over a share of the area: a route of its own.

    Nothing said is left: a void. A gap and a spacing give the share of pieces cut to fit between
    framing, with a gap at both edges.
    """

    path: of.Name
    share: of.BridgeShare | None = None
    gap: of.GapWidth | None = None
    spacing: of.GapLength | None = None
    left: of.ThicknessLeft | None = None
    compressed_to: of.ThicknessLeft | None = None
    space: Literal["outer", "inner"] = "outer"
    wind_washed: WindWashed | None = None
    air_changes: of.AirChanges | None = None

    @model_validator(mode="after")
    def _is_washed_by_so_much_air(self) -> DefectText:
        """A depth has its air changes, a preset its own; what it leaves follows from the layer."""
        washed, given = self.wind_washed, self.model_fields_set
        if washed is None and self.air_changes is None:
            return self
        if isinstance(washed, float) == (self.air_changes is None):
            cause = "how much air washes it" if self.air_changes is None else "its air changes"
            cure = 'write wind_washed = "100 mm" and air_changes = "50 1/h", or a preset alone: '
            raise EntryError(f"{cause} is not told once", cure + _presets(), "wind_washed")
        if given & {"left", "compressed_to", "space"}:
            cure = "leave left, compressed_to and space out"
            raise EntryError("what wind leaves of it follows", cure, "wind_washed")
        return self

    def washed(self, thickness: float) -> tuple[float, float]:
        """Depth (m) that wind washes of a layer so thick, and air changes there (1/h)."""
        if isinstance(self.wind_washed, str):
            share, changes = WASHED[self.wind_washed]
            return share * thickness, changes
        return self.wind_washed or 0.0, self.air_changes or 0.0

    @model_validator(mode="after")
    def _has_one_share(self) -> DefectText:
        _other_route(self.path, "defect", '"pulled aside"')
        if (self.share is None) == (self.gap is None):
            cure = 'write share = "5 %", or gap = "5 mm" and spacing = "16 in" (centre to centre)'
            raise EntryError("its share is given neither once nor by a gap", cure)
        if (self.gap is None) != (self.spacing is None):
            raise EntryError("a gap needs a spacing", 'add spacing = "16 in"', "gap")
        if self.gap is not None and self.spacing is not None:
            self.share = 2.0 * self.gap / self.spacing
            of.refuse_outside("gap", self.share, "bridge share", "gap")
        if self.left is not None and self.compressed_to is not None:
            raise EntryError("what is left is given twice", "keep one of the two", "left")
        return self

    def defect(self) -> Defect:
        """The defect in the words of the model."""
        left = self.left if self.compressed_to is None else self.compressed_to
        pressed = self.compressed_to is not None
        return Defect(self.path, self.share or 0.0, left or 0.0, pressed, self.space)


class ProbeText(Table):
    """A named depth inside a layer, from its outer face."""

    name: of.Name
    depth: of.Depth


class LayerText(Table):
    """A layer of one material."""

    name: of.Name | None = None
    material: of.MaterialName
    thickness: of.Thickness
    starting_humidity: of.StartingHumidity | None = None
    starting_moisture_content: of.StartingMoisture | None = None
    airtight: bool | None = None
    bridges: list[BridgeText] = Field([], max_length=MOST_PATHS)
    probes: list[ProbeText] = Field([], max_length=MOST_PROBES)
    defects: list[DefectText] = Field([], max_length=MOST_PATHS)

    @property
    def content(self) -> str:
        """What the layer is made of."""
        return self.material.name

    @property
    def kinds(self) -> frozenset[str]:
        """Of what kinds that is."""
        return self.material.kinds

    @model_validator(mode="after")
    def _is_as_thick_as_such_layers_are(self) -> LayerText:
        written = f"{1000.0 * self.thickness:.6g} mm of {self.material.name}"
        of.refuse_outside(written, self.thickness, thickness_range(self.kinds), "thickness")
        return self

    @model_validator(mode="after")
    def _probes_lie_inside(self) -> LayerText:
        for number, probe in enumerate(self.probes):
            if not 0.0 < probe.depth < self.thickness:
                cause = f"the probe '{probe.name}' is not inside the layer"
                cure = f"write a depth between 0 and {1000 * self.thickness:g} mm"
                raise EntryError(cause, cure, "probes", number, "depth")
            others = [0.0, self.thickness, *(one.depth for one in self.probes[:number])]
            if min(abs(probe.depth - other) for other in others) < THINNEST:
                cause = f"the probe '{probe.name}' lies on a face of the layer or on another probe"
                cure = f"keep {1000 * THINNEST:g} mm between them; the report shows the faces"
                raise EntryError(cause, cure, "probes", number, "depth")
        return self

    @model_validator(mode="after")
    def _bridges_leave_room(self) -> LayerText:
        paths = [bridge.path for bridge in self.bridges]
        if len(set(paths)) < len(paths):
            raise EntryError("two bridges have the same path", "give each its own path", "bridges")
        for number, one in enumerate(self.defects):
            if one.path in paths:
                cause = f"the path '{one.path}' has two things in the place of this layer"
                raise EntryError(cause, "give each its own path", "defects", number, "path")
            paths.append(one.path)
        if sum(bridge.share for bridge in self.bridges) >= 1.0:
            cure = "write shares that leave some of the layer's own material"
            raise EntryError("the shares of the bridges make up the whole area", cure, "bridges")
        return self

    @model_validator(mode="after")
    def _is_washed_within_itself(self) -> LayerText:
        """What wind leaves of it, as the thickness of sound insulation that is as good."""
        for number, one in enumerate(self.defects):
            if one.wind_washed is None:
                continue
            depth, changes = one.washed(self.thickness)
            if not 0.0 < depth <= self.thickness:
                cure = f"write up to {1000 * self.thickness:g} mm, the layer's thickness"
                raise EntryError("wind washes more than there is", cure, "defects", number)
            conductivity = conductivity_at_reference(self.material)
            one.left = washed_thickness(self.thickness, conductivity, depth, changes)
        return self

    @model_validator(mode="after")
    def _can_have_its_defects(self) -> LayerText:
        for number, one in enumerate(self.defects):
            found = trouble(self.material, self.thickness, one.defect())
            if found is not None:
                raise EntryError(*found, "defects", number)
        return self

    @model_validator(mode="after")
    def _one_start(self) -> LayerText:
        measured = self.starting_moisture_content is not None
        if measured and self.starting_humidity is not None:
            cure = "give either starting_humidity or starting_moisture_content"
            raise EntryError("the start is given twice", cure, "starting_humidity")
        if measured:
            self.starting_humidity = self._humidity_of_start()
        return self

    def _humidity_of_start(self) -> float:
        """Humidity in equilibrium with the measured moisture content, by the material's storage."""
        storage, density = self.material.storage, self.material.density
        entry = "starting_moisture_content"
        if storage is None:
            raise EntryError(f"'{self.material.name}' holds no water", "leave it out", entry)
        held = (self.starting_moisture_content or 0.0) * density
        try:
            suction = pore_water.suction_at_water_content(storage, held)
        except ValueError:
            most = float(pore_water.water_content(storage, 0.0)) / density
            cause = f"'{self.material.name}' cannot hold this much or this little water"
            cure = f"write more than 0 % and at most {100 * most:.3g} %"
            raise EntryError(cause, cure, entry) from None
        return float(pore_water.relative_humidity(suction, pore_water.REFERENCE_TEMPERATURE))


class MembraneText(Table):
    """A sheet, film, facing or paint: no thickness, its permeance is for the whole sheet."""

    name: of.Name | None = None
    membrane: of.SheetName
    airtight: bool | None = None

    @property
    def content(self) -> str:
        """What the layer is made of."""
        return self.membrane.name

    @property
    def kinds(self) -> frozenset[str]:
        """Of what kinds that is."""
        return self.membrane.kinds


class AirText(Table):
    """An air layer of some thickness, still or vented to outdoors."""

    name: of.Name | None = None
    air: of.AirThickness
    emittance_outer: of.FaceEmittance | None = None
    emittance_inner: of.FaceEmittance | None = None
    air_changes: of.AirChanges = 0.0
    bridges: list[BridgeText] = Field([], max_length=MOST_PATHS)

    @property
    def content(self) -> str:
        """What the layer is made of."""
        return "air layer"

    @property
    def kinds(self) -> frozenset[str]:
        """None: air is of no kind that tells where it belongs."""
        return frozenset()


def _kind_of_layer(table: Any) -> str | None:
    if not isinstance(table, dict):
        return None
    kinds = [kind for kind in ("material", "membrane", "air") if kind in table] or ["material"]
    return f"kind {kinds[0]}" if len(kinds) == 1 else None


AnyLayerText = Annotated[
    Annotated[LayerText, Tag("kind material")]
    | Annotated[MembraneText, Tag("kind membrane")]
    | Annotated[AirText, Tag("kind air")],
    Discriminator(_kind_of_layer),
]

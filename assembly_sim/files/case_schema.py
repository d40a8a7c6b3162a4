"""What a case file may hold: one pydantic model a table, in the order a person writes it.

Values that pass are in the model's units. Checks that need two entries are here too, so that all
that is wrong with a case is found in one go.
"""

from __future__ import annotations

from collections import Counter
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag, model_validator

from assembly_sim.files import case_fields as of
from assembly_sim.files.case_fields import EntryError
from assembly_sim.physics import pore_water


class Table(BaseModel):
    """A table of a case: unknown entries are errors, nothing is converted in silence."""

    model_config = ConfigDict(extra="forbid", strict=True, arbitrary_types_allowed=True)


class BridgeText(Table):
    """Another material over a share of the layer's area, one parallel route a path name."""

    path: of.Name = "framing"
    material: of.MaterialName
    share: of.InnerShare


class ProbeText(Table):
    """A named depth inside a layer, from its outer face."""

    name: of.Name
    depth: of.Depth


class LayerText(Table):
    """A layer of one material."""

    name: of.Name | None = None
    material: of.MaterialName
    thickness: of.Thickness
    starting_humidity: of.Humidity | None = None
    starting_moisture_content: of.MoistureContent | None = None
    airtight: bool | None = None
    bridges: list[BridgeText] = []
    probes: list[ProbeText] = []

    @property
    def content(self) -> str:
        """What the layer is made of."""
        return self.material.name

    @model_validator(mode="after")
    def _probes_lie_inside(self) -> LayerText:
        for number, probe in enumerate(self.probes):
            if not 0.0 < probe.depth < self.thickness:
                cause = f"the probe '{probe.name}' is not inside the layer"
                cure = f"write a depth between 0 and {1000 * self.thickness:g} mm"
                raise EntryError(cause, cure, "probes", number, "depth")
        return self

    @model_validator(mode="after")
    def _bridges_leave_room(self) -> LayerText:
        paths = [bridge.path for bridge in self.bridges]
        if len(set(paths)) < len(paths):
            raise EntryError("two bridges have the same path", "give each its own path", "bridges")
        if sum(bridge.share for bridge in self.bridges) >= 1.0:
            cure = "write shares that leave some of the layer's own material"
            raise EntryError("the shares of the bridges make up the whole area", cure, "bridges")
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


class AirText(Table):
    """An air layer of some thickness, still or vented to outdoors."""

    name: of.Name | None = None
    air: of.Thickness
    emittance_outer: of.Share | None = None
    emittance_inner: of.Share | None = None
    air_changes: of.AirChanges = 0.0

    @property
    def content(self) -> str:
        """What the layer is made of."""
        return "air layer"


def _kind_of_layer(table: Any) -> str | None:
    kinds = [kind for kind in ("material", "membrane", "air") if kind in table]
    return f"kind {kinds[0]}" if len(kinds) == 1 else None


AnyLayerText = Annotated[
    Annotated[LayerText, Tag("kind material")]
    | Annotated[MembraneText, Tag("kind membrane")]
    | Annotated[AirText, Tag("kind air")],
    Discriminator(_kind_of_layer),
]


class AssemblyText(Table):
    """A wall, roof or floor: the surface outdoors, the air leak, layers outside to inside."""

    name: of.Name
    area: of.Area
    tilt: of.Tilt
    azimuth: of.Azimuth | None = None
    solar_absorptance: of.Share | None = None
    emittance: of.Share | None = None
    sheltered: bool = False
    height: of.Height = 5.0
    rain_exposure: of.Factor = 1.0
    rain_deposition: of.Factor = 0.35
    leaked_rain: of.Share = 0.01
    leaked_rain_layer: of.Name | None = None
    leak: of.Leak = None
    leak_exponent: of.Exponent = 0.65
    height_above_neutral_level: of.HeightDifference = 2.5
    fan_pressure: of.FanPressure = 0.0
    air_through: of.AirThrough = 0.0
    layer: list[AnyLayerText] = Field(min_length=1)

    @model_validator(mode="after")
    def _outer_surface_is_described(self) -> AssemblyText:
        missing = [
            entry
            for entry in ("azimuth", "solar_absorptance", "emittance")
            if getattr(self, entry) is None
        ]
        if missing and not self.sheltered:
            cause = f"{' and '.join(missing)} of the outer surface not given"
            raise EntryError(cause, "add what is missing, or sheltered = true for an attic or shed")
        return self

    @model_validator(mode="after")
    def _layers_fit_together(self) -> AssemblyText:
        kinds = [type(layer) for layer in self.layer]
        if LayerText not in kinds:
            raise EntryError("no layer has a material", "add one with a material", "layer")
        for number, kind in enumerate(kinds):
            outermost_or_innermost = number in (0, len(kinds) - 1)
            if kind is AirText and (outermost_or_innermost or kinds[number - 1] is AirText):
                cure = "put it between two other layers; surfaces have their films already"
                raise EntryError("an air layer cannot stand here", cure, "layer", number)
        return self

    def layer_names(self) -> list[str]:
        """A name for each layer: the user's, or what it is made of, numbered where it repeats."""
        taken = {layer.name for layer in self.layer if layer.name}
        names: list[str] = []
        for layer in self.layer:
            name, number = layer.name or layer.content, 1
            while not layer.name and (name in names or name in taken):
                number += 1
                name = f"{layer.content} {number}"
            names.append(name)
        return names

    @model_validator(mode="after")
    def _leaked_rain_meets_a_layer(self) -> AssemblyText:
        inner = self.layer_names()[1:]
        if self.leaked_rain_layer is not None and self.leaked_rain_layer not in inner:
            cause = f"'{self.leaked_rain_layer}' is no layer behind the outermost"
            cure = f"name one of {', '.join(inner) or 'several layers'}"
            raise EntryError(cause, cure, "leaked_rain_layer")
        return self

    @model_validator(mode="after")
    def _names_are_single(self) -> AssemblyText:
        names = Counter(layer.name for layer in self.layer if layer.name)
        for number, layer in enumerate(self.layer):
            if names.get(layer.name or "", 0) > 1:
                cause = f"two layers are called '{layer.name}'"
                raise EntryError(cause, "give each its own name", "layer", number, "name")
        return self

    @model_validator(mode="after")
    def _paths_have_one_share(self) -> AssemblyText:
        shares: dict[str, float] = {}
        for number, layer in enumerate(self.layer):
            for bridge in layer.bridges if isinstance(layer, LayerText) else ():
                if shares.setdefault(bridge.path, bridge.share) != bridge.share:
                    cause = f"the path '{bridge.path}' has another share in another layer"
                    cure = "one path takes one share of the area through all layers"
                    raise EntryError(cause, cure, "layer", number, "bridges")
        if sum(shares.values()) >= 1.0:
            cause = "the shares of all paths make up the whole area"
            raise EntryError(cause, "write shares whose sum is below 100 %", "layer")
        return self


class CurveText(Table):
    """Indoor climate by the daily mean outdoors (EN 15026 annex C)."""

    curve: Literal["EN 15026"]
    occupancy: Literal["normal", "high"] = "normal"


class TemperatureSineText(Table):
    """A temperature that swings over the year, highest on `peak_day` (1 = 1 January)."""

    mean: of.Temperature
    amplitude: of.TemperatureAmplitude
    peak_day: float = Field(213.0, ge=1.0, le=366.0, strict=False)


class HumiditySineText(Table):
    """A humidity that swings over the year, highest on `peak_day` (1 = 1 January)."""

    mean: of.Humidity
    amplitude: of.Share
    peak_day: float = Field(213.0, ge=1.0, le=366.0, strict=False)

    @model_validator(mode="after")
    def _stays_possible(self) -> HumiditySineText:
        if not (self.amplitude < self.mean and self.mean + self.amplitude <= 1.0):
            cure = "write a mean and an amplitude that stay above 0 % and at most 100 %"
            raise EntryError("the humidity leaves the possible range", cure, "amplitude")
        return self


class ColumnText(Table):
    """A column of a CSV file with a heading, one row an hour of the climate."""

    file: of.Name
    column: of.Name
    unit: Literal["degC", "degF", "K", "%", "1"]


class ExcessText(Table):
    """Vapour pressure above outdoors, by humidity class (ISO 13788 annex A) or as a value."""

    humidity_class: int | None = Field(None, alias="class", ge=1, le=5)
    excess: of.VapourPressure | None = None

    @model_validator(mode="after")
    def _has_a_value(self) -> ExcessText:
        if self.humidity_class == 5 and self.excess is None:
            cure = 'add the excess you expect, such as excess = "1300 Pa"'
            raise EntryError("humidity class 5 has no upper limit", cure, "class")
        return self


class BalanceText(Table):
    """The room's own moisture balance."""

    volume: of.Volume
    air_changes: of.RoomAirChanges
    generation: of.Generation
    limit: of.Humidity = 0.70


_RULES = {
    **{"mean": "sine", "amplitude": "sine", "curve": "curve", "file": "column"},
    **{"class": "class", "excess": "class"},
    **{"volume": "balance", "generation": "balance", "air_changes": "balance"},
}


def _rule(value: Any) -> str | None:
    if not isinstance(value, dict):
        return "kind constant"
    return next((f"kind {_RULES[entry]}" for entry in value if entry in _RULES), None)


class RoomText(Table):
    """The room that every assembly of the case faces."""

    temperature: Annotated[
        Annotated[of.Temperature, Tag("kind constant")]
        | Annotated[TemperatureSineText, Tag("kind sine")]
        | Annotated[CurveText, Tag("kind curve")]
        | Annotated[ColumnText, Tag("kind column")],
        Discriminator(_rule),
    ]
    humidity: Annotated[
        Annotated[of.Humidity, Tag("kind constant")]
        | Annotated[HumiditySineText, Tag("kind sine")]
        | Annotated[CurveText, Tag("kind curve")]
        | Annotated[ColumnText, Tag("kind column")]
        | Annotated[ExcessText, Tag("kind class")]
        | Annotated[BalanceText, Tag("kind balance")],
        Discriminator(_rule),
    ]


class ThresholdsText(Table):
    """Limits of the checks; what is left out keeps its default."""

    condensation_humidity: of.Humidity | None = None
    wet_humidity: of.Humidity | None = None
    mould_index: of.MouldIndex | None = None
    mould_decline: of.Share | None = None
    wood_moisture: of.MoistureContent | None = None
    wood_decay_moisture: of.MoistureContent | None = None
    wood_saturated_moisture: of.MoistureContent | None = None
    run_off_water: of.ArealWater | None = None
    critical_saturation: of.Share | None = None
    metal_humidity: of.Humidity | None = None
    surface_humidity: of.Humidity | None = None
    heating_balance_temperature: of.Temperature | None = None
    cooling_balance_temperature: of.Temperature | None = None


class CaseFile(Table):
    """A whole case file, format 1."""

    format: Literal[1]
    base: of.Name | None = None
    name: of.Name
    climate: of.Name
    code_zone: of.Name | None = None
    years: int = Field(3, ge=1, le=50)
    start_month: int = Field(10, ge=1, le=12)
    starting_humidity: of.Humidity = 0.80
    repeat_until_periodic: bool = False
    room: RoomText
    assembly: list[AssemblyText] = Field(min_length=1)
    thresholds: ThresholdsText = ThresholdsText()
    materials: dict[str, dict[str, Any]] = {}

    @model_validator(mode="after")
    def _assemblies_have_own_names(self) -> CaseFile:
        names = [assembly.name for assembly in self.assembly]
        for number, name in enumerate(names):
            if name in names[:number]:
                cause = f"two assemblies are called '{name}'"
                raise EntryError(cause, "give each its own name", "assembly", number, "name")
        return self

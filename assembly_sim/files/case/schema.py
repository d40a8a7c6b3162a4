"""What a case file may hold: one pydantic model a table, in the order a person writes it.

Values that pass are in the model's units. Checks that need two entries are here too, so that all
that is wrong with a case is found in one go.
"""

from __future__ import annotations

from collections import Counter
from typing import Any, Literal

from pydantic import Field, model_validator

from assembly_sim.files.case import fields as of
from assembly_sim.files.case.fields import EntryError, Table
from assembly_sim.files.case.house_schema import (
    MOST_OPENINGS,
    MOST_SPACES,
    BlowerDoorText,
    DuctsText,
    FanText,
    OpeningText,
    OtherRoomText,
    PipeText,
    RoofText,
    ZoneText,
)
from assembly_sim.files.case.layers import (
    MOST_PATHS,
    AirText,
    AnyLayerText,
    LayerText,
    MembraneText,
)
from assembly_sim.files.case.options import (
    MOST_BILLS,
    MOST_OPTIONS,
    BillText,
    CoolingText,
    FuelText,
    OptionText,
    PaybackText,
)
from assembly_sim.files.case.room import RoomText
from assembly_sim.model.assembly import NOWHERE, OUTDOORS
from assembly_sim.model.order import CURE, disorder

MOST_LAYERS = 60
MOST_ASSEMBLIES = 50
_SIZES = {"area": 'area = "40 m2"', "tilt": 'tilt = "90 deg"'}
_IS = {1: "is", 2: "are"}
_OUTER = {
    **{"solar_absorptance": "solar_absorptance = 0.6", "emittance": "emittance = 0.9"},
    **{"azimuth": 'azimuth = "180 deg"'},
}


class AssemblyText(Table):
    """A wall, roof or floor: the surface outdoors, the air leak, layers outside to inside."""

    name: of.Name
    outside: of.Name = OUTDOORS
    inside: of.Name | None = None
    part: of.Name | None = None
    area: of.Area | None = None
    tilt: of.Tilt | None = None
    azimuth: of.Azimuth | None = None
    solar_absorptance: of.Absorptance | None = None
    emittance: of.Emittance | None = None
    sheltered: bool = False
    height: of.Height = 5.0
    rain_exposure: of.Factor = 1.0
    rain_deposition: of.Factor = 0.35
    leaked_rain: of.LeakedRain = 0.01
    leaked_rain_layer: of.Name | None = None
    leak: of.Leak = None
    leak_exponent: of.Exponent = 0.65
    height_above_neutral_level: of.HeightDifference = 2.5
    fan_pressure: of.FanPressure = 0.0
    air_through: of.AirThrough = 0.0
    order_meant: bool = False
    layer: list[AnyLayerText] = Field(min_length=1, max_length=MOST_LAYERS)

    @property
    def is_sheltered(self) -> bool:
        """Whether neither sun, sky nor rain comes to it: as it says, or beneath another space."""
        return self.sheltered or self.outside != OUTDOORS

    @model_validator(mode="after")
    def _has_its_sizes(self) -> AssemblyText:
        missing = [one for one in ("area", "tilt") if getattr(self, one) is None]
        if missing and self.part is None:
            told = " and ".join(f"'{one}'" for one in missing)
            cure = ", ".join(_SIZES[one] for one in missing)
            more = ', or part = "south slope" of a [roof]'
            raise EntryError(f"{told} {_IS[len(missing)]} missing", f"add {cure}{more}", missing[0])
        return self

    @model_validator(mode="after")
    def _outer_surface_is_described(self) -> AssemblyText:
        needed = ("solar_absorptance", "emittance") + (("azimuth",) if self.part is None else ())
        missing = [entry for entry in needed if getattr(self, entry) is None]
        if missing and not self.is_sheltered:
            cause = f"{' and '.join(missing)} of the outer surface not given"
            told = ", ".join(_OUTER[entry] for entry in missing)
            raise EntryError(cause, f"add {told}; or sheltered = true for an attic or shed")
        if self.outside != OUTDOORS and not self.sheltered and "sheltered" in self.model_fields_set:
            cause = f"neither sun, sky nor rain comes to it from {self.outside}"
            raise EntryError(cause, "leave sheltered out", "sheltered")
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

    @model_validator(mode="after")
    def _layers_are_in_order(self) -> AssemblyText:
        kinds = [layer.kinds for layer in self.layer]
        found = None if self.order_meant else disorder(kinds, self.layer_names(), self.is_sheltered)
        if found is not None:
            raise EntryError(found.cause, CURE, "layer", found.index)
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
    def _wind_gets_to_what_it_washes(self) -> AssemblyText:
        for number, one in enumerate(self.layer):
            washed = isinstance(one, LayerText) and any(d.wind_washed for d in one.defects)
            outside = self.layer[number - 1] if number else None
            open_ = outside is None or (isinstance(outside, AirText) and outside.air_changes > 0.0)
            if washed and not open_:
                cause = "no wind gets in there: no vented air layer lies outside of it"
                cure = "let it lie bare to an attic, or behind an air layer with air_changes"
                raise EntryError(cause, cure, "layer", number, "defects")
        return self

    @model_validator(mode="after")
    def _leaked_rain_meets_a_layer(self) -> AssemblyText:
        inner = [*self.layer_names()[1:], NOWHERE]
        if self.leaked_rain_layer is not None and self.leaked_rain_layer not in inner:
            cause = f"'{self.leaked_rain_layer}' is no layer behind the outermost"
            cure = f"name one of {', '.join(inner)}"
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
            bridges = () if isinstance(layer, MembraneText) else layer.bridges
            defects = layer.defects if isinstance(layer, LayerText) else ()
            for entry, some in (("bridges", bridges), ("defects", defects)):
                if any(shares.setdefault(one.path, one.share or 0.0) != one.share for one in some):
                    cause = "a path here has another share in another layer"
                    cure = "one path takes one share of the area through all layers"
                    raise EntryError(cause, cure, "layer", number, entry)
        if len(shares) > MOST_PATHS:
            cause = f"{len(shares)} paths besides the main one"
            raise EntryError(cause, f"join them to {MOST_PATHS} at most", "layer")
        if sum(shares.values()) >= 1.0:
            cause = "the shares of all paths make up the whole area"
            raise EntryError(cause, "write shares whose sum is below 100 %", "layer")
        return self

    @model_validator(mode="after")
    def _something_is_left_on_every_path(self) -> AssemblyText:
        solid = [layer for layer in self.layer if isinstance(layer, LayerText)]
        gone = [{one.path for one in a.defects if not one.defect().left} for a in solid]
        for path in set.intersection(*gone) if gone else ():
            cause = f"on the path '{path}' no layer is left"
            cure = "leave something that parts the room from outdoors; a hole is a leak"
            raise EntryError(cause, cure, "layer", self.layer.index(solid[0]), "defects")
        return self


class ThresholdsText(Table):
    """Limits of the checks; what is left out keeps its default."""

    condensation_humidity: of.Humidity | None = None
    wet_humidity: of.Humidity | None = None
    mould_index: of.MouldIndex | None = None
    mould_decline: of.Share | None = None
    wood_moisture: of.WoodMoisture | None = None
    wood_decay_moisture: of.WoodMoisture | None = None
    wood_saturated_moisture: of.WoodMoisture | None = None
    run_off_water: of.ArealWater | None = None
    critical_saturation: of.Share | None = None
    metal_humidity: of.Humidity | None = None
    surface_humidity: of.Humidity | None = None
    heating_balance_temperature: of.BalanceTemperature | None = None
    cooling_balance_temperature: of.BalanceTemperature | None = None
    mould_index_thin: of.MouldIndex | None = None
    wood_moisture_thin: of.WoodMoisture | None = None
    free_water_wet: of.ArealWater | None = None
    wet_hours: of.Hours | None = None
    condensation_hours: of.Hours | None = None
    condensation_hours_wet: of.Hours | None = None
    trend_tolerance: of.Share | None = None
    trend_water: of.ArealWater | None = None
    freezing_temperature: of.FreezingTemperature | None = None


Spread = bool | float | int | str | None


class UncertainText(Table):
    """How uncertain the case's figures are: a spread, true for the usual one, false for none."""

    conductivity: Spread = None
    permeability: Spread = None
    leak: Spread = None
    humidity: Spread = None
    start: Spread = None
    absorptance: Spread = None


class CaseFile(Table):
    """A whole case file, format 1."""

    format: Literal[1]
    base: of.Place | None = None
    name: of.Name
    climate: of.Place
    code_zone: of.Name | None = None
    code_edition: of.Year | None = None
    years: of.Years | None = None
    start_month: of.Month = 10
    starting_humidity: of.StartingHumidity = 0.80
    room: RoomText
    other_room: list[OtherRoomText] = Field([], max_length=MOST_SPACES)
    zone: list[ZoneText] = Field([], max_length=MOST_SPACES)
    roof: RoofText | None = None
    assembly: list[AssemblyText] = Field(min_length=1, max_length=MOST_ASSEMBLIES)
    opening: list[OpeningText] = Field([], max_length=MOST_OPENINGS)
    blower_door: BlowerDoorText | None = None
    fan: list[FanText] = Field([], max_length=MOST_SPACES)
    ducts: list[DuctsText] = Field([], max_length=MOST_SPACES)
    pipe: list[PipeText] = Field([], max_length=MOST_SPACES)
    thresholds: ThresholdsText = ThresholdsText()
    materials: dict[str, dict[str, Any]] = {}
    option: list[OptionText] = Field([], max_length=MOST_OPTIONS)
    fuel: FuelText | None = None
    cooling: CoolingText | None = None
    bill: list[BillText] = Field([], max_length=MOST_BILLS)
    bill_weather: of.Name | None = None
    payback: PaybackText = PaybackText()
    uncertain: UncertainText = UncertainText()

    @model_validator(mode="after")
    def _assemblies_have_own_names(self) -> CaseFile:
        names = [assembly.name for assembly in self.assembly]
        for number, name in enumerate(names):
            if name in names[:number]:
                cause = f"two assemblies are called '{name}'"
                raise EntryError(cause, "give each its own name", "assembly", number, "name")
        return self

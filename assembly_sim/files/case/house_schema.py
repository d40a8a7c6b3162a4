"""What a case file may hold of a house: zones, further rooms, openings, fans, ducts, the roof."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from assembly_sim.files.case import fields as of
from assembly_sim.files.case.fields import EntryError, Table
from assembly_sim.files.case.room import RoomText
from assembly_sim.files.opening.read import Hole
from assembly_sim.model.assembly import OUTDOORS
from assembly_sim.model.opening import LeakageArea, MeasuredFlow

MOST_SPACES = 30
MOST_OPENINGS = 300


class ZoneText(Table):
    """An attic, a knee-wall space, an unheated wing, a crawl space: a space that nobody heats.

    Without a volume it is the attic under `[roof]`, or its part, `south knee space`.
    """

    name: of.Name
    part: of.Name | None = None
    volume: of.ZoneVolume | None = None
    heat_capacity: of.ZoneHeatCapacity = 0.0
    air_changes: of.ZoneAirChanges = 0.0
    heat_gain: of.HeatGain = 0.0
    moisture: of.Generation = 0.0


class OtherRoomText(RoomText):
    """A further room, with rules of its own or those of another (`{ as = "room" }`)."""

    name: of.Name


class WetsText(Table):
    """The plane that an opening's air wets: the inner face of a layer, on one path or on all."""

    layer: of.Name
    path: of.Name | None = None
    assembly: of.Name | None = None


Wets = Annotated[
    WetsText,
    BeforeValidator(lambda value: {"layer": value} if isinstance(value, str) else value),
    WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "object"}]}),
]


class OpeningText(Table):
    """A way for air. `on` an assembly it has its spaces, its height and its side.

    Without a size it shares by weight what the blower door's figure leaves.
    """

    name: of.Name
    size: of.Size | None = None
    exponent: of.Exponent | None = None
    weight: of.Weight = 1.0
    on: of.Name | None = None
    inside: of.Name | None = None
    outside: of.Name = OUTDOORS
    height: of.OpeningHeight | None = None
    facing: of.Azimuth | None = None
    tilt: of.Tilt | None = None
    wets: Wets | None = None

    @model_validator(mode="after")
    def _has_one_size(self) -> OpeningText:
        if self.size is not None and "weight" in self.model_fields_set:
            cure = "leave one of them out: weights share the blower door's figure"
            raise EntryError("it has a size and a weight", cure, "weight")
        if self.exponent is not None and not isinstance(self._shape, LeakageArea | MeasuredFlow):
            known = "a blower door's figure has its own" if self.size is None else _ORIFICE
            raise EntryError(known, "leave the exponent out", "exponent")
        return self

    @property
    def _shape(self) -> object:
        hole: Hole | None = self.size
        return hole and hole.shape

    @model_validator(mode="after")
    def _side_is_whole(self) -> OpeningText:
        if self.tilt and self.facing is None:
            cure = 'add facing = "180 deg", or on = "NAME OF AN ASSEMBLY" in place of both'
            raise EntryError("where it faces is not said", cure, "tilt")
        return self


_ORIFICE = "the flow through a hole goes by the root of pressure"


class FanText(Table):
    """Air that a fan blows from one space into another; a negative flow goes the other way."""

    name: of.Name | None = None
    flow: of.FanFlow
    source: of.Name = Field(alias="from")
    target: of.Name = Field(alias="to")


class DuctsText(Table):
    """Ducts and air handler in a zone; they serve the first room unless another is named."""

    name: of.Name = "ducts"
    zone: of.Name
    room: of.Name | None = None
    flow: of.DuctFlow
    supply_area: of.DuctArea
    return_area: of.DuctArea
    resistance: of.DuctResistance
    supply_temperature: of.SupplyTemperature
    full_load_temperature: of.FullLoadTemperature
    balance_temperature: of.BalanceTemperature
    supply_leak: of.DuctLeak = 0.0
    return_leak: of.DuctLeak = 0.0


class PipeText(Table):
    """A water pipe in a zone; without insulation it follows the air there."""

    name: of.Name
    zone: of.Name
    inner_diameter: of.PipeDiameter = 0.0158
    outer_diameter: of.PipeDiameter = 0.0213
    insulation: of.PipeInsulation = 0.0
    conductivity: of.Conductivity = 0.04


class BlowerDoorText(Table):
    """What a blower door measured: a flow at a pressure, or air changes at 50 Pa of a volume."""

    flow: of.TestedFlow | None = None
    air_changes: of.TestedAirChanges | None = None
    volume: of.Volume | None = None
    exponent: of.Exponent = 0.65

    @model_validator(mode="after")
    def _has_one_figure(self) -> BlowerDoorText:
        if (self.flow is None) == (self.air_changes is None):
            cause = "there is no figure" if self.flow is None else "there are two figures"
            cure = 'write flow = "1200 cfm at 50 Pa", or air_changes = "7 ACH50" with a volume'
            raise EntryError(cause, cure)
        if self.air_changes is not None and self.volume is None:
            cure = 'add volume = "300 m3", of all that was tested'
            raise EntryError("'volume' is missing", cure, "air_changes")
        if self.flow is not None and self.volume is not None:
            raise EntryError("a flow needs no volume", "leave the volume out", "volume")
        return self


class RoofText(Table):
    """A roof by its pitch and plan, from which the assemblies that are its parts take their sizes.

    `length` lies along the ridge, `width` across; both outside of the walls. `knee_wall`: height
    of the walls that part a space along each eave from what lies between.
    """

    form: Literal["gable", "hip"]
    pitch: of.Pitch
    length: of.PlanLength
    width: of.PlanLength
    eave_height: of.EaveHeight
    knee_wall: of.KneeWall | None = None
    ridge: of.RidgeDirection

    @model_validator(mode="after")
    def _hips_meet_in_a_ridge(self) -> RoofText:
        if self.form == "hip" and self.length < self.width:
            cure = "give the longer side as length: the ridge of a hip roof lies along it"
            raise EntryError("its length is less than its width", cure, "length")
        return self

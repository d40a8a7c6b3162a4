"""What the room of a case file may hold: rules for its temperature and its humidity."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag, model_validator

from assembly_sim.files.case import fields as of
from assembly_sim.files.case.base import kind_of_rule
from assembly_sim.files.case.fields import EntryError, Table
from assembly_sim.files.case.schedule import HumiditySchedule, TemperatureSchedule
from assembly_sim.model.assembly import ROOM
from assembly_sim.model.ranges import RANGES, bounds


class CurveText(Table):
    """Indoor climate by the daily mean outdoors (EN 15026 annex C)."""

    curve: Literal["EN 15026"]
    occupancy: Literal["normal", "high"] = "normal"


class TemperatureSineText(Table):
    """A temperature that swings over the year, highest on `peak_day` (1 = 1 January)."""

    mean: of.RoomTemperature
    amplitude: of.RoomTemperatureSwing
    peak_day: of.Day = 213.0

    @model_validator(mode="after")
    def _stays_possible(self) -> TemperatureSineText:
        for value in (self.mean - self.amplitude, self.mean + self.amplitude):
            written = f"{value - 273.15:.6g} degC"
            of.refuse_outside(written, value, "room temperature", "amplitude")
        return self


class HumiditySineText(Table):
    """A humidity that swings over the year, highest on `peak_day` (1 = 1 January)."""

    mean: of.RoomHumidity
    amplitude: of.HumiditySwing
    peak_day: of.Day = 213.0

    @model_validator(mode="after")
    def _stays_possible(self) -> HumiditySineText:
        span = RANGES["room humidity"]
        if not (span.holds(self.mean - self.amplitude) and span.holds(self.mean + self.amplitude)):
            cure = f"write a mean and an amplitude that stay {bounds('room humidity')}"
            raise EntryError("the humidity leaves the possible range", cure, "amplitude")
        return self


class ColumnText(Table):
    """A column of a CSV file with a heading: by time stamps, or one row an hour of the climate.

    `column` is a heading or the name in it; `unit` may be left out where the heading tells it.
    """

    file: of.Name
    column: of.Name
    unit: Literal["degC", "degF", "K", "%", "1"] | None = None


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
    limit: of.HumidityLimit = 0.70


class AsText(Table):
    """The rule of another room."""

    other: of.Name = Field(alias="as")


def _rule(value: Any) -> str | None:
    kind = kind_of_rule(value)
    return f"kind {kind}" if kind else None


class RoomText(Table):
    """The room that an assembly faces unless it names another."""

    temperature: Annotated[
        Annotated[of.RoomTemperature, Tag("kind constant")]
        | Annotated[TemperatureSineText, Tag("kind sine")]
        | Annotated[CurveText, Tag("kind curve")]
        | Annotated[ColumnText, Tag("kind column")]
        | Annotated[TemperatureSchedule, Tag("kind schedule")]
        | Annotated[AsText, Tag("kind as")],
        Discriminator(_rule),
    ]
    humidity: Annotated[
        Annotated[of.RoomHumidity, Tag("kind constant")]
        | Annotated[HumiditySineText, Tag("kind sine")]
        | Annotated[CurveText, Tag("kind curve")]
        | Annotated[ColumnText, Tag("kind column")]
        | Annotated[HumiditySchedule, Tag("kind schedule")]
        | Annotated[ExcessText, Tag("kind class")]
        | Annotated[BalanceText, Tag("kind balance")]
        | Annotated[AsText, Tag("kind as")],
        Discriminator(_rule),
    ]
    name: of.Name = ROOM

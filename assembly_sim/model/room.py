"""The room side: rules for its temperature and humidity, each a frozen description."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from math import isfinite

from assembly_sim.model.kinds import check_fields, numbers_of
from assembly_sim.model.ranges import refuse_outside, refused
from assembly_sim.model.schedule import Schedule


@dataclass(frozen=True)
class Constant:
    """One value all year: K for a temperature, 0-1 for a relative humidity."""

    value: float

    def __post_init__(self) -> None:
        check_fields(self)


@dataclass(frozen=True)
class SineOverYear:
    """Mean plus amplitude times the cosine of the year, highest on `peak_day` (1 = 1 January)."""

    mean: float
    amplitude: float
    peak_day: float = 213.0

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside("room", peak_day=("day of the year", self.peak_day))


@dataclass(frozen=True)
class ColumnOfFile:
    """Hourly values that the user brings: K or 0-1, as many as the climate has hours.

    Any row of numbers is taken, and kept as a tuple that nothing changes. `notes` say what was
    done to bring them to those hours.
    """

    values: tuple[float, ...]
    source: str = field(default="", compare=False)
    notes: tuple[str, ...] = field(default=(), compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "values", numbers_of(self.values, "ColumnOfFile.values"))
        check_fields(self)

    def __repr__(self) -> str:
        return f"ColumnOfFile({len(self.values)} values, source={self.source!r})"


@dataclass(frozen=True)
class ExcessVapour:
    """Indoor vapour pressure above outdoors by a humidity class (ISO 13788 annex A).

    `excess` (Pa) holds at or below 0 degC outdoors (monthly mean of the day) and falls linearly
    to zero at 20 degC.
    """

    excess: float

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside("room.humidity", excess=("vapour excess", self.excess))


@dataclass(frozen=True)
class OutdoorCurve:
    """Indoor climate from the daily mean outdoor temperature (EN 15026 annex C).

    As temperature: 20 degC up to 10 degC outdoors, rising to 25 degC at 20 degC. As humidity:
    from 30 % at -10 degC to 60 % at 20 degC, plus `offset` (0-1; high occupancy is 0.10).
    """

    offset: float = 0.0

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside("room", offset=("humidity offset", self.offset))


@dataclass(frozen=True)
class MoistureBalance:
    """Humidity from the room's own balance: volume m3, air changes 1/h, generation kg/s.

    The leaks of the case's assemblies add to its air change unless they are sealed.
    `limit` (0-1) is the humidity at which moisture is taken out (windows, dehumidifier).
    """

    volume: float
    air_changes: float
    generation: float
    limit: float = 0.70

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside(
            "room.humidity",
            volume=("room volume", self.volume),
            air_changes=("room air changes", self.air_changes),
            generation=("moisture generation", self.generation),
            limit=("humidity limit", self.limit),
        )


TemperatureRule = Constant | SineOverYear | ColumnOfFile | Schedule | OutdoorCurve
HumidityRule = (
    Constant
    | SineOverYear
    | ColumnOfFile
    | Schedule
    | ExcessVapour
    | OutdoorCurve
    | MoistureBalance
)


@dataclass(frozen=True)
class Room:
    """A heated space: the room that an assembly faces unless it names another."""

    temperature: TemperatureRule
    humidity: HumidityRule
    name: str = "room"

    def __post_init__(self) -> None:
        for name, rules in (("temperature", TemperatureRule), ("humidity", HumidityRule)):
            rule = getattr(self, name)
            if not isinstance(rule, rules):
                raise refused(f"room.{name}", "this is no rule for it", f"give a {rules}")
            _refuse_rule(name, rule)


def _refuse_rule(name: str, rule: TemperatureRule | HumidityRule) -> None:
    """Ranges that depend on whether it is a temperature (K) or a humidity (0-1)."""
    field, usual = f"room.{name}", f"room {name}"
    if isinstance(rule, Constant):
        refuse_outside(field, value=(usual, rule.value))
    if isinstance(rule, SineOverYear):
        low, high = rule.mean - rule.amplitude, rule.mean + rule.amplitude
        swing = (f"swing of {usual}", rule.amplitude)
        refuse_outside(field, mean=(usual, rule.mean), amplitude=swing)
        refuse_outside(field, lowest=(usual, low), highest=(usual, high))
    if isinstance(rule, Schedule):
        refuse_outside(field, lowest=(usual, min(rule.values)), highest=(usual, max(rule.values)))
    if isinstance(rule, ColumnOfFile):
        _refuse_column(field, usual, rule.values)


def _refuse_column(field: str, usual: str, values: Iterable[float]) -> None:
    """Each value, and the mean as that of a constant: a column in per cent or degF fails here.

    Missing values are named when a climate tells how many hours there should be.
    """
    known = [value for value in values if isfinite(value)]
    if not known:
        return
    refuse_outside(field, lowest=(f"hourly {usual}", min(known)))
    refuse_outside(field, highest=(f"hourly {usual}", max(known)))
    refuse_outside(field, mean=(usual, sum(known) / len(known)))

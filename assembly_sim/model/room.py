"""The room side: rules for its temperature and humidity, each a frozen description."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Constant:
    """One value all year: K for a temperature, 0-1 for a relative humidity."""

    value: float


@dataclass(frozen=True)
class SineOverYear:
    """Mean plus amplitude times the cosine of the year, highest on `peak_day` (1 = 1 January)."""

    mean: float
    amplitude: float
    peak_day: float = 213.0


@dataclass(frozen=True)
class ColumnOfFile:
    """Hourly values that the user brings: K or 0-1, as many as the climate has hours.

    `notes` say what was done to bring them to those hours.
    """

    values: tuple[float, ...]
    source: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class ExcessVapour:
    """Indoor vapour pressure above outdoors by a humidity class (ISO 13788 annex A).

    `excess` (Pa) holds at or below 0 degC outdoors (monthly mean of the day) and falls linearly
    to zero at 20 degC.
    """

    excess: float


@dataclass(frozen=True)
class OutdoorCurve:
    """Indoor climate from the daily mean outdoor temperature (EN 15026 annex C).

    As temperature: 20 degC up to 10 degC outdoors, rising to 25 degC at 20 degC. As humidity:
    from 30 % at -10 degC to 60 % at 20 degC, plus `offset` (0-1; high occupancy is 0.10).
    """

    offset: float = 0.0


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


TemperatureRule = Constant | SineOverYear | ColumnOfFile | OutdoorCurve
HumidityRule = (
    Constant | SineOverYear | ColumnOfFile | ExcessVapour | OutdoorCurve | MoistureBalance
)


@dataclass(frozen=True)
class Room:
    """The room that every assembly of the case faces."""

    temperature: TemperatureRule
    humidity: HumidityRule

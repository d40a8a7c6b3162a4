"""Hourly weather in canonical form: a year that repeats itself, or a window of measured hours.

A year of 8760 or 8784 hours, typical or real, wraps: its last hour runs into its first, so that a
run may go round as often as it likes and start with any month. A window, from an afternoon to
several real years, has true dates: it runs once, in order, and nothing is known beyond its ends.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field, fields
from datetime import datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.model.kinds import check_fields
from assembly_sim.model.ranges import refuse_outside, refused

Array = NDArray[np.float64]
RANGE_OF = {
    "temperature": "outdoor temperature",
    "vapour_pressure": "outdoor vapour pressure",
    "pressure": "air pressure",
    "wind_speed": "wind speed",
    "wind_direction": "wind direction",
    "snow_depth": "snow depth",
    **dict.fromkeys(("global_horizontal", "direct_normal", "diffuse_horizontal"), "radiation"),
    "sky_longwave": "radiation",
    "cloud_cover": "share threshold",
    "rain": "hourly rain",
}


@dataclass(frozen=True, eq=False, repr=False)
class Climate:
    """Hourly weather, each array of shape (hours,), local standard time.

    `begins` None: a year of 8760 or 8784 hours that wraps, from 1 January; else a window whose
    first row begins at that hour ("2021-11-12T14:00") and which never wraps.
    Row i covers the hour that ends i + 1 hours after the first row begins: radiation
    (W/m2) and rain (kg/m2) are totals or means of that hour; temperature (K), vapour_pressure
    (Pa), pressure (Pa) and wind are values at its end. Wind direction is in radians, clockwise
    from north, where the wind comes from. None: not in the file, which is not zero.
    Latitude and longitude in degrees (north and east positive), time_zone in hours from UTC,
    elevation in m, wind measured at `wind_height` m. `notes` are what the ingest check found;
    `year` only fixes the calendar for the sun (a typical year has no year of its own); of a window
    it is the year it begins in. Arrays are kept as copies that cannot be written to.
    """

    name: str
    latitude: float
    longitude: float
    time_zone: float
    elevation: float
    temperature: Array
    vapour_pressure: Array
    pressure: Array
    wind_speed: Array
    wind_direction: Array
    global_horizontal: Array
    direct_normal: Array
    diffuse_horizontal: Array
    cloud_cover: Array | None = None
    sky_longwave: Array | None = None
    rain: Array | None = None
    snow_depth: Array | None = None
    ground_albedo: float = 0.2
    wind_height: float = 10.0
    year: int = 2001
    source_sha256: str = ""
    notes: tuple[str, ...] = ()
    flags: Mapping[str, NDArray[np.bool_]] = field(default_factory=dict)
    begins: str | None = None

    def __post_init__(self) -> None:
        check_fields(self)
        if self.begins is not None:
            hour = hour_named(self.begins, self.name)
            object.__setattr__(self, "begins", str(hour.astype("datetime64[m]")))
            object.__setattr__(self, "year", int(str(self.begins)[:4]))
        where = f"climate {self.name}"
        rows = self._arrays() | {f"flags of {name}": one for name, one in self.flags.items()}
        for name, values in rows.items():
            _refuse_no_row(f"{where}.{name}", values)
        for name, values in self._arrays().items():
            object.__setattr__(self, name, kept(values))
        flags = {name: kept(values) for name, values in self.flags.items()}
        object.__setattr__(self, "flags", flags)
        lengths = {name: len(values) for name, values in rows.items()}
        if len(set(lengths.values())) > 1:
            told = ", ".join(f"{name} {length}" for name, length in lengths.items())
            raise refused(where, f"columns differ in length: {told}", "give one value an hour")
        refuse_outside(
            where,
            latitude=("latitude", self.latitude),
            longitude=("longitude", self.longitude),
            time_zone=("time zone", self.time_zone),
            year=("calendar year", self.year),
            elevation=("elevation", self.elevation),
            ground_albedo=("share threshold", self.ground_albedo),
            wind_height=("height of the wind", self.wind_height),
        )
        self._refuse_impossible(where)

    def _refuse_impossible(self, where: str) -> None:
        """Refuse values no weather has; hours without one are named by those who need them."""
        for name, values in self._arrays().items():
            known = values[~np.isnan(values)] if name in RANGE_OF else values[:0]
            for value in (known.min(), known.max()) if len(known) else ():
                refuse_outside(where, **{name: (RANGE_OF[name], float(value))})

    def _arrays(self) -> dict[str, Array]:
        values = {one.name: getattr(self, one.name) for one in fields(self)}
        return {name: value for name, value in values.items() if isinstance(value, np.ndarray)}

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Climate):
            return NotImplemented
        return all(same(getattr(self, one.name), getattr(other, one.name)) for one in fields(self))

    def __hash__(self) -> int:
        return hash((self.name, self.hours, self.source_sha256, self.temperature.tobytes()))

    def __repr__(self) -> str:
        when = f"year={self.year}" if self.begins is None else f"begins={self.begins!r}"
        return f"Climate({self.name!r}, hours={self.hours}, {when})"

    @property
    def hours(self) -> int:
        """Rows of weather: 8760 or 8784 of a year that wraps."""
        return len(self.temperature)

    @property
    def wraps(self) -> bool:
        """Whether the last hour runs into the first: a year, not a window."""
        return self.begins is None

    @property
    def hour_starts(self) -> NDArray[np.datetime64]:
        """When each row's hour begins, (hours,): a year without dates lies in one of its length."""
        if self.begins is not None:
            return np.datetime64(self.begins, "h") + np.arange(self.hours)
        long = self.hours == 8784
        year = self.year if is_leap(self.year) == long else (2000 if long else 2001)
        return np.datetime64(f"{year:04d}-01-01T00", "h") + np.arange(self.hours)

    @property
    def since_new_year(self) -> NDArray[np.int64]:
        """Hours from 1 January 0:00 of `year` to the start of each row's hour, (hours,)."""
        if self.begins is None:
            return np.arange(self.hours)
        first = np.datetime64(self.begins, "h") - np.datetime64(f"{self.year:04d}-01-01T00", "h")
        return first.astype(int) + np.arange(self.hours)


def hour_named(text: str, name: str) -> np.datetime64:
    """A full hour from its ISO text; refused where it is none."""
    moment = None
    with suppress(ValueError):
        moment = datetime.fromisoformat(text)
    if moment is None or moment.tzinfo or moment != moment.replace(minute=0, second=0):
        cause = f"begins {text!r} is no full hour of local standard time"
        raise refused(f"climate {name}", cause, 'write "2021-11-12T14:00"')
    return np.datetime64(moment, "h")


def _refuse_no_row(field: str, values: NDArray[Any]) -> None:
    """Raise InputError where an array is not a row of at least one real number."""
    if values.ndim != 1 or not len(values) or values.dtype.kind not in "fiub":
        cause = f"is of shape {values.shape} and type {values.dtype}"
        raise refused(field, cause, "give a row of numbers, one an hour")


def is_leap(year: int) -> bool:
    """Whether a year has a 29 February (Gregorian)."""
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def kept(values: NDArray[Any]) -> NDArray[Any]:
    """The array if nobody can write to it, else a copy that nobody can."""
    if not values.flags.writeable and values.base is None:
        return values
    copy = np.array(values)
    copy.flags.writeable = False
    return copy


def same(one: Any, other: Any) -> bool:
    """Whether two fields are equal, arrays and tables of arrays by their values."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, np.ndarray) or isinstance(other, np.ndarray):
        return np.array_equal(one, other)
    return bool(one == other)

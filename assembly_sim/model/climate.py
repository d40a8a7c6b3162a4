"""An hourly year of weather in canonical form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.model.ranges import refuse_outside, refused

Array = NDArray[np.float64]
RANGE_OF = {
    "temperature": "outdoor temperature",
    "vapour_pressure": "outdoor vapour pressure",
    "pressure": "air pressure",
    "wind_speed": "wind speed",
    **dict.fromkeys(("global_horizontal", "direct_normal", "diffuse_horizontal"), "radiation"),
    "sky_longwave": "radiation",
    "cloud_cover": "share threshold",
    "rain": "hourly rain",
}


@dataclass(frozen=True, eq=False, repr=False)
class Climate:
    """An hourly year, each array of shape (hours,), hours 8760 or 8784, local standard time.

    Row i covers the hour that ends at i + 1 hours after midnight of 1 January: radiation
    (W/m2) and rain (kg/m2) are totals or means of that hour; temperature (K), vapour_pressure
    (Pa), pressure (Pa) and wind are values at its end. Wind direction is in radians, clockwise
    from north, where the wind comes from. None: not in the file, which is not zero.
    Latitude and longitude in degrees (north and east positive), time_zone in hours from UTC,
    elevation in m, wind measured at `wind_height` m. `notes` are what the ingest check found;
    `year` only fixes the calendar for the sun (a typical year has no year of its own). Arrays are
    kept as copies that cannot be written to.
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

    def __post_init__(self) -> None:
        for name, values in self._arrays().items():
            object.__setattr__(self, name, kept(values))
        flags = {name: kept(values) for name, values in self.flags.items()}
        object.__setattr__(self, "flags", flags)
        where = f"climate {self.name}"
        lengths = {name: len(values) for name, values in self._arrays().items()}
        if len(set(lengths.values())) > 1:
            told = ", ".join(f"{name} {length}" for name, length in lengths.items())
            raise refused(where, f"columns differ in length: {told}", "give one value an hour")
        refuse_outside(
            where,
            latitude=("latitude", self.latitude),
            longitude=("longitude", self.longitude),
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
        return f"Climate({self.name!r}, hours={self.hours}, year={self.year})"

    @property
    def hours(self) -> int:
        """Rows in the year, 8760 or 8784."""
        return len(self.temperature)


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

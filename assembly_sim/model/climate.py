"""An hourly year of weather in canonical form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Climate:
    """An hourly year, each array of shape (hours,), hours 8760 or 8784, local standard time.

    Row i covers the hour that ends at i + 1 hours after midnight of 1 January: radiation
    (W/m2) and rain (kg/m2) are totals or means of that hour; temperature (K), vapour_pressure
    (Pa), pressure (Pa) and wind are values at its end. Wind direction is in radians, clockwise
    from north, where the wind comes from. None: not in the file, which is not zero.
    Latitude and longitude in degrees (north and east positive), time_zone in hours from UTC,
    elevation in m, wind measured at `wind_height` m. `notes` are what the ingest check found;
    `year` only fixes the calendar for the sun (a typical year has no year of its own).
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

    @property
    def hours(self) -> int:
        """Rows in the year, 8760 or 8784."""
        return len(self.temperature)

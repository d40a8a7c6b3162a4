"""Where the sun stands."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

_DAYS_TO_J2000 = date(2000, 1, 1).toordinal() + 0.5


def sun_position(
    year: int, hours_utc: ArrayLike, latitude: float, longitude: float
) -> tuple[Array, Array]:
    """Zenith angle and azimuth (rad, clockwise from north) of the sun's centre.

    `hours_utc` (any shape) counts from 1 January 00:00 UTC of `year`; latitude and longitude in
    degrees, north and east positive. Low-accuracy solar coordinates (Meeus, Astronomical
    Algorithms, 2nd ed., ch. 12, 13 and 25, from memory): good to about 0.01 degree for 1950 to
    2050. Leaves out refraction, parallax (0.002 degree) and the drift of UTC against the stars.
    """
    hour_angle, declination = sun_angles(year, hours_utc, longitude)
    return _horizontal(hour_angle, declination, np.radians(latitude))


def sun_angles(year: int, hours_utc: ArrayLike, longitude: float) -> tuple[Array, Array]:
    """Hour angle and declination (rad) of the sun; as `sun_position`, whatever the latitude."""
    day_number = date(year, 1, 1).toordinal() - _DAYS_TO_J2000
    days = day_number + np.asarray(hours_utc, dtype=float) / 24.0
    right_ascension, declination, equinox_shift = _equatorial(days / 36525.0)
    sidereal = np.radians(280.46061837 + 360.98564736629 * days + equinox_shift + longitude)
    return sidereal - right_ascension, declination


def _equatorial(century: Array) -> tuple[Array, Array, Array]:
    """Apparent right ascension, declination (rad) and equation of the equinoxes (degree)."""
    anomaly = np.radians(357.52911 + 35999.05029 * century)
    node = np.radians(125.04 - 1934.136 * century)
    centre = (
        (1.914602 - 0.004817 * century) * np.sin(anomaly)
        + 0.019993 * np.sin(2.0 * anomaly)
        + 0.000289 * np.sin(3.0 * anomaly)
    )
    nutation = -0.00478 * np.sin(node)
    longitude = 280.46646 + 36000.76983 * century + centre - 0.00569 + nutation
    lam = np.radians(longitude)
    tilt = np.radians(23.439291 - 0.0130042 * century + 0.00256 * np.cos(node))
    right_ascension = np.arctan2(np.cos(tilt) * np.sin(lam), np.cos(lam))
    return right_ascension, np.arcsin(np.sin(tilt) * np.sin(lam)), nutation * np.cos(tilt)


def _horizontal(hour_angle: Array, declination: Array, latitude: float) -> tuple[Array, Array]:
    """Zenith and azimuth (rad) from hour angle and declination: a turn about the east axis."""
    south = np.cos(declination) * np.cos(hour_angle)
    up = np.sin(latitude) * np.sin(declination) + np.cos(latitude) * south
    north = np.cos(latitude) * np.sin(declination) - np.sin(latitude) * south
    east = -np.cos(declination) * np.sin(hour_angle)
    zenith = np.arctan2(np.hypot(north, east), up)
    return zenith, np.mod(np.arctan2(east, north), 2.0 * np.pi)

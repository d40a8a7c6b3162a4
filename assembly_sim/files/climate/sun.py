"""The sun of a weather file held against where it is said to stand.

Global G, diffuse D and direct normal B irradiance are tied by G - D = B cos z with the sun at its
mean place in the hour, its middle. With declination d and hour angle H of that moment

    cos z = sin(lat) sin(d) + cos(lat) cos(d) cos(H),

so that a file whose sun belongs to another latitude and to a sun that is s further on obeys

    G - D = B (a sin(d) + b cos(d) cos(H) - c cos(d) sin(H)),
    a = sin(lat), b = cos(lat) cos(s), c = cos(lat) sin(s).

Least squares give a, b and c at once, over the whole day and both hemispheres, and by them the
place that would fit: lat = atan(a / sqrt(b^2 + c^2)), s = atan(c / b). A longitude that is off by
15 degrees, a time zone by an hour and columns moved by a row all are s = 1 h; a lost sign of the
latitude, or seasons that are turned round, is lat of the other sign. DERIVED.

Bounds. Sound files close within 0.3 to 3.4 W/m2 (rms of daylight hours): whole W/m2, and a sun
that moves within the hour; an older one, of instruments that err each for itself, within 8.4. Ten
minutes of delay make 5 to 10 W/m2, half an hour 14 to 30, three degrees of latitude 10 to 12
(measured on three real and three invented years). So up to 5 W/m2 a file closes, above 12 W/m2 it
is refused, unless its place is right and only its instruments differ, by up to 25 W/m2: 5 % of
500; one that fits elsewhere twice as well is refused too. Sun sampled up to 45 minutes from the
middle of the hour is moved there; an hour is a wrong label or time zone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.climate.rows import Array
from assembly_sim.model.climate import Climate
from assembly_sim.physics.sun import sun_angles, sun_position

CLOSES, REFUSED, NOISY = 5.0, 12.0, 25.0  # W/m2
FARTHEST_MOVE = 45.0  # minutes
SAME_PLACE = 2.0  # degrees of latitude that noise of a sound file can feign
SAME_TIME = 5.0  # minutes, likewise
MOST_OFF_IN_AN_HOUR = 50.0  # W/m2; sound files stay below 20
FIELD = "radiation"


@dataclass(frozen=True)
class Fit:
    """The place whose sun a file holds: latitude (degree), delay (minutes), closure (W/m2)."""

    latitude: float
    delay: float
    rms: float


def cosine_of_zenith(climate: Climate, minutes: float = 0.0) -> Array:
    """Cosine of the zenith angle, (hours,), `minutes` after the middle of each hour."""
    middle = climate.since_new_year + 0.5 + minutes / 60.0 - climate.time_zone
    zenith, _ = sun_position(climate.year, middle, climate.latitude, climate.longitude)
    return np.cos(zenith)


def misfit(climate: Climate, minutes: float = 0.0) -> Array:
    """G - D - B cos z (W/m2) of each hour with the sun `minutes` after its middle, (hours,)."""
    beam = climate.direct_normal * np.maximum(cosine_of_zenith(climate, minutes), 0.0)
    return climate.global_horizontal - climate.diffuse_horizontal - beam


def closure(climate: Climate, minutes: float = 0.0) -> float:
    """Root mean square of `misfit` over the hours with sun, W/m2; zero where there is none."""
    day = climate.global_horizontal > 0.0
    return float(np.sqrt(np.mean(misfit(climate, minutes)[day] ** 2))) if day.any() else 0.0


def fitting_place(climate: Climate) -> Fit:
    """Latitude and delay of the sun that the three irradiances fit best, and how well."""
    middle = climate.since_new_year + 0.5 - climate.time_zone
    hour_angle, declination = sun_angles(climate.year, middle, climate.longitude)
    beam = climate.direct_normal[:, None] * np.column_stack(
        [
            np.sin(declination),
            np.cos(declination) * np.cos(hour_angle),
            -np.cos(declination) * np.sin(hour_angle),
        ]
    )
    horizontal = climate.global_horizontal - climate.diffuse_horizontal
    (a, b, c), *_ = np.linalg.lstsq(beam, horizontal, rcond=None)
    latitude = float(np.degrees(np.arctan2(a, np.hypot(b, c))))
    delay = float(np.degrees(np.arctan2(c, b))) * 4.0
    return Fit(latitude, delay, closure(replace(climate, latitude=latitude), delay))


def check_sun(climate: Climate, file: str = "") -> tuple[Climate, list[str]]:
    """The climate with sun that fits its place, and notes. Raises `InputError` where none does."""
    given = closure(climate)
    if given <= CLOSES:
        return climate, [_closes(given), *_single_hours(climate)]
    fit = fitting_place(climate)
    there = abs(fit.latitude - climate.latitude) <= SAME_PLACE
    on_time = abs(fit.delay) <= SAME_TIME
    if there and not on_time and abs(fit.delay) <= FARTHEST_MOVE and fit.rms <= REFUSED:
        return _moved(climate, fit.delay, given)
    elsewhere = not (there and on_time)
    if given > (REFUSED if elsewhere else NOISY) or (elsewhere and fit.rms < 0.5 * given):
        raise InputError(_refusal(climate, fit, given, file))
    doubt = f"{_closes(given)}: they do not fit each other well"
    return climate, [doubt, *_single_hours(climate)]


def _closes(rms: float) -> str:
    return f"global, direct and diffuse sun close within {rms:.1f} W/m2 (rms)"


def _single_hours(climate: Climate) -> list[str]:
    """A note on single hours whose three irradiances do not fit each other."""
    off = np.abs(misfit(climate))
    count = int(np.count_nonzero(off > MOST_OFF_IN_AN_HOUR))
    if not count:
        return []
    return [
        f"in {count} hours the three irradiances miss each other by more than "
        f"{MOST_OFF_IN_AN_HOUR:.0f} W/m2 (at most {off.max():.0f})"
    ]


def _moved(climate: Climate, minutes: float, given: float) -> tuple[Climate, list[str]]:
    """Sun sampled `minutes` after the middle of each hour, moved to the middle, and a note."""
    sampled = np.maximum(cosine_of_zenith(climate, minutes), 0.0)
    middle = np.maximum(cosine_of_zenith(climate), 0.0)
    direct = _at_middle(climate, "direct_normal", minutes, sampled, middle, _clear_beam)
    diffuse = _at_middle(climate, "diffuse_horizontal", minutes, sampled, middle, np.sqrt)
    moved = replace(
        climate,
        direct_normal=direct,
        diffuse_horizontal=diffuse,
        global_horizontal=diffuse + direct * middle,
    )
    change = moved.global_horizontal.sum() / climate.global_horizontal.sum() - 1.0
    side = "after" if minutes > 0.0 else "before"
    note = (
        f"the sun is that of {abs(minutes):.0f} minutes {side} the middle of each hour (there "
        f"global, direct and diffuse close within {closure(climate, minutes):.1f} W/m2, as given "
        f"within {given:.1f}): it was moved to the middle, which changed its sum by "
        f"{100.0 * change:+.1f} %"
    )
    return moved, [note]


LOW_SUN = 0.05  # cosine of the zenith, 3 degrees: below it a sample tells little of how clear it is


def _clear_beam(cosine: Array) -> Array:
    """Course of direct sun through a clear day, of that outside: 0.7^(m^0.678), air mass m.

    Meinel and Meinel 1976 and, for the air mass, Kasten and Young 1989 (from memory); zero with
    the sun at the horizon or below.
    """
    zenith = np.degrees(np.arccos(cosine))
    mass = 1.0 / (cosine + 0.50572 * (96.07995 - zenith) ** -1.6364)
    return np.where(cosine > 0.0, 0.7**mass**0.678, 0.0)


def _at_middle(
    climate: Climate,
    name: str,
    minutes: float,
    sampled: Array,
    middle: Array,
    course: Callable[[Array], Array],
) -> Array:
    """Samples `minutes` after the middle of each hour as values in the middle.

    What lies on straight lines between samples is how clear it is, the value as a share of its
    course through a clear day, so that sunrise stays where it is. `sampled` and `middle` are
    cosines of the zenith, zero at night.
    """
    values = getattr(climate, name)
    hours, up = np.arange(len(values), dtype=float), sampled > LOW_SUN
    period = float(len(values)) if climate.wraps else None
    clearness = values[up] / course(sampled[up])
    return course(middle) * np.interp(hours, hours[up] + minutes / 60.0, clearness, period=period)


def _refusal(climate: Climate, fit: Fit, given: float, file: str) -> Problem:
    cause = (
        f"global, direct and diffuse sun miss each other by {given:.0f} W/m2 (rms) at latitude "
        f"{climate.latitude:g}, longitude {climate.longitude:g}, time zone {climate.time_zone:g}"
    )
    if fit.rms > REFUSED:
        cause += ", and fit no place or time of day"
        cure = "see that the three columns are global horizontal, direct normal and diffuse, W/m2"
        return Problem(cause, cure, file, None, FIELD)
    fits = _words_of_fit(climate, fit)
    return Problem(f"{cause}; they fit {fits} within {fit.rms:.1f}", _CURE, file, None, FIELD)


_CURE = "correct the place in the header, or move the columns so that each row ends its hour"


def _words_of_fit(climate: Climate, fit: Fit) -> str:
    """What would fit: the latitude, and what a delay of the sun may come from."""
    words = []
    if abs(fit.latitude - climate.latitude) > SAME_PLACE:
        sign = abs(fit.latitude + climate.latitude) <= SAME_PLACE
        latitude = -climate.latitude if sign else fit.latitude
        words.append(f"latitude {latitude:.4g}" + (" (the other hemisphere)" if sign else ""))
    if abs(fit.delay) > FARTHEST_MOVE / 3.0:
        words.append(" or ".join(_words_of_delay(climate, fit.delay)))
    return " and ".join(words) or "no place better"


def _words_of_delay(climate: Climate, minutes: float) -> list[str]:
    """A sun `minutes` late, as time zone, longitude or label of the hours."""
    zone = climate.time_zone - round(minutes / 15.0) / 4.0
    longitude = (climate.longitude + minutes / 4.0 + 180.0) % 360.0 - 180.0
    if abs(longitude + climate.longitude) < 4.0:
        longitude = -climate.longitude
    words = [
        f"time zone {(zone + 12.0) % 24.0 - 12.0:g}",
        f"longitude {longitude:.4g}",
        f"a sun {abs(minutes):.0f} minutes {'later' if minutes > 0 else 'earlier'}",
    ]
    if abs(minutes - 60.0) < 15.0:
        words.append("hours that begin at the stamp")
    return words

"""What drives an assembly: one row of boundary values for every half hour of the climate.

A row holds the columns that `boundary/columns.py` names, in SI. Values are linear between rows
except rain, which holds from its row to the next. Rows start where the run does. Those of a year
wrap: last row = first; those of a window end with it.
"""

from __future__ import annotations

import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.columns import (
    ABSORBED_LONG_WAVE,
    ABSORBED_SUN,
    ATMOSPHERIC_PRESSURE,
    COLUMNS,
    LEAK,
    OUTDOOR_CONVECTION,
    OUTDOOR_TEMPERATURE,
    OUTDOOR_VAPOUR_FILM,
    OUTDOOR_VAPOUR_PRESSURE,
    RAIN_LEAKED,
    RAIN_ON_SURFACE,
    ROOM_HEAT_COEFFICIENT,
    ROOM_TEMPERATURE,
    ROOM_VAPOUR_FILM,
    ROOM_VAPOUR_PRESSURE,
)
from assembly_sim.boundary.leakage import TERRAIN, leak_mass_flow, local_wind
from assembly_sim.boundary.room_state import room_rows
from assembly_sim.boundary.stamps import from_means, from_states, on_half_hours, start_hour
from assembly_sim.envelope.rain import drainage_plane
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Assembly, Case, Climate
from assembly_sim.physics import rain, sky, surface
from assembly_sim.physics.airflow import local_wind_speed
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.physics.moist_air import dew_point
from assembly_sim.units import marked

if TYPE_CHECKING:
    import pandas as pd

Array = NDArray[np.float64]

_FILTERS = threading.RLock()
SUN_MODEL = "perez-driesse"  # isotropic models flatter north walls


def boundary_rows(
    case: Case,
    assembly: Assembly,
    room: tuple[Array, Array] | None = None,
    outside: tuple[Array, Array] | None = None,
) -> Array:
    """(2 hours + 1, COLUMNS) boundary values of the assembly at half-hour stamps.

    `room` saves computing `room_rows(case)` again, or is another space inside; `outside` one in
    place of outdoors, of a sheltered assembly: temperature (K) and vapour pressure (Pa) by hour.
    InputError where weather or rules are unfit.
    """
    climate, outer = case.climate, assembly.outer
    _refuse_missing(climate)
    temperature, vapour_pressure = room_rows(case) if room is None else room
    beyond = (climate.temperature, climate.vapour_pressure) if outside is None else outside
    convection = outdoor_convection(climate, assembly)
    rows = np.empty((2 * climate.hours + 1, COLUMNS))
    states = {
        OUTDOOR_TEMPERATURE: beyond[0],
        OUTDOOR_VAPOUR_PRESSURE: beyond[1],
        OUTDOOR_CONVECTION: convection,
        OUTDOOR_VAPOUR_FILM: surface.vapour_film_coefficient(convection, climate.pressure),
        ROOM_TEMPERATURE: temperature,
        ROOM_VAPOUR_PRESSURE: vapour_pressure,
        LEAK: leak_mass_flow(climate, assembly, temperature),
        ATMOSPHERIC_PRESSURE: climate.pressure,
    }
    for column, values in states.items():
        rows[:, column] = on_half_hours(climate, from_states, values)
    sun = outer.solar_absorptance * sun_on_surface(climate, assembly)
    rows[:, ABSORBED_SUN] = on_half_hours(climate, from_means, sun)
    rows[:, ABSORBED_LONG_WAVE] = absorbed_longwave(climate, assembly, beyond[0])
    rows[:, ROOM_HEAT_COEFFICIENT] = 1.0 / surface.inner_surface_resistance(outer.tilt)
    rows[:, ROOM_VAPOUR_FILM] = surface.vapour_film_coefficient(
        surface.still_air_convection(outer.tilt), rows[:, ATMOSPHERIC_PRESSURE]
    )
    wet = [RAIN_ON_SURFACE, RAIN_LEAKED]
    rows[:-1, wet] = np.repeat(surface_rain(climate, assembly), 2, axis=0)
    rows[-1, wet] = rows[-2, wet]  # nobody asks for what follows a window
    if not climate.wraps:
        return rows
    rows = np.roll(rows[:-1], -2 * start_hour(case), axis=0)
    return np.vstack([rows, rows[:1]])


def _refuse_missing(climate: Climate) -> None:
    """Raise InputError where an hour lacks what every assembly needs; readers fill or refuse."""
    for name in ("temperature", "vapour_pressure", "pressure", "wind_speed"):
        known = np.isfinite(getattr(climate, name))
        if not known.all():
            cause = f"no value in hour {int(np.argmin(known))}, and {int((~known).sum())} in all"
            raise InputError(Problem(cause, "give one for every hour", field=f"climate.{name}"))


def outdoor_convection(climate: Climate, assembly: Assembly) -> Array:
    """Convection (W/(m2 K)) at the outer surface, (hours,); still air where it is sheltered."""
    if assembly.outer.sheltered:
        return np.full(climate.hours, surface.still_air_convection(assembly.outer.tilt))
    return surface.wind_convection(local_wind(climate, assembly))


def sun_on_surface(climate: Climate, assembly: Assembly) -> Array:
    """Sun on the outer surface, W/m2, mean of each hour, (hours,): pvlib, sun at mid-hour.

    Direct, circumsolar and horizon-brightened diffuse (Perez & Driesse) and ground-reflected
    light; obstructions and snow on the ground are left out.
    """
    if assembly.outer.sheltered:
        return np.zeros(climate.hours)
    return sun_on_plane(climate, assembly.outer.tilt, assembly.outer.azimuth)


@contextmanager
def without_pandas_warning() -> Iterator[None]:
    """Leave out what pandas 3.1 tells pvlib: under `python -W error` it would end every run.

    One thread at a time, since filters of warnings belong to the process.
    """
    with _FILTERS, warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="DatetimeIndex.dayofyear is deprecated")
        yield


@lru_cache(maxsize=64)
@without_pandas_warning()
def sun_on_plane(climate: Climate, tilt: float, azimuth: float) -> Array:
    """The same on a plane of this tilt and azimuth (radians); kept, since a sweep asks for few."""
    from pvlib.irradiance import get_extra_radiation, get_total_irradiance

    sun = sun_position(climate)
    total = get_total_irradiance(
        np.degrees(tilt),
        np.degrees(azimuth),
        sun["apparent_zenith"],
        sun["azimuth"],
        climate.direct_normal,
        climate.global_horizontal,
        climate.diffuse_horizontal,
        dni_extra=get_extra_radiation(sun.index),
        albedo=climate.ground_albedo,
        model=SUN_MODEL,
    )["poa_global"].to_numpy()
    if not np.isfinite(total).all():
        cause = f"no tilted radiation in hour {int(np.argmin(np.isfinite(total)))} of the climate"
        raise InputError(Problem(cause, "check its three irradiances", field="climate"))
    found = np.maximum(total, 0.0)
    found.flags.writeable = False
    return found


@without_pandas_warning()
def sun_position(climate: Climate) -> pd.DataFrame:
    """Table of the sun's position (degrees) in the middle of each hour, by pvlib."""
    import pandas as pd
    from pvlib.solarposition import get_solarposition

    middles = climate.hour_starts + np.timedelta64(30, "m")
    times = pd.DatetimeIndex(middles).tz_localize(round(3600.0 * climate.time_zone))
    return get_solarposition(
        times, climate.latitude, climate.longitude, climate.elevation, method="ephemeris"
    )


def absorbed_longwave(climate: Climate, assembly: Assembly, beyond: Array | None = None) -> Array:
    """Long-wave radiation absorbed, W/m2, (2 hours + 1,) at half-hour stamps.

    From the climate where it has it, else from dew point and cloud (a clear sky without cloud).
    A sheltered surface sees surroundings at outdoor temperature, or `beyond` (K by hour).
    """
    outer, air = assembly.outer, climate.temperature if beyond is None else beyond
    if outer.sheltered:
        black = outer.emittance * surface.black_body_radiation(air)
        return on_half_hours(climate, from_states, black)
    if climate.sky_longwave is not None:
        sky_stamps = on_half_hours(climate, from_means, climate.sky_longwave)
    else:
        sky_stamps = on_half_hours(climate, from_states, _estimated_sky(climate))
    air_stamps = on_half_hours(climate, from_states, air)
    return surface.absorbed_longwave(outer.emittance, outer.tilt, sky_stamps, air_stamps)


def _estimated_sky(climate: Climate) -> Array:
    """Sky long-wave (W/m2) at the hours' ends, from dew point, pressure and cloud."""
    hour = climate.since_new_year + 1 + climate.longitude / 15.0 - climate.time_zone
    emissivity = sky.clear_sky_emissivity(
        dew_point(climate.vapour_pressure), hour, climate.pressure
    )
    if climate.cloud_cover is not None:
        emissivity = sky.cloudy_sky_emissivity(emissivity, climate.cloud_cover)
    return sky.sky_longwave(climate.temperature, emissivity)


def surface_rain(climate: Climate, assembly: Assembly) -> Array:
    """Rain on the surface and past its cladding, kg/(m2 s), (hours, 2).

    Wind is that 10 m up in the open. What falls at or below 0 degC is snow and wets nothing.
    """
    outer = assembly.outer
    if climate.rain is None or outer.sheltered:
        return np.zeros((climate.hours, 2))
    fallen = np.where(climate.temperature > ICE_POINT, climate.rain, 0.0) / 3600.0
    wind = local_wind_speed(climate.wind_speed, climate.wind_height, 10.0, "open country")
    struck = rain.rain_on_surface(
        fallen,
        wind,
        climate.wind_direction,
        outer.tilt,
        outer.azimuth,
        outer.rain_exposure,
        outer.rain_deposition,
    )
    if not np.isfinite(struck).all():
        cause = f"no rain by wind in hour {int(np.argmin(np.isfinite(struck)))} of the climate"
        raise InputError(Problem(cause, "check rain and wind direction", field="climate"))
    share = 0.0 if drainage_plane(assembly) is None else outer.leaked_rain
    return np.column_stack([(1.0 - share) * struck, share * struck])


def forcing_notes(case: Case, assembly: Assembly) -> tuple[str, ...]:
    """What was assumed because the climate or the case does not say, in whole sentences."""
    climate = case.climate
    if assembly.outer.sheltered:
        return ("the outer surface is sheltered: no sun, sky, wind or rain reaches it",)
    height = marked(assembly.outer.height, "height")
    notes = [f"wind is reduced from the mast to a {TERRAIN} at {height}"]
    if climate.sky_longwave is None:
        clear = climate.cloud_cover is None
        basis = "dew point for a clear sky (no cloud in the file)" if clear else "dew point, cloud"
        notes.append(f"the climate has no sky long-wave: estimated from {basis}")
    if climate.rain is None:
        notes.append("the climate has no rain: the surface is never rained on")
    else:
        snow = float(climate.rain[climate.temperature <= ICE_POINT].sum())
        if snow:
            notes.append(
                f"precipitation at or below {marked(ICE_POINT, 'temperature')}, "
                f"{marked(snow, 'rain')} of it, is taken to count as snow, not rain"
            )
    return tuple(notes)

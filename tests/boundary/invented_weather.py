"""Small cases for tests of what drives an assembly: invented weather, and one real year."""

from __future__ import annotations

import dataclasses
import pathlib
from typing import Any

import numpy as np

from assembly_sim.model import (
    AirLeak,
    Assembly,
    Case,
    Climate,
    Constant,
    Layer,
    Material,
    OuterSurface,
    Points,
    Room,
)
from assembly_sim.model.room import HumidityRule, TemperatureRule
from assembly_sim.physics.moist_air import saturation_pressure

BOARD = Material(
    name="board",
    density=500.0,
    specific_heat=1600.0,
    conductivity=Points((293.15,), (0.12,)),
    permeability=Points((0.5,), (4e-12,)),
    porosity=0.6,
)
LEAK = AirLeak(flow=0.2e-3, reference_pressure=75.0)


def invented_climate(hours: int = 8760, **changes: Any) -> Climate:
    """A year with seasons, days, storms and gusts, at 45 N on its zone's meridian."""
    hour = np.arange(1, hours + 1)
    season = np.cos(2 * np.pi * (hour / hours - 0.55))
    day = np.cos(2 * np.pi * (hour - 15) / 24)
    temperature = 281.15 + 12.0 * season + 4.0 * day
    sun = np.maximum(np.cos(2 * np.pi * (hour - 0.5 - 12) / 24), 0.0) * (500.0 + 250.0 * season)
    climate = Climate(
        name="invented",
        latitude=45.0,
        longitude=-75.0,
        time_zone=-5.0,
        elevation=100.0,
        temperature=temperature,
        vapour_pressure=0.7 * saturation_pressure(temperature - 3.0),
        pressure=100e3 + 800.0 * np.sin(2 * np.pi * hour / 170.0),
        wind_speed=4.0 + 3.0 * np.sin(2 * np.pi * hour / 53.0),
        wind_direction=np.mod(hour / 9.0, 2 * np.pi),
        global_horizontal=sun,
        direct_normal=0.9 * sun,
        diffuse_horizontal=0.3 * sun,
        cloud_cover=0.5 + 0.5 * np.sin(2 * np.pi * hour / 97.0),
        rain=np.where(hour % 50 < 3, 1.5, 0.0),
    )
    return dataclasses.replace(climate, **changes)


def assembly(
    tilt_degrees: float = 90.0,
    azimuth_degrees: float = 0.0,
    leak: AirLeak | None = LEAK,
    area: float = 50.0,
    **outer: Any,
) -> Assembly:
    """One board with this outer surface, black to the sun."""
    surface = OuterSurface(
        tilt=np.radians(tilt_degrees),
        azimuth=np.radians(azimuth_degrees),
        **{"solar_absorptance": 1.0, "emittance": 0.9, **outer},
    )
    return Assembly("part", area, surface, (Layer("board", BOARD, 0.02),), leak)


def case(
    climate: Climate,
    *parts: Assembly,
    temperature: TemperatureRule | None = None,
    humidity: HumidityRule | None = None,
    **changes: Any,
) -> Case:
    """A case of these parts, the room at 20 degC and 40 % unless said."""
    room = Room(temperature or Constant(293.15), humidity or Constant(0.40))
    return Case("case", climate, room, parts or (assembly(),), **changes)


def greensboro() -> Climate:
    """The TMY3 year of Greensboro that pvlib's wheel carries, read by pvlib."""
    import pvlib

    file = pathlib.Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    table, place = pvlib.iotools.read_tmy3(file, coerce_year=2001, map_variables=True)
    column = {name: table[name].to_numpy(dtype=float) for name in table.select_dtypes("number")}
    return Climate(
        name="Greensboro",
        latitude=place["latitude"],
        longitude=place["longitude"],
        time_zone=place["TZ"],
        elevation=place["altitude"],
        temperature=column["temp_air"] + 273.15,
        vapour_pressure=saturation_pressure(column["temp_dew"] + 273.15),
        pressure=100.0 * column["pressure"],
        wind_speed=column["wind_speed"],
        wind_direction=np.radians(column["wind_direction"]),
        global_horizontal=column["ghi"],
        direct_normal=column["dni"],
        diffuse_horizontal=column["dhi"],
        cloud_cover=column["OpqCld (tenths)"] / 10.0,
        rain=column["Lprecip depth (mm)"] / 10.0,
    )

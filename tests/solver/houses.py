"""Small houses between known airs, for tests against hand formulas; and one of shipped materials.

A plate is a light layer that resists heat, holds hardly any and lets little vapour pass. Weather is
a window without sun, sky or rain unless said.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import bench_walls as bench
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
    Zone,
)
from assembly_sim.model.opening import FreeArea, Opening, Side
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.physics.surface import black_body_radiation
from assembly_sim.solver.march import Nature
from assembly_sim.solver.result import Result
from assembly_sim.solver.run import run

HEAT_ALONE = Nature(0.0, 0.0, 0.0, 0.0, 0.0, freezing=False)
WALL, LEVEL = 0.5 * np.pi, 0.0
OUTER_FILM = 4.0  # W/(m2 K) of a face without wind and radiation: 4 + 4 v (ISO 6946 annex)
ROOM_FILMS = {WALL: 1 / 0.13, LEVEL: 1 / 0.10}  # W/(m2 K), ISO 6946
PRESSURE = 101325.0


def weather(temperature: Any, hours: int = 48, humidity: float = 0.6, wind: float = 0.0) -> Climate:
    """A window of weather from 10 January: K (hours,) or one, sky as warm as the air, no sun."""
    air = np.broadcast_to(np.asarray(temperature, dtype=float), (hours,)).copy()
    none = np.zeros(hours)
    return Climate(
        name="made",
        latitude=45.0,
        longitude=0.0,
        time_zone=0.0,
        elevation=0.0,
        temperature=air,
        vapour_pressure=humidity * saturation_pressure(air),
        pressure=np.full(hours, PRESSURE),
        wind_speed=np.full(hours, wind),
        wind_direction=none,
        global_horizontal=none,
        direct_normal=none,
        diffuse_horizontal=none,
        sky_longwave=black_body_radiation(air),
        rain=none,
        begins="2021-01-10T00",
    )


def stuff(resistance: float, emittance: float = 0.9, **changes: Any) -> Material:
    """A material of which 20 mm resist heat by m2 K/W."""
    plain = bench.material(
        density=10.0,
        specific_heat=1000.0,
        conductivity=Points((293.15,), (0.02 / resistance,)),
        permeability=bench.constant(1e-12),
        emittance=emittance,
    )
    return replace(plain, name=f"plate {resistance:g}", **changes)


def plate(
    name: str,
    area: float,
    resistance: float,
    inside: str = "attic",
    outside: str = "outdoors",
    tilt: float = WALL,
    emittance: float = 0.9,
    leak: AirLeak | None = None,
    height: float = 3.0,
) -> Assembly:
    """20 mm between two spaces."""
    outer = OuterSurface(tilt, 0.0, 0.0, 0.0, height, sheltered=outside != "outdoors")
    layer = Layer("plate", stuff(resistance, emittance), 0.02)
    return Assembly(name, area, outer, (layer,), leak, outside=outside, inside=inside)


def hole(name: str, area: float, height: float, inside: str = "attic", outside: str = "outdoors"):
    """A sharp-edged hole on which no wind presses."""
    return Opening(name, FreeArea(area), height, None, inside, outside)


def windy(name: str, area: float, height: float, degrees: float, inside: str = "attic") -> Opening:
    return Opening(name, FreeArea(area), height, Side(WALL, np.radians(degrees)), inside)


def house(
    climate: Climate,
    assemblies: tuple[Assembly, ...],
    zones: tuple[Zone, ...] = (Zone("attic", 60.0),),
    room: float = 293.15,
    **fields: Any,
) -> Case:
    """A case of one room at a constant temperature (K) and 40 %."""
    known = {"starting_humidity": 0.5, **fields}
    return Case(
        "house", climate, Room(Constant(room), Constant(0.4)), assemblies, zones=zones, **known
    )


def solved(case: Case, **options: Any) -> Result:
    """A run of which every path came to its end."""
    result = run(case, workers=1, **options)
    stopped = [one.outcome for one in result.assemblies if one.outcome.name != "completed"]
    assert not stopped, stopped
    return result


def zone(result: Result, name: str = "attic"):
    (found,) = (one for one in result.zones if one.zone.name == name)
    return found


def flow(result: Result, name: str):
    """Hourly kg/s of the stream of that name."""
    (found,) = (one.flow for one in result.streams if one.name == name)
    return found


def known_temperatures(result: Result) -> dict[str, Any]:
    """Of zones as they came to be; rooms and outdoors by the case, K by hour, at hours' ends."""
    found = {one.zone.name: one.temperature for one in result.zones}
    rooms = {room.name: np.full(result.hours, room.temperature.value) for room in result.case.rooms}
    return {**found, **rooms, "outdoors": result.case.climate.temperature[: result.hours]}

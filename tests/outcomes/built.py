"""Build-ups of shipped materials in shipped climates, and what a run of one says of its board."""

from __future__ import annotations

import dataclasses
import functools
import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.files.climate.read import find_climate, read_climate
from assembly_sim.files.material import read as materials
from assembly_sim.model import (
    AirLayer,
    AirLeak,
    Assembly,
    Case,
    Climate,
    Constant,
    Layer,
    Membrane,
    OuterSurface,
    Room,
)
from assembly_sim.physics.moist_air import dew_point, saturation_pressure
from assembly_sim.solver.result import Result
from assembly_sim.solver.run import run
from assembly_sim.verdict.verdict import verdict

LEAK = AirLeak(2e-4, 75.0)  # the usual limit for an assembly
NORTH, SOUTH = 0.0, math.pi
DARK, LIGHT = 0.85, 0.3
MATERIALS = materials.load()


@functools.cache
def climate(name: str) -> Climate:
    return read_climate(find_climate(name))


def shifted(name: str, kelvin: float) -> Climate:
    """A shipped year with temperature and dew point moved by the same, all else as it is."""
    year = climate(name)
    moved = dew_point(year.vapour_pressure) + kelvin
    return dataclasses.replace(
        year,
        temperature=year.temperature + kelvin,
        vapour_pressure=saturation_pressure(moved),
    )


def layer(material: str, millimetres: float, name: str = "", **fields: Any) -> Layer:
    return Layer(name or material, MATERIALS[material], millimetres / 1000.0, **fields)


def sheet(name: str, airtight: bool | None = None) -> Membrane:
    return Membrane(name, MATERIALS[name], airtight)


def gap(changes: float) -> AirLayer:
    return AirLayer("gap", 0.02, air_changes=changes)


PAINTED_BOARD = (layer("gypsum board", 12.5), sheet("latex paint, primer and two coats"))


def case(layers: tuple[Any, ...], weather: Climate, humidity: float, **changes: Any) -> Case:
    """A case of one assembly; without more words a dark north roof at 45 degrees with a leak."""
    said = {
        "celsius": 20.0,
        "tilt": math.pi / 4,
        "azimuth": NORTH,
        "absorptance": DARK,
        "leak": LEAK,
        "years": 3,
        **changes,
    }
    outer = OuterSurface(said["tilt"], said["azimuth"], said["absorptance"], 0.9, rain_exposure=0.0)
    room = Room(Constant(273.15 + said["celsius"]), Constant(humidity))
    assembly = Assembly("sample", 1.0, outer, layers, said["leak"])
    return Case("outcome", weather, room, (assembly,), years=said["years"])


def wall(layers: tuple[Any, ...], weather: Climate, humidity: float, **changes: Any) -> Case:
    """A wall that faces north, out of the rain."""
    return case(layers, weather, humidity, tilt=math.pi / 2, absorptance=0.6, **changes)


def solved(asked: Case) -> Result:
    result = run(asked, workers=1)
    assert result.assemblies[0].outcome.name == "completed"
    return result


def level(result: Result) -> str | None:
    return verdict(result, result.assemblies[0]).level


def moisture(result: Result, name: str) -> NDArray[np.float64]:
    """Moisture content (kg/kg) of a layer in the last year, hourly from October on."""
    (found,) = result.assemblies
    index = [one.name for one in found.assembly.layers].index(name)
    board = found.assembly.layers[index]
    assert isinstance(board, Layer)
    water = found.paths[0].layer_water[-result.case.climate.hours :, index]
    return water / (board.thickness * board.material.density)


def last_year(result: Result, layer_behind: str) -> dict[str, Any]:
    """Humidity (0-1) and free water (kg/m2) of the plane on a layer's outer face, last year."""
    (found,) = result.assemblies
    index = [one.name for one in found.assembly.layers].index(layer_behind)
    path, year = found.paths[0], slice(-result.case.climate.hours, None)
    return {
        "humidity": path.relative_humidity[year, index],
        "free_water": path.free_water[year, index],
    }


def month_mean(result: Result, hourly: NDArray[np.float64], month: int) -> float:
    """Mean of an hourly course of the last year over a month (1-12)."""
    return float(hourly[result.month[-len(hourly) :] == month].mean())

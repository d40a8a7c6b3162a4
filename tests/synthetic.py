"""A small result made from formulas, for tests of what happens to results after a run."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np

from assembly_sim.boundary.drivers import Drivers
from assembly_sim.model import (
    AirLayer,
    AirLeak,
    Assembly,
    Bridge,
    Case,
    Climate,
    Constant,
    Layer,
    Material,
    Membrane,
    OuterSurface,
    Points,
    Room,
    Sheet,
    SineOverYear,
    SorptionPoints,
)
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.solver.result import (
    AssemblyResult,
    Outcome,
    PathResult,
    Plane,
    Result,
)

MONTH_LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def flat(value: float) -> Points:
    return Points((0.0,), (value,))


BOARD = Material(
    name="board",
    density=500.0,
    specific_heat=1600.0,
    conductivity=flat(0.12),
    permeability=flat(4e-12),
    porosity=0.6,
    storage=SorptionPoints((0.3, 0.8), (25.0, 70.0), 400.0),
    kinds=frozenset({"wood", "sheathing"}),
    mould_class="sensitive",
    sources={"density": "invented"},
)
BATT = dataclasses.replace(
    BOARD, name="batt", density=15.0, kinds=frozenset({"insulation"}), storage=None, sources={}
)


def climate(hours: int = 8760) -> Climate:
    hour = np.arange(hours, dtype=float)
    year = np.cos(2 * np.pi * (hour / hours - 0.55))
    day = np.cos(2 * np.pi * (hour - 14) / 24)
    sun = np.clip(day, 0, None) * (300 + 250 * year)
    return Climate(
        name="Testville",
        latitude=45.0,
        longitude=-90.0,
        time_zone=-6.0,
        elevation=200.0,
        temperature=280 + 15 * year + 4 * day,
        vapour_pressure=800 + 600 * year,
        pressure=np.full(hours, 99000.0),
        wind_speed=3 + day,
        wind_direction=np.mod(hour, 6.0),
        global_horizontal=sun,
        direct_normal=sun / 2,
        diffuse_horizontal=sun / 3,
        cloud_cover=0.5 + 0.4 * day,
        rain=np.where(hour % 50 == 0, 1.5, 0.0),
        source_sha256="a" * 64,
        notes=("12 hours of wind filled",),
        flags={"wind_speed": hour < 12},
    )


def assembly(name: str = "rafter bay") -> Assembly:
    surface = OuterSurface(tilt=0.5, azimuth=0.0, solar_absorptance=0.8, emittance=0.9)
    layers = (
        Layer("deck", BOARD, 0.012),
        Membrane("foil", Sheet("foil", flat(1e-12), kinds=frozenset({"metal"}))),
        Layer("fill", BATT, 0.14, bridges=(Bridge("framing", 0.1, BOARD),)),
        AirLayer("gap", 0.02),
        Layer("lining", BOARD, 0.0125),
    )
    return Assembly(name, 24.0, surface, layers, AirLeak(2e-4, 75.0))


def case(**changes: Any) -> Case:
    start = Case(
        name="demo roof",
        climate=climate(),
        room=Room(SineOverYear(294.15, 1.5), Constant(0.4)),
        assemblies=(assembly(),),
        years=1,
        unstated=("starting humidity 80 %",),
        text='format = 1\nname = "demo roof"\n# café\n',
        file="demo.toml",
    )
    return dataclasses.replace(start, **changes)


def planes() -> tuple[Plane, ...]:
    """Two surfaces, the foil's two sides, and two more interfaces."""
    return (
        Plane(0, "outdoors | deck", "both", 0.0, None, BOARD, "outdoors", drained=True),
        Plane(1, "deck | foil | fill", "outer", 0.012, BOARD, None, "none"),
        Plane(2, "deck | foil | fill", "inner", 0.012, None, BATT, "room"),
        Plane(3, "fill | gap", "both", 0.152, BATT, None, "room"),
        Plane(4, "gap | lining", "both", 0.172, None, BOARD, "room"),
        Plane(5, "lining | room", "both", 0.1845, BOARD, None, "room"),
    )


def path(name: str, share: float, drivers: Drivers) -> PathResult:
    hours, inward = len(drivers.outdoor_temperature), np.linspace(0, 1, 6)
    temperature = np.outer(drivers.outdoor_temperature, 1 - inward) + np.outer(
        drivers.room_temperature, inward
    )
    pressure = np.outer(drivers.outdoor_vapour_pressure, 1 - inward) + np.outer(
        drivers.room_vapour_pressure, inward
    )
    flux = 0.3 * share * (drivers.room_temperature - drivers.outdoor_temperature)
    nothing = np.zeros(hours)
    return PathResult(
        name=name,
        share=share,
        planes=planes(),
        temperature=temperature,
        vapour_pressure=pressure,
        relative_humidity=pressure / saturation_pressure(temperature),
        free_water=np.zeros((hours, 6)),
        layer_water=np.ones((hours, 5)),
        layer_ice=np.zeros((hours, 5)),
        initial_layer_water=np.ones(5),
        heat_flux_room=flux,
        heat_flux_outdoors=flux + 1.0,
        vapour_flux_room=nothing + 1e-8,
        vapour_flux_outdoors=nothing + 1e-8,
        rain=nothing,
        leak_vapour=nothing,
        leak_heat=nothing,
        carried_heat=nothing,
        carried_vapour=nothing,
        heat_balance_error=1e-12,
        moisture_balance_error=2e-12,
        state_defect=1e-8,
        statistics={"steps": 17520.0, "newton_iterations": 40000.0},
    )


def drivers(weather: Climate, start_month: int, hours: int) -> Drivers:
    first = 24 * sum(MONTH_LENGTHS[: start_month - 1])
    rows = (first + np.arange(hours)) % weather.hours
    steady = np.ones(hours)
    return Drivers(
        outdoor_temperature=weather.temperature[rows],
        outdoor_vapour_pressure=weather.vapour_pressure[rows],
        room_temperature=294.15 * steady,
        room_vapour_pressure=1000.0 * steady,
        leak=1e-5 * steady,
        sun=0.8 * weather.global_horizontal[rows],
        rain=0.0 * steady,
        atmospheric_pressure=weather.pressure[rows],
        incoming_heat=0.0 * steady,
    )


def result(hours: int = 8760, outcome: Outcome | None = None, **changes: Any) -> Result:
    """A result of `hours` hours from 1 October; `changes` replace fields of the case."""
    asked = case(**changes)
    air = drivers(asked.climate, asked.start_month, hours)
    months = np.repeat(np.arange(1, 13), [24 * days for days in MONTH_LENGTHS])
    first = 24 * sum(MONTH_LENGTHS[: asked.start_month - 1])
    ended = outcome or Outcome()
    return Result(
        case=asked,
        assemblies=tuple(
            AssemblyResult(
                assembly=each,
                paths=(path("cavity", 0.9, air), path("framing", 0.1, air)),
                drivers=air,
                u_value=0.27,
                surface_resistances="ISO 6946",
                outcome=ended,
                converged=ended.name == "completed",
            )
            for each in asked.assemblies
        ),
        hours=hours,
        month=months[(first + np.arange(hours)) % 8760].astype(np.int64),
        day=(np.arange(hours) // 24).astype(np.int64),
        provenance={"inputs_sha256": "b" * 64},
    )

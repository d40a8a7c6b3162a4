"""Random walls and roofs of everything in the shipped table, for a week of a shipped climate each.

A `Wall` is written in plain values, so that the printed form of a failing one is all it takes to
run it again: `judge(Wall(...))`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

from assembly_sim.boundary.forcing import boundary_rows
from assembly_sim.files.climate.read import find_climate, read_climate, shipped_climates
from assembly_sim.files.material.read import load
from assembly_sim.model import (
    AirLayer,
    AirLeak,
    Assembly,
    Case,
    Climate,
    Constant,
    Layer,
    Material,
    Membrane,
    OuterSurface,
    Room,
)
from assembly_sim.model.assembly import NOWHERE
from assembly_sim.model.ranges import RANGES, thickness_range
from assembly_sim.physics import constants, ice
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.kernel.numbers import LAYER
from assembly_sim.solver.march import March, Nature, constants_row, march, suction_of
from assembly_sim.solver.mesh import HELD_FILM, build_mesh

Floats = NDArray[np.float64]
HOURS = 168
# A week moves a millionth of a saturated wall's 100 kg, whose own last digits are 5e-15 of it;
# runs of a year and more are held to 1e-9 where they are tested.
BALANCE, DEFECT = 5e-9, 1e-6
FILM_EXCESS = 1e-4  # of relative humidity, what kilograms of film add past saturation
OWED = 1e-5  # kg/m2 that Newton's tolerance lets a face give beyond its film
HEAT_ALONE = Nature(0.0, 0.0, 0.0, 0.0, 0.0, freezing=False)
# (absorptance, emittance) of paint, render, tar and bright metal; a selective absorber would pass
# the 150 degC at which the tables end
SURFACES = [(0.1, 0.9), (0.5, 0.9), (0.95, 0.9), (0.1, 0.1), (0.5, 0.1)]
SOLIDS = sorted(name for name, entry in load().items() if isinstance(entry, Material))
SHEETS = sorted(name for name, entry in load().items() if not isinstance(entry, Material))


@dataclass(frozen=True)
class Wall:
    """A random wall in plain values: angles in degrees, sizes in m, humidities 0-1, degC.

    layers, outside to inside: (material, thickness, starting humidity), (sheet,) or
    (thickness, emittance, air changes) of an air layer.
    """

    climate: str
    first_hour: int
    layers: tuple[tuple[str | float, ...], ...]
    tilt: float
    azimuth: float
    absorptance: float
    emittance: float
    exposure: float
    leak: float | None
    height: float
    leaked_rain_layer: int | None
    air_through: float
    room_temperature: float
    room_humidity: float


def solids() -> st.SearchStrategy[tuple[str, float, float]]:
    """A layer of 0.5 mm to 0.4 m."""
    thickness = st.floats(math.log(0.0005), math.log(0.4)).map(lambda x: round(math.exp(x), 5))
    humidity = st.one_of(st.floats(0.02, 1.0), st.sampled_from([0.5, 0.8, 0.99, 1.0]))
    return st.tuples(st.sampled_from(SOLIDS), thickness, humidity.map(lambda x: round(x, 4)))


def air_layers() -> st.SearchStrategy[tuple[float, float, float]]:
    return st.tuples(
        st.sampled_from([0.005, 0.02, 0.05, 0.15]),
        st.sampled_from([0.05, 0.9]),
        st.sampled_from([0.0, 0.0, 2.0, 30.0, 200.0]),
    )


@st.composite
def walls(draw: st.DrawFn) -> Wall:
    """One to eight layers, membranes, coatings and air layers among them, at least one solid."""
    sheets = st.tuples(st.sampled_from(SHEETS))
    parts = draw(st.lists(st.one_of(solids(), solids(), sheets, air_layers()), max_size=7))
    parts.insert(draw(st.integers(0, len(parts))), draw(solids()))
    number = st.integers(0, len(parts) - 1)
    absorptance, emittance = draw(st.sampled_from(SURFACES))
    return Wall(
        climate=draw(st.sampled_from(shipped_climates())),
        first_hour=24 * draw(st.integers(0, 357)),
        layers=tuple(parts),
        tilt=draw(st.sampled_from([0.0, 5.0, 18.0, 45.0, 60.0, 90.0])),
        azimuth=draw(st.sampled_from([0.0, 90.0, 180.0, 270.0])),
        absorptance=absorptance,
        emittance=emittance,
        exposure=draw(st.sampled_from([0.0, 1.0, 1.5])),
        leak=draw(st.sampled_from([None, 1e-5, 2e-4, 2e-3])),
        height=draw(st.sampled_from([-3.0, 2.5])),
        leaked_rain_layer=draw(st.none() | number),
        air_through=draw(st.sampled_from([0.0] * 6 + [1e-4, -1e-4, 2.5e-3, -2.5e-3])),
        room_temperature=draw(st.sampled_from([10.0, 20.0, 26.0])),
        room_humidity=draw(st.sampled_from([0.2, 0.5, 0.9])),
    )


@cache
def climate(name: str) -> Climate:
    return read_climate(find_climate(name))


def element(part: tuple[str | float, ...], number: int) -> Layer | Membrane | AirLayer:
    name = f"{number}: {part[0]}"
    if len(part) == 1:
        return Membrane(name, load()[part[0]])
    if isinstance(part[0], str):
        material = load()[part[0]]
        thickest = RANGES[thickness_range(material.kinds)].high
        return Layer(name, material, min(part[1], thickest), starting_humidity=part[2])
    return AirLayer(name, part[0], emittance_outer=part[1], air_changes=part[2])


def named(wall: Wall, number: int | None) -> str:
    """Name of the layer that leaked rain reaches."""
    return NOWHERE if number is None else element(wall.layers[number], number).name


def built(wall: Wall) -> Assembly:
    surface = OuterSurface(
        math.radians(wall.tilt),
        math.radians(wall.azimuth),
        wall.absorptance,
        wall.emittance,
        rain_exposure=wall.exposure,
        leaked_rain_layer=named(wall, wall.leaked_rain_layer),
    )
    leak = wall.leak and AirLeak(wall.leak, 75.0, height_above_neutral_level=wall.height)
    layers = tuple(element(part, number) for number, part in enumerate(wall.layers))
    return Assembly("random", 10.0, surface, layers, leak, wall.air_through, order_meant=True)


def weekly(wall: Wall) -> tuple[Case, Floats]:
    """The case of a wall, and the boundary rows of its week and of nothing after it."""
    room = Room(Constant(wall.room_temperature + 273.15), Constant(wall.room_humidity))
    assembly = built(wall)
    case = Case("random", climate(wall.climate), room, (assembly,), start_month=1)
    rows = boundary_rows(case, assembly)
    return case, rows[2 * wall.first_hour : 2 * (wall.first_hour + HOURS) + 1]


def week(wall: Wall) -> Floats:
    return weekly(wall)[1]


def marched(wall: Wall, rows: Floats, nature: Nature) -> March:
    assembly = built(wall)
    mesh = build_mesh(assembly, "main", 0.8)
    row = constants_row(nature, HELD_FILM)
    return march(mesh, rows, HOURS, row, len(wall.layers), profiles=True)


def humidity(temperature: Floats, u: Floats) -> Floats:
    """Relative humidity over water of every node, by Kelvin's law at the suction beside any ice."""
    s = suction_of(u)
    cold = np.minimum(temperature, constants.ICE_POINT)
    frozen = np.where(temperature < constants.ICE_POINT, ice.freezing_suction(cold), 0.0)
    with np.errstate(over="ignore"):
        beside = np.where(s > 0.0, (np.maximum(s, 0.0) ** 4 + frozen**4) ** 0.25, s + frozen)
    scale = constants.WATER_DENSITY * constants.GAS_CONSTANT_VAPOUR * temperature
    return np.exp(-beside / scale)


def faults(found: March) -> list[str]:
    """What a march got wrong, in words; empty when it kept every promise."""
    if found.code != numbers.COMPLETED:
        return [f"stopped with code {found.code} in hour {found.hours} at node {found.node}"]
    temperature, u, water = found.profile[:, 0], found.profile[:, 1], found.profile[:, 2]
    if not np.isfinite(found.profile).all():
        return ["a state that is not finite"]
    phi = humidity(temperature, u)
    cells = found.mesh.chain.materials[:, LAYER] >= 0
    checks = {
        "heat balance": (found.heat_balance_error, 0.0, BALANCE),
        "moisture balance": (found.moisture_balance_error, 0.0, BALANCE),
        "state defect": (found.state_defect, 0.0, DEFECT),
        "lowest humidity": (phi.min(), np.finfo(float).tiny, 1.0),
        "highest humidity": (phi.max(), 0.0, 1.0 + FILM_EXCESS),
        "least water": (water[:, cells].min(), -OWED, np.inf),
        "least film": (found.film.min(), 0.0, np.inf),
        "lowest hourly vapour pressure": (found.planes[1].min(), 0.0, np.inf),
    }
    return [
        f"{name} {value:.3g} outside {low:.3g} to {high:.3g}"
        for name, (value, low, high) in checks.items()
        if not low <= value <= high
    ]


def surface_equilibrium(rows: Floats, emittance: float) -> Floats:
    """Temperature (K) at which the outer surface passes no heat on: air, sun and sky balance."""
    h = rows[:, numbers.OUTDOOR_CONVECTION]
    air = rows[:, numbers.OUTDOOR_TEMPERATURE]
    gain = rows[:, numbers.ABSORBED_SUN] + rows[:, numbers.ABSORBED_LONG_WAVE]
    temperature = air.copy()
    for _ in range(30):
        emitted = constants.STEFAN_BOLTZMANN * emittance * temperature**4
        left = h * (air - temperature) + gain - emitted
        temperature += left / (h + 4.0 * emitted / temperature)
    return temperature


def heat_faults(found: March, rows: Floats, emittance: float) -> list[str]:
    """Where heat alone left the range of air, room and sun-heated surface by more than 0.2 K."""
    if found.code != numbers.COMPLETED:
        return [f"heat alone stopped with code {found.code} in hour {found.hours}"]
    drivers = [rows[:, numbers.OUTDOOR_TEMPERATURE], rows[:, numbers.ROOM_TEMPERATURE]]
    drivers.append(surface_equilibrium(rows, emittance))
    low, high = np.min(drivers) - 0.2, np.max(drivers) + 0.2
    coldest, warmest = found.profile[:, 0].min(), found.profile[:, 0].max()
    if low <= coldest and warmest <= high:
        return []
    return [f"heat alone ran {coldest:.2f} to {warmest:.2f} K, drivers {low:.2f} to {high:.2f} K"]


def judge(wall: Wall) -> list[str]:
    """Faults of the wall's week, moisture and all."""
    return faults(marched(wall, week(wall), Nature()))


def judge_heat(wall: Wall) -> list[str]:
    """Faults of the wall's week where water carries and stores no heat."""
    rows = week(wall)
    return heat_faults(marched(wall, rows, HEAT_ALONE), rows, wall.emittance)

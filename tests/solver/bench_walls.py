"""Hand-built walls between prescribed states, for tests against closed forms.

A surface is prescribed by films so good that they hold it: 1e7 W/(m2 K) and 1 kg/(m2 s Pa).
Sun, sky, rain and leak are off. x runs from the outer face inwards, as depths do.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray

from assembly_sim.model import Assembly, Layer, Material, OuterSurface, Points
from assembly_sim.physics import pore_water
from assembly_sim.physics.airflow import air_density
from assembly_sim.physics.constants import ICE_POINT, STANDARD_PRESSURE
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.solver import grading
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.march import March, Nature, constants_row, march
from assembly_sim.solver.mesh import HELD_FILM, build_mesh

Array = NDArray[np.float64]
HELD_HEAT, HELD_VAPOUR = 1e7, 1.0  # films that prescribe a surface
SEALED = (0.0, 0.0)
HELD = (HELD_HEAT, HELD_VAPOUR)
DRY_STILL = Nature(latent_evaporation=0.0, vapour_heat=0.0, freezing=False)


def material(name: str = "bench", **changes: Any) -> Material:
    """A dry material that neither holds nor passes water unless said."""
    plain = Material(
        name=name,
        density=1000.0,
        specific_heat=1000.0,
        conductivity=Points((293.15,), (1.0,)),
        permeability=Points((0.5,), (1e-20,)),
        porosity=1.0,  # which no march asks for: any water fits
    )
    return replace(plain, **changes)


def constant(value: float) -> Points:
    return Points((0.5,), (value,))


def rows(
    hours: int,
    outdoors: tuple[ArrayLike, ArrayLike],
    room: tuple[ArrayLike, ArrayLike],
    outdoor_films: tuple[float, float] = HELD,
    room_films: tuple[float, float] = HELD,
) -> Array:
    """Boundary rows of airs (K, humidity 0-1; arrays (2 hours + 1,) or constants)."""
    made = np.zeros((2 * hours + 1, numbers.COLUMNS))
    made[:, numbers.OUTDOOR_TEMPERATURE], made[:, numbers.ROOM_TEMPERATURE] = outdoors[0], room[0]
    made[:, numbers.OUTDOOR_VAPOUR_PRESSURE] = outdoors[1] * saturation_pressure(outdoors[0])
    made[:, numbers.ROOM_VAPOUR_PRESSURE] = room[1] * saturation_pressure(room[0])
    made[:, numbers.OUTDOOR_CONVECTION], made[:, numbers.OUTDOOR_VAPOUR_FILM] = outdoor_films
    made[:, numbers.ROOM_HEAT_COEFFICIENT], made[:, numbers.ROOM_VAPOUR_FILM] = room_films
    made[:, numbers.ATMOSPHERIC_PRESSURE] = 101325.0
    return made


def wall(*layers: tuple[Material, float] | Any) -> Assembly:
    """A wall of layers, or of (material, thickness m), outside to inside, with no leak."""
    parts = tuple(
        Layer(f"{part[0].name} {k}", *part) if isinstance(part, tuple) else part
        for k, part in enumerate(layers)
    )
    outer = OuterSurface(np.pi / 2, 0.0, 0.0, 0.0, leaked_rain=0.0)
    return Assembly("bench", 1.0, outer, parts, None)


def marched(
    part: Assembly,
    boundary: Array,
    hours: int,
    start: tuple[float, float],
    nature: Nature | None = None,
    refine: float = 1.0,
    air_through: float = 0.0,
    path: str = "main",
    **march_options: Any,
) -> March:
    """March a wall that starts at one temperature (K) and humidity (0-1), with profiles.

    air_through in kg/(m2 s), positive from the room outwards.
    """
    density = float(air_density(ICE_POINT + 10.0, STANDARD_PRESSURE))
    part = replace(part, air_through=air_through / density)
    mesh = build_mesh(part, path, start[1], refine)
    suction = pore_water.suction(mesh.starting_humidity, pore_water.REFERENCE_TEMPERATURE)
    unknowns = np.array([np.full(len(mesh.depth), start[0]), pore_water.coordinate(suction)])
    row = constants_row(nature or Nature(), HELD_FILM)
    found = march(
        mesh, boundary, hours, row, len(part.layers), start=unknowns, profiles=True, **march_options
    )
    assert found.code == numbers.COMPLETED
    return found


def cells_from_to(patch: pytest.MonkeyPatch, first: float, widest: float) -> None:
    """Cells of one width (m) at faces and of another inside, whatever the material."""
    for name, value in {
        "FINEST": first, "COARSEST": first, "SHARE_OF_HEAT": np.inf, "LARGEST": widest
    }.items():  # fmt: skip
        patch.setattr(grading, name, value)


def cells(found: March) -> NDArray[np.bool_]:
    """Which nodes are cells and not planes."""
    return found.mesh.chain.nodes[:, numbers.WIDTH] > 0.0


def temperatures(found: March, hour: int, at: ArrayLike) -> Array:
    """Temperature (K) at depths (m) after `hour` hours, straight between nodes."""
    return np.interp(at, found.mesh.depth, found.profile[hour - 1, 0])


def water_contents(found: March, hour: int, at: ArrayLike) -> Array:
    """Water content (kg/m3) at depths (m), straight between cell centres."""
    inside = cells(found)
    width = found.mesh.chain.nodes[inside, numbers.WIDTH]
    return np.interp(at, found.mesh.depth[inside], found.profile[hour - 1, 2, inside] / width)


def flow(found: March, kind: int, field: int = 0) -> Array:
    """Hourly means into the wall: field 0 water kg/(m2 s), 1 enthalpy, 2 sensible heat W/m2."""
    return found.flows[:, found.mesh.chain.kinds == kind, field].sum(axis=1)

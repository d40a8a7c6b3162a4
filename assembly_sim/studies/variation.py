"""One change of a case at a time: what a study turns to see what the verdict hangs on.

Each function returns a new `Case` and leaves the old one as it is; `at` is the index of the
assembly that is changed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.room_state import room_rows
from assembly_sim.boundary.stamps import running_mean
from assembly_sim.envelope.airways import is_airtight
from assembly_sim.envelope.rain import drainage_plane
from assembly_sim.model import (
    AirLeak,
    Assembly,
    Case,
    ColumnOfFile,
    Layer,
    Material,
    Membrane,
    Room,
    Sheet,
)
from assembly_sim.model.assembly import NOWHERE, AnyLayer
from assembly_sim.physics.moist_air import saturation_pressure

Array = NDArray[np.float64]

USUAL_LEAK = AirLeak(flow=0.2e-3, reference_pressure=75.0)  # the usual limit for an assembly
SEASON = 90 * 24  # hours
DRIEST_ROOM, DAMPEST_ROOM = 0.02, 0.98


def changed(case: Case, at: int, change: Callable[[Assembly], Assembly]) -> Case:
    """The case with one assembly changed."""
    assemblies = list(case.assemblies)
    assemblies[at] = change(assemblies[at])
    return replace(case, assemblies=tuple(assemblies))


def alone(case: Case, at: int) -> Case:
    """The case with this assembly only, in the room that all of them give (hourly columns).

    A room's moisture balance counts the leaks of every assembly, so it is worked out first.
    """
    temperature, humidity = room_columns(case)
    room = Room(
        ColumnOfFile(tuple(temperature.tolist()), "the room's temperature"),
        ColumnOfFile(tuple(humidity.tolist()), "the room's humidity"),
    )
    return replace(case, room=room, assemblies=(case.assemblies[at],))


def room_columns(case: Case) -> tuple[Array, Array]:
    """Temperature (K) and relative humidity (0-1) of the room by the case's rules, (hours,)."""
    temperature, pressure = room_rows(case)
    return temperature, pressure / saturation_pressure(temperature)


def winter_humidity(case: Case) -> float:
    """Mean relative humidity (0-1) of the room in the 90 coldest days on end."""
    season = running_mean(case.climate.temperature, SEASON)
    return float(running_mean(room_columns(case)[1], SEASON)[season.argmin()])


def damper_room(case: Case, points: float) -> Case:
    """Room humidity higher by `points` (0-1) in the depth of winter, unchanged in high summer.

    The season is a cosine of the year about the middle of the 90 coldest days; the humidity ends
    up as hourly values, held between 2 and 98 %.
    """
    hours = case.climate.hours
    middle = int(running_mean(case.climate.temperature, SEASON).argmin())
    season = 0.5 + 0.5 * np.cos(2.0 * np.pi * (np.arange(hours) - middle) / hours)
    humidity = room_columns(case)[1] + points * season
    held = np.clip(humidity, DRIEST_ROOM, DAMPEST_ROOM)
    rule = ColumnOfFile(tuple(held.tolist()), f"{100 * points:+.1f} points in winter")
    return replace(case, room=replace(case.room, humidity=rule))


def leakier(case: Case, at: int, factor: float) -> Case:
    """Air leak times `factor`; 0 takes it away. The usual leak where the case has none."""
    leak = case.assemblies[at].leak or USUAL_LEAK
    new = replace(leak, flow=leak.flow * factor) if factor > 0.0 else None
    return changed(case, at, lambda assembly: replace(assembly, leak=new))


def with_layer(case: Case, at: int, index: int, **fields: Any) -> Case:
    """Fields of one layer replaced, such as its thickness or starting humidity."""

    def change(assembly: Assembly) -> Assembly:
        layers = list(assembly.layers)
        layers[index] = replace(layers[index], **fields)
        return replace(assembly, layers=tuple(layers))

    return changed(case, at, change)


def with_outer(case: Case, at: int, **fields: Any) -> Case:
    """Fields of the outer surface replaced, such as its azimuth (rad) or solar absorptance."""
    return changed(case, at, lambda one: replace(one, outer=replace(one.outer, **fields)))


def with_sheet(case: Case, at: int, index: int, sheet: Sheet) -> Case:
    """The sheet before layer `index` replaced, or put in where there is none.

    What replaces a sheet is as airtight as that was, so that only vapour changes.
    """
    old = case.assemblies[at].layers[index]
    if isinstance(old, Membrane):
        tight = is_airtight(old)
        return with_layer(case, at, index, sheet=sheet, name=sheet.name, airtight=tight)
    return inserted(case, at, index, Membrane(sheet.name, sheet, airtight=False))


def with_insulation(case: Case, at: int, index: int, material: Material, thickness: float) -> Case:
    """A further layer, `thickness` m, on the outer side of layer `index`."""
    return inserted(case, at, index, Layer(f"added {material.name}", material, thickness))


def inserted(case: Case, at: int, index: int, layer: AnyLayer) -> Case:
    """A layer put in before layer `index`; leaked rain still reaches the layer it did."""

    def change(assembly: Assembly) -> Assembly:
        outer, drainage = assembly.outer, drainage_plane(assembly)
        drained = NOWHERE if drainage is None else assembly.layers[drainage].name
        layers = (*assembly.layers[:index], layer, *assembly.layers[index:])
        return replace(assembly, outer=replace(outer, leaked_rain_layer=drained), layers=layers)

    return changed(case, at, change)

"""What a run gives back: frozen descriptions around hourly arrays.

Fluxes are positive from inside to outside. Hour i of a run is the i-th after its start (midnight
of the first day of the case's start month); arrays hold the hours that were computed, which is
all of them unless the run stopped.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.drivers import Drivers
from assembly_sim.model import Assembly, Case, Material, Opening, Zone

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Plane:
    """A surface or an interface, one side of it.

    index counts positions from outside (a named depth has the number of layers and one more); side
    is `outer`, `inner`, `between` two sheets or, where nothing separates the two, `both`; depth in
    m from the outer surface. Materials are None where a side touches air.
    reach: which air gets here through leaks, `room`, `outdoors` or `none`. drained: the plane
    lies outside the drainage plane (it is shown and never decides).
    """

    index: int
    name: str
    side: str
    depth: float
    outer_material: Material | None
    inner_material: Material | None
    reach: str
    drained: bool = False


@dataclass(frozen=True)
class PathResult:
    """One route through an assembly. Arrays are hourly; T in K, p in Pa.

    temperature, vapour_pressure, relative_humidity (0-1 over liquid water): (hours, planes), means
    of the hour, each of its own: the mean humidity is not the ratio of mean pressures, which passes
    100 % where the temperature swings within the hour; free_water: (hours, planes) kg/m2, film or
    frost at the hour's end; layer_water, layer_ice: (hours, layers) kg/m2 at the hour's end (ice is
    part of water; membranes and air layers hold none). heat_flux_room, heat_flux_outdoors: (hours,)
    W/m2, conduction and radiation through each surface without what water and air carry;
    vapour_flux_room, vapour_flux_outdoors: kg/(m2 s); rain: what the outer surface took in, run-off
    already gone, kg/(m2 s); leak_vapour: vapour that leak air left in the assembly, kg/(m2 s);
    leak_heat: heat it left, W/m2; carried_heat, carried_vapour: what air carries out of the room by
    the account of `boundary/carried.py`, W/m2 and kg/(m2 s): with heat_flux_room the former adds up
    to the total. drained: water that left at the planes, kg/(m2 s). initial_layer_water: (layers,)
    kg/m2 at the start.
    """

    name: str
    share: float
    planes: tuple[Plane, ...]
    temperature: Array
    vapour_pressure: Array
    relative_humidity: NDArray[np.floating]
    free_water: Array
    layer_water: Array
    layer_ice: Array
    initial_layer_water: Array
    heat_flux_room: Array
    heat_flux_outdoors: Array
    vapour_flux_room: Array
    vapour_flux_outdoors: Array
    rain: Array
    leak_vapour: Array
    leak_heat: Array
    carried_heat: Array
    carried_vapour: Array
    heat_balance_error: float
    moisture_balance_error: float
    state_defect: float
    statistics: Mapping[str, float] = field(default_factory=dict)
    profiles: Mapping[str, Array] | None = None
    drained: Array | None = None


@dataclass(frozen=True)
class Outcome:
    """How the march ended: `completed`, or `stopped` with when, where, why and a cure."""

    name: str = "completed"
    hour: int | None = None
    path: str = ""
    layer: str = ""
    material: str = ""
    cause: str = ""
    cure: str = ""


@dataclass(frozen=True)
class AssemblyResult:
    """One assembly through the run: its paths, steady U-value (W/(m2 K)) and outcome.

    surface_resistances names the convention used; converged is False when the run stopped, or
    when its state defect or a balance passed its limit (`solver.run.is_sound`).
    """

    assembly: Assembly
    paths: tuple[PathResult, ...]
    drivers: Drivers
    u_value: float
    surface_resistances: str
    outcome: Outcome
    converged: bool


@dataclass(frozen=True)
class ZoneResult:
    """A zone through the run; arrays are hourly means, (hours,).

    temperature of its air and radiant_temperature at which its faces meet, K; vapour_pressure Pa;
    relative_humidity 0-1; free_water: fog and what it left, kg; heat_gain, duct_heat: W given off
    in it. heat_balance_error, moisture_balance_error: over the run, relative to what came in;
    air_balance_error: the worst hour's, relative to the mean flow (1 g/s at least).
    """

    zone: Zone
    temperature: Array
    vapour_pressure: Array
    relative_humidity: NDArray[np.floating]
    radiant_temperature: Array
    free_water: Array
    heat_gain: Array
    duct_heat: Array
    heat_balance_error: float
    moisture_balance_error: float
    air_balance_error: float


@dataclass(frozen=True)
class StreamResult:
    """Air between two spaces, kg/s of dry air, hourly means, positive from inside to outside.

    kind: `leak` of the assembly of that name, `opening`, or `given` (fan, duct, air change).
    left_heat: W that an opening's air left at the planes that it wets, None of one that wets none.
    """

    name: str
    kind: str
    inside: str
    outside: str
    flow: Array
    opening: Opening | None = None
    left_heat: Array | None = None


@dataclass(frozen=True)
class Result:
    """A run: the case it answers, an `AssemblyResult` each, and where it came from.

    hours: computed hours; month: (hours,) 1-12 and day: (hours,) day counted from the start,
    of each hour; provenance: versions and hashes by name; zones and streams: of a house.
    """

    case: Case
    assemblies: tuple[AssemblyResult, ...]
    hours: int
    month: NDArray[np.int64]
    day: NDArray[np.int64]
    provenance: Mapping[str, str] = field(default_factory=dict)
    zones: tuple[ZoneResult, ...] = ()
    streams: tuple[StreamResult, ...] = ()

"""One path marched through the years: allocates, calls the kernel month by month, reads it out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from assembly_sim.physics import constants, pore_water
from assembly_sim.solver.chain import Chain, Mesh
from assembly_sim.solver.curve_tables import Tables, build_tables
from assembly_sim.solver.kernel import hours as kernel
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.kernel.grids import DRIEST, SATURATED

Floats = NDArray[np.float64]
MONTH = 730  # hours between returns to Python: progress, interruption
FIRST_STEP = 300.0  # s
TOLERANCE = 3e-2  # of the scaled Newton update; tests of order set a stricter one
LONGEST_STEP = 1800.0  # s; a shorter one is kept fixed, for tests of order


@dataclass(frozen=True)
class Nature:
    """Constants that tests switch off one by one to show that they count. SI."""

    latent_evaporation: float = constants.LATENT_HEAT_EVAPORATION
    latent_fusion: float = constants.LATENT_HEAT_FUSION
    water_heat: float = constants.WATER_HEAT_CAPACITY
    ice_heat: float = constants.ICE_HEAT_CAPACITY
    vapour_heat: float = constants.VAPOUR_HEAT_CAPACITY
    freezing: bool = True


@dataclass(frozen=True)
class March:
    """Hourly arrays of one chain, fluxes into it (+).

    planes (2, hours, planes): mean temperature K and vapour pressure Pa; humidity (hours, planes):
    mean relative humidity, in half the digits, as many as it has; film (hours, planes) kg/m2;
    layers, ice (hours, layers) kg/m2; flows (hours, kinds of `Chain.kinds`,
    3): water kg/(m2 s), enthalpy and sensible heat W/m2, means of the hour; profile (hours, 3,
    nodes) or None: T, u, water.
    """

    mesh: Mesh
    code: int
    hours: int
    node: int
    planes: Floats
    humidity: NDArray[np.float32]
    film: Floats
    layers: Floats
    ice: Floats
    flows: Floats
    initial_layers: Floats
    heat_balance_error: float
    moisture_balance_error: float
    state_defect: float
    statistics: dict[str, float] = field(default_factory=dict)
    profile: Floats | None = None
    kept: Kept | None = None


def constants_row(nature: Nature, held: float) -> Floats:
    """The kernel's row of constants; held: water that a face holds before it runs off, kg/m2."""
    row = np.zeros(numbers.CONSTANTS)
    row[numbers.LATENT_EVAPORATION] = nature.latent_evaporation
    row[numbers.LATENT_FUSION] = nature.latent_fusion
    row[numbers.WATER_HEAT] = nature.water_heat
    row[numbers.ICE_HEAT] = nature.ice_heat
    row[numbers.VAPOUR_HEAT] = nature.vapour_heat
    row[numbers.AIR_HEAT] = constants.DRY_AIR_HEAT_CAPACITY
    row[numbers.VAPOUR_GAS] = constants.WATER_DENSITY * constants.GAS_CONSTANT_VAPOUR
    row[numbers.ICE_POINT_K] = constants.ICE_POINT
    row[numbers.RADIATION] = constants.STEFAN_BOLTZMANN
    row[numbers.MASS_RATIO] = constants.MOLAR_MASS_RATIO
    row[numbers.NEWTON] = TOLERANCE
    row[numbers.FREEZING] = 1.0 if nature.freezing else 0.0
    row[numbers.HELD] = held
    return row


def starting_state(mesh: Mesh, rows: Floats) -> Floats:
    """Unknowns (2, nodes) at the start: T linear between the two airs, u from the humidities.

    The air of a zone starts half-way between those of its surface.
    """
    first = by_surface(mesh, rows)[0][mesh.chain.materials[:, numbers.SURFACE]]
    outdoors, room = first[:, numbers.OUTDOOR_TEMPERATURE], first[:, numbers.ROOM_TEMPERATURE]
    temperature = outdoors + (room - outdoors) * _share_of_depth(mesh)
    suction = pore_water.suction(mesh.starting_humidity, pore_water.REFERENCE_TEMPERATURE)
    return np.array([temperature, pore_water.coordinate(suction)])


def by_surface(mesh: Mesh, rows: Floats) -> Floats:
    """Boundary rows as (stamps, surfaces, COLUMNS), contiguous; those of one surface may be 2-D.

    ValueError where there are not as many as the mesh has surfaces.
    """
    whole = np.ascontiguousarray(rows, dtype=np.float64)
    return whole.reshape(len(rows), len(mesh.chain.surfaces), numbers.COLUMNS)


def _share_of_depth(mesh: Mesh) -> Floats:
    """Depth of each node over its path's thickness; a half in a zone."""
    ends = np.flatnonzero(mesh.chain.nodes[:, numbers.LINK] == 0.0)
    path = np.searchsorted(ends, np.arange(len(mesh.depth)))
    share = mesh.depth / np.maximum(mesh.depth[ends], 1e-9)[path]
    zones = 0 if mesh.chain.border is None else mesh.chain.border.columns.shape[1]
    share[len(share) - zones :] = 0.5
    return share


class _Arrays(NamedTuple):
    """What a march works on and fills, in the order in which the kernel takes it.

    work (nodes, SCRATCH); first and last stage's flows (flows, FLOW_FIELDS); sums (flows, 3) of an
    hour, kg, J, J; means of the hour, early and late stage's (3, planes): T, p, phi; the others
    (nodes,).
    """

    work: Floats
    first: Floats
    flows: Floats
    sums: Floats
    means: Floats
    early: Floats
    late: Floats
    temperature: Floats
    u: Floats
    water: Floats
    heat: Floats


class Kept(NamedTuple):
    """What a march needs to go on: its arrays, step clock, row of weather, statistics and start.

    before: water and heat of the nodes at the start of the first hour, (nodes,) each.
    """

    arrays: _Arrays
    clock: Floats
    row: Floats
    stats: Floats
    before: tuple[Floats, Floats]


class _Outputs(NamedTuple):
    planes: Floats
    humidity: NDArray[np.float32]
    film: Floats
    layers: Floats
    ice: Floats
    flows: Floats
    profile: Floats


def march(
    mesh: Mesh,
    rows: Floats,
    hours: int,
    constants_row: Floats,
    layers: int,
    start: Floats | None = None,
    progress: Callable[[int], None] | None = None,
    profiles: bool = False,
    longest_step: float = LONGEST_STEP,
    steps: float = 1.0,
    kept: Kept | None = None,
) -> March:
    """March a chain through `hours` hours of half-hour boundary rows (repeated when they end).

    rows: (2 hours + 1, surfaces, COLUMNS), or without the middle one for a chain of one surface.
    start: unknowns (2, nodes), T and u; by default `starting_state`. progress is called with the
    hours done, about once a simulated month. steps: share of the usual length of steps, their
    errors limited by its square; a longest_step (s) below the usual one is kept, whatever they are.
    kept: that of a march to go on with, which ended where the rows do; it is used up.
    """
    chain, tables = _own_scratch(mesh.chain), build_tables(mesh.materials, mesh.sheets)
    rows = by_surface(mesh, rows)
    if kept is None:
        state = starting_state(mesh, rows) if start is None else start
        clock = _clock(longest_step, steps)
        kept = _begin(_arrays(mesh, state), chain, tables, constants_row, clock)
    out = _outputs(mesh, hours, layers, profiles)
    code, done, node = numbers.COMPLETED, 0, 0
    while done < hours and code == numbers.COMPLETED:
        code, done, node = kernel.march(
            *kept.arrays, rows, done, min(MONTH, hours - done), kept.clock, kept.row,
            chain, tables, constants_row, kept.stats, *out,
        )  # fmt: skip
        if progress is not None:
            progress(done)
    found = March(
        mesh=mesh,
        code=code,
        hours=done,
        node=node,
        planes=out.planes.transpose(0, 2, 1)[:, :done],
        humidity=out.humidity.T[:done],
        film=out.film.T[:done],
        layers=out.layers.T[:done],
        ice=out.ice.T[:done],
        flows=out.flows.transpose(2, 0, 1)[:done],
        initial_layers=_by_layer(mesh, kept.before[0], layers),
        heat_balance_error=0.0,
        moisture_balance_error=0.0,
        state_defect=0.0,
        profile=out.profile[:done] if profiles else None,
        kept=kept,
    )
    return _balanced(found)


def continued(first: March, more: March) -> March:
    """One march of two, the second gone on from the first; its profiles are those of both."""
    profiles = (first.profile, more.profile)
    return _balanced(
        replace(
            more,
            hours=first.hours + more.hours,
            planes=np.concatenate((first.planes, more.planes), axis=1),
            humidity=np.concatenate((first.humidity, more.humidity)),
            film=np.concatenate((first.film, more.film)),
            layers=np.concatenate((first.layers, more.layers)),
            ice=np.concatenate((first.ice, more.ice)),
            flows=np.concatenate((first.flows, more.flows)),
            profile=None if more.profile is None else np.concatenate(profiles),  # type: ignore[arg-type]
        )
    )


def _begin(
    arrays: _Arrays, chain: Chain, tables: Tables, constants_row: Floats, clock: Floats
) -> Kept:
    """Arrays with the state's water and heat worked out, and a clock."""
    kernel.initial_state(
        arrays.work, arrays.temperature, arrays.u, arrays.water, arrays.heat,
        chain, tables, constants_row,
    )  # fmt: skip
    return Kept(
        arrays=arrays,
        clock=clock,
        row=np.zeros((len(chain.surfaces), numbers.COLUMNS)),
        stats=np.zeros(numbers.STATISTICS),
        before=(arrays.water.copy(), arrays.heat.copy()),
    )


def _balanced(found: March) -> March:
    """A march with its balance errors, state defect and statistics, from its start to its end."""
    kept = found.kept
    assert kept is not None
    unfinished = kept.arrays.sums if found.code != numbers.COMPLETED else 0.0 * kept.arrays.sums
    moisture, heat = _balance_errors(found.mesh, kept.before, kept.arrays, found.flows, unfinished)
    return replace(
        found,
        heat_balance_error=heat,
        moisture_balance_error=moisture,
        state_defect=float(kept.stats[numbers.WORST_DEFECT]),
        statistics=_statistics(kept.stats, found.hours),
    )


def _clock(longest_step: float, steps: float) -> Floats:
    """The kernel's clock: step to try first, longest step (s), limit of its error, an hour's error.

    The error goes with the square of the step. A fixed step has no limit of error.
    """
    longest = min(longest_step, LONGEST_STEP * steps)
    limit = steps**2 if longest_step >= LONGEST_STEP else np.inf
    return np.array([min(FIRST_STEP, longest), longest, limit, np.inf])


def _own_scratch(chain: Chain) -> Chain:
    """The chain with scratch of its own: a mesh may be marched in several threads."""
    border = chain.border
    if border is None:
        return chain
    scratch = {name: getattr(border, name).copy() for name in ("flux", "columns", "known", "dense")}
    used = border.air._fields[border.air._fields.index("row") :]
    air = border.air._replace(**{name: getattr(border.air, name).copy() for name in used})
    return chain._replace(border=border._replace(**scratch, air=air))


def _arrays(mesh: Mesh, start: Floats) -> _Arrays:
    n, flows = len(mesh.chain.nodes), len(mesh.chain.flow_number)
    planes = (3, len(mesh.chain.plane_node))
    return _Arrays(
        work=np.zeros((n, numbers.SCRATCH)),
        first=np.zeros((flows, numbers.FLOW_FIELDS)),
        flows=np.zeros((flows, numbers.FLOW_FIELDS)),
        sums=np.zeros((flows, 3)),
        means=np.zeros(planes),
        early=np.zeros(planes),
        late=np.zeros(planes),
        temperature=start[0].copy(),
        u=start[1].copy(),
        water=np.zeros(n),
        heat=np.zeros(n),
    )


def _outputs(mesh: Mesh, hours: int, layers: int, profiles: bool) -> _Outputs:
    """The kernel's arrays, the hours of a plane or layer in a row: what stays dry takes no room."""
    planes, kinds = len(mesh.chain.plane_node), len(mesh.chain.kinds)
    return _Outputs(
        planes=np.zeros((2, planes, hours)),
        humidity=np.zeros((planes, hours), np.float32),
        film=np.zeros((planes, hours)),
        layers=np.zeros((layers, hours)),
        ice=np.zeros((layers, hours)),
        flows=np.zeros((kinds, 3, hours)),
        profile=np.zeros((hours if profiles else 0, 3, len(mesh.chain.nodes))),
    )


def _by_layer(mesh: Mesh, water: Floats, layers: int) -> Floats:
    """Water of the cells of each layer, kg/m2."""
    layer = mesh.chain.materials[:, numbers.LAYER]
    cells = layer >= 0
    return np.bincount(layer[cells], water[cells], layers).astype(float)


def _balance_errors(
    mesh: Mesh, before: tuple[Floats, Floats], after: _Arrays, hourly: Floats, unfinished: Floats
) -> tuple[float, float]:
    """Relative errors of the balances of water and of heat; inventory of heat: 20 K of the dry.

    Paths count by their areas. unfinished: what flowed in an hour that did not end, by flow.
    """
    area = mesh.node_area
    hourly = mesh.kind_area[:, None] * hourly
    unfinished = mesh.kind_area[mesh.chain.flow_number, None] * unfinished
    dry = 20.0 * (area * mesh.chain.nodes[:, numbers.CAPACITY]).sum()
    water, heat = area * after.water, area * after.heat
    return (
        _balance_error(area * before[0], water, hourly[:, :, 0], unfinished[:, 0], 0.0),
        _balance_error(area * before[1], heat, hourly[:, :, 1], unfinished[:, 1], dry),
    )


def _balance_error(
    before: Floats, after: Floats, hourly: Floats, unfinished: Floats, more: float
) -> float:
    """|stored - net inflow| over the larger of gross inflow and a millionth of the inventory.

    That of the start or the end, whichever is more: a wall that only dries takes nothing in, and
    its last digits are those of what it held.
    """
    stored = (after - before).sum()
    net = 3600.0 * hourly.sum() + unfinished.sum()
    gross = 3600.0 * np.maximum(hourly, 0.0).sum() + np.maximum(unfinished, 0.0).sum()
    inventory = max(np.abs(before).sum(), np.abs(after).sum()) + more
    return float(abs(stored - net) / max(gross, 1e-6 * inventory, 1e-30))


def _statistics(stats: Floats, hours: int) -> dict[str, float]:
    names = ("steps", "iterations", "rejected steps", "failed steps", "fallback steps")
    return dict(zip(names, (float(s) for s in stats)), hours=float(hours))


def suction_of(u: Floats) -> Floats:
    """Suction (Pa) of the kernel's coordinate, going on straight past both ends of its tables."""
    past = (u - SATURATED) * pore_water.SUCTION_OFFSET
    driest = np.exp(DRIEST)
    beyond = driest * (1.0 + u - DRIEST) - pore_water.SUCTION_OFFSET
    inside = np.exp(np.minimum(u, DRIEST)) - pore_water.SUCTION_OFFSET
    return np.where(u <= SATURATED, past, np.where(u > DRIEST, beyond, inside))

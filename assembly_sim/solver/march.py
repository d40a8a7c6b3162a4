"""One path marched through the years: allocates, calls the kernel month by month, reads it out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from assembly_sim.physics import constants, pore_water
from assembly_sim.solver import kernel, layout
from assembly_sim.solver.mesh import Mesh
from assembly_sim.solver.tables import SATURATED, build_tables

Floats = NDArray[np.float64]
MONTH = 730  # hours between returns to Python: progress, interruption
FIRST_STEP = 300.0  # s
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
    """Hourly arrays of one path, fluxes into the chain (+) in the kernel's own order.

    planes (2, hours, planes): mean temperature K and vapour pressure Pa; film (hours, planes)
    kg/m2; layers, ice (hours, layers) kg/m2; flows (hours, flows, 3): water kg/(m2 s), enthalpy
    and sensible heat W/m2, means of the hour; profile (hours, 3, nodes) or None: T, u, water.
    """

    mesh: Mesh
    code: int
    hours: int
    node: int
    planes: Floats
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


def constants_row(nature: Nature, emittance: float, air_through: float, held: float) -> Floats:
    """The kernel's row of constants; air_through is kg/(m2 s), positive outward."""
    row = np.zeros(layout.CONSTANTS)
    row[layout.LATENT_EVAPORATION] = nature.latent_evaporation
    row[layout.LATENT_FUSION] = nature.latent_fusion
    row[layout.WATER_HEAT] = nature.water_heat
    row[layout.ICE_HEAT] = nature.ice_heat
    row[layout.VAPOUR_HEAT] = nature.vapour_heat
    row[layout.AIR_HEAT] = constants.DRY_AIR_HEAT_CAPACITY
    row[layout.VAPOUR_GAS] = constants.WATER_DENSITY * constants.GAS_CONSTANT_VAPOUR
    row[layout.ICE_POINT_K] = constants.ICE_POINT
    row[layout.RADIATION] = constants.STEFAN_BOLTZMANN
    row[layout.MASS_RATIO] = constants.MOLAR_MASS_RATIO
    row[layout.SURFACE_EMITTANCE] = emittance
    row[layout.AIR_THROUGH] = air_through
    row[layout.FREEZING] = 1.0 if nature.freezing else 0.0
    row[layout.HELD] = held
    return row


def starting_state(mesh: Mesh, rows: Floats) -> Floats:
    """Unknowns (2, nodes) at the start: T linear between the two airs, u from the humidities."""
    outdoors, room = rows[0, layout.OUTDOOR_TEMPERATURE], rows[0, layout.ROOM_TEMPERATURE]
    depth = mesh.depth / max(mesh.depth[-1], 1e-9)
    temperature = outdoors + (room - outdoors) * depth
    suction = pore_water.suction(mesh.starting_humidity, pore_water.REFERENCE_TEMPERATURE)
    return np.array([temperature, pore_water.coordinate(suction)])


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
) -> March:
    """March a chain through `hours` hours of half-hour boundary rows (repeated when they end).

    start: unknowns (2, nodes), T and u; by default `starting_state`. progress is called with the
    hours done, about once a simulated month.
    """
    chain = mesh.chain
    tables = build_tables(mesh.materials, mesh.sheets)
    n, planes, flows = len(chain.nodes), len(chain.plane_node), len(chain.flow_node)
    temperature, u = (starting_state(mesh, rows) if start is None else np.array(start)).copy()
    work = np.zeros((n, kernel.SCRATCH))
    first, last = np.zeros((flows, kernel.FLOW_FIELDS)), np.zeros((flows, kernel.FLOW_FIELDS))
    sums, means = np.zeros((flows, 3)), np.zeros((3, planes))
    water, heat = np.zeros(n), np.zeros(n)
    clock, row = np.array([min(FIRST_STEP, longest_step), longest_step]), np.zeros(layout.COLUMNS)
    stats = np.zeros(layout.STATISTICS)
    out = (
        np.zeros((2, hours, planes)),
        np.zeros((hours, planes)),
        np.zeros((hours, layers)),
        np.zeros((hours, layers)),
        np.zeros((hours, flows, 3)),
        np.zeros((hours if profiles else 0, 3, n)),
    )
    kernel.initial_state(work, temperature, u, water, heat, means, chain, tables, constants_row)
    before = water.sum(), heat.sum()
    cells = chain.materials[:, kernel.LAYER] >= 0
    initial_layers = np.bincount(chain.materials[cells, kernel.LAYER], water[cells], layers)
    code, done, node = layout.COMPLETED, 0, 0
    while done < hours and code == layout.COMPLETED:
        code, done, node = kernel.march(
            work, first, last, sums, means, temperature, u, water, heat, rows, done,
            min(MONTH, hours - done), clock, row, chain, tables, constants_row, stats, *out,
        )  # fmt: skip
        if progress is not None:
            progress(done)
    gained = 3600.0 * out[4][:done, :, :2].sum(axis=(0, 1))
    gross = 3600.0 * np.maximum(out[4][:done, :, :2], 0.0).sum(axis=(0, 1))
    stored = water.sum() - before[0], heat.sum() - before[1]
    inventory = (
        np.abs(water).sum(),
        np.abs(heat).sum() + 20.0 * chain.nodes[:, kernel.CAPACITY].sum(),
    )
    errors = [
        abs(stored[k] - gained[k]) / max(gross[k], 1e-6 * inventory[k], 1e-30) for k in range(2)
    ]
    return March(
        mesh=mesh,
        code=code,
        hours=done,
        node=node,
        planes=out[0][:, :done],
        film=out[1][:done],
        layers=out[2][:done],
        ice=out[3][:done],
        flows=out[4][:done],
        initial_layers=initial_layers,
        heat_balance_error=errors[1],
        moisture_balance_error=errors[0],
        state_defect=float(stats[layout.WORST_DEFECT]),
        statistics=_statistics(stats, done),
        profile=out[5][:done] if profiles else None,
    )


def _statistics(stats: Floats, hours: int) -> dict[str, float]:
    names = ("steps", "iterations", "rejected steps", "failed steps", "fallback steps")
    return dict(zip(names, (float(s) for s in stats)), hours=float(hours))


def suction_of(u: Floats) -> Floats:
    """Suction (Pa) of the kernel's coordinate, straight past saturation as in its tables."""
    past = (u - SATURATED) * pore_water.SUCTION_OFFSET
    return np.where(u > SATURATED, np.exp(u) - pore_water.SUCTION_OFFSET, past)

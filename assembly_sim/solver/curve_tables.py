"""Material curves and curves of temperature on grids that the kernel indexes.

The kernel holds no formula of state: what `physics/` says is put here into cubic Hermite tables
over u = ln(s + 1 kPa) and over temperature, values and slopes (per table step) side by side.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from assembly_sim.model import ConductivityPoints, Material, Points, Sheet
from assembly_sim.physics import liquid, pore_water
from assembly_sim.physics.constants import STILL_AIR_PERMEABILITY
from assembly_sim.physics.ice import freezing_suction
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.physics.pore_water import (
    REFERENCE_TEMPERATURE,
    SUCTION_OFFSET,
    monotone_slopes,
)
from assembly_sim.solver.kernel.grids import (
    COARSE_NODES,
    COARSE_STEP,
    COLDEST,
    HUMIDITY_NODES,
    SATURATED,
    SUCTION_NODES,
    SUCTION_STEP,
    TEMPERATURE_NODES,
    TEMPERATURE_STEP,
)

Array = NDArray[np.float64]


class Tables(NamedTuple):
    """Arrays that the kernel indexes.

    curves (materials, SUCTION_NODES - 1, 16): water content, liquid potential, permeability and
    suction over u, four polynomial coefficients each; thermal (materials, COARSE_NODES, 2):
    conductivity W/(m K) and the factor of permeability over T; wet (materials, 2): conductivity
    per kg/m3 of water, and 1 where `thermal` varies; sheets (sheets, HUMIDITY_NODES): permeance
    over mean humidity; state (TEMPERATURE_NODES - 1, 8): saturation pressure and freezing suction
    over T, likewise.
    """

    curves: Array
    thermal: Array
    wet: Array
    sheets: Array
    state: Array


def build_tables(materials: list[Material | None], sheets: list[Sheet | Points]) -> Tables:
    """Tables of these materials (None: still air, for planes that touch no material)."""
    grid = COLDEST + COARSE_STEP * np.arange(COARSE_NODES, dtype=float)
    thermal = np.array([_thermal(material, grid) for material in materials])
    varies = (np.ptp(thermal, axis=1) > 0.0).any(axis=1)
    return Tables(
        curves=np.array([coefficients(material_curves(material)) for material in materials]),
        thermal=thermal,
        wet=np.column_stack(([m.conductivity_per_water if m else 0.0 for m in materials], varies)),
        sheets=np.array([_permeance(sheet) for sheet in sheets]).reshape(-1, HUMIDITY_NODES),
        state=coefficients(_state()),
    )


def coefficients(table: Array) -> Array:
    """Cubic Hermite columns (value, slope, value, slope, ...) as polynomials of each interval.

    The constants of all pairs, then their linear, quadratic and cubic coefficients over t from 0
    to 1: shape (rows - 1, 4 pairs).
    """
    value, slope = table[:, 0::2], table[:, 1::2]
    rise, start, end = np.diff(value, axis=0), slope[:-1], slope[1:]
    parts = (value[:-1], start, 3.0 * rise - 2.0 * start - end, start + end - 2.0 * rise)
    return np.concatenate(parts, axis=1)


def material_curves(material: Material | None) -> Array:
    """Table (SUCTION_NODES, 8) of one material over u, slopes per table step."""
    u = SATURATED + SUCTION_STEP * np.arange(SUCTION_NODES, dtype=float)
    suction = np.maximum(np.exp(u) - SUCTION_OFFSET, 0.0)
    columns = [
        _water(material, suction),
        _liquid_potential(material, u),
        _permeability(material, suction),
        suction,
    ]
    slopes = [monotone_slopes(np.arange(SUCTION_NODES, dtype=float), column) for column in columns]
    slopes[3] = (suction + SUCTION_OFFSET) * SUCTION_STEP
    table = np.empty((SUCTION_NODES, 8))
    for i, (column, slope) in enumerate(zip(columns, slopes)):
        table[:, 2 * i], table[:, 2 * i + 1] = column, slope
    return table


def _water(material: Material | None, suction: Array) -> Array:
    if material is None or material.storage is None:
        return np.zeros_like(suction)
    return pore_water.water_content(material.storage, suction)


def _liquid_potential(material: Material | None, u: Array) -> Array:
    """Kirchhoff potential Phi = integral of K ds from dry, so that g = -dPhi/dx exactly.

    With a diffusivity K ds = D dw, else K is taken from its points. Summed by the midpoint rule
    on a grid 16 times finer than the table.
    """
    if material is None or material.liquid is None or material.storage is None:
        return np.zeros_like(u)
    fine = np.linspace(u[0], u[-1], 16 * (len(u) - 1) + 1)
    suction = np.maximum(np.exp(fine) - SUCTION_OFFSET, 0.0)
    water = pore_water.water_content(material.storage, suction)
    middle = 0.5 * (water[1:] + water[:-1])
    if isinstance(material.liquid, ConductivityPoints):
        parts = liquid.conductivity(material.liquid, middle) * np.diff(suction)
    else:
        parts = -liquid.diffusivity(material.liquid, middle, material.storage) * np.diff(water)
    return np.concatenate((np.cumsum(parts[::-1])[::-1], [0.0]))[::16]


def _permeability(material: Material | None, suction: Array) -> Array:
    if material is None:
        return np.full_like(suction, STILL_AIR_PERMEABILITY)
    humidity = pore_water.relative_humidity(suction, REFERENCE_TEMPERATURE)
    return _log_linear(material.permeability, humidity)


def _log_linear(points: Points, at: Array) -> Array:
    return np.exp(np.interp(at, points.x, np.log(points.y)))


def _thermal(material: Material | None, grid: Array) -> Array:
    if material is None:
        return np.column_stack((np.full_like(grid, 0.025), np.ones_like(grid)))
    conductivity = np.interp(grid, material.conductivity.x, material.conductivity.y)
    factor = (grid / REFERENCE_TEMPERATURE) ** material.permeability_temperature_exponent
    return np.column_stack((conductivity, factor))


def _permeance(sheet: Sheet | Points) -> Array:
    points = sheet.permeance if isinstance(sheet, Sheet) else sheet
    return _log_linear(points, np.linspace(0.0, 1.0, HUMIDITY_NODES))


def _state() -> Array:
    """Both curves with slopes from below: the kernel asks for freezing only below the ice point."""
    grid = COLDEST + TEMPERATURE_STEP * np.arange(TEMPERATURE_NODES, dtype=float)
    table = np.empty((TEMPERATURE_NODES, 4))
    for column, curve in ((0, saturation_pressure), (2, freezing_suction)):
        table[:, column] = curve(grid)
        back = curve(grid - 2e-4) - 4.0 * curve(grid - 1e-4) + 3.0 * curve(grid)
        table[:, column + 1] = back / 2e-4 * TEMPERATURE_STEP
    return table

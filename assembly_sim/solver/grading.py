"""How wide the cells of a layer are: fine at its faces, by what penetrates it in a day.

A daily wave of vapour dies away over sqrt(D P / pi), with D = delta p_sat / (dw/dphi) (EN ISO
13786 gives the same for heat). At the faces of a cold board the humidity swings between 90 and
100 %, where dw/dphi is steepest: tenths of a millimetre in wood, millimetres in foam. A first
cell of half that depth at 0 degC resolves it; inside, cells grow, up to a quarter of
the penetration depth of heat. `tests/bench/mesh.py` shows what that leaves of errors.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assembly_sim.model import Material
from assembly_sim.physics import pore_water
from assembly_sim.physics.constants import (
    DRY_AIR_HEAT_CAPACITY,
    ICE_POINT,
    MOLAR_MASS_RATIO,
    STANDARD_PRESSURE,
)
from assembly_sim.physics.moist_air import saturation_pressure

DAY = 86400.0  # s
DAMP, SATURATED = 0.90, 0.9999  # humidities between which a cold face swings
SHARE_OF_MOISTURE = 0.5  # of the penetration depth of moisture, the first cell of what is dense
DENSE = 7e-4  # m, as far as this rule goes: foam that foils close in needs no finer cells
SHARE_OF_LIGHT = 0.1  # of the same, the first cell of what vapour penetrates deeply
FINEST, COARSEST = 5e-5, 5e-3  # m, bounds of a first cell
GROWTH = 1.6  # from cell to cell away from a face
SHARE_OF_HEAT = 0.25  # of the penetration depth of heat, the largest cell
LARGEST = 0.03  # m, the largest cell of all
PECLET = 0.5  # of a cell with air through it: beyond it, waves that the air carries smear
FINEST_BLOWN = 1e-3  # m, cells no finer for the sake of air

Floats = NDArray[np.float64]


def permeability(material: Material) -> float:
    """Vapour permeability (kg/(m s Pa)) of a damp material at 0 degC."""
    points = material.permeability
    dry = np.exp(np.interp(DAMP, points.x, np.log(points.y)))
    kelvins = ICE_POINT / pore_water.REFERENCE_TEMPERATURE
    return float(dry * kelvins**material.permeability_temperature_exponent)


def penetration(diffusivity: float) -> float:
    """Depth (m) at which a daily wave has fallen to 1/e: sqrt(D P / pi)."""
    return float(np.sqrt(diffusivity * DAY / np.pi))


def moisture_penetration(material: Material) -> float:
    """Penetration depth (m) of a day's vapour into a damp, cold face; infinite where none stays."""
    if material.storage is None:
        return float("inf")
    ends = pore_water.suction(np.array([DAMP, SATURATED]), pore_water.REFERENCE_TEMPERATURE)
    dry, wet = pore_water.water_content(material.storage, ends)
    slope = (wet - dry) / (SATURATED - DAMP)
    if slope <= 0.0:
        return float("inf")
    return penetration(permeability(material) * float(saturation_pressure(ICE_POINT)) / slope)


def heat_penetration(material: Material) -> float:
    """Penetration depth (m) of a day's heat into the dry material at 0 degC."""
    conductivity = np.interp(ICE_POINT, material.conductivity.x, material.conductivity.y)
    return penetration(float(conductivity) / (material.density * material.specific_heat))


def first_cell(material: Material) -> float:
    """Width (m) of the cell at a face."""
    depth = moisture_penetration(material)
    wanted = max(min(SHARE_OF_MOISTURE * depth, DENSE), SHARE_OF_LIGHT * depth)
    return min(max(wanted, FINEST), COARSEST)


def largest_cell(material: Material, air: float = 0.0) -> float:
    """Width (m) of the widest cell inside, where air (kg/(m2 s)) flows through the layers too."""
    widest = min(SHARE_OF_HEAT * heat_penetration(material), LARGEST)
    if air == 0.0:
        return widest
    vapour = permeability(material) * STANDARD_PRESSURE / MOLAR_MASS_RATIO
    conductivity = float(np.interp(ICE_POINT, material.conductivity.x, material.conductivity.y))
    carried = min(vapour, conductivity / DRY_AIR_HEAT_CAPACITY)
    return min(widest, max(PECLET * carried / abs(air), FINEST_BLOWN))


def graded(thickness: float, material: Material, refine: float = 1.0, air: float = 0.0) -> Floats:
    """Cell widths (m) of a layer, fine at both faces; `refine` 2 halves them all."""
    half: list[float] = []
    width, widest = first_cell(material), largest_cell(material, air)
    while sum(half) + width < 0.5 * thickness:
        half.append(width)
        width = min(width * GROWTH, max(widest, half[0]))
    rest = 0.5 * thickness - sum(half)
    if not half or rest > 0.4 * half[-1]:
        half.append(rest)
    widths = np.array(half) * (0.5 * thickness / sum(half))
    cells = np.concatenate((widths, widths[::-1]))
    if refine == 1.0:
        return cells
    edges = np.concatenate(([0.0], np.cumsum(cells)))
    count = max(round(refine * len(cells)), 1)
    at = np.linspace(0.0, len(cells), count + 1)
    return np.diff(np.interp(at, np.arange(len(edges)), edges))

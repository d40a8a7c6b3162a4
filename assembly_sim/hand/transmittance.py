"""U-value by three methods, with the corrections of ISO 6946 for gaps and fasteners."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assembly_sim.envelope.resistances import (
    SteadyLayers,
    side_by_side,
    steady_layers,
    u_value,
)
from assembly_sim.model import Assembly
from assembly_sim.physics.resistance import (
    combined_resistance,
    isothermal_planes,
    parallel_paths,
)

__all__ = [
    "Transmittance",
    "corrected",
    "fastener_correction",
    "gap_correction",
    "transmittance",
    "transmittance_of",
    "u_value",
]

LARGEST_LIMIT_RATIO = 1.5
LEAST_CORRECTION = 0.03
GAP_LEVELS = (0.0, 0.01, 0.04)  # W/(m2 K), ISO 6946 annex, from memory


@dataclass(frozen=True)
class Transmittance:
    """U-values in W/(m2 K): parallel paths, isothermal planes, and the combined method.

    error is the combined method's largest relative error; valid is False where its two limits
    lie further apart than ISO 6946 allows; convention names the surface resistances.
    """

    parallel: float
    isothermal: float
    combined: float
    error: float
    valid: bool
    convention: str


def transmittance_of(steady: SteadyLayers) -> Transmittance:
    """U-values by the three methods, of layers and paths already listed.

    e = (R' - R'') / (2 R); valid where R' / R'' <= 1.5 (ISO 6946:2017, from memory). All three
    have paths past a defect beside what is drawn; e and validity are of what is drawn.
    """
    methods = (parallel_paths, isothermal_planes, combined_resistance)
    parallel, isothermal, combined = (side_by_side(steady, method) for method in methods)
    drawn = np.array([path not in steady.defects for path in steady.paths])
    shares = steady.shares[drawn] / steady.shares[drawn].sum()
    films = (steady.inner_surface, steady.outer_surface)
    upper, lower, total = (method(steady.resistances[drawn], shares, *films) for method in methods)
    return Transmittance(
        parallel=parallel,
        isothermal=isothermal,
        combined=combined,
        error=(upper - lower) / (2.0 * total),
        valid=upper / lower <= LARGEST_LIMIT_RATIO,
        convention=steady.convention,
    )


def transmittance(assembly: Assembly) -> Transmittance:
    """U-values of an assembly by the three methods, without corrections."""
    return transmittance_of(steady_layers(assembly))


def gap_correction(level: int, insulation_resistance: float, total_resistance: float) -> float:
    """Added W/(m2 K) for gaps in insulation: dU'' (R1 / R_T)^2, dU'' = 0, 0.01, 0.04.

    Level 0: no gaps; 1: gaps bridge the insulation, no air circulates on its warm side; 2: gaps
    with circulation (ISO 6946:2017 annex, from memory). Resistances in m2K/W.
    """
    return GAP_LEVELS[level] * (insulation_resistance / total_resistance) ** 2


def fastener_correction(
    conductivity: float,
    cross_section: float,
    number: float,
    insulation_thickness: float,
    insulation_resistance: float,
    total_resistance: float,
    penetration: float | None = None,
) -> float:
    """Added W/(m2 K) for fasteners: a (lambda A n / d0) (R1 / R_T)^2.

    conductivity W/(m K); cross_section m2; number 1/m2; thickness d0 of the insulation and
    penetration d1 into it, m; a = 0.8, or 0.8 d1/d0 where recessed (ISO 6946:2017 annex, from
    memory). Leaves out fasteners that join two metal sheets.
    """
    depth = insulation_thickness if penetration is None else penetration
    conductance = conductivity * cross_section * number / insulation_thickness
    share = 0.8 * depth / insulation_thickness
    return share * conductance * (insulation_resistance / total_resistance) ** 2


def corrected(u: float, *corrections: float) -> float:
    """U with its corrections, W/(m2 K), which ISO 6946 drops up to 3 % of U (from memory)."""
    added = sum(corrections)
    return u + added if added > LEAST_CORRECTION * u else u

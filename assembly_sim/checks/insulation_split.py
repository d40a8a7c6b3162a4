"""Where the insulation lies: on which side of the plane where moist room air would condense."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.monthly import MonthlyAir, three_coldest_months
from assembly_sim.checks.retarder import is_batt_or_fill, is_foam_or_board
from assembly_sim.model import Assembly
from assembly_sim.physics.surface import heat_flow_direction
from assembly_sim.solver.steady import steady_layers

ROOM_OF_CODE = 293.15  # K, IRC R806.5, from memory
LEAST_INTERFACE = 273.15 + 7.0  # K, 45 F, same place


def interface_temperature(inside: float, outside: float, inboard: float, outboard: float) -> float:
    """T = T_i - (T_i - T_o) R_in/(R_in + R_out), K; each R (m2K/W) with its surface's film."""
    return inside - (inside - outside) * inboard / (inboard + outboard)


@dataclass(frozen=True)
class InsulationSplit:
    """Resistances (m2K/W, main path) either side of the plane where moist room air would condense.

    plane: index of the air-permeable layer whose cold face it is; impermeable and continuous:
    air-impermeable and all insulation outboard of it; insulation: all of the assembly; inboard
    and outboard: everything, with the surfaces. Insulation on the room side of the
    air-permeable one counts as inboard, whatever it is made of.
    """

    plane: int
    impermeable: float
    continuous: float
    insulation: float
    inboard: float
    outboard: float


def is_roof(assembly: Assembly) -> bool:
    """Whether heat leaves upward: tilt below 60 degrees."""
    return heat_flow_direction(assembly.outer.tilt) == "up"


def is_attic_floor(assembly: Assembly) -> bool:
    """Whether it is a ceiling under a sheltered space, which is no unvented roof."""
    return is_roof(assembly) and assembly.outer.sheltered


def condensing_plane(assembly: Assembly) -> int | None:
    """Index of the layer whose outer face is that plane, None without air-permeable insulation.

    In a roof the outermost air-permeable insulation; in a wall that of the cavity: the innermost,
    with those that adjoin it.
    """
    permeable = [i for i, layer in enumerate(assembly.layers) if is_batt_or_fill(layer)]
    if not permeable or is_roof(assembly):
        return permeable[0] if permeable else None
    index = permeable[-1]
    while index - 1 in permeable:
        index -= 1
    return index


def main_path_resistances(assembly: Assembly) -> NDArray[np.float64]:
    """Resistance of every layer on the main path, (layers,) m2K/W; zero for those left out."""
    steady = steady_layers(assembly)
    row = np.zeros(len(assembly.layers))
    row[len(steady.left_out) :] = steady.resistances[0]
    return row


def insulation_split(assembly: Assembly) -> InsulationSplit | None:
    """How much insulation lies on which side; None without any air-permeable insulation."""
    plane = condensing_plane(assembly)
    if plane is None:
        return None
    row = main_path_resistances(assembly)
    foam = np.array([is_foam_or_board(layer) for layer in assembly.layers])
    every = foam | np.array([is_batt_or_fill(layer) for layer in assembly.layers])
    outboard = np.arange(len(row)) < plane
    steady = steady_layers(assembly)
    return InsulationSplit(
        plane=plane,
        impermeable=float(row[outboard & foam].sum()),
        continuous=float(row[outboard & every].sum()),
        insulation=float(row[every].sum()),
        inboard=float(steady.inner_surface + row[~outboard].sum()),
        outboard=float(steady.outer_surface + row[outboard].sum()),
    )


@dataclass(frozen=True)
class InterfaceCheck:
    """Temperature (K) of that plane over the three coldest months, room at 20 degC, and limit."""

    temperature: float
    limit: float
    outside: float


def interface_check(assembly: Assembly, air: MonthlyAir) -> InterfaceCheck | None:
    """IRC R806.5's alternative to its table (from memory): at least 45 F (7 degC) at that plane.

    None without air-permeable insulation, and for an attic floor.
    """
    split = None if is_attic_floor(assembly) else insulation_split(assembly)
    if split is None:
        return None
    outside = three_coldest_months(air)
    plane = interface_temperature(ROOM_OF_CODE, outside, split.inboard, split.outboard)
    return InterfaceCheck(plane, LEAST_INTERFACE, outside)

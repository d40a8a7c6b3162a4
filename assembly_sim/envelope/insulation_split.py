"""Where the insulation lies: on which side of the plane where moist room air would condense."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.envelope.orientation import is_roof
from assembly_sim.envelope.resistances import steady_layers
from assembly_sim.envelope.retarders import is_batt_or_fill, is_foam_or_board
from assembly_sim.model import AirLayer, Assembly, Layer
from assembly_sim.model.assembly import AnyLayer

LABEL_TEMPERATURE = 273.15 + 24.0  # K, mean at which North American R-values are rated (75 F)


@dataclass(frozen=True)
class InsulationSplit:
    """Resistances (m2K/W, main path) either side of the plane where moist room air would condense.

    plane: index of the air-permeable layer whose cold face it is; impermeable and continuous:
    air-impermeable, and all unbridged, insulation outboard of it; insulation: all of the assembly,
    these three as labelled at 24 degC; inboard and outboard: everything, with the surfaces, at
    10 degC. Insulation on the room side of the air-permeable one counts as inboard, whatever it is
    made of. other_label: insulation whose values end below 24 degC, and are taken as they are.
    """

    plane: int
    impermeable: float
    continuous: float
    insulation: float
    inboard: float
    outboard: float
    other_label: tuple[str, ...] = ()


def is_attic_floor(assembly: Assembly) -> bool:
    """Whether it is a ceiling under a sheltered space, which is no unvented roof."""
    return is_roof(assembly) and assembly.outer.sheltered


def is_vented_below_deck(assembly: Assembly) -> bool:
    """Whether a wooden layer lies outside an air layer that is vented to outdoors."""
    deck = False
    for layer in assembly.layers:
        if deck and isinstance(layer, AirLayer) and layer.air_changes > 0:
            return True
        kinds = layer.material.kinds if isinstance(layer, Layer) else frozenset()
        deck = deck or bool(kinds & {"wood", "wood-based board"})
    return False


def condensing_plane(assembly: Assembly) -> int | None:
    """Index of the layer whose outer face is that plane, None without air-permeable insulation.

    In a roof the outermost air-permeable insulation; in a wall that of the cavity: the innermost,
    with those that adjoin it.
    """
    first = len(steady_layers(assembly).left_out)  # what lies outside a vent insulates nothing
    every = enumerate(assembly.layers)
    permeable = [i for i, layer in every if i >= first and is_batt_or_fill(layer)]
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


def label_resistance(layer: AnyLayer) -> float:
    """R (m2K/W) of an insulating layer as its label has it, at a mean of 24 degC; else zero.

    Codes of North America ask for R so rated: in the cold a batt has more, a polyiso board less.
    """
    if not isinstance(layer, Layer) or not (is_batt_or_fill(layer) or is_foam_or_board(layer)):
        return 0.0
    curve = layer.material.conductivity
    return layer.thickness / float(np.interp(LABEL_TEMPERATURE, curve.x, curve.y))


def label_resistances(assembly: Assembly) -> NDArray[np.float64]:
    """Label R of every insulating layer, (layers,) m2K/W; zero for others and those left out."""
    row = np.array([label_resistance(layer) for layer in assembly.layers])
    row[: len(steady_layers(assembly).left_out)] = 0.0
    return row


def nominal_resistances(assembly: Assembly) -> NDArray[np.float64]:
    """R of every layer on the main path, (layers,) m2K/W: insulation as labelled, others as are."""
    label = label_resistances(assembly)
    return np.where(label > 0.0, label, main_path_resistances(assembly))


def rated_elsewhere(assembly: Assembly) -> tuple[str, ...]:
    """Names of insulating layers whose conductivity is known below 24 degC only."""
    return tuple(
        layer.name
        for layer in assembly.layers
        if isinstance(layer, Layer)
        and label_resistance(layer) > 0.0
        and layer.material.conductivity.x[-1] < LABEL_TEMPERATURE - 1.0
    )


def insulation_split(assembly: Assembly) -> InsulationSplit | None:
    """How much insulation lies on which side; None without any air-permeable insulation."""
    plane = condensing_plane(assembly)
    if plane is None:
        return None
    row, label = main_path_resistances(assembly), label_resistances(assembly)
    foam = np.array([is_foam_or_board(layer) for layer in assembly.layers])
    bridged = np.array([bool(getattr(layer, "bridges", ())) for layer in assembly.layers])
    outboard = np.arange(len(row)) < plane
    steady = steady_layers(assembly)
    return InsulationSplit(
        plane=plane,
        impermeable=float(label[outboard & foam].sum()),
        continuous=float(label[outboard & ~bridged].sum()),
        insulation=float(label.sum()),
        inboard=float(steady.inner_surface + row[~outboard].sum()),
        outboard=float(steady.outer_surface + row[outboard].sum()),
        other_label=rated_elsewhere(assembly),
    )

"""At what measured moisture a board may be closed in: the case started wetter, step by step."""

from __future__ import annotations

from assembly_sim.changes import Set
from assembly_sim.checks.wood import WOOD_KINDS
from assembly_sim.envelope.airways import airways
from assembly_sim.envelope.rain import cladding_layers
from assembly_sim.model import Assembly, Case, Layer, Material
from assembly_sim.physics.pore_water import (
    REFERENCE_TEMPERATURE,
    relative_humidity,
    suction_at_water_content,
)
from assembly_sim.studies.ladders import Ladder, Variant, assembly_path

DRIEST, WETTEST = 8, 30  # % by mass, steps of 1


def starting_humidity(material: Material, moisture: float) -> float:
    """Humidity (0-1) in equilibrium with a moisture content (kg/kg), by the board's isotherm.

    ValueError where it holds no water or not that much.
    """
    if material.storage is None:
        raise ValueError(f"{material.name} has no storage curve")
    suction = suction_at_water_content(material.storage, moisture * material.density)
    return float(relative_humidity(suction, REFERENCE_TEMPERATURE))


def board_to_measure(assembly: Assembly) -> int | None:
    """Index of the wood or board on which leaking room air arrives, else of the outermost.

    Cladding and roofing are passed over; None without a board that has a storage curve.
    """
    cladding = cladding_layers(assembly)
    layers = enumerate(assembly.layers)
    boards = [i for i, layer in layers if _is_board(layer) and i not in cladding]
    plane = airways(assembly).outward
    return plane - 1 if plane and plane - 1 in boards else next(iter(boards), None)


def _is_board(layer: object) -> bool:
    material = layer.material if isinstance(layer, Layer) else None
    return (
        material is not None and material.storage is not None and bool(material.kinds & WOOD_KINDS)
    )


def closing_ladder(case: Case, at: int, dry: bool = True) -> Ladder | None:
    """Starts of that board from 8 to 30 % by mass, other layers as the case says; None without.

    `value` of a variant is the moisture content, kg/kg. Percentages that the board's isotherm
    cannot hold are left out. dry: whether the case as it is ends dry; else the search begins low.
    """
    index = board_to_measure(case.assemblies[at])
    if index is None:
        return None
    layer = case.assemblies[at].layers[index]
    assert isinstance(layer, Layer)
    variants = []
    for percent in range(DRIEST, WETTEST + 1):
        try:
            humidity = starting_humidity(layer.material, percent / 100.0)
        except ValueError:
            continue
        variants.append(_variant(case, at, index, percent, humidity))
    return (
        Ladder(tuple(variants), len(variants) // 2 if dry else 0, unit="kg/kg")
        if variants
        else None
    )


def _variant(case: Case, at: int, index: int, percent: int, humidity: float) -> Variant:
    words = f"{case.assemblies[at].layers[index].name} closed in at {percent} % by mass"
    start = assembly_path(case, at, "layer", index, "starting_humidity")
    return Variant(words, percent / 100.0, (Set(start, humidity),))

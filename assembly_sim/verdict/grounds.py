"""What a level does not rest on, though its reader would think so: usual limits, every layer."""

from __future__ import annotations

from dataclasses import fields

from assembly_sim.checks.wood import WOOD_KINDS
from assembly_sim.envelope.rain import spared_layers
from assembly_sim.envelope.resistances import material_on_path
from assembly_sim.model import Material, Membrane, Thresholds
from assembly_sim.solver.result import AssemblyResult

# Limits that decide nothing, and the one that is looser the lower it is.
IRRELEVANT = frozenset(
    {"metal_humidity", "heating_balance_temperature", "cooling_balance_temperature"}
)
LOOSER_BELOW = frozenset({"freezing_temperature"})


def loosened(limits: Thresholds) -> tuple[str, ...]:
    """Names of the limits of a case that let more pass than the usual ones."""
    usual = Thresholds()
    return tuple(
        one.name
        for one in fields(limits)
        if one.name not in IRRELEVANT
        and _looser(one.name, getattr(limits, one.name), getattr(usual, one.name))
    )


def _looser(name: str, given: float, usual: float) -> bool:
    return given < usual if name in LOOSER_BELOW else given > usual


def unjudged(found: AssemblyResult) -> tuple[str, ...]:
    """Layers, no cladding, whose own mould or moisture no check can judge: a figure is missing.

    What lies beside them may be judged, so that a verdict seems to speak of them too.
    """
    cladding = spared_layers(found.assembly)
    return tuple(
        layer.name
        for index, layer in enumerate(found.assembly.layers)
        if index not in cladding and not isinstance(layer, Membrane)
        if any(_lacks(material_on_path(layer, path.name)) for path in found.paths)
    )


def _lacks(material: Material | None) -> bool:
    if material is None:
        return False
    return material.mould_class is None or bool(
        material.kinds & WOOD_KINDS and material.storage is None
    )

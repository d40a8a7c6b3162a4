"""Vapour-retarder classes by dry-cup permeance, and which layers of an assembly insulate."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from assembly_sim.envelope.resistances import MAIN_PATH, layer_permeance
from assembly_sim.model import Layer
from assembly_sim.model.assembly import AnyLayer

DRY_CUP_HUMIDITY = 0.25  # mean of the two faces in ASTM E96's dry cup (0 and 50 %)
CLASS_LIMITS = (("I", 5.7e-12), ("II", 5.7e-11), ("III", 5.7e-10))  # kg/(s m2 Pa)


@dataclass(frozen=True)
class Retarder:
    """A layer or sheet with its dry-cup permeance, kg/(m2 s Pa), and class `I`, `II` or `III`."""

    name: str
    permeance: float
    retarder_class: str


def retarder_class(permeance: float) -> str | None:
    """Class by dry-cup permeance, kg/(m2 s Pa): I up to 5.7 ng, II 57, III 570, else None.

    ASHRAE Fundamentals 2021, ch. 26 (0.1, 1 and 10 US perm by ASTM E96, dry cup).
    """
    return next((name for name, limit in CLASS_LIMITS if permeance <= limit * 1.005), None)


def retarders(layers: tuple[AnyLayer, ...]) -> tuple[Retarder, ...]:
    """Every layer and sheet that belongs to a class, in the order given."""
    found = []
    for layer in layers:
        permeance = layer_permeance(layer, MAIN_PATH, DRY_CUP_HUMIDITY)
        name = retarder_class(permeance)
        if name is not None:
            found.append(Retarder(layer.name, permeance, name))
    return tuple(found)


def series_permeance(layers: Iterable[AnyLayer]) -> float:
    """Dry-cup permeance, kg/(m2 s Pa), of layers one behind the other: W = 1 / sum(1/W_i)."""
    each = [layer_permeance(layer, MAIN_PATH, DRY_CUP_HUMIDITY) for layer in layers]
    return 1.0 / sum(1.0 / one for one in each) if min(each) > 0.0 else 0.0


def is_foam_or_board(layer: AnyLayer) -> bool:
    """Whether a layer is insulation that air does not pass."""
    return isinstance(layer, Layer) and "air-impermeable insulation" in layer.material.kinds


def is_batt_or_fill(layer: AnyLayer) -> bool:
    """Whether a layer is insulation that air passes."""
    return (
        isinstance(layer, Layer)
        and "insulation" in layer.material.kinds
        and "air-impermeable insulation" not in layer.material.kinds
    )

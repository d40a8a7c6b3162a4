"""Materials: what fills a layer, and sheets so thin that only their resistance counts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite

from assembly_sim.model.curves import refuse_each, refuse_liquid, refuse_storage
from assembly_sim.model.kinds import check_fields, numbers_of
from assembly_sim.model.ranges import refuse_outside, refused
from assembly_sim.physics.liquid import (
    ConductivityPoints,
    ConstantDiffusivity,
    LiquidTransport,
    UptakeCoefficient,
)
from assembly_sim.physics.pore_water import (
    RetentionCurve,
    RetentionTerm,
    SorptionPoints,
    Storage,
    TwoPointStorage,
)

__all__ = [
    "ConductivityPoints",
    "ConstantDiffusivity",
    "LiquidTransport",
    "Material",
    "Points",
    "RetentionCurve",
    "RetentionTerm",
    "Sheet",
    "SorptionPoints",
    "Storage",
    "TwoPointStorage",
    "UptakeCoefficient",
]

MOULD_CLASSES = ("very sensitive", "sensitive", "medium resistant", "resistant")


@dataclass(frozen=True)
class Points:
    """A curve given as points, `x` rising. Held flat outside its first and last point."""

    x: tuple[float, ...]
    y: tuple[float, ...]

    def __post_init__(self) -> None:
        for name in ("x", "y"):
            row = numbers_of(getattr(self, name), f"Points.{name}")
            object.__setattr__(self, name, row)
        if not self.x or len(self.x) != len(self.y):
            cause = f"{len(self.y)} values stand against {len(self.x)} points"
            raise refused("points", cause, "give one value for each point, at least one")
        if not all(isfinite(value) for value in (*self.x, *self.y)):
            raise refused("points", "a value is no number", "give ordinary numbers")
        if any(after <= before for before, after in zip(self.x, self.x[1:])):
            raise refused("points", "x does not rise", "list them from low to high, each once")


@dataclass(frozen=True)
class Material:
    """What fills a layer. SI throughout.

    density kg/m3 dry; specific_heat J/(kg K) dry; conductivity W/(m K) against temperature K;
    conductivity_per_water W/(m K) for each kg/m3 of water; permeability kg/(m s Pa) against
    relative humidity 0-1, scaled by (T / 293.15 K)^permeability_temperature_exponent;
    storage None: holds no water; liquid None: draws no water; porosity m3/m3;
    air_permeability kg/(Pa s m), None where unknown; mould_class one of `very sensitive`,
    `sensitive`, `medium resistant`, `resistant`; kinds: words that checks and cautions look for
    (`wood`, `masonry`, `foam plastic`, `air-impermeable insulation`, `insulation`, `metal`, ...).
    """

    name: str
    density: float
    specific_heat: float
    conductivity: Points
    permeability: Points
    porosity: float
    storage: Storage | None = None
    liquid: LiquidTransport | None = None
    conductivity_per_water: float = 0.0
    permeability_temperature_exponent: float = 0.0
    air_permeability: float | None = None
    mould_class: str | None = None
    kinds: frozenset[str] = frozenset()
    emittance: float = 0.9
    solar_absorptance: float | None = None
    confidence: str = "from memory"
    sources: Mapping[str, str] = field(default_factory=dict, compare=False)

    def __post_init__(self) -> None:
        check_fields(self)
        where = f"material {self.name}"
        refuse_outside(
            where,
            density=("density", self.density),
            specific_heat=("specific heat", self.specific_heat),
            porosity=("porosity", self.porosity),
            emittance=("emittance of a face", self.emittance),
            solar_absorptance=("solar absorptance", self.solar_absorptance),
            conductivity_per_water=("gain with water", self.conductivity_per_water),
            permeability_temperature_exponent=(
                *("exponent of permeability", self.permeability_temperature_exponent),
            ),
            air_permeability=("air permeability", self.air_permeability),
        )
        if self.mould_class not in (None, *MOULD_CLASSES):
            cause, cure = (
                f"{self.mould_class!r:.40} is no class",
                f"one of {MOULD_CLASSES}, or None",
            )
            raise refused(f"{where}.mould_class", cause, cure)
        _refuse_curve(where, "conductivity", self.conductivity, "mean temperature of a test")
        _refuse_curve(where, "permeability", self.permeability, "share threshold")
        if self.storage is not None:
            refuse_storage(where, self.storage, self.porosity)
        if self.liquid is not None:
            refuse_liquid(where, self.liquid, self.storage)


def _refuse_curve(where: str, name: str, curve: Points, axis: str) -> None:
    if len(curve.x) > 1:  # one point is held flat, wherever it stands
        refuse_each(where, f"{name}.x", axis, curve.x)
    refuse_each(where, f"{name}.y", name, curve.y)


@dataclass(frozen=True)
class Sheet:
    """A membrane, film, facing or paint: no thickness in the mesh, no water held.

    permeance kg/(m2 s Pa) against the mean relative humidity (0-1) of its two faces;
    air_permeance kg/(Pa s m2), None where unknown; emittance of its faces.
    """

    name: str
    permeance: Points
    air_permeance: float | None = None
    emittance: float = 0.9
    kinds: frozenset[str] = frozenset()
    confidence: str = "from memory"
    sources: Mapping[str, str] = field(default_factory=dict, compare=False)

    def __post_init__(self) -> None:
        check_fields(self)
        _refuse_curve(f"sheet {self.name}", "permeance", self.permeance, "share threshold")
        refuse_outside(f"sheet {self.name}", emittance=("emittance of a face", self.emittance))

"""Materials: what fills a layer, and sheets so thin that only their resistance counts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Points:
    """A curve given as points, `x` rising. Held flat outside its first and last point."""

    x: tuple[float, ...]
    y: tuple[float, ...]


@dataclass(frozen=True)
class SorptionPoints:
    """Water content at equilibrium, measured points joined to capillary saturation.

    `relative_humidity` 0-1, rising, each below 1; `water_content` kg/m3, never falling;
    `saturation` kg/m3 is reached at 100 % humidity (capillary saturation; for a material that
    draws no water, what it holds in saturated air).
    """

    relative_humidity: tuple[float, ...]
    water_content: tuple[float, ...]
    saturation: float


@dataclass(frozen=True)
class TwoPointStorage:
    """Storage from the water content at 80 % humidity and at capillary saturation, kg/m3."""

    at_80_percent: float
    saturation: float


@dataclass(frozen=True)
class RetentionTerm:
    """One pore family: weight [1 + (alpha s)^n]^-m, with suction s in Pa and alpha in 1/Pa."""

    weight: float
    alpha: float
    n: float
    m: float


@dataclass(frozen=True)
class RetentionCurve:
    """Water content against suction: saturation (kg/m3) times a sum of pore families."""

    saturation: float
    terms: tuple[RetentionTerm, ...]


Storage = SorptionPoints | TwoPointStorage | RetentionCurve


@dataclass(frozen=True)
class UptakeCoefficient:
    """Liquid transport from a water uptake test (ISO 15148), kg/(m2 s^0.5)."""

    value: float


@dataclass(frozen=True)
class ConstantDiffusivity:
    """Liquid transport by one diffusivity, m2/s."""

    value: float


@dataclass(frozen=True)
class ConductivityPoints:
    """Liquid conductivity K (s, flux = K dsuction/dx) at water contents (kg/m3), log-linear."""

    water_content: tuple[float, ...]
    conductivity: tuple[float, ...]


LiquidTransport = UptakeCoefficient | ConstantDiffusivity | ConductivityPoints


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
    sources: Mapping[str, str] = field(default_factory=dict)


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
    sources: Mapping[str, str] = field(default_factory=dict)

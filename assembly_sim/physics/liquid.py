"""Liquid water that moves in pores: diffusivity from an uptake coefficient, or conductivity.

With a diffusivity D the flow is -D dw/dx; with a conductivity K it is K ds/dx, s the suction:
D = K |ds/dw|. The small descriptions are the parameters; a material carries one of them.

**The estimate from an uptake coefficient A.** An uptake test sees the wet end alone: D near
saturation rules what is drawn in, and D = 3.8 (A / w_sat)^2 1000^(w / w_sat - 1) takes up 1.0085 A
(Kuenzel 1995, from memory). In the sorption range that is an extrapolation, and a wrong one: at
80 % it lets concrete pass 98 times as much liquid as vapour. There water lies in films and in
necks of pores that do not touch, and below a critical content no liquid flows (Hens, Building
Physics: critical moisture content; Scheffler and Plagge 2010: the liquid path vanishes as water
disconnects; both from memory). So K, and D with it, gets a factor f(w):

    D = c f(w) 3.8 (A / w_sat)^2 1000^(w / w_sat - 1)
    f = t^2 (3 - 2 t),  t = (w - w_90) / (w_99 - w_90), held from 0 to 1

f leaves zero with the square of w - w_90, as conductance does above a percolation threshold
(exponent 2 in three dimensions, from memory). Below 90 % there is nothing to add: permeabilities
come from cups at mean humidities of up to 90 %, through which liquid flows along with vapour, and
the tables grow with humidity by just that. f is whole at 99 %, in pores of 0.1 um (2 sigma / s),
from which pores count as capillary (common practice, no source). Both contents are the material's
own: w_90 is 0.02 w_sat in calcium silicate, 0.72 in concrete. Against three published K(w) (brick
and calcium silicate of a benchmark, the solid of EN 15026) the sum of vapour and liquid errs by
0.6 powers of ten (rms, 50 to 99.5 %), without f by 1.0, with f from 95 % on by 0.85.

c keeps the uptake. The sorptivity of a dry start is S^2 = integral of (w_sat + w) D dw (Parlange
1975, from memory) within half a per cent for D as steep as these, so c is that integral without
f over that with f: 1.001 in calcium silicate, 1.4 in concrete. tests/physics/test_liquid.py
solves the similarity equation without that shortcut.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics.pore_water import REFERENCE_TEMPERATURE, Storage, suction, water_content

Array = NDArray[np.float64]

CRITICAL_HUMIDITY, CONNECTED_HUMIDITY = 0.90, 0.99
CAPILLARY_SHARE = 0.02  # below this an uptake coefficient contradicts the storage curve


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


def diffusivity(liquid: LiquidTransport, content: ArrayLike, storage: Storage) -> Array:
    """Liquid diffusivity (m2/s) at water contents (kg/m3) of a material with this storage.

    From an uptake coefficient by the estimate derived above, 0 below the content at 90 %
    humidity. Raises TypeError for conductivity points.
    """
    w = np.asarray(content, dtype=float)
    match liquid:
        case UptakeCoefficient():
            kept = uptake_factor(storage) * connected(storage, w)
            return kept * exponential_diffusivity(liquid.value, w, storage.saturation)
        case ConstantDiffusivity():
            return np.full_like(w, liquid.value)
    raise TypeError(f"no diffusivity: {liquid!r}")


def exponential_diffusivity(uptake: float, content: ArrayLike, saturation: float) -> Array:
    """D = 3.8 (A / w_sat)^2 1000^(w / w_sat - 1), m2/s, for the capillary range alone."""
    share = np.asarray(content, dtype=float) / saturation
    return np.asarray(3.8 * (uptake / saturation) ** 2 * 1000.0 ** (share - 1.0))


def connected(storage: Storage, content: ArrayLike) -> Array:
    """f(w), 0-1: how far capillary water hangs together, from none at 90 to all at 99 %."""
    critical, whole = (held_at(storage, phi) for phi in (CRITICAL_HUMIDITY, CONNECTED_HUMIDITY))
    # A storage curve may be level between the two: then the cut is sharp.
    span = max(whole - critical, 1e-9 * storage.saturation)
    t = np.clip((np.asarray(content, dtype=float) - critical) / span, 0.0, 1.0)
    return np.asarray(t * t * (3.0 - 2.0 * t))


def uptake_factor(storage: Storage) -> float:
    """c >= 1, by which the cut-off estimate is raised so that it takes up what A says.

    Raises ValueError where less than CAPILLARY_SHARE of the pores fills beyond 90 %: such a
    curve leaves no capillary water that A could speak of.
    """
    if capillary_share(storage) < CAPILLARY_SHARE:
        raise ValueError("no capillary water: the storage curve is full at 90 % humidity")
    share = (np.arange(2000) + 0.5) / 2000.0
    weight = (1.0 + share) * 1000.0 ** (share - 1.0)
    return float(weight.sum() / (weight * connected(storage, share * storage.saturation)).sum())


def capillary_share(storage: Storage) -> float:
    """Share of the saturated content (0-1) that is taken up above 90 % humidity."""
    return 1.0 - held_at(storage, CRITICAL_HUMIDITY) / storage.saturation


def held_at(storage: Storage, humidity: float) -> float:
    """Water content (kg/m3) in equilibrium with a humidity (0-1) at 20 degC."""
    return float(water_content(storage, suction(humidity, REFERENCE_TEMPERATURE)))


def conductivity(liquid: ConductivityPoints, content: ArrayLike) -> Array:
    """Liquid conductivity K (s) at water contents (kg/m3): log-linear between the points."""
    logs = np.log(np.asarray(liquid.conductivity))
    return np.exp(np.interp(np.asarray(content, dtype=float), liquid.water_content, logs))

"""Three published solids with storage and liquid conductivity K(w) given apart (all from memory).

Brick and calcium silicate of benchmark 5 in Hagentoft et al., J. Thermal Envelope and Building
Science 27 (2004) 327; the solid of EN 15026:2007 annex A.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.physics import pore_water
from assembly_sim.physics.pore_water import RetentionCurve, RetentionTerm

Array = NDArray[np.float64]
HEAD = 9810.0  # Pa for each metre of water, in which the benchmark gives suction
STILL_AIR = 1.95e-10  # kg/(m s Pa)


class Solid(NamedTuple):
    """Storage; K (s) at contents (kg/m3); vapour permeability (kg/(m s Pa)) at contents."""

    storage: RetentionCurve
    conductivity: Callable[[Array], Array]
    permeability: Callable[[Array], Array]

    def diffusivity(self, content: ArrayLike) -> Array:
        """D = K |ds/dw| (m2/s), from the storage curve inverted, held just below saturation."""
        suction = np.concatenate(([0.0], np.logspace(1.0, 9.5, 20000)))[::-1]
        water, first = np.unique(pore_water.water_content(self.storage, suction), return_index=True)
        slope = -np.gradient(suction[first], water)
        held = np.clip(content, water[0], 0.9995 * self.storage.saturation)
        return self.conductivity(held) * np.exp(np.interp(held, water, np.log(slope)))


def _powers(*factors: float) -> Callable[[Array], Array]:
    return lambda content: np.exp(np.polynomial.Polynomial(factors)(content / 1000.0))


def _annex_a_conductivity(content: Array) -> Array:
    factors = (-39.2619, 0.0704, -1.7420e-4, -2.7953e-6, -1.1566e-7, 2.5969e-9)
    return np.exp(np.polynomial.Polynomial(factors)(content - 73.0))


def _annex_a_permeability(content: Array) -> Array:
    free = 1.0 - content / 146.0
    return 26.1e-6 / 200.0 / (461.52 * 293.15) * free / (0.503 * free**2 + 0.497)


SOLIDS = {
    "brick": Solid(
        RetentionCurve(
            373.5,
            (
                RetentionTerm(0.46, 0.47 / HEAD, 1.5, 0.333),
                RetentionTerm(0.54, 0.2 / HEAD, 3.8, 0.737),
            ),
        ),
        _powers(-36.484, 461.325, -5240.0, 2.907e4, -7.41e4, 6.997e4),
        lambda content: np.full_like(content, STILL_AIR / 7.5),
    ),
    "calcium silicate": Solid(
        RetentionCurve(
            871.0,
            (
                RetentionTerm(0.41, 0.006 / HEAD, 2.5, 0.6),
                RetentionTerm(0.59, 0.012 / HEAD, 2.4, 0.583),
            ),
        ),
        _powers(-46.245, 294.506, -1439.0, 3249.0, -3370.0, 1305.0),
        lambda content: np.full_like(content, STILL_AIR / 5.6),
    ),
    "annex A": Solid(
        RetentionCurve(146.0, (RetentionTerm(1.0, 8e-8, 1.6, 0.375),)),
        _annex_a_conductivity,
        _annex_a_permeability,
    ),
}

"""Distributions of an uncertain number, by their quantiles: what share of the cases lies below.

A law is turned by `quantile(u)`, u in 0-1, so that one set of points in the unit cube serves any
law, and adding points keeps the old ones. Parameters are in the unit of the number.

| kind | a, b, c | quantile |
|---|---|---|
| uniform | low, high | a + u (b - a) |
| normal | mean, spread (standard deviation) | a + b z(u) |
| lognormal | median, factor (84 % lie below median times factor) | a b^z(u) |
| triangular | low, most likely, high | closed form |

`low` and `high` cut a law off: its shares are those of what is left, nothing piles up at the ends.
z is the quantile of the standard normal (`statistics.NormalDist`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

from assembly_sim.errors import InputError, Problem

NORMAL = NormalDist()
MOST = 1.0 - 2.0**-53
LEAST_LEFT = 1e-6  # share of a law that cutting off must leave


@dataclass(frozen=True)
class Law:
    """A distribution. InputError for one that is none: a spread below 0, ends the wrong way."""

    kind: str
    a: float
    b: float
    c: float = 0.0
    low: float = -math.inf
    high: float = math.inf

    def __post_init__(self) -> None:
        if not all(map(math.isfinite, (self.a, self.b, self.c))):
            raise _refused("a parameter is no finite number", "give ordinary numbers")
        fault = FAULTS[self.kind](self) if self.kind in FAULTS else ("is not known", _known())
        if fault:
            raise _refused(f"{self.kind}: {fault[0]}", fault[1])
        if not self.low < self.high or self._share(self.high) - self._share(self.low) < LEAST_LEFT:
            raise _refused("within these ends nothing is left of it", "widen them")

    def quantile(self, u: float) -> float:
        """The number below which a share u (0-1) of the cases lies."""
        lowest, highest = self._share(self.low), self._share(self.high)
        share = lowest + u * (highest - lowest)
        found = QUANTILES[self.kind](self, share)
        return min(max(found, self.low), self.high)  # round-off alone

    def _share(self, number: float) -> float:
        """Share of the cases below a number, before it is cut off."""
        if math.isinf(number):
            return 0.0 if number < 0.0 else 1.0
        return SHARES[self.kind](self, number)


def _refused(cause: str, cure: str) -> InputError:
    return InputError(Problem(cause, cure, field="distribution"))


def _known() -> str:
    return f"choose one of {', '.join(FAULTS)}"


def _normal(u: float) -> float:
    """Quantile of the standard normal, finite at both ends."""
    return NORMAL.inv_cdf(min(max(u, 1.0 - MOST), MOST))


def _triangle(law: Law, u: float) -> float:
    a, b, c = law.a, law.b, law.c
    if u * (c - a) < b - a:
        return a + math.sqrt(u * (c - a) * (b - a))
    return c - math.sqrt((1.0 - u) * (c - a) * (c - b))


def _below_triangle(law: Law, x: float) -> float:
    a, b, c = law.a, law.b, law.c
    if x <= a or x >= c:
        return 0.0 if x <= a else 1.0
    if x < b:
        return (x - a) ** 2 / ((c - a) * (b - a))
    return 1.0 - (c - x) ** 2 / ((c - a) * (c - b)) if c > b else 1.0


def _below_lognormal(law: Law, x: float) -> float:
    return NORMAL.cdf(math.log(x / law.a) / math.log(law.b)) if x > 0.0 else 0.0


FAULTS = {
    "uniform": lambda law: (
        ("its low end is not below its high end", "give the lower first")
        if not law.a < law.b
        else None
    ),
    "normal": lambda law: (
        ("its spread is not above 0", "give a standard deviation above 0") if law.b <= 0.0 else None
    ),
    "lognormal": lambda law: (
        ("its median is not above 0, or its factor not above 1", "give 1.3 for a third about it")
        if law.a <= 0.0 or law.b <= 1.0
        else None
    ),
    "triangular": lambda law: (
        ("low, most likely and high do not rise", "give them in this order")
        if not (law.a <= law.b <= law.c and law.a < law.c)
        else None
    ),
}
QUANTILES = {
    "uniform": lambda law, u: law.a + u * (law.b - law.a),
    "normal": lambda law, u: law.a + law.b * _normal(u),
    "lognormal": lambda law, u: law.a * law.b ** _normal(u),
    "triangular": _triangle,
}
SHARES = {
    "uniform": lambda law, x: min(max((x - law.a) / (law.b - law.a), 0.0), 1.0),
    "normal": lambda law, x: NORMAL.cdf((x - law.a) / law.b),
    "lognormal": _below_lognormal,
    "triangular": _below_triangle,
}

"""A computed house held against its bills: before any saving is believed."""

from __future__ import annotations

from dataclasses import dataclass

MOST_MISS = 0.30
"""Share of the bills' heating part by which a computed one may miss it without a word; ours."""


@dataclass(frozen=True)
class AgainstBills:
    """Fuel of a year in J of gross heat: `computed` by the run, `billed` the bills' heating part.

    miss: (computed - billed) / billed; misses: whether that is more than a model may miss.
    """

    computed: float
    billed: float

    @property
    def miss(self) -> float:
        """Share by which the run misses the bills, positive where it burns more."""
        return self.computed / self.billed - 1.0

    @property
    def misses(self) -> bool:
        """Whether it misses by more than 30 %."""
        return abs(self.miss) > MOST_MISS

    def allows(self, saved: float) -> bool:
        """Whether a saving (J of gross heat) is no more than what the bills spend on heating."""
        return saved <= self.billed

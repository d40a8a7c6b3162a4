"""The year of one option: what its house takes to heat and to cool, part by part.

Heat that the heating must deliver is counted in the hours of the heating season in which the house
as a whole loses heat; what a part then gives back (a dark roof in the sun) counts against what the
others lose. So each joule is counted once, and the parts add up to the whole. Cooling likewise.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.model import Opening
from assembly_sim.studies.part import Days, Marched, Part
from assembly_sim.studies.parts import whole_house
from assembly_sim.verdict.summary import AssemblySummary

Array = NDArray[np.float64]
SECONDS = 3600.0
CLOSES = 1e-3
"""Share of the whole by which its parts may miss it; they miss it by round-off."""


@dataclass(frozen=True)
class Heat:
    """Heat by conduction and by air, J of a season or W of an hour, positive the way it counts."""

    conducted: float
    carried: float

    @property
    def total(self) -> float:
        """Both together."""
        return self.conducted + self.carried


@dataclass(frozen=True)
class PartYear:
    """One part in a year: heat the heating delivers for it, heat the cooling takes away for it.

    peak_loss, peak_gain: W in the hour that is the house's hardest; else as in `Part`.
    """

    name: str
    area: float
    leaves: str
    heating: Heat
    cooling: Heat
    peak_loss: Heat
    peak_gain: Heat
    resistance: float | None = None
    summary: AssemblySummary | None = None
    kind: str = "assembly"
    beyond: str = ""
    opening: Opening | None = None


@dataclass(frozen=True)
class Peak:
    """The hardest hour of the year: W, its month (1-12) and the hour of the day that begins."""

    power: float
    month: int
    clock: int


@dataclass(frozen=True)
class Summer:
    """What roofs let in: J over the days of the cooling season, and the hardest hour.

    zones: the hottest hour of each zone by name: K of its air in place of W.
    """

    roof_gain: float
    roof_peak: Peak | None
    zones: tuple[tuple[str, Peak], ...] = ()


@dataclass(frozen=True)
class HouseYear:
    """A house in a year: J in each season, worked out from the whole, and its parts.

    misses: the largest share by which the parts miss the whole; beyond: what leads to zones once
    more, by how it leaves them to outdoors, in the same hours.
    """

    heating: float
    cooling: float
    peak_loss: Peak
    peak_gain: Peak
    parts: tuple[PartYear, ...]
    misses: float
    beyond: tuple[PartYear, ...] = ()
    summer: Summer | None = None


def house_year(marched: tuple[Marched, ...]) -> HouseYear | None:
    """The year of an option from its runs; None where one holds no whole year."""
    found = whole_house(marched)
    if found is None:
        return None
    parts, days = found
    total = np.sum([part.conducted + part.carried for part in parts], axis=0)
    heated = days.heating & (total > 0.0)
    cooled = days.cooling & (total < 0.0)
    hours = int(total.argmax()), int(total.argmin())
    outdoors = tuple(part for one in marched for part in one.beyond)
    years, beyond = (
        tuple(_part_year(part, heated, cooled, hours) for part in some)
        for some in (parts, outdoors)
    )
    heating = SECONDS * float(np.maximum(total, 0.0)[days.heating].sum())
    cooling = SECONDS * float(np.maximum(-total, 0.0)[days.cooling].sum())
    return HouseYear(
        heating=heating,
        cooling=cooling,
        peak_loss=_peak(total, hours[0], days),
        peak_gain=_peak(-total, hours[1], days),
        parts=years,
        misses=max(
            _missed([part.heating.total for part in years], heating),
            _missed([part.cooling.total for part in years], cooling),
        ),
        beyond=beyond,
        summer=_summer((*parts, *outdoors), marched, days),
    )


def _summer(parts: tuple[Part, ...], marched: tuple[Marched, ...], days: Days) -> Summer | None:
    """The summer of roofs and zones; None of a house without either."""
    roofs = [part for part in parts if part.leaves == "roof"]
    zones = [known for one in marched for known in one.zones]
    if not roofs and not zones:
        return None
    gain = -np.sum([part.conducted for part in roofs], axis=0) if roofs else np.zeros(1)
    hot = [(name, air, int(air.argmax())) for name, air in zones]
    return Summer(
        roof_gain=SECONDS * float(np.maximum(gain, 0.0)[days.cooling].sum()) if roofs else 0.0,
        roof_peak=_peak(gain, int(gain.argmax()), days) if roofs else None,
        zones=tuple((name, _peak(air, hour, days)) for name, air, hour in hot),
    )


def _part_year(
    part: Part, heated: NDArray[np.bool_], cooled: NDArray[np.bool_], hours: tuple[int, int]
) -> PartYear:
    loss, gain = hours
    return PartYear(
        name=part.name,
        area=part.area,
        leaves=part.leaves,
        heating=_over(part, heated, SECONDS),
        cooling=_over(part, cooled, -SECONDS),
        peak_loss=Heat(float(part.conducted[loss]), float(part.carried[loss])),
        peak_gain=Heat(-float(part.conducted[gain]), -float(part.carried[gain])),
        resistance=part.resistance,
        summary=part.summary,
        kind=part.kind,
        beyond=part.beyond,
        opening=part.opening,
    )


def _over(part: Part, hours: NDArray[np.bool_], scale: float) -> Heat:
    """Sums over these hours; nothing has no sign."""
    sums = [scale * float(one[hours].sum()) + 0.0 for one in (part.conducted, part.carried)]
    return Heat(*sums)


def _peak(total: Array, hour: int, days: Days) -> Peak:
    power = max(float(total[hour]), 0.0)
    return Peak(power, int(days.month[hour]), int(days.clock[hour]))


def _missed(parts: list[float], whole: float) -> float:
    return abs(sum(parts) - whole) / whole if whole > 0.0 else abs(sum(parts))

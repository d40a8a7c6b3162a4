"""Tables of building codes that indications quote: by climate zone, by edition, all from memory.

They are as the IRC's edition of 2021 has them (`LATEST`); where an older edition is known to ask
otherwise, that stands beside it. What a place has adopted, with its own changes, decides there.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import TypeVar

Pair = tuple[float, float]
Entry = TypeVar("Entry")
R_VALUE = 0.17611  # m2K/W of one ft2 F h/Btu
LATEST = 2021

# IRC table R806.5: least R of air-impermeable insulation, and its share of the whole R that the
# same code asks of the roof (R-49 in zone 6: R-25 is 51 %, secondary). The whole differs between
# editions, so both are asked, each for itself.
ROOF = {
    **dict.fromkeys(("1", "2", "2A", "2B", "3", "3A", "3B", "3C"), (5.0, 0.10)),
    "4C": (10.0, 0.20),
    **dict.fromkeys(("4A", "4B"), (15.0, 0.30)),
    "5": (20.0, 0.40),
    "6": (25.0, 0.50),
    "7": (30.0, 0.60),
    "8": (35.0, 0.70),
}
TILE_ONLY = ("2B", "3B")  # where a roof of tiles needs none
# IRC R702.7: least R of continuous insulation outside, over framing of 90 mm and of 140 mm
WALL_CLASS_III = {
    "4C": (2.5, 3.75),
    "5": (5.0, 7.5),
    "6": (7.5, 11.25),
    "7": (10.0, 15.0),
    "8": (12.5, 20.0),
}
WALL_CLASS_III_BEFORE_2021 = {**WALL_CLASS_III, "8": (10.0, 15.0)}
WALL_CLASS_II = {  # a table of the edition of 2021
    **dict.fromkeys(("3", "3A", "3B", "3C"), (2.0, 2.0)),
    **dict.fromkeys(("4", "4A", "4B", "4C", "5", "6"), (3.0, 5.0)),
    "7": (5.0, 7.5),
    "8": (7.5, 10.0),
}
# Sheathings over which vented cladding serves in place of the R of class III (IRC R702.7)
VENTED_OVER = {
    **dict.fromkeys(("4C", "5"), "wood structural panels, fibreboard or gypsum sheathing"),
    **dict.fromkeys(("6", "7", "8"), "fibreboard or gypsum sheathing"),
}
# NBC table 9.25.5.2: degree days below which the ratio of R outboard to R inboard applies
CANADA = (
    *((5000.0, 0.20), (6000.0, 0.30), (7000.0, 0.35), (8000.0, 0.40), (9000.0, 0.50)),
    *((10000.0, 0.55), (11000.0, 0.60), (12000.0, 0.65), (math.inf, 0.75)),
)
CANADA_PERMEANCE = 60e-12  # kg/(m2 s Pa), NBC 9.25.4.2 (secondary)


def by_zone(table: Mapping[str, Entry], zone: str) -> Entry | None:
    """A table's entry for a zone such as `6A`: its own, else that of its number, else None."""
    key = zone.strip().upper()
    return table.get(key, table.get(key[:1])) if re.fullmatch("[1-8][ABC]?", key) else None


def is_zone(zone: str) -> bool:
    """Whether it is a zone of the IRC; 4 only with its letter, since 4C differs."""
    return bool(re.fullmatch(r"\s*([1235678]|4(?=[ABC]))[ABC]?\s*", zone, re.IGNORECASE))


def canadian_degree_days(zone: str) -> float | None:
    """Degree days of a zone written `NBC 5200`, else None."""
    found = re.fullmatch(r"\s*NBC\s+(\d+)\s*", zone, re.IGNORECASE)
    return float(found[1]) if found else None


def canadian_ratio(degree_days: float) -> float:
    """Least ratio of R outboard to R inboard of a tight outer layer (NBC 9.25.5.2, from memory)."""
    return next(ratio for limit, ratio in CANADA if degree_days < limit)


def named(code: str, edition: str | None) -> str:
    """`IRC 2018`; without an edition the code alone, whose rows are then those of `LATEST`."""
    return f"{code} {edition}" if edition else code


def is_before_2021(edition: str | None) -> bool:
    """Whether an older edition than the tables' own is named."""
    return edition is not None and int(edition) < LATEST


def wall_class_iii(edition: str | None) -> dict[str, Pair]:
    """The table for walls with a class III retarder in an edition; the strictest where unsaid."""
    return WALL_CLASS_III_BEFORE_2021 if is_before_2021(edition) else WALL_CLASS_III

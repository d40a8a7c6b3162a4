"""What a building code asks in general of this build-up: an indication, to be checked locally.

The climate zone is the user's own (`code_zone` of the case), never inferred: `4C`, `6`, `6A` for
the zones of the International Residential Code (IRC), `NBC 5200` for Canada's code with the
degree days (degC, base 18) that it gives for the place. All tables from memory; editions differ.
An indication is no permit and no verdict: the transient run and the local code decide.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from assembly_sim.checks.insulation_split import (
    InsulationSplit,
    insulation_split,
    is_attic_floor,
    is_roof,
    main_path_resistances,
)
from assembly_sim.checks.retarder import (
    DRY_CUP_HUMIDITY,
    Retarder,
    is_batt_or_fill,
    is_foam_or_board,
    retarders,
)
from assembly_sim.model import AirLayer, Assembly, Layer
from assembly_sim.physics.surface import heat_flow_direction
from assembly_sim.solver.steady import MAIN_PATH, layer_permeance, steady_layers

Pair = tuple[float, float]
R_VALUE = 0.17611  # m2K/W of one ft2 F h/Btu

# IRC table R806.5: least R of air-impermeable insulation, and its share of the R used with it
ROOF = {
    **dict.fromkeys(("1", "2", "2A", "2B", "3", "3A", "3B", "3C"), (5.0, 0.10)),
    "4C": (10.0, 0.20),
    **dict.fromkeys(("4A", "4B"), (15.0, 0.30)),
    "5": (20.0, 0.40),
    "6": (25.0, 0.50),
    "7": (30.0, 0.60),
    "8": (35.0, 0.70),
}
# IRC R702.7: least R of continuous insulation outside, over framing of 90 mm and of 140 mm
WALL_CLASS_III = {
    "4C": (2.5, 3.75),
    "5": (5.0, 7.5),
    "6": (7.5, 11.25),
    "7": (10.0, 15.0),
    "8": (12.5, 20.0),
}
WALL_CLASS_II = {
    **dict.fromkeys(("3", "3A", "3B", "3C"), (2.0, 2.0)),
    **dict.fromkeys(("4", "4A", "4B", "4C", "5", "6"), (3.0, 5.0)),
    "7": (5.0, 7.5),
    "8": (7.5, 10.0),
}
# NBC table 9.25.5.2: degree days below which the ratio of R outboard to R inboard applies
CANADA = (
    *((5000.0, 0.20), (6000.0, 0.30), (7000.0, 0.35), (8000.0, 0.40), (9000.0, 0.50)),
    *((10000.0, 0.55), (11000.0, 0.60), (12000.0, 0.65), (math.inf, 0.75)),
)
CANADA_PERMEANCE = 60e-12  # kg/(m2 s Pa), NBC 9.25.4.2 (secondary)
NARROW_FRAMING = 0.10  # m, between 2x4 and 2x6
CHECK_LOCALLY = "code indication, check locally"


@dataclass(frozen=True)
class CodeIndication:
    """One rule beside what the assembly has: `met` is None where the rule does not decide.

    rule names the code's table; found and required in m2K/W, or ratios; reason in words.
    """

    rule: str
    found: float | None
    required: float | None
    met: bool | None
    reason: str


def by_zone(table: dict[str, Pair], zone: str) -> Pair | None:
    """A table's entry for a zone such as `6A`: its own, else that of its number, else None."""
    key = zone.strip().upper()
    return table.get(key, table.get(key[:1])) if re.fullmatch("[1-8][ABC]?", key) else None


def canadian_ratio(degree_days: float) -> float:
    """Least ratio of R outboard to R inboard of a tight outer layer (NBC 9.25.5.2, from memory)."""
    return next(ratio for limit, ratio in CANADA if degree_days < limit)


def code_indications(assembly: Assembly, zone: str) -> tuple[CodeIndication, ...]:
    """What the code of the user's own zone asks in general; a reason where it does not apply."""
    if heat_flow_direction(assembly.outer.tilt) == "down":
        return (_unanswered("floors", "these tables speak of roofs and walls"),)
    if is_attic_floor(assembly):
        return (_unanswered("attic floors", "these tables speak of unvented roofs and of walls"),)
    split = insulation_split(assembly)
    if split is None:
        return (_unanswered("insulation", "no air-permeable insulation in the assembly"),)
    canadian = re.fullmatch(r"\s*NBC\s+(\d+)\s*", zone, re.IGNORECASE)
    if canadian:
        return (canadian_indication(assembly, split, float(canadian[1])),)
    if is_roof(assembly):
        return (roof_indication(assembly, split, zone),)
    return (wall_indication(assembly, split, zone),)


def _unanswered(rule: str, reason: str) -> CodeIndication:
    return CodeIndication(rule, None, None, None, f"{reason}; {CHECK_LOCALLY}")


def _without_entry(rule: str, zone: str) -> CodeIndication:
    """The answer where the table is silent: it asks nothing there, or the zone is misspelt."""
    if re.fullmatch(r"\s*([1235678]|4(?=[ABC]))[ABC]?\s*", zone, re.IGNORECASE):
        return _unanswered(rule, f"the table asks nothing in zone {zone}")
    cure = "zones run from 1 to 8, 4 with its letter (4A, 4C), or `NBC` and degree days"
    return _unanswered(rule, f"the table has no entry for zone {zone!r}: {cure}")


def roof_indication(assembly: Assembly, split: InsulationSplit, zone: str) -> CodeIndication:
    """Share of air-impermeable insulation in an unvented roof (IRC table R806.5, from memory).

    The share counts, not the R alone, since editions ask different totals. The table presumes
    about 35 % RH indoors in winter (a dew point of 45 F at 68 F).
    """
    rule = "IRC R806.5, unvented roof"
    if _vented_below_deck(assembly):
        return _unanswered(rule, "vented below its deck, and the table is for unvented roofs")
    entry = by_zone(ROOF, zone)
    if entry is None:
        return _without_entry(rule, zone)
    least, share = entry
    found = split.impermeable / split.insulation
    reason = (
        f"zone {zone}: at least {100 * share:.0f} % of the insulation (R-{least:g} in the table) "
        f"air-impermeable and outboard; here {100 * found:.0f} % "
        f"(R-{split.impermeable / R_VALUE:.1f})"
    )
    reason += "".join(_roof_notes(assembly, split, zone))
    return CodeIndication(rule, found, share, found >= share, f"{reason}; {CHECK_LOCALLY}")


def _vented_below_deck(assembly: Assembly) -> bool:
    """Whether a wooden layer lies outside an air layer that is vented to outdoors."""
    deck = False
    for layer in assembly.layers:
        if deck and isinstance(layer, AirLayer) and layer.air_changes > 0:
            return True
        kinds = layer.material.kinds if isinstance(layer, Layer) else frozenset()
        deck = deck or bool(kinds & {"wood", "wood-based board"})
    return False


def _roof_notes(assembly: Assembly, split: InsulationSplit, zone: str) -> list[str]:
    """The table's side conditions, where the assembly meets them not (from memory)."""
    notes = []
    inboard, outboard = assembly.layers[split.plane :], assembly.layers[: split.plane]
    if any(r.retarder_class == "I" for r in retarders(inboard)):
        notes.append("; it wants no class I retarder on the room side")
    foam = [a for a in outboard if is_foam_or_board(a)]
    tight = any(r.retarder_class in ("I", "II") for r in retarders(outboard))
    if foam and zone.strip()[:1] in "5678" and not tight:
        notes.append("; it wants the air-impermeable insulation to be or have a class II retarder")
    return notes


def room_side_class(assembly: Assembly, plane: int) -> Retarder | None:
    """The tightest retarder inboard of the air-permeable insulation, None where none is."""
    after = max(i for i, layer in enumerate(assembly.layers) if is_batt_or_fill(layer))
    inboard = retarders(assembly.layers[max(after, plane) + 1 :])
    return min(inboard, key=lambda retarder: retarder.permeance, default=None)


def wall_indication(assembly: Assembly, split: InsulationSplit, zone: str) -> CodeIndication:
    """Insulation outside of a framed wall by its retarder's class (IRC R702.7, from memory)."""
    retarder = room_side_class(assembly, split.plane)
    if retarder is None:
        return _unanswered(
            "IRC R702.7, walls",
            "no layer on the room side is a retarder of class I to III; zones 5 to 8 and 4C ask "
            "for one on the warm side",
        )
    rule = f"IRC R702.7, wall with a class {retarder.retarder_class} retarder ({retarder.name})"
    if retarder.retarder_class == "I":
        return _unanswered(rule, "drying to the room is cut off; see whether the zone allows it")
    table = WALL_CLASS_III if retarder.retarder_class == "III" else WALL_CLASS_II
    entry = by_zone(table, zone)
    if entry is None:
        return _without_entry(rule, zone)
    return _wall_answer(assembly, split, zone, rule, entry)


def _wall_answer(
    assembly: Assembly, split: InsulationSplit, zone: str, rule: str, entry: Pair
) -> CodeIndication:
    cavity = assembly.layers[split.plane]
    deep = isinstance(cavity, Layer) and cavity.thickness > NARROW_FRAMING
    required = entry[deep] * R_VALUE
    met = split.continuous >= required
    without = "" if met else "; or cladding vented over the right sheathing, in some zones"
    reason = (
        f"zone {zone}: continuous insulation outside of at least R-{entry[deep]:g} "
        f"over framing of {140 if deep else 90} mm; here R-{split.continuous / R_VALUE:.1f}"
        f"{without}; {CHECK_LOCALLY}"
    )
    return CodeIndication(rule, split.continuous, required, met, reason)


def canadian_indication(
    assembly: Assembly, split: InsulationSplit, degree_days: float
) -> CodeIndication:
    """Ratio of R outboard to inboard of a tight outer layer (NBC table 9.25.5.2, from memory).

    Tight: a dry-cup permeance of at most 60 ng/(Pa s m2); both R with the surfaces' films.
    """
    rule = "NBC 9.25.5.2, tight layer outboard"
    outer = assembly.layers[: split.plane]
    permeances = [layer_permeance(layer, MAIN_PATH, DRY_CUP_HUMIDITY) for layer in outer]
    tight = [i for i, permeance in enumerate(permeances) if permeance <= CANADA_PERMEANCE]
    if not tight:
        return _unanswered(rule, "no layer outboard of the insulation is tighter than 60 ng")
    steady, row, cut = steady_layers(assembly), main_path_resistances(assembly), tight[-1] + 1
    outboard = steady.outer_surface + row[:cut].sum()
    inboard = steady.inner_surface + row[cut:].sum()
    found, required = float(outboard / inboard), canadian_ratio(degree_days)
    reason = (
        f"{degree_days:.0f} degree days: at least {required:.2f} of the inboard R outboard of "
        f"{outer[tight[-1]].name}'s inner face; here {found:.2f}; {CHECK_LOCALLY}"
    )
    return CodeIndication(rule, found, required, found >= required, reason)

"""What a building code asks in general of this build-up: an indication, to be checked locally.

The climate zone is the user's own (`code_zone` of the case), never inferred: `4C`, `6`, `6A` for
the zones of the International Residential Code (IRC), `NBC 5200` for Canada's code with the
degree days (degC, base 18) that it gives for the place; so is the edition (`code_edition`). Each
rule is one row, and is met only if that rule itself is: a row says nothing about another.
An indication is no permit and no verdict: the transient run and the local code decide.
"""

from __future__ import annotations

from dataclasses import dataclass

from assembly_sim.envelope.insulation_split import (
    InsulationSplit,
    insulation_split,
    is_attic_floor,
    is_vented_below_deck,
    nominal_resistances,
)
from assembly_sim.envelope.orientation import is_roof
from assembly_sim.envelope.resistances import MAIN_PATH, layer_permeance, steady_layers
from assembly_sim.envelope.retarders import (
    CLASS_LIMITS,
    DRY_CUP_HUMIDITY,
    Retarder,
    is_batt_or_fill,
    is_foam_or_board,
    retarder_class,
    retarders,
    series_permeance,
)
from assembly_sim.hand import code_tables as tables
from assembly_sim.model import AirLayer, Assembly, Layer
from assembly_sim.physics.surface import heat_flow_direction
from assembly_sim.units import marked

LABEL_TEMPERATURE = 273.15 + 24.0  # K, 75 F
NARROW_FRAMING = 0.10  # m, between 2x4 and 2x6
CLASS_I, CLASS_II = CLASS_LIMITS[0][1], CLASS_LIMITS[1][1]


@dataclass(frozen=True)
class CodeIndication:
    """One rule beside what the assembly has: `met` is None where it does not apply or decide.

    rule names code, edition and table; found and required are of one `quantity`: `resistance`
    (m2K/W), `fraction`, `permeance` (kg/(m2 s Pa)), or `ratio`; bound: on which side of `required`
    it is to lie, `at least`, `at most` or `more than`; reason in words.
    """

    rule: str
    found: float | None
    required: float | None
    met: bool | None
    reason: str
    quantity: str = ""
    bound: str = "at least"


def code_indications(
    assembly: Assembly, zone: str, edition: str | None = None
) -> tuple[CodeIndication, ...]:
    """What the code of the user's own zone asks in general; a reason where it does not apply."""
    if heat_flow_direction(assembly.outer.tilt) == "down":
        return (_unanswered("floors", "these tables speak of roofs and walls"),)
    if is_attic_floor(assembly):
        return (_unanswered("attic floors", "these tables speak of unvented roofs and of walls"),)
    split = insulation_split(assembly)
    if split is None:
        return (_unanswered("insulation", "no air-permeable insulation in the assembly"),)
    degree_days = tables.canadian_degree_days(zone)
    if degree_days is not None:
        code = tables.named("NBC", edition)
        return (canadian_indication(assembly, split, degree_days, code),)
    if is_roof(assembly):
        return roof_indications(assembly, split, zone, tables.named("IRC", edition))
    return wall_indications(assembly, split, zone, edition)


def _unanswered(rule: str, reason: str) -> CodeIndication:
    return CodeIndication(rule, None, None, None, reason)


def _reaches(found: float, required: float) -> bool:
    return found >= required * (1.0 - 1e-9)  # an R-20 board is R-20, whatever its last bit


def _without_entry(rule: str, zone: str) -> CodeIndication:
    """The answer where the table is silent: it asks nothing there, or the zone is misspelt."""
    if tables.is_zone(zone):
        return _unanswered(rule, f"the table asks nothing in zone {zone}")
    cure = "zones run from 1 to 8, 4 with its letter (4A, 4C), or `NBC` and degree days"
    return _unanswered(rule, f"the table has no entry for zone {zone!r}: {cure}")


def _rated(split: InsulationSplit) -> str:
    """At what temperature the R in a row is rated, in words."""
    others = ", ".join(split.other_label)
    label = marked(LABEL_TEMPERATURE, "temperature")
    return f"label R at {label}" + (f", but at a lower temperature for {others}" if others else "")


def roof_indications(
    assembly: Assembly, split: InsulationSplit, zone: str, code: str
) -> tuple[CodeIndication, ...]:
    """An unvented roof's rows by IRC R806.5 (from memory): R, its share, and two conditions.

    The table presumes about 35 % RH indoors in winter (a dew point of 45 F at 68 F).
    """
    rule = f"{code} R806.5, unvented roof"
    if is_vented_below_deck(assembly):
        return (_unanswered(rule, "vented below its deck, and the table is for unvented roofs"),)
    entry = tables.by_zone(tables.ROOF, zone)
    if entry is None:
        return (_without_entry(rule, zone),)
    if zone.strip().upper() in tables.TILE_ONLY and _is_tiled(assembly):
        return (_unanswered(rule, f"the table asks nothing under tiles in zone {zone}"),)
    least, share = entry[0] * tables.R_VALUE, entry[1]
    found, part = split.impermeable, split.impermeable / split.insulation
    reason = f"zone {zone}; outboard of the air-permeable insulation, {_rated(split)}"
    whole = (
        "of all insulation here; the table's R over the whole that the code asks with it, which "
    )
    whole += "differs by edition (R-38 to R-60)"
    rows = (
        CodeIndication(
            f"{code} R806.5, R of air-impermeable insulation",
            *(found, least, _reaches(found, least), reason, "resistance"),
        ),
        CodeIndication(
            f"{code} R806.5, share of air-impermeable insulation",
            *(part, share, _reaches(part, share), f"zone {zone}; {whole}", "fraction"),
        ),
        room_side_indication(assembly, split, code),
    )
    if zone.strip()[:1] not in "5678":
        return rows
    return (*rows, tight_foam_indication(assembly, split, zone, code))


def _is_tiled(assembly: Assembly) -> bool:
    outermost = assembly.layers[0]
    return isinstance(outermost, Layer) and {"roofing", "masonry"} <= outermost.material.kinds


def room_side_indication(assembly: Assembly, split: InsulationSplit, code: str) -> CodeIndication:
    """R806.5 wants no class I retarder on the room side of an unvented roof (from memory)."""
    inboard = retarders(assembly.layers[split.plane :])
    tightest = min(inboard, key=lambda one: one.permeance, default=None)
    rule = f"{code} R806.5, no class I retarder on the room side"
    kind = "permeance", "more than"
    if tightest is None:
        return CodeIndication(rule, None, CLASS_I, True, "no retarder there", *kind)
    met = tightest.retarder_class != "I"
    reason = f"the tightest there is {tightest.name}, class {tightest.retarder_class}, dry cup"
    return CodeIndication(rule, tightest.permeance, CLASS_I, met, reason, *kind)


def tight_foam_indication(
    assembly: Assembly, split: InsulationSplit, zone: str, code: str
) -> CodeIndication:
    """In zones 5 to 8 the air-impermeable insulation is, or has under it, a class II retarder.

    IRC R806.5, from memory. All such layers outboard in series, with what touches their underside.
    """
    rule = f"{code} R806.5, air-impermeable insulation of class II or tighter"
    foam = [i for i in range(split.plane) if is_foam_or_board(assembly.layers[i])]
    if not foam:
        return _unanswered(rule, "no air-impermeable insulation outboard")
    counted = {*foam, foam[-1] + 1} - {split.plane}
    found = series_permeance(assembly.layers[i] for i in sorted(counted))
    met = retarder_class(found) in ("I", "II")
    reason = f"zone {zone}; with what touches its underside, dry cup"
    return CodeIndication(rule, found, CLASS_II, met, reason, "permeance", "at most")


def room_side_class(assembly: Assembly, plane: int) -> Retarder | None:
    """The tightest retarder inboard of the air-permeable insulation, None where none is."""
    after = max(i for i, layer in enumerate(assembly.layers) if is_batt_or_fill(layer))
    inboard = retarders(assembly.layers[max(after, plane) + 1 :])
    return min(inboard, key=lambda retarder: retarder.permeance, default=None)


def wall_indications(
    assembly: Assembly, split: InsulationSplit, zone: str, edition: str | None
) -> tuple[CodeIndication, ...]:
    """A framed wall's rows by its retarder's class (IRC R702.7, from memory)."""
    code = tables.named("IRC", edition)
    retarder = room_side_class(assembly, split.plane)
    if retarder is None:
        asks = tables.by_zone(tables.VENTED_OVER, zone) is not None  # zones 5 to 8, and 4C
        reason = "no layer on the room side is a retarder of class I to III; zones 5 to 8 and 4C "
        reason += "ask for one on the warm side"
        rule = f"{code} R702.7, retarder in walls"
        return (CodeIndication(rule, None, None, False if asks else None, reason),)
    name = retarder.retarder_class
    rule = f"{code} R702.7, wall with a class {name} retarder ({retarder.name})"
    if name == "I":
        reason = "drying to the room is cut off; see whether the zone allows it"
        return (_unanswered(rule, reason),)
    if name == "II" and tables.is_before_2021(edition):
        return (_unanswered(rule, "editions before 2021 have no table of insulation for it"),)
    table = tables.wall_class_iii(edition) if name == "III" else tables.WALL_CLASS_II
    entry = tables.by_zone(table, zone)
    if entry is None:
        return (_without_entry(rule, zone),)
    by_r = _outside_insulation(assembly, split, zone, rule, entry)
    if name == "II":
        return (by_r,)
    return (by_r, vented_cladding_indication(assembly, split, zone, rule))


def _outside_insulation(
    assembly: Assembly, split: InsulationSplit, zone: str, rule: str, entry: tables.Pair
) -> CodeIndication:
    cavity = assembly.layers[split.plane]
    deep = isinstance(cavity, Layer) and cavity.thickness > NARROW_FRAMING
    required = entry[deep] * tables.R_VALUE
    framing = marked(0.140 if deep else 0.090, "length")
    reason = f"zone {zone}; continuous, outside framing of {framing}, {_rated(split)}"
    rule = f"{rule}: insulation outside"
    met = _reaches(split.continuous, required)
    return CodeIndication(rule, split.continuous, required, met, reason, "resistance")


def vented_cladding_indication(
    assembly: Assembly, split: InsulationSplit, zone: str, rule: str
) -> CodeIndication:
    """Vented cladding, which serves in place of insulation outside (IRC R702.7, from memory)."""
    outboard = assembly.layers[: split.plane]
    vented = any(isinstance(one, AirLayer) and one.air_changes > 0 for one in outboard)
    over = tables.by_zone(tables.VENTED_OVER, zone)
    reason = f"zone {zone}, in place of insulation outside: over {over}; "
    reason += "whether the sheathing is one is not judged" if vented else "no vented air layer"
    return CodeIndication(f"{rule}: vented cladding", None, None, None if vented else False, reason)


def canadian_indication(
    assembly: Assembly, split: InsulationSplit, degree_days: float, code: str
) -> CodeIndication:
    """Ratio of R outboard to inboard of a tight outer layer (NBC table 9.25.5.2, from memory).

    Tight: a dry-cup permeance of at most 60 ng/(Pa s m2); both R with the surfaces' films, that of
    insulation as labelled.
    """
    rule = f"{code} 9.25.5.2, tight layer outboard"
    outer = assembly.layers[: split.plane]
    permeances = [layer_permeance(layer, MAIN_PATH, DRY_CUP_HUMIDITY) for layer in outer]
    tight = [i for i, value in enumerate(permeances) if value <= tables.CANADA_PERMEANCE]
    if not tight:
        return _unanswered(rule, "no layer outboard of the insulation is tighter than 60 ng")
    steady, cut = steady_layers(assembly), tight[-1] + 1
    row = nominal_resistances(assembly)
    outboard = steady.outer_surface + row[:cut].sum()
    inboard = steady.inner_surface + row[cut:].sum()
    found, required = float(outboard / inboard), tables.canadian_ratio(degree_days)
    reason = (
        f"{degree_days:.0f} degree days; R outboard of {outer[tight[-1]].name}'s inner face to R "
        f"inboard, {_rated(split)}"
    )
    return CodeIndication(rule, found, required, _reaches(found, required), reason, "ratio")

"""Tables of a house of zones: totals by its boundaries, what summer brings, its openings."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Iterator, Sequence

from assembly_sim.boundary.openings import free_area
from assembly_sim.changes import SealOpening
from assembly_sim.changes import plain as in_words
from assembly_sim.hand.fuels import price_of
from assembly_sim.model.opening import Unsized
from assembly_sim.physics.airflow import round_hole
from assembly_sim.report.blocks import Block, Listing, Table
from assembly_sim.report.compare.amounts import currency, heat
from assembly_sim.report.compare.sentences import merits
from assembly_sim.report.compare.tables import AT_ONCE, LITTLE, NAME, numbered, short
from assembly_sim.report.compare.work import named_work, opening_work
from assembly_sim.studies.compare import Compared, OptionFound
from assembly_sim.studies.house_parts import HELD
from assembly_sim.studies.option_year import HouseYear, PartYear, Peak
from assembly_sim.units import show
from assembly_sim.words.figures import figure

ACCOUNT = {
    "leak": "leaks to",
    "fan": "fans to",
    "ducts": "ducts in",
}


def is_house(found: Compared) -> bool:
    """Whether any option has zones, whose heat leaves a second time."""
    return any(one.year is not None and one.year.beyond for one in found.options)


def house_blocks(found: Compared, system: str) -> Iterator[Block]:
    """Boundaries, summer and openings; nothing for assemblies that stand for themselves."""
    if is_house(found):
        yield from boundary_tables(found, system)
        yield Listing("How both are read", tuple(boundary_notes(found)))
    yield Listing("Summer", tuple(summer_lines(found, system)))
    yield from cooling_tables(found, system)
    yield from openings_table(found, system)
    yield Listing("What sealing one opening saves", tuple(sealing_lines(found, system)))


def group(part: PartYear) -> str:
    """The boundary that a part of the rooms belongs to."""
    if part.beyond:
        return f"{ACCOUNT.get(part.leaves, 'floors and walls to')} {part.beyond}"
    return "straight to outdoors"


def outer_group(part: PartYear) -> str:
    """The boundary by which a zone's heat gets outdoors."""
    if part.kind == "held":
        return part.name
    words = {"roof": "roof", "wall": "gables and walls", "floor": "floor", "vents": "vents"}
    name = words.get(part.leaves, part.leaves)
    return f"{name} of {part.beyond}"


def grouped(year: HouseYear) -> tuple[dict[str, float], dict[str, float]]:
    """Heat (J) by the boundary it leaves the rooms by, and by how it gets outdoors from there."""
    inner: dict[str, float] = {}
    outer: dict[str, float] = {}
    for part in year.parts:
        inner[group(part)] = inner.get(group(part), 0.0) + part.heating.total
    outer["straight to outdoors"] = inner.get("straight to outdoors", 0.0)
    for part in year.beyond:
        name = outer_group(part)
        outer[name] = outer.get(name, 0.0) + part.heating.total
    return inner, outer


def boundary_tables(found: Compared, system: str) -> Iterator[Table]:
    """The same heat twice: as it leaves the rooms, and as it leaves the house."""
    for side, title in enumerate(("out of the rooms", "out of the house")):
        totals = [None if one.year is None else grouped(one.year)[side] for one in found.options]
        names = list(dict.fromkeys(name for each in totals if each for name in each))
        for start in range(0, len(found.options), AT_ONCE):
            some = totals[start : start + AT_ONCE]
            rows = [(short(name), *(_cell(each, name, system) for each in some)) for name in names]
            rows.append(("all", *(_sum(each, system) for each in some)))
            head = (title, *(str(start + n) for n in range(1, len(some) + 1)))
            yield Table(head, tuple(rows), (-NAME, *(11 for _ in some)))


def _cell(totals: dict[str, float] | None, name: str, system: str) -> str:
    return "-" if totals is None or name not in totals else heat(totals[name], system)


def _sum(totals: dict[str, float] | None, system: str) -> str:
    return "-" if totals is None else heat(sum(totals.values()), system)


def boundary_notes(found: Compared) -> Iterator[str]:
    """How the two sides are read."""
    yield (
        "Both are the same heat: what leads to a zone gets outdoors by what encloses it and by its "
        f"vents; '{HELD}' is what is left between the two, taken up and given back in these hours."
    )
    years = [one.year for one in found.options if one.year is not None]
    if any(
        part.heating.total < -LITTLE * year.heating
        for year in years
        for part in (*year.parts, *year.beyond)
        if part.kind != "held"
    ):
        yield "Below zero: more heat comes in there than leaves in these hours."


def summer_lines(found: Compared, system: str) -> Iterator[str]:
    """What roofs let in over the cooling season, their hardest hour, and the hottest of zones."""
    for label, one in zip(numbered(found), found.options):
        summer = None if one.year is None else one.year.summer
        if summer is None:
            continue
        told = []
        if summer.roof_peak is not None:
            told.append(
                f"roofs let in {heat(summer.roof_gain, system)} in the cooling season, at most "
                f"{_when(show(summer.roof_peak.power, 'power', system), summer.roof_peak)}"
            )
        for name, hottest in summer.zones:
            told.append(
                f"{name} up to {_when(figure(hottest.power, 'temperature', system), hottest)}"
            )
        yield f"{label}: {'; '.join(told)}"


def _when(text: str, peak: Peak) -> str:
    return f"{text} ({month_name[peak.month]}, {peak.clock:02d}:00)" if peak.power > 0.0 else text


def cooling_tables(found: Compared, system: str) -> Iterator[Table]:
    """Heat that the cooling takes away, by the part it comes in by; of houses with cooling."""
    if found.asked.cooling is None or not is_house(found):
        return
    years = [one.year for one in found.options if one.year is not None]
    names = list(
        dict.fromkeys(
            part.name
            for year in years
            for part in year.parts
            if abs(part.cooling.total) > LITTLE * year.cooling
        )
    )
    for start in range(0, len(found.options), AT_ONCE):
        some = found.options[start : start + AT_ONCE]
        rows = [(short(name), *(_cooled(name, one, system) for one in some)) for name in names]
        whole = ("-" if one.year is None else heat(one.year.cooling, system) for one in some)
        head = ("where heat comes in", *(str(start + n) for n in range(1, len(some) + 1)))
        yield Table(head, (*rows, ("all", *whole)), (-NAME, *(11 for _ in some)))


def _cooled(name: str, one: OptionFound, system: str) -> str:
    parts = [] if one.year is None else [part for part in one.year.parts if part.name == name]
    return heat(parts[0].cooling.total, system) if parts else "-"


def openings_of(year: HouseYear) -> Sequence[PartYear]:
    """The openings of the rooms, the largest loss first."""
    some = [part for part in year.parts if part.kind == "opening"]
    return sorted(some, key=lambda part: part.heating.total, reverse=True)


def hole_across(part: PartYear) -> float | None:
    """Diameter (m) of the sharp-edged round hole that passes the same at 4 Pa."""
    opening = part.opening
    if opening is None or isinstance(opening.shape, Unsized):
        return None
    return float(round_hole(free_area(opening.shape)))


def openings_table(found: Compared, system: str) -> Iterator[Block]:
    """Each opening of the house as found: where it leads, its hole, heat, money, who seals it."""
    year = found.as_found.year
    openings = [] if year is None else openings_of(year)
    if not openings:
        return
    fuel, money = found.asked.fuel, currency(found.asked)
    rows = []
    for part in openings:
        paid = None if fuel is None else price_of(fuel, part.heating.total)
        across = hole_across(part)
        rows.append(
            (
                short(part.name),
                part.beyond or "outdoors",
                "-" if across is None else show(across, "length", system),
                heat(part.heating.total, system),
                "-" if paid is None else money.written(paid),
                f"  {opening_work(part)}",
            )
        )
    head = ("openings as found", "to", "round hole", "heat a year", "money", "  who seals it")
    yield Table(head, tuple(rows), (-NAME, -9, 11, 12, 9, -31))
    yield Listing(
        "How openings are read",
        (
            "Air is charged where it leaves: what lets cold air in shows little here. What sealing "
            "one saves is found by an option of its own, since the air of all others then changes.",
        ),
    )


def sealing_lines(found: Compared, system: str) -> Iterator[str]:
    """Openings that an option of their own seals, by what that saves; who seals them."""
    for one in sorted(found.options, key=_saved, reverse=True):
        if change := only_seal(one, found):
            text = f"{in_words(change.words, system)}: {merits(one, found, system)}"
            yield f"{text} ({named_work(change.opening)})"


def _saved(one: OptionFound) -> float:
    return 0.0 if one.saved is None else one.saved.heating


def only_seal(one: OptionFound, found: Compared) -> SealOpening | None:
    """The opening that an option seals of the house as found, where it does nothing else."""
    if one.saved is None or one.option.builds_on not in (None, found.asked.as_found):
        return None
    change = one.option.changes[0] if len(one.option.changes) == 1 else None
    return change if isinstance(change, SealOpening) else None

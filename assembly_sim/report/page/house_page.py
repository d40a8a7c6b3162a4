"""The house of a run: a section with its heat and one with its air, its zones and its holes."""

from __future__ import annotations

from calendar import month_abbr
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from assembly_sim.boundary.openings import SHARP_EDGED, free_area
from assembly_sim.changes.opening_size import all_sized
from assembly_sim.envelope.orientation import is_roof, is_wall
from assembly_sim.model import Assembly, Case
from assembly_sim.model.assembly import OUTDOORS
from assembly_sim.model.opening import Unsized
from assembly_sim.physics.airflow import leakage_area, round_hole
from assembly_sim.report.house import air_lines, house_answer, season_words
from assembly_sim.report.page.content import (
    Absent,
    Block,
    Cell,
    Column,
    DataTable,
    Figure,
    Listed,
    Section,
    Words,
)
from assembly_sim.report.page.house_plots import Flow, Hole, Holes, HousePlan, Space
from assembly_sim.report.page.plots import Plot
from assembly_sim.solver.result import Result
from assembly_sim.units import in_unit, show
from assembly_sim.verdict import moment
from assembly_sim.verdict.house_summary import HouseSummary
from assembly_sim.verdict.summary import RunSummary
from assembly_sim.words.figures import MMBTU, figure, percent
from assembly_sim.words.spaces import some, the

STACK = 4.0  # Pa, about a cold day's
KILOWATT_HOUR = 3.6e6  # J
LITTLE = 2e-3  # of the largest flow: less is no arrow
STYLES = {"conducted": ("conducted", False), "by air": ("carried", True), "ducts": ("start", False)}
BARS = {
    "si": (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0),
    "ip": (0.0127, 0.0254, 0.0508, 0.1524, 0.3048),
}


@dataclass(frozen=True)
class Moved:
    """An amount from one space to another by one part, positive that way."""

    source: str
    target: str
    how: str
    part: str
    amount: float


def house_section(result: Result, summary: RunSummary, system: str) -> Section | None:
    """The section of a house with zones; None where there is none or no hour was computed."""
    if summary.house is None or not summary.zones:
        return None
    return Section("house", "The house", tuple(_blocks(result, summary, summary.house, system)))


def _blocks(
    result: Result, summary: RunSummary, house: HouseSummary, system: str
) -> Iterator[Block]:
    yield Words("In short", (" ".join(house_answer(summary, system)),))
    yield heat_plan(result.case, summary, house, system)
    yield air_plan(result.case, summary, house, system)
    yield holes_figure(result.case, summary, system)
    yield Listed(zones_table(summary, system))
    if any(zone.pipes for zone in summary.zones):
        yield Listed(pipes_table(summary, system))


def spaces(case: Case, summary: RunSummary, system: str) -> tuple[Space, ...]:
    """Rooms, and zones where they lie, with their coldest and their most humid hour."""
    rooms = [Space(room.name, "rooms") for room in case.rooms]
    zones = []
    for zone in summary.zones:
        cold, damp = zone.coldest, zone.most_humid
        lines = (
            f"{show(cold.value, 'temperature', system)}, {short_date(cold.at)}",
            f"{100.0 * damp.value:.0f} %, {short_date(damp.at)}",
        )
        zones.append(Space(zone.name, where(case, zone.name), lines))
    return (*rooms, *zones)


def short_date(at: moment.Moment) -> str:
    """A date that fits into a drawing."""
    return f"{at.day} {month_abbr[at.month]}, {at.clock:02d}:00"


def where(case: Case, zone: str) -> str:
    """Where a zone lies: above where a roof lies over it or a ceiling under it, below a floor."""
    around = [one for one in case.assemblies if zone in (one.inside, one.outside)]
    if any(is_roof(one) for one in around):
        return "above"
    return "beside" if all(is_wall(one) for one in around) else "below"


def heat_plan(case: Case, summary: RunSummary, house: HouseSummary, system: str) -> Figure | Absent:
    """Heat of the heating season between the spaces, by how it goes."""
    moved = [*rooms_heat(house), *zones_heat(case, summary)]
    size, unit, digits = (MMBTU, "MMBtu", 2) if system == "ip" else (KILOWATT_HOUR, "kWh", 0)

    def text(amount: float) -> str:
        return figure(amount * KILOWATT_HOUR, "energy", system)

    rows = tuple(
        (one.source, one.target, one.part, one.how, one.amount * KILOWATT_HOUR / size)
        for one in moved
    )
    columns = (
        *(Column("from"), Column("to"), Column("part"), Column("how")),
        Column(f"heat of the heating season, {unit}", digits),
    )
    return _plan(
        case,
        summary,
        system,
        moved,
        text,
        ("house-heat", "Where heat goes", heat_says(house, summary, system)),
        "A section, not to scale; in each zone its coldest and its most humid hour. Arrows are as "
        "wide as the heat of the hours of the heating season in which the rooms lose. Air that "
        "leaves a room counts with the warming of its replacement from outdoors; between a zone "
        "and outdoors air counts with what the zone gives to what comes in, so that both sides "
        "need not meet.",
        DataTable("heat", "Heat between spaces, by part", columns, rows),
    )


def rooms_heat(house: HouseSummary) -> Iterator[Moved]:
    """What leaves the rooms, kWh, each way once or, where air has its own share, twice."""
    for way in house.ways:
        heat, known = way.heating_season, ("ducts" if way.kind == "ducts" else "conducted")
        pair = (way.room, way.beyond)
        if way.kind == "ducts":
            yield Moved(*pair, known, way.name, heat.total_kwh)
            continue
        if heat.conducted_kwh:
            yield Moved(*pair, known, way.name, heat.conducted_kwh)
        if heat.carried_kwh:
            yield Moved(*pair, "by air", way.name, heat.carried_kwh)


def zones_heat(case: Case, summary: RunSummary) -> Iterator[Moved]:
    """What leaves the zones to outdoors, kWh."""
    ends = {one.name: {one.inside, one.outside} for one in case.assemblies}
    streams = {(one.name, one.kind): {one.inside, one.outside} for one in summary.streams}
    for zone in summary.zones:
        for way in zone.ways:
            known = ends if way.kind == "assembly" else {}
            both = known.get(way.name) or streams.get((way.name, way.kind), set())
            if OUTDOORS in both:
                how = "conducted" if way.kind == "assembly" else "by air"
                yield Moved(zone.name, OUTDOORS, how, way.name, -way.heating_season_kwh)


def air_plan(case: Case, summary: RunSummary, house: HouseSummary, system: str) -> Figure | Absent:
    """Air of the heating season between the spaces."""
    moved = []
    for one in summary.streams:
        out = 2 * one.hours_outward >= one.heating_season_hours
        pair = (one.inside, one.outside) if out else (one.outside, one.inside)
        moved.append(Moved(*pair, "by air", one.name, one.heating_season_flow_m3_s))
    unit = "cfm" if system == "ip" else "L/s"

    def text(amount: float) -> str:
        return figure(amount, "air flow", system)

    rows: list[tuple[Cell, ...]] = []
    for stream in summary.streams:
        hours = stream.heating_season_hours
        share = 100.0 * stream.hours_outward / hours if hours else None
        flow = float(in_unit(stream.heating_season_flow_m3_s, "air flow", unit))
        rows.append((stream.name, stream.kind, stream.inside, stream.outside, flow, share))
    columns = (
        *(Column("way"), Column("kind"), Column("inside"), Column("outside")),
        *(Column(f"mean flow, {unit}", 2), Column("from inside to outside, % of hours", 0)),
    )
    said = " ".join(" ".join(air_lines(summary, system)).split())
    return _plan(
        case,
        summary,
        system,
        moved,
        text,
        ("house-air", "Where air goes", said or "Air passes as the arrows show."),
        "Mean flow of the heating season, whichever way it went; each arrow points the way in "
        "which air went in most of these hours.",
        DataTable("air", "Air between spaces", columns, tuple(rows)),
    )


def _plan(
    case: Case,
    summary: RunSummary,
    system: str,
    moved: Sequence[Moved],
    text: object,
    named_as: tuple[str, str, str],
    reading: str,
    table: DataTable,
) -> Figure | Absent:
    """The section with an arrow for each way that heat or air goes between two spaces."""
    name, title, says = named_as
    groups = [one for one in grouped(moved) if one[0].amount > 0.0]
    if not groups:
        return Absent(title, "nothing passed between the spaces")
    assert callable(text)
    keys, flows = [], []
    for letter, (whole, parts) in zip(ascii_uppercase, groups):
        role, hatched = STYLES[whole.how]
        flows.append(Flow(whole.source, whole.target, letter, whole.amount, role, hatched))
        way = f"{whole.source} to {whole.target}, {whole.how}"
        keys.append((letter, f"{text(whole.amount)} {way}: {some(parts, 2)}"))
    plot: Plot = HousePlan(spaces(case, summary, system), tuple(flows), tuple(keys))
    return Figure(name, title, says, reading, plot, table)


def grouped(moved: Iterable[Moved]) -> list[tuple[Moved, list[str]]]:
    """Sums between two spaces by how, the largest first, turned to be positive; their parts."""
    sums: dict[tuple[str, str, str], list[Moved]] = {}
    for one in moved:
        sums.setdefault((one.source, one.target, one.how), []).append(one)
    found = []
    for (source, target, how), parts in sums.items():
        whole = sum(one.amount for one in parts)
        pair = (source, target) if whole >= 0.0 else (target, source)
        parts.sort(key=lambda one: -abs(one.amount))
        found.append((Moved(*pair, how, "", abs(whole)), [one.part for one in parts]))
    found.sort(key=lambda one: -one[0].amount)
    least = LITTLE * found[0][0].amount if found else 0.0
    return [one for one in found if one[0].amount >= least][: len(ascii_uppercase)]


def heat_says(house: HouseSummary, summary: RunSummary, system: str) -> str:
    """Shares of the season's heat that leave by each zone and straight outdoors."""
    whole = house.heating_season_kwh
    if whole <= 0.0:
        return f"{season_words(house)} the rooms lose no heat in sum."
    ends = [*(zone.name for zone in summary.zones), OUTDOORS]
    told = []
    for end in ends:
        heat = sum(way.heating_season.total_kwh for way in house.ways if way.beyond == end)
        way = "straight outdoors" if end == OUTDOORS else f"into {the(end)}"
        told.append(f"{percent(heat / whole)} {way}")
    leave = figure(whole * KILOWATT_HOUR, "energy", system)
    return f"{season_words(house)} {leave} leave the rooms: {some(told, len(told))}."


def holes_of(case: Case) -> list[tuple[Hole, str]]:
    """Openings, then leaks of assemblies, as the sharp-edged round hole equal at 4 Pa."""
    found = [
        (Hole(one.name, "", round_hole(free_area(one.shape))), f"{one.inside} - {one.outside}")
        for one in all_sized(case).openings
        if not isinstance(one.shape, Unsized)
    ]
    leaky = [(one, leak_hole(one)) for one in case.assemblies]
    return found + [
        (Hole(f"leak of {one.name}", "", size, True), f"{one.inside} - {one.outside}")
        for one, size in leaky
        if size > 0.0
    ]


def leak_hole(one: Assembly) -> float:
    """Diameter (m) of the sharp-edged round hole that passes what a leak does at 4 Pa."""
    if one.leak is None:
        return 0.0
    flow = one.area * one.leak.flow_at(STACK)
    return round_hole(leakage_area(flow, STACK, SHARP_EDGED))


def holes_figure(case: Case, summary: RunSummary, system: str) -> Figure | Absent:
    """Circles to one scale."""
    title, known = "Its holes, each as one round hole", holes_of(case)
    if not known:
        return Absent(title, "the case has no opening and no leak")
    shown = tuple(
        Hole(one.label, figure(one.diameter, "length", system), one.diameter, one.spread)
        for one, _ in known
    )
    most = max(one.diameter for one in shown)
    bar = max((one for one in BARS[system] if one <= most), default=BARS[system][0])
    unit = "in" if system == "ip" else "mm"
    rows = tuple(
        (one.label, between, float(in_unit(one.diameter, "length", unit)))
        for one, between in sorted(known, key=lambda each: -each[0].diameter)
    )
    digits = 2 if system == "ip" else 0
    columns = (Column("hole"), Column("between"), Column(f"equal round hole, {unit}", digits))
    return Figure(
        name="house-holes",
        title=title,
        says=holes_says(known, system),
        reading=(
            "To one scale: the sharp-edged round hole that passes the same air at 4 Pa, about a "
            "cold day's pressure. Dashed: a leak spread over an assembly."
        ),
        plot=Holes(shown, (bar, figure(bar, "length", system))),
        table=DataTable("holes", "Equal round holes", columns, rows),
    )


def holes_says(known: Sequence[tuple[Hole, str]], system: str) -> str:
    """The largest hole, and what all between each two spaces are together."""
    largest, _ = max(known, key=lambda one: one[0].diameter)
    pairs: dict[str, float] = {}
    for one, between in known:
        pairs[between] = pairs.get(between, 0.0) + one.diameter**2
    told = [
        f"{between.replace(' - ', ' and ')} like one of {figure(area**0.5, 'length', system)}"
        for between, area in sorted(pairs.items(), key=lambda each: -each[1])
    ]
    size = figure(largest.diameter, "length", system)
    return (
        f"The largest is {largest.label}, like a round hole {size} across; together those between "
        f"{some(told, len(told))}."
    )


def zones_table(summary: RunSummary, system: str) -> DataTable:
    """Each zone's coldest, hottest and most humid hour, its frost and its air."""
    rows: list[tuple[Cell, ...]] = []
    for zone in summary.zones:
        ends = [
            f"{show(one.value, 'temperature', system)}, {moment.told(one.at)}"
            for one in (zone.coldest, zone.hottest)
        ]
        damp = f"{100.0 * zone.most_humid.value:.0f} %, {moment.told(zone.most_humid.at)}"
        counts = (zone.hours_below_0_degc, zone.hours_above_95_percent)
        air = (zone.outdoor_air_m3_s, zone.room_air_m3_s)
        flows = (figure(one, "air flow", system) for one in air)
        rows.append((zone.name, *ends, damp, *counts, *flows))
    columns = (
        *(Column("zone"), Column("coldest hour"), Column("hottest hour"), Column("most humid")),
        *(Column("below freezing, h", 0), Column("above 95 %, h", 0)),
        *(Column("air from outdoors"), Column("air from rooms")),
    )
    return DataTable("zones", "Zones in the last year", columns, tuple(rows))


def pipes_table(summary: RunSummary, system: str) -> DataTable:
    """Each named pipe: frost of water that stands in it, and how soon where all heating fails."""
    rows: list[tuple[Cell, ...]] = []
    for zone in summary.zones:
        for pipe in zone.pipes:
            coldest = show(pipe.coldest_k, "temperature", system)
            when = f"{coldest}, {moment.told(pipe.coldest_at)}"
            counts = (pipe.hours_below_0_degc, pipe.longest_below_0_degc)
            rows.append((pipe.name, zone.name, when, *counts, pipe.fails_h))
    columns = (
        *(Column("pipe"), Column("zone"), Column("coldest hour")),
        *(Column("below freezing, h", 0), Column("in a row, h", 0)),
        Column("to freezing without heat, h at the soonest", 1),
    )
    return DataTable("pipes", "Water that stands in pipes, in the last year", columns, tuple(rows))

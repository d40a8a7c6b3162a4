"""The answer for a house: what leaves its rooms and by which way, its zones, its air.

Each sentence is of the hours that it names. Heat of a part that joins no room is its zone's, and is
added to nothing here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assembly_sim.report.answer import headline, span
from assembly_sim.report.blocks import Block, Lines, Table, wrapped
from assembly_sim.report.energy import KILOWATT_HOUR
from assembly_sim.units import show
from assembly_sim.verdict import moment
from assembly_sim.verdict.house_summary import HouseSummary, Ventilation, WayHeat, WaySummary
from assembly_sim.verdict.pipe_summary import PipeSummary
from assembly_sim.verdict.stream_summary import StreamSummary
from assembly_sim.verdict.summary import AssemblySummary, RunSummary
from assembly_sim.verdict.zone_summary import Extreme, IceDamSummary, ZoneSummary
from assembly_sim.words.checks import place_and_path
from assembly_sim.words.figures import against, figure, percent
from assembly_sim.words.spaces import some, the

WAYS_SHOWN = 8
LEAST_GAIN = 50.0  # kWh of a cooling season: less is no season of cooling
LEAST_FOG = 1e-3  # kg in a whole zone: less is what any surface holds
DROWNED = 5.0  # kg of fog in a zone: what no air holds, so that it gathers
LABEL = 13
WAY_HEAD = ("where heat leaves the rooms", "share", "in season", "conducted", "by air", "in {span}")
WAY_WIDTHS = (-42, 7, 12, 12, 11, 13)
AIR_HEAD = ("air in the heating season", "between", "mean", "outward", "heat", "in {span}")
AIR_WIDTHS = (-32, -20, 12, 10, 12, 12)
OUTWARD = (
    "outward: share of the season's hours in which air goes from the first space to the second"
)
HEAT = (
    "heat: what it carried out of the rooms, and what came back warmed deducted (-: it joins no "
    "room, or is counted with the ducts)"
)


def house_in_short(summary: RunSummary, system: str = "si") -> Iterator[Block]:
    """The answer, the largest ways, the zones and the air of a house; nothing where it is none."""
    house = summary.house
    if house is None:
        return
    answer = " ".join(house_answer(summary, system))
    yield Lines("The house", tuple(wrapped(answer)))
    yield ways_table(house, system, WAYS_SHOWN)
    for zone in summary.zones:
        yield Lines(_zone_title(zone, house, system), tuple(zone_lines(zone, system)))
    yield Lines("", tuple(air_lines(summary, system)))


def house_in_full(summary: RunSummary, system: str = "si") -> Iterator[Block]:
    """The same with every way, every hole, and whence each zone has its heat."""
    house = summary.house
    if house is None:
        return
    yield Lines("The house", tuple(wrapped(" ".join(house_answer(summary, system)))))
    yield ways_table(house, system, len(house.ways))
    for zone in summary.zones:
        yield Lines(_zone_title(zone, house, system), tuple(zone_lines(zone, system)))
        yield zone_table(zone, house, system)
    if summary.streams:
        yield streams_table(summary.streams, house, system)
        yield Lines("", tuple(line for one in (OUTWARD, HEAT) for line in wrapped(one)))
    yield Lines("", (*air_lines(summary, system), *balances(summary)))


def year_word(house: HouseSummary) -> str:
    """What `year` figures are of."""
    return "year" if house.has_year else "window"


def season_words(house: HouseSummary) -> str:
    """The hours that heat is summed over."""
    return "In the heating season" if house.has_year else "In the days of heating of this window"


def _energy(kilowatt_hours: float, system: str) -> str:
    return figure(kilowatt_hours * KILOWATT_HOUR, "energy", system)


def house_answer(summary: RunSummary, system: str = "si") -> Iterator[str]:
    """What leaves the rooms, the largest ways, and the wettest place around each zone."""
    house = summary.house
    assert house is not None
    stopped = [one.name for one in summary.assemblies if not one.converged]
    if stopped:
        yield f"NOT CONVERGED ({some(stopped)}): what follows is what was computed."
    yield from _heat_answer(house, system)
    for zone in summary.zones:
        yield from wettest(zone.name, summary, system)


def _heat_answer(house: HouseSummary, system: str) -> Iterator[str]:
    """The house's heat; ways with a share of their own, credits apart."""
    if not house.heating_season_hours:
        yield f"{season_words(house)} no hour was found in which the rooms as a whole lose heat."
        return
    season, year = (_energy(x, system) for x in (house.heating_season_kwh, house.year_kwh))
    yield (
        f"{season_words(house)} {season} leave the rooms by what the case describes, {year} in the "
        f"{year_word(house)}; at most {show(house.peak_w, 'power', system)}, on "
        f"{moment.told(house.peak)}."
    )
    yield from _largest_ways(house)
    yield from _cooling_answer(house, system)


def _cooling_answer(house: HouseSummary, system: str) -> Iterator[str]:
    """What comes in where there are days of cooling, and by which way most of it."""
    if house.cooling_season_kwh < LEAST_GAIN:
        return
    first = house.gains[0]
    share = share_of(min(first.kwh / house.cooling_season_kwh, 1.0))
    yield (
        f"In the cooling season {_energy(house.cooling_season_kwh, system)} come into the rooms by "
        f"it, most by {first.name}, {share}: without its humidity, the sun through windows, people "
        "and appliances."
    )


def _largest_ways(house: HouseSummary) -> Iterator[str]:
    """The largest way, and the two that follow."""
    ways = [way for way in house.ways if (way.share or 0.0) > 0.0]
    if ways:
        rest = [f"{named(way)}, {share_of(way.share)}" for way in ways[1:3]]
        then = f"; then {' and '.join(rest)}" if rest else ""
        yield f"The largest way is {named(ways[0])}, {share_of(ways[0].share)}{then}."


def share_of(share: float | None) -> str:
    """A share in words, a dash where there is none."""
    return "-" if share is None else percent(share)


def named(way: WaySummary) -> str:
    """A way in words, with where it leads unless that is outdoors."""
    if way.kind == "ventilation":
        return way.name
    told = way.beyond == "outdoors" or way.kind in ("ducts", "fan")  # their names say where to
    beyond = "" if told else f" to {the(way.beyond)}"
    return f"{way.name}{beyond}"


def wettest(zone: str, summary: RunSummary, system: str) -> Iterator[str]:
    """The worst verdict of all that a zone looks at, and what has none."""
    around = [one for one in summary.assemblies if zone in (one.inside, one.outside)]
    judged = [one for one in around if one.verdict.judged]
    silent = [one.name for one in around if not one.verdict.judged]
    if judged:
        worst = max(judged, key=_weight)
        finding = worst.verdict.judged[0].finding
        yield (
            f"Wettest around {the(zone)} in the {span(summary.years)} computed is {worst.name}, at "
            f"{place_and_path(finding)}: {headline(worst)}."
        )
    if silent:
        yield f"No verdict on moisture: {some(silent)}."


def _weight(one: AssemblySummary) -> tuple[int, float]:
    first = one.verdict.judged[0]
    return first.rank, first.load


def ways_table(house: HouseSummary, system: str, shown: int) -> Table:
    """The largest ways, what the others are together, and the whole."""
    ways = house.ways
    rows = [_way_row(_label(way), way.share, way.heating_season, way.year, system) for way in ways]
    if len(ways) > shown:
        left, part = ways[shown - 1 :], ways[: shown - 1]
        season, year = (_sum([getattr(w, x) for w in left]) for x in ("heating_season", "year"))
        shares = [way.share for way in left if way.share is not None]
        share = sum(shares) if shares else None
        label = f"{len(left)} more: --full"
        rows = [*rows[: len(part)], _way_row(label, share, season, year, system)]
    season, year = (_sum([getattr(way, x) for way in ways]) for x in ("heating_season", "year"))
    share = 1.0 if house.heating_season_kwh > 0.0 else None
    rows.append(_way_row("whole", share, season, year, system))
    return Table(_head(WAY_HEAD, house), tuple(rows), WAY_WIDTHS)


def _head(head: tuple[str, ...], house: HouseSummary) -> tuple[str, ...]:
    return tuple(one.format(span=year_word(house)) for one in head)


def _label(way: WaySummary) -> str:
    name, width = named(way), -WAY_WIDTHS[0]
    return name if len(name) < width else f"{name[: width - 4]}..."


def _sum(heats: Sequence[WayHeat]) -> WayHeat:
    names = ("total_kwh", "conducted_kwh", "carried_kwh")
    return WayHeat(*(sum(getattr(heat, name) for heat in heats) for name in names))


def _way_row(
    label: str, share: float | None, season: WayHeat, year: WayHeat, system: str
) -> tuple[str, ...]:
    parts = (season.total_kwh, season.conducted_kwh, season.carried_kwh, year.total_kwh)
    return (label, share_of(share), *(_energy(x, system) for x in parts))


def _zone_title(zone: ZoneSummary, house: HouseSummary, system: str) -> str:
    span = "the last year" if house.has_year else "the window"
    return f"{zone.name}, {show(zone.volume_m3, 'volume', system)}, in {span}"


def zone_lines(zone: ZoneSummary, system: str = "si") -> Iterator[str]:
    """Cold, heat, damp, air, pipes and icings of a zone."""
    yield from _line(
        "temperature",
        f"{_extreme(zone.coldest, system)} to {_extreme(zone.hottest, system)}, mean "
        f"{show(zone.mean_temperature_k, 'temperature', system)}; below freezing for "
        f"{zone.hours_below_0_degc} h",
    )
    digits = f"{zone.fog_max_kg:.0f}" if zone.fog_max_kg >= 10.0 else f"{zone.fog_max_kg:.2g}"
    fog = f"; fog in it, up to {digits} kg" if zone.fog_max_kg >= LEAST_FOG else ""
    if zone.fog_max_kg >= DROWNED:
        fog += ", more water than its air takes away"
    yield from _line(
        "humidity",
        f"at most {100.0 * zone.most_humid.value:.0f} % on {moment.told(zone.most_humid.at)}, mean "
        f"{100.0 * zone.mean_relative_humidity:.0f} %; above 95 % for "
        f"{zone.hours_above_95_percent} h{fog}",
    )
    air, rooms = zone.outdoor_air_m3_s, zone.room_air_m3_s
    changes = 3600.0 * air / zone.volume_m3
    yield from _line(
        "air",
        f"{figure(air, 'air flow', system)} from outdoors in the mean ({changes:.1f} changes an "
        f"hour), {figure(rooms, 'air flow', system)} from the rooms",
    )
    yield from _pipes(zone, system)
    for pipe in zone.pipes:
        yield from _line("pipe", pipe_told(pipe, zone, system))
    if zone.ice_dam is not None:
        yield from _line("icings", icings(zone.ice_dam, system))


def _line(label: str, text: str) -> list[str]:
    return wrapped(text, f"{label:<{LABEL}}", " " * LABEL)


def _extreme(one: Extreme, system: str) -> str:
    return f"{show(one.value, 'temperature', system)} ({moment.told(one.at)})"


def _pipes(zone: ZoneSummary, system: str) -> Iterator[str]:
    """Hours of frost, and the caution of the only field figure there is."""
    if not zone.hours_below_0_degc:
        return
    alert = show(273.15 + (20.0 - 32.0) / 1.8, "temperature", system)
    text = (
        f"its air is below freezing for up to {zone.longest_below_0_degc} h in a row, below "
        f"{alert} for {zone.hours_below_minus_6_7_degc} h; in an attic that was looked at, bare "
        f"pipes began to freeze at {alert} outdoors, below which are "
        f"{zone.hours_outdoors_below_minus_6_7_degc} h here; none of this is a time to a burst"
    )
    yield from _line("pipes", text)


def pipe_told(pipe: PipeSummary, zone: ZoneSummary, system: str = "si") -> str:
    """A named pipe: frost of water that stands in it, and how soon where all heating fails."""
    coldest = show(pipe.coldest_k, "temperature", system)
    stands = "as its air, being bare" if pipe.time_constant_h is None else "standing in it"
    below = f"water {stands}: {coldest} at the coldest, on {moment.told(pipe.coldest_at)}"
    if pipe.hours_below_0_degc:
        span = f"{pipe.hours_below_0_degc} h, {pipe.longest_below_0_degc} h in a row"
        return f"{pipe.name}: {below}; below freezing for {span} with the heating on"
    alone = f"{the(zone.name)} alone cools by exp(-t / {pipe.zone_time_constant_h:.1f} h)"
    constant = f"{alone}, what is built around it holds it longer"
    if pipe.fails_h is None:
        return f"{pipe.name}: {below}; not at freezing within ten days without heat ({constant})"
    return (
        f"{pipe.name}: {below}; where all heating fails it is at freezing after "
        f"{pipe.fails_h:.1f} h at the soonest, from {moment.told(pipe.fails_at)} on ({constant})"
    )


def icings(found: IceDamSummary, system: str = "si") -> str:
    """The criterion for ice at eaves; without a cold hour it says nothing, snow is not known."""
    design = show(273.15 + (22.0 - 32.0) / 1.8, "temperature", system)
    if found.mean_temperature_k is None:
        return f"no hour near {design} outdoors, at which the criterion for ice at eaves is held"
    mean, limit = against(found.mean_temperature_k, found.limit_k, "temperature", system)
    met = "met in the mean" if found.met else "not met"
    flow = figure(found.outdoor_air_m3_s or 0.0, "air flow", system)
    needed = figure(found.outdoor_air_needed_m3_s or 0.0, "air flow", system)
    more = "" if found.met else f", by hand {needed} would be needed"
    return (
        f"criterion for ice at eaves {met}: {mean} (at most {limit}) in {found.hours} h near "
        f"{design} outdoors, with {flow} of outdoor air{more}; it is warmer than that in "
        f"{found.melting_hours} h at or below {design}, when snow on the roof would melt (snow, "
        "sun on it and valleys are left out)"
    )


def zone_table(zone: ZoneSummary, house: HouseSummary, system: str) -> Table:
    """Heat into a zone and out of it in the heating season."""
    rows = [
        (
            f"{one.name} (leak)" if one.kind == "leak" else one.name,
            _energy(one.heating_season_kwh, system),
        )
        for one in zone.ways
        if abs(one.heating_season_kwh) >= 0.5
    ]
    head = (f"heat into {the(zone.name)} (negative: out of it)", "in season")
    return Table(head, tuple(rows), (-50, 14))


def streams_table(streams: Sequence[StreamSummary], house: HouseSummary, system: str) -> Table:
    """Each hole, leak and fan: mean flow and direction in the season, heat."""
    rows = []
    for one in streams:
        hours = one.heating_season_hours
        outward = f"{100.0 * one.hours_outward / hours:.0f} %" if hours else "-"
        heats = (one.heating_season_kwh, one.year_kwh)
        flow = figure(one.heating_season_flow_m3_s, "air flow", system)
        told = ("-" if heat is None else _energy(heat, system) for heat in heats)
        between = f"{one.inside} - {one.outside}"
        name = f"{one.name} (leak)" if one.kind == "leak" else one.name
        rows.append((name, between, flow, outward, *told))
    return Table(_head(AIR_HEAD, house), tuple(rows), AIR_WIDTHS)


def air_lines(summary: RunSummary, system: str = "si") -> Iterator[str]:
    """Neutral level of the rooms, outdoor air and the ventilation that is needed."""
    house = summary.house
    assert house is not None
    zones = {zone.name for zone in summary.zones}
    levels = [
        f"{figure(one.height_m, 'height', system)} above the ground in {the(one.space)}"
        for one in house.neutral_levels
        if one.space not in zones  # a zone near outdoors has one that says little
    ]
    if levels:
        yield from wrapped(
            f"Neutral level, median of the heating season: {', '.join(levels)}; but for the wind, "
            "holes to outdoors above it let air out, those below it let air in."
        )
    if house.ventilation is not None:
        yield from wrapped(ventilation(house.ventilation, system))


def ventilation(found: Ventilation, system: str = "si") -> str:
    """Outdoor air that comes, and what a standard asks for; not told where no volume is stated."""
    season, year = (
        figure(flow, "air flow", system) for flow in (found.heating_season_m3_s, found.year_m3_s)
    )
    came = f"Outdoor air into the rooms: {season} in the heating season, {year} in the mean of all"
    if found.needed_m3_s is None or found.floor_m2 is None:
        return f"{came}; what they need is not told, as the case states no volume of the rooms."
    floor = show(found.floor_m2, "area", system)
    needed = figure(found.needed_m3_s, "air flow", system)
    effective = figure(found.effective_m3_s or 0.0, "air flow", system)
    fan = found.fan_m3_s or 0.0
    rest = f"{figure(fan, 'air flow', system)} of it by a fan" if fan >= 5e-5 else "none by a fan"
    return (
        f"{came}, which dilutes like {effective} all the time. Needed by ASHRAE 62.2 are {needed} "
        f"(floor taken as {floor}, {found.bedrooms} bedrooms), {rest}; check the local code."
    )


def balances(summary: RunSummary) -> Iterator[str]:
    """How well the zones' heat, water and air add up."""
    house = summary.house
    if house is None or not summary.zones:
        return
    yield (
        f"Balances of the zones: heat {house.heat_balance_error:.0e}, water "
        f"{house.moisture_balance_error:.0e}, air {house.air_balance_error:.0e} of what went in"
    )

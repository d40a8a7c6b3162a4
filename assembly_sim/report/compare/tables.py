"""Tables of a comparison: one row a measure, and where heat leaves by part."""

from __future__ import annotations

from collections.abc import Iterator

from assembly_sim.report.blocks import Block, Lines, Table
from assembly_sim.report.compare.amounts import (
    a_unit,
    currency,
    fuel_amount,
    heat,
    heat_price,
    sum_of,
    unit_cost,
    years,
)
from assembly_sim.report.compare.sentences import level
from assembly_sim.studies.compare import Compared, OptionFound
from assembly_sim.studies.option_year import HouseYear, PartYear, Peak
from assembly_sim.units import show
from assembly_sim.words.figures import percent

NAME = 26
LITTLE = 1e-3  # share of the whole below which a part is not worth a row
AT_ONCE = 6  # options beside each other in a table of parts


def short(name: str, width: int = NAME) -> str:
    """A name that fits its column."""
    return name if len(name) < width else f"{name[: width - 4]}..."


def numbered(found: Compared) -> list[str]:
    """Options with their numbers."""
    return [f"{n} {one.option.name}" for n, one in enumerate(found.options, start=1)]


def energy_table(found: Compared, system: str) -> Table:
    """Heat of the heating season by stream, cooling, peak; area and R of what is changed."""
    head = ("heat in a year", "changed", "R", "heating", "conducted", "by air", "saved", "cooling")
    rows = tuple(
        _energy_row(label, one, found.as_found, system)
        for label, one in zip(numbered(found), found.options)
    )
    return Table(head, rows, (-NAME, 10, 8, 12, 11, 9, 7, 11))


def _energy_row(
    label: str, one: OptionFound, as_found: OptionFound, system: str
) -> tuple[str, ...]:
    area, resistance = changed(one, as_found, system)
    if one.year is None:
        return (short(label), area, resistance, "not run", "-", "-", "-", "-")
    year = one.year
    parts = [
        sum(getattr(part.heating, stream) for part in year.parts)
        for stream in ("conducted", "carried")
    ]
    share = "" if one.saved is None or one.saved.share is None else percent(one.saved.share)
    told = [heat(value, system) for value in (year.heating, *parts, year.cooling)]
    return (short(label), area, resistance, told[0], _bare(told[1]), _bare(told[2]), share, told[3])


def _bare(text: str) -> str:
    return text.partition(" ")[0]


def changed(one: OptionFound, as_found: OptionFound, system: str) -> tuple[str, str]:
    """Area of what differs from the house as found, and its R with surfaces, by its U-values.

    Where the plane of insulation moves, of what is insulated better than it was alone.
    """
    before = {each.name: each.u_value_w_m2k for each in as_found.summaries}
    parts = [each for each in one.summaries if each.name in one.changed]
    better = [each for each in parts if each.u_value_w_m2k < before.get(each.name, 0.0)]
    parts = better or parts
    if not parts:
        return "-", "-"
    area = sum(each.area_m2 for each in parts)
    mean = sum(each.area_m2 * each.u_value_w_m2k for each in parts) / area
    return show(area, "area", system), r_value(1.0 / mean, system)


def r_value(resistance: float, system: str) -> str:
    """A resistance as the trade writes it."""
    if system == "ip":
        return f"R-{_bare(show(resistance, 'resistance', system))}"
    return _bare(show(resistance, "resistance", system))


def peak_lines(found: Compared, system: str) -> Iterator[str]:
    """The hardest hours of each option."""
    for label, one in zip(numbered(found), found.options):
        if one.year is not None:
            loss, gain = one.year.peak_loss, one.year.peak_gain
            yield f"{label}: {_peak(loss, system)} out, {_peak(gain, system)} in"


def _peak(peak: Peak, system: str) -> str:
    from calendar import month_name

    power = show(peak.power, "power", system)
    return f"{power} ({month_name[peak.month]}, {peak.clock:02d}:00)" if peak.power else power


def money_table(found: Compared, system: str) -> Iterator[Block]:
    """Fuel, money, cost, payback and what a saved unit costs; nothing without fuel and cost."""
    fuel, costs = found.asked.fuel, any(one.option.cost for one in found.options)
    if fuel is None and not costs:
        return
    money = currency(found.asked)
    head = (
        *("fuel and money", "fuel a year", "saved", "money", "cost", "payback, a"),
        f"a saved {a_unit(system)}",
    )
    rows = tuple(
        _money_row(label, one, found, system) for label, one in zip(numbered(found), found.options)
    )
    yield Table(head, rows, (-NAME, 11, 12, 9, 15, 12, 13))
    notes, unit = [], a_unit(system)
    if fuel is not None and (price := heat_price(fuel)) is not None:
        notes.append(
            f"a delivered {unit} costs {unit_cost(price, money, system)} by {fuel.name} now"
        )
    interest = f"{100.0 * found.asked.discount:g} %"
    if costs:
        notes.append(f"a saved {unit}: cost over {found.asked.lifetime:g} years at {interest}")
    for one in filter(None, (fuel, found.asked.cooling)):
        if one.presets:
            notes.append(f"presets, not this house's own: {', '.join(one.presets)} of {one.name}")
    if fuel is not None and fuel.price is not None and found.asked.cooling is None:
        notes.append("money is that of heating alone: the file names no [cooling]")
    yield Lines("", tuple(notes))


def _money_row(label: str, one: OptionFound, found: Compared, system: str) -> tuple[str, ...]:
    from assembly_sim.hand.fuels import amount_of

    fuel, saved = found.asked.fuel, one.saved
    used = (
        "-"
        if fuel is None or one.year is None
        else fuel_amount(fuel, amount_of(fuel, one.year.heating))
    )
    if saved is None:
        return (short(label), used, "", "", sum_of(one.option.cost, "-"), "", "")
    if saved.beyond_bills:
        return (short(label), used, "refused", "", sum_of(saved.cost, "-"), "-", "-")
    money = currency(found.asked)
    amount = "-" if fuel is None or saved.fuel is None else fuel_amount(fuel, saved.fuel)
    paid = "-" if saved.money is None else money.written(saved.money)
    cost, back = sum_of(saved.cost, "-"), years(saved.payback, "-")
    unit = unit_cost(saved.saved_unit, money, system)
    return (short(label), used, amount, paid, cost, back, unit)


def parts_tables(found: Compared, system: str) -> Iterator[Table]:
    """Heat of the heating season by the part it leaves through, options side by side."""
    names = list(
        dict.fromkeys(
            part.name
            for year in _years(found)
            for part in year.parts
            if abs(part.heating.total) > LITTLE * year.heating
        )
    )
    for start in range(0, len(found.options), AT_ONCE):
        some = found.options[start : start + AT_ONCE]
        head = ("where heat leaves", *(str(start + n) for n in range(1, len(some) + 1)))
        rows = [
            (short(_leaves(name, found)), *(_of(name, one, system) for one in some))
            for name in names
        ]
        rows.append(("all", *(_all(one, system) for one in some)))
        yield Table(head, tuple(rows), (-NAME, *(11 for _ in some)))


def _years(found: Compared) -> list[HouseYear]:
    return [one.year for one in found.options if one.year is not None]


def _leaves(name: str, found: Compared) -> str:
    """A part with what heat leaves by there, where its name does not say so."""
    part = next(part for year in _years(found) for part in year.parts if part.name == name)
    told = part.leaves in name.lower()
    return name if told else f"{name} ({part.leaves})"


def part_of(name: str, one: OptionFound) -> PartYear | None:
    """The part of this name in an option."""
    if one.year is None:
        return None
    return next((part for part in one.year.parts if part.name == name), None)


def _of(name: str, one: OptionFound, system: str) -> str:
    part = part_of(name, one)
    return "-" if part is None else heat(part.heating.total, system)


def _all(one: OptionFound, system: str) -> str:
    return "-" if one.year is None else heat(one.year.heating, system)


def levels(found: Compared) -> Iterator[str]:
    """Every part's level in each option, where they are not all alike."""
    for label, one in zip(numbered(found), found.options):
        yield f"{label}: " + "; ".join(f"{each.part} {level(each.rank)}" for each in one.moisture)

"""Where heat leaves in each option: bars of parts, and the numbers behind them."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from assembly_sim.errors import shortened, visible
from assembly_sim.report.compare.amounts import heat
from assembly_sim.report.compare.tables import part_of
from assembly_sim.report.page.content import Absent, Cell, Column, DataTable, Figure
from assembly_sim.report.page.palette import SIDE_BY_SIDE
from assembly_sim.report.page.plots import Bars, Part
from assembly_sim.studies.compare import Compared, OptionFound
from assembly_sim.words.figures import MMBTU

OTHERS = "all other parts"
KILOWATT_HOUR = 3.6e6  # J
ROOM = 440.0  # px that all bars have
LETTER = 6.2  # px of a letter under a bar
LINES = 3


def energy_unit(system: str) -> tuple[float, str, int]:
    """Size (J), name and decimals of the unit of heat on axes and in columns."""
    return (MMBTU, "MMBtu", 2) if system == "ip" else (KILOWATT_HOUR, "kWh", 0)


def bars_figure(found: Compared, system: str) -> Figure | Absent:
    """A bar for each option, of the parts that heat leaves by."""
    title = "Where heat leaves, option by option"
    ran = [one for one in found.options if one.year is not None]
    if not ran:
        return Absent(title, "no option was computed to the end of a year")
    size, unit, _ = energy_unit(system)
    shown, rest = _parts(ran)

    def values(name: str) -> tuple[float, ...]:
        return tuple(_loss(one, name) / size for one in ran)

    parts = [
        Part(name, values(name), role, hatched=bool(at % 2))
        for at, (name, role) in enumerate(zip(shown, SIDE_BY_SIDE))
    ]
    if rest:
        sums = tuple(sum(column) for column in zip(*(values(name) for name in rest)))
        parts.append(Part(OTHERS, sums, SIDE_BY_SIDE[-1], hatched=True))
    return Figure(
        name="energy-by-part",
        title=title,
        says=bars_says(found, system),
        reading=(
            "Heat that the heating delivers in a year for each part of the house, conducted and "
            "carried by air together. Below zero: the part gives heat back in these hours."
        ),
        plot=Bars(
            f"heat of the heating season, {unit}",
            tuple(wrapped_name(one.option.name, ROOM / len(ran)) for one in ran),
            tuple(parts),
        ),
        table=bars_table(found, system),
    )


def _parts(ran: list[OptionFound]) -> tuple[list[str], list[str]]:
    """Names of parts that are drawn by themselves, the largest loss first, and of the others."""
    years = [one.year for one in ran if one.year is not None]
    names = list(dict.fromkeys(part.name for year in years for part in year.parts))
    names.sort(key=lambda name: -max(abs(_loss(one, name)) for one in ran))
    most = len(SIDE_BY_SIDE)
    return (names, []) if len(names) <= most else (names[: most - 1], names[most - 1 :])


def _loss(one: OptionFound, name: str) -> float:
    part = part_of(name, one)
    return 0.0 if part is None else part.heating.total


def wrapped_name(name: str, room: float) -> str:
    """A name in lines that fit beneath a bar this wide, px."""
    wide = max(5, int(room / LETTER))
    lines = textwrap.wrap(visible(name), wide) or [""]
    if len(lines) > LINES:
        lines = [*lines[: LINES - 1], shortened(" ".join(lines[LINES - 1 :]), max(5, wide - 3))]
    return "\n".join(lines)


def bars_says(found: Compared, system: str) -> str:
    """What the house takes as found and where it goes, and which option takes least."""
    year = found.as_found.year
    others = [one for one in found.options if one.year is not None and one is not found.as_found]
    said = []
    if year is not None:
        said.append(f"As found the house takes {heat(year.heating, system)} of heat in a year")
        most = max(year.parts, key=lambda part: part.heating.total, default=None)
        if most is not None and year.heating > 0.0:
            share = 100.0 * most.heating.total / year.heating
            said.append(f"of it {share:.0f} % by {most.name}")
    if others:
        least = min(others, key=lambda one: one.year.heating if one.year else 0.0)
        assert least.year is not None
        told = f"'{least.option.name}' takes least of the options, "
        said.append(f"{told}{heat(least.year.heating, system)}")
    return f"{', '.join(said[:2])}{'; ' if len(said) > 2 else ''}{'; '.join(said[2:])}."


def bars_table(found: Compared, system: str) -> DataTable:
    """A row for each part of each option, and its sum."""
    _, unit, digits = energy_unit(system)
    columns = (
        *(Column("option"), Column("part"), Column(f"conducted, {unit}", digits)),
        *(Column(f"by air, {unit}", digits), Column(f"all, {unit}", digits)),
    )
    rows = tuple(row for one in found.options for row in _rows(one, system))
    return DataTable("energy_by_part", "Heat of the heating season by part", columns, rows)


def _rows(one: OptionFound, system: str) -> Iterator[tuple[Cell, ...]]:
    size, _, _ = energy_unit(system)
    if one.year is None:
        yield one.option.name, "not computed to the end of a year", None, None, None
        return
    for part in one.year.parts:
        two = part.heating
        yield one.option.name, part.name, two.conducted / size, two.carried / size, two.total / size
    conducted, carried = (
        sum(getattr(part.heating, stream) for part in one.year.parts) / size
        for stream in ("conducted", "carried")
    )
    yield one.option.name, "all", conducted, carried, one.year.heating / size

"""A checklist to print: the parts of the house by what they lose, then the steps by rank."""

from __future__ import annotations

from collections.abc import Iterator

from assembly_sim.changes import plain as in_words
from assembly_sim.hand.fuels import price_of
from assembly_sim.model import Assembly
from assembly_sim.physics.airflow import SHARP_EDGED, leakage_area, round_hole
from assembly_sim.report.blocks import Block, Lines, as_text, wrapped
from assembly_sim.report.compare.amounts import currency, heat, sum_of
from assembly_sim.report.compare.house_tables import hole_across, sealing_lines
from assembly_sim.report.compare.sentences import first_words, merits
from assembly_sim.report.compare.tables import LITTLE
from assembly_sim.report.compare.text import cautions_first
from assembly_sim.report.compare.work import opening_work, who
from assembly_sim.studies.compare import Compared, OptionFound
from assembly_sim.words.figures import figure

BOX = "[ ]"
STACK = 4.0  # Pa, about a cold day's


def checklist_text(found: Compared, system: str = "si") -> str:
    """The list as text."""
    return as_text(checklist_blocks(found, system))


def checklist_blocks(found: Compared, system: str) -> Iterator[Block]:
    """What comes first, what each part loses, what to do in which order."""
    yield Lines(found.asked.case.name, tuple(_all(first_words(found, system))))
    yield Lines("Before work starts", tuple(f"{BOX} {one}" for one in cautions_first(found)))
    yield Lines("Look at, by what it loses as found", tuple(_all(part_lines(found, system))))
    sealed = [f"{BOX} {line}" for line in sealing_lines(found, system)]
    if sealed:
        yield Lines("Seal, by what it saves alone", tuple(_all(iter(sealed))))
    yield Lines("Do, in this order", tuple(_all(step_lines(found, system))))


def _all(texts: Iterator[str]) -> Iterator[str]:
    for text in texts:
        yield from wrapped(text, "", "    ")


def part_lines(found: Compared, system: str) -> Iterator[str]:
    """Parts of the house as found, the largest loss first, with the hole their leaks are."""
    year, fuel = found.as_found.year, found.asked.fuel
    if year is None:
        return
    case = found.asked.cases[found.asked.as_found]
    assemblies = {one.name: one for one in case.assemblies}
    lossy = [one for one in year.parts if one.heating.total > LITTLE * year.heating]
    for part in sorted(lossy, key=lambda one: one.heating.total, reverse=True):
        text = f"{BOX} {part.name}: {heat(part.heating.total, system)} a year"
        money = None if fuel is None else price_of(fuel, part.heating.total)
        if money is not None:
            text += f", {currency(found.asked).written(money)}"
        text += f", of it {heat(part.heating.carried, system)} by air"
        hole = equal_hole(assemblies.get(part.name))
        if hole is not None:
            text += f" (its leak is a hole {figure(hole, 'length', system)} across)"
        across = hole_across(part)
        if across is not None:
            text += f" (a hole {figure(across, 'length', system)} across; {opening_work(part)})"
        yield text


def equal_hole(assembly: Assembly | None) -> float | None:
    """Diameter (m) of the sharp-edged round hole that passes what a leak does at 4 Pa."""
    if assembly is None or assembly.leak is None:
        return None
    flow = assembly.area * assembly.leak.flow_at(STACK)
    return round_hole(leakage_area(flow, STACK, SHARP_EDGED))


def step_lines(found: Compared, system: str) -> Iterator[str]:
    """Options by rank, each with its tasks and who does them."""
    for number in found.ranked:
        one = found.options[number]
        yield f"{one.option.name}: {merits(one, found, system)}"
        yield from tasks(one, system)


def tasks(one: OptionFound, system: str) -> Iterator[str]:
    """What an option asks for, a box each, with who does it and what it costs."""
    if one.option.builds_on is not None:
        yield f"{BOX} first all of '{one.option.builds_on}'"
    for change in one.option.changes:
        yield f"{BOX} {in_words(change.words, system)} ({who(one, change)})"
    if one.option.cost is not None:
        yield f"{BOX} cost {sum_of(one.option.cost)}, paid: ________"

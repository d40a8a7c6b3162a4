"""The page of a comparison: the answer, figures, the ranking, what to watch, the checklist."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from assembly_sim import __version__
from assembly_sim.report.blocks import Lines, Listing, Table
from assembly_sim.report.compare.checklist import BOX, part_lines, tasks
from assembly_sim.report.compare.house_tables import house_blocks, sealing_lines
from assembly_sim.report.compare.sentences import (
    bill_lines,
    first_words,
    level,
    merits,
    ranked_by,
    ranking_lines,
    sequence_lines,
    tipping,
)
from assembly_sim.report.compare.tables import energy_table, money_table, numbered, peak_lines
from assembly_sim.report.compare.text import (
    cautions_first,
    closing,
    code_lines,
    done,
    head,
    moisture_lines,
)
from assembly_sim.report.page.compare_bars import bars_figure
from assembly_sim.report.page.compare_course import course_figure
from assembly_sim.report.page.compare_spots import cost_figure, margin_figure
from assembly_sim.report.page.content import (
    Answer,
    Block,
    Checklist,
    Column,
    DataTable,
    Figure,
    Listed,
    Page,
    Section,
    Source,
    Words,
)
from assembly_sim.report.page.tables import part_suffix
from assembly_sim.studies.compare import Compared, OptionFound
from assembly_sim.studies.ranking import is_bad
from assembly_sim.verdict.rules import PAST
from assembly_sim.words.figures import say


def compare_page(found: Compared, system: str = "si") -> Page:
    """The content of the page of a comparison; pure, nothing is drawn yet."""
    return Page(
        kind="Options held against the house as found",
        title=found.asked.case.name,
        facts=tuple(facts(found)),
        sections=(
            Section("answer", "What to do first", answer=first_screen(found, system)),
            Section("options", "Side by side", tuple(figures_of(found, system))),
            Section("ranking", "In which order", tuple(ranking_blocks(found, system))),
            Section("watch", "What to watch", tuple(watch_blocks(found, system))),
            Section("checklist", "Checklist", tuple(checklist(found, system)), apart=True),
            Section("basis", "What it rests on", tuple(basis(found, system)), apart=True),
        ),
        made_by=f"assembly_sim {__version__}, as found {found.as_found.inputs_sha256}",
    )


def facts(found: Compared) -> Iterator[tuple[str, str]]:
    """Weather and runs in a line each."""
    for line in head(found).lines[:2]:
        name, _, text = line.partition(" ")
        yield name.capitalize(), text.strip()


def headline(found: Compared) -> str:
    """The answer in some words; no option comes first whose moisture is not solved."""
    best = found.options[found.ranked[0]] if found.ranked else None
    if best is None or best.saved is None or not best.saved.saves:
        return "No option to begin with"
    name = f"{best.option.name[:1].upper()}{best.option.name[1:]}"
    if is_bad(best.moisture):
        return f"{name}: not before its moisture is solved"
    return f"{name} first{', once what is wet today is mended' if best.rank >= PAST else ''}"


def first_screen(found: Compared, system: str) -> Answer:
    """What to do first, how every option stands to its moisture, what comes before any work."""
    shown = margin_figure(found, system)
    words = () if isinstance(shown, Figure) else (f"{shown.title} is not drawn: {shown.why}.",)
    return Answer(
        headline=headline(found),
        step=None,
        steps=(),
        sentences=(*first_words(found, system), *words),
        gauge=None,
        drawing=shown if isinstance(shown, Figure) else None,
        lists=(Listing("Before work starts", cautions_first(found)),),
    )


def figures_of(found: Compared, system: str) -> Iterator[Block]:
    """Energy, cost and humidity of all options, then the tables of them."""
    yield bars_figure(found, system)
    yield cost_figure(found, system)
    yield course_figure(found)
    yield as_listed("heat", "Heat in a year", energy_table(found, system), numbered(found))
    notes: list[str] = []
    yield from house_tables(found, system)
    for block in money_table(found, system):
        if isinstance(block, Table):
            yield as_listed("money", "Fuel and money", block, numbered(found))
        elif isinstance(block, Lines):
            notes += block.lines
    yield Listing("", tuple(notes))
    yield Listing("The hardest hour of the year", tuple(peak_lines(found, system)))


def house_tables(found: Compared, system: str) -> Iterator[Block]:
    """Tables of a house of zones: its boundaries, summer and openings."""
    seen = Counter[str]()
    for block in house_blocks(found, system):
        if isinstance(block, Listing):
            yield block
        elif isinstance(block, Table):
            yield _house_table(block, seen[block.head[0]])
            seen[block.head[0]] += 1


def _house_table(table: Table, part: int) -> Listed:
    """A table of text; `part` counts those of one heading, which hold some options each."""
    columns = tuple(Column(one.strip()) for one in table.head)
    rows = tuple(tuple(cell.strip() for cell in row) for row in table.rows)
    name = f"house_{'_'.join(table.head[0].split())}{part_suffix(part)}"
    more = f", from option {table.head[1]}" if part else ""
    return Listed(DataTable(name, f"{table.head[0].capitalize()}{more}", columns, rows))


def as_listed(name: str, heading: str, table: Table, labels: list[str]) -> Listed:
    """A table of text as it is printed, its rows with whole names."""
    columns = (Column("option"), *(Column(one.strip()) for one in table.head[1:]))
    rows = tuple((label, *row[1:]) for label, row in zip(labels, table.rows, strict=True))
    return Listed(DataTable(name, heading, columns, rows))


def ranking_blocks(found: Compared, system: str) -> Iterator[Block]:
    """The order in words, and what steps after one another save."""
    yield Words(ranked_by(found), tuple(ranking_lines(found, system)))
    yield Listing("One after the other", tuple(sequence_lines(found, system)))
    yield Listing("Held against the bills", tuple(bill_lines(found, system)))
    told = (f"{label}: {done(one, system)}" for label, one in zip(numbered(found), found.options))
    yield Listing("What is done", tuple(told))


def watch_blocks(found: Compared, system: str) -> Iterator[Block]:
    """What each option asks the crew to watch; what all of them ask stands at the end, once."""
    shared = shared_cautions(found)
    for label, one in zip(numbered(found), found.options):
        if one is not found.as_found:
            yield Listing(label, tuple(watched(one, shared, system)))
    yield Listing("With every option", tuple(say(text, system) for text in shared))


def shared_cautions(found: Compared) -> tuple[str, ...]:
    """Cautions that every planned option has."""
    planned = [one for one in found.options if one is not found.as_found]
    if not planned:
        return ()
    return tuple(
        text for text in planned[0].cautions if all(text in one.cautions for one in planned)
    )


def watched(one: OptionFound, shared: tuple[str, ...], system: str) -> Iterator[str]:
    """Parts that are wetter or not cleared, whether the level tips, and cautions of its own."""
    for each in one.moisture:
        if is_bad([each]):
            yield f"{each.part} is not cleared: {level(each.rank)}"
        if each.wetter is not None:
            yield f"{each.part} gets wetter at {each.wetter.planned.finding.place}: look there"
    if tips := tipping(one):
        yield tips
    yield from (say(text, system) for text in one.cautions if text not in shared)


def checklist(found: Compared, system: str) -> Iterator[Block]:
    """To print and tick: before work, what to look at, the steps in their order."""
    yield Checklist("Before work starts", cautions_first(found))
    looked = tuple(line.removeprefix(BOX).strip() for line in part_lines(found, system))
    yield Checklist("Look at, by what it loses as found", looked)
    if sealed := tuple(sealing_lines(found, system)):
        yield Checklist("Seal, by what it saves alone", sealed)
    for place, number in enumerate(found.ranked, start=1):
        one = found.options[number]
        items = tuple(line.removeprefix(BOX).strip() for line in tasks(one, system))
        yield Checklist(f"{place}. {one.option.name}", items, f"{merits(one, found, system)}.")


def basis(found: Compared, system: str) -> Iterator[Block]:
    """Every part's moisture, the code, what the figures leave out, the file."""
    yield Listing("Moisture, part by part", tuple(moisture_lines(found, system)))
    yield Listing("What the code asks (check locally)", tuple(code_lines(found, system)))
    yield Words("How it is counted", (closing(found),))
    inputs = tuple((one.option.name, one.inputs_sha256) for one in found.options)
    columns = (Column("option"), Column("inputs, SHA-256"))
    yield Listed(DataTable("inputs", "Inputs of each option", columns, inputs), folded=True)
    if found.asked.case.text:
        yield Source("The case file", found.asked.case.text)

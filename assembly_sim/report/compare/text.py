"""The page of a comparison: the answering sentence first, then tables, ranking and cautions."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Iterator

from assembly_sim import __version__
from assembly_sim.boundary.period import window_in_words
from assembly_sim.changes import plain as in_words
from assembly_sim.report.blocks import Block, Lines, Listing, as_text, wrapped
from assembly_sim.report.compare.house_tables import house_blocks
from assembly_sim.report.compare.sentences import (
    alike,
    bill_lines,
    first_words,
    ranked_by,
    ranking_lines,
    sequence_lines,
    tipping,
)
from assembly_sim.report.compare.tables import (
    energy_table,
    money_table,
    numbered,
    parts_tables,
    peak_lines,
)
from assembly_sim.report.steady import code_line
from assembly_sim.studies.compare import Compared, OptionFound
from assembly_sim.studies.moisture_change import MoistureChange
from assembly_sim.words.figures import say


def compare_text(found: Compared, system: str = "si") -> str:
    """The report of a comparison; `system` is `si` or `ip`."""
    return as_text(compare_blocks(found, system))


def compare_blocks(found: Compared, system: str) -> Iterator[Block]:
    """All of it, in the order in which it is read."""
    answer = [line for text in first_words(found, system) for line in wrapped(text)]
    yield Lines("", tuple(answer))
    yield head(found)
    yield Listing("Held against the bills", tuple(bill_lines(found, system)))
    yield energy_table(found, system)
    yield Listing("The hardest hour of the year", tuple(peak_lines(found, system)))
    yield from parts_tables(found, system)
    yield from house_blocks(found, system)
    yield from money_table(found, system)
    ranked = [row for line in ranking_lines(found, system) for row in wrapped(line, "", "   ")]
    yield Lines(ranked_by(found), tuple(ranked))
    yield Listing("One after the other", tuple(sequence_lines(found, system)))
    yield Listing("Moisture, part by part", tuple(moisture_lines(found, system)))
    yield Listing("What the code asks (check locally)", tuple(code_lines(found, system)))
    yield Listing("What is done", tuple(done_lines(found, system)))
    yield Lines("Before work starts", cautions_first(found))
    yield Lines("", tuple(wrapped(closing(found))))


def head(found: Compared) -> Lines:
    """The case, its weather, how long it ran, and what was run."""
    case = found.asked.case
    weather = (
        f"{case.climate.name}, {case.climate.hours} hours a year"
        if case.climate.wraps
        else window_in_words(case.climate, case.climate.hours)
    )
    start = f" from 1 {month_name[case.start_month]}" if case.climate.wraps else ""
    return Lines(
        case.name,
        (
            f"weather  {weather}; the same days for every option",
            f"run      {found.runs} runs{start}; energy is that of the last year, moisture of all",
            f"made by  assembly_sim {__version__}, as found {found.as_found.inputs_sha256[:16]}",
        ),
    )


def moisture_lines(found: Compared, system: str) -> Iterator[str]:
    """Every part of every option, with what decides and whether it is wetter or drier."""
    for label, one in zip(numbered(found), found.options):
        told = [
            each
            for each in one.moisture
            if each.part in one.changed or one is found.as_found or not is_as_found(each)
        ]
        for text in alike(told, one, system):
            yield f"{label}: {text}"
        if tips := tipping(one):
            yield f"{label}: {tips}"


def is_as_found(one: MoistureChange) -> bool:
    """Whether nothing of a part moved."""
    return one.wetter is None and one.drier is None and one.rank == one.before


def code_lines(found: Compared, system: str) -> Iterator[str]:
    """Rows of the code of what is changed, each once."""
    told: set[str] = set()
    for label, one in zip(numbered(found), found.options):
        for summary in one.summaries:
            for rule in summary.steady.code if summary.name in one.changed else ():
                line = f"{summary.name}: {code_line(rule, system)}"
                if line not in told:
                    told.add(line)
                    yield f"{label}, {line}"


def done_lines(found: Compared, system: str) -> Iterator[str]:
    """What each option changes, in words."""
    for label, one in zip(numbered(found), found.options):
        yield f"{label}: {done(one, system)}"


def done(one: OptionFound, system: str) -> str:
    """The changes of an option, what it builds on first."""
    own = "; ".join(in_words(change.words, system) for change in one.option.changes)
    below = f"as '{one.option.builds_on}'" if one.option.builds_on else ""
    return ", and ".join(filter(None, (below, own))) or "nothing is changed"


def cautions_first(found: Compared) -> tuple[str, ...]:
    """Those that come before all others, of any option, each once."""
    return tuple(dict.fromkeys(say(one) for each in found.options for one in each.first_cautions))


def closing(found: Compared) -> str:
    """What the figures leave out, and how to learn more."""
    text = (
        "Heating counts the hours of the heating season in which the house as a whole loses heat; "
        "air that leaks out is charged with warming its replacement."
    )
    if all(one.band is None for one in found.options):
        text += " --band: the same with half and twice the leak and in a damper room."
    return text

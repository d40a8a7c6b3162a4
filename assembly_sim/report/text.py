"""What `run` prints: the answer on a screen, or all of it. One typed summary, words made last."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Iterator, Sequence

from assembly_sim.boundary.period import begin_of, moment_in_words
from assembly_sim.report.answer import also, answer, cut, headline, what_moves_it
from assembly_sim.report.blocks import Block, Lines, Listing, as_text, wrapped
from assembly_sim.report.energy import (
    LABEL,
    defects,
    energy_blocks,
    energy_in_short,
    heat_lines,
    u_line,
)
from assembly_sim.report.house import house_in_full, house_in_short
from assembly_sim.report.moisture import (
    boards_block,
    checks_blocks,
    meanings,
    planes_table,
    verdict_block,
)
from assembly_sim.report.probe import probe_blocks
from assembly_sim.report.steady import steady_block
from assembly_sim.solver.result import AssemblyResult, Result
from assembly_sim.studies.probe import Probing
from assembly_sim.units import show
from assembly_sim.verdict.period import period_lines
from assembly_sim.verdict.rules import WET
from assembly_sim.verdict.summary import AssemblySummary, RunSummary, typed_summary
from assembly_sim.words.figures import say

NOT_CONVERGED = "NOT CONVERGED: {}. What follows is what was computed."
FEW = 2  # assemblies up to which each has all its lines of energy and of what else was found


def run_text(
    result: Result,
    system: str = "si",
    full: bool = False,
    summary: RunSummary | None = None,
    probes: Sequence[Probing] = (),
) -> str:
    """The report of a run as text: the answer on a screen, or `full`; `system`: `si` or `ip`."""
    known = summary or typed_summary(result)
    blocks = full_blocks if full else short_blocks
    return as_text(blocks(result, known, system, tuple(probes)))


def short_blocks(
    result: Result, summary: RunSummary, system: str, probes: tuple[Probing, ...]
) -> Iterator[Block]:
    """The case, the answer, what decides, energy, first cautions, and where there is more."""
    yield head(result, summary)
    yield from house_in_short(summary, system)
    yield from outcomes(result)
    for at, one in enumerate(summary.assemblies):
        if summary.house is not None:
            yield Lines(_title(one, system), tuple(part_in_short(summary, one, system)))
            continue
        probing = probes[at] if probes else None
        yield Lines(_title(one, system), tuple(_answer(summary, one, system, probing)))
        energy = energy_in_short(one, system)
        told = energy if len(summary.assemblies) <= FEW else energy[:2]
        indent = " " * LABEL
        yield Lines("", tuple(row for line in told for row in wrapped(line, "", indent)))
    yield Lines("Before work starts", summary.first_cautions)
    no_probe = bool(probes) or not result.case.climate.wraps or summary.house is not None
    yield Lines("", tuple(_more(summary, no_probe)))


def part_in_short(summary: RunSummary, one: AssemblySummary, system: str) -> Iterator[str]:
    """One part of a house: all that answers where it gets wet, else the first sentence; its heat.

    What takes a level its weight stands in the headline, so a part that keeps dry needs no more.
    """
    told = [*answer(one, summary.years, system)]
    wet = one.verdict.rank is None or one.verdict.rank >= WET or one.verdict.moving
    yield from wrapped(" ".join(told if wet else told[:1]))
    for other in cut(also(one, system), 1):
        yield from wrapped(other, "- ", "  ")
    lost = [f"{'defects':<{LABEL}}{told}" for told in defects(one, system)]
    for line in (u_line(one, system), *lost, *heat_lines(one, system)):
        yield from wrapped(line, "", " " * LABEL)


def _title(one: AssemblySummary, system: str) -> str:
    return f"{one.name}, {show(one.area_m2, 'area', system)}: {headline(one)}"


def _answer(
    summary: RunSummary, one: AssemblySummary, system: str, probing: Probing | None
) -> Iterator[str]:
    yield from wrapped(" ".join(answer(one, summary.years, system)))
    few = len(summary.assemblies) <= FEW
    for other in cut(also(one, system), 3 if few else 1):
        yield from wrapped(other, "- ", "  ")
    for said in what_moves_it(probing, system) if probing else ():
        yield from wrapped(said, "> ", "  ")


def _more(summary: RunSummary, probed: bool) -> Iterator[str]:
    """Where there is more; probed: a probe was made, or none can be: a window, a house."""
    yield from (line for note in summary.room_notes for line in wrapped(f"Note: {say(note)}."))
    counts = (
        f"{len(summary.assumptions)} assumptions, {len(summary.climate_notes)} notes on the "
        f"weather, all {len(summary.cautions)} cautions"
    )
    yield f"--full: every check, planes, hand methods, {counts}"
    if not probed:
        yield "--probe: what would change it, and how far it holds; -h: files and units"


def full_blocks(
    result: Result, summary: RunSummary, system: str, probes: tuple[Probing, ...]
) -> Iterator[Block]:
    """All of it; what assemblies share stands once, at the end."""
    limits = result.case.thresholds
    yield head(result, summary)
    yield from house_in_full(summary, system)
    yield from outcomes(result)
    for at, one in enumerate(summary.assemblies):
        yield from energy_blocks(one, limits, system)
        yield planes_table(one, system)
        yield boards_block(one)
        yield verdict_block(one, system)
        yield from probe_blocks(probes[at], system) if probes else ()
        yield from checks_blocks(one, system)
        yield steady_block(one.steady, system)
    short = not all(one.has_year for one in summary.assemblies)
    yield meanings(limits.condensation_humidity, system, short)
    assumed = tuple(say(phrase, system) for phrase in summary.assumptions)
    yield Listing("Assumed, because the case does not say", assumed)
    notes = tuple(say(note, system) for note in summary.climate_notes)
    yield Listing("About the weather, in the units of its file", notes)
    cautions = tuple(say(caution, system) for caution in summary.cautions)
    yield Listing("Before work starts", cautions)


def head(result: Result, summary: RunSummary) -> Lines:
    """The case, its weather, its length and the hash of its inputs."""
    if not result.case.climate.wraps:
        return window_head(result, summary)
    years = "1 year" if summary.years == 1 else f"{summary.years} years"
    inputs = (summary.inputs_sha256 or "")[:16]
    return Lines(
        result.case.name,
        (
            f"weather  {summary.climate}, {summary.climate_hours} hours a year",
            f"run      {years} from 1 {month_name[result.case.start_month]}; energy is that of the "
            "last year, moisture that of all",
            f"made by  assembly_sim {summary.version}, inputs {inputs}",
        ),
    )


def window_head(result: Result, summary: RunSummary) -> Lines:
    """The case, the window of weather it ran through, and the hash of its inputs."""
    weather, ran = period_lines(result)
    has_year = all(one.has_year for one in summary.assemblies)
    span = "last year" if has_year else "window"
    inputs = (summary.inputs_sha256 or "")[:16]
    return Lines(
        result.case.name,
        (
            *wrapped(f"weather  {weather}", "", " " * 9),
            f"run      {ran}; energy is that of the {span}, moisture that of all",
            f"made by  assembly_sim {summary.version}, inputs {inputs}",
        ),
    )


def outcomes(result: Result) -> Iterator[Lines]:
    """How a run ended that did not converge: what marched together says it once."""
    told: dict[tuple[str, ...], list[str]] = {}
    for one in result.assemblies:
        if not one.converged:
            told.setdefault(tuple(_ending(result, one)), []).append(one.assembly.name)
    for lines, names in told.items():
        yield Lines(NOT_CONVERGED.format(", ".join(names)), lines)


def outcome(result: Result, computed: AssemblyResult) -> Iterator[Lines]:
    """The same of one assembly, where each stands by itself."""
    if not computed.converged:
        told = tuple(_ending(result, computed))
        yield Lines(NOT_CONVERGED.format(computed.assembly.name), told)


def _ending(result: Result, computed: AssemblyResult) -> Iterator[str]:
    """When, where and why the march of an assembly failed, and what may cure it."""
    ended = computed.outcome
    if ended.name == "completed":
        steps = max(path.statistics.get("fallback steps", 0.0) for path in computed.paths)
        names = ("state_defect", "heat_balance_error", "moisture_balance_error")
        errors = [max(getattr(path, name) for path in computed.paths) for name in names]
        yield (
            "cause  heat and water do not add up: defect of the state {:.1e}, balance of heat "
            "{:.1e}, of water {:.1e}".format(*errors)
        )
        yield f"steps  {steps:.0f} of them by the fallback, in small steps of first order"
    if ended.hour is not None:
        yield f"hour   {ended.hour} of the run, {moment(result, ended.hour)}"
    rows = (("path", ended.path), ("layer", ended.layer), ("cause", ended.cause))
    yield from (f"{name:<6} {text}" for name, text in (*rows, ("cure", ended.cure)) if text)


def moment(result: Result, hour: int) -> str:
    """Return an hour of the run as a count of days and a time, `day 12, 05:00, in October`."""
    if not result.case.climate.wraps:
        return moment_in_words(begin_of(result.case.climate, hour))
    days, clock = divmod(hour, 24)
    month = month_name[int(result.month[min(hour, result.hours - 1)])] if result.hours else ""
    return f"day {days + 1}, {clock:02d}:00" + (f", in {month}" if month else "")

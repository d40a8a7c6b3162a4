"""The page of a run: first screens, figures, then all that they rest on."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Iterator, Sequence
from dataclasses import replace

from assembly_sim.report.answer import headline, span
from assembly_sim.report.blocks import Listing
from assembly_sim.report.page.autumn import autumn_figure
from assembly_sim.report.page.camera import camera_blocks
from assembly_sim.report.page.content import (
    Absent,
    Block,
    Cell,
    Column,
    DataTable,
    Listed,
    Page,
    Section,
    Words,
)
from assembly_sim.report.page.evidence import assembly_evidence, shared_evidence
from assembly_sim.report.page.front import front
from assembly_sim.report.page.growth import growth_figure
from assembly_sim.report.page.heat import heat_figure
from assembly_sim.report.page.house_page import house_section
from assembly_sim.report.page.humid import calendar_figure, humidity_figure
from assembly_sim.report.page.limits import limits_figure
from assembly_sim.report.page.margins import margin_figure
from assembly_sim.report.page.view import View, deciding_place, view_of
from assembly_sim.report.probe import probe_blocks
from assembly_sim.report.text import outcome
from assembly_sim.solver.result import Result
from assembly_sim.studies.probe import Probing
from assembly_sim.units import show
from assembly_sim.verdict.period import period_lines
from assembly_sim.verdict.summary import AssemblySummary, RunSummary
from assembly_sim.words.figures import say

MOST_DRAWN = 7
"""Parts with figures on one page, some 170 kB each, so that it can be mailed (1.5 MB)."""
ALONE = "run this one in a case of its own to see it drawn"


def run_page(
    result: Result, summary: RunSummary, system: str = "si", probes: Sequence[Probing] = ()
) -> Page:
    """The content of the page of a run; pure, nothing is drawn yet."""
    drawn = nearest(summary.assemblies)
    views = [
        replace(view_of(result, one, at, system, probes[at] if probes else None), drawn=at in drawn)
        for at, one in enumerate(summary.assemblies)
    ]
    house = house_section(result, summary, system)
    return Page(
        kind="Heat and moisture, hour by hour",
        title=result.case.name,
        facts=tuple(facts(result, summary)),
        sections=(
            *([house] if house is not None else []),
            *([_overview(summary, system)] if len(views) > 1 else []),
            *(part_section(view, summary.years) for view in views),
            _cautions(summary, system),
            *(numbers_section(view) for view in views),
            Section("basis", "What it rests on", tuple(shared_evidence(result, summary, system))),
        ),
        made_by=f"assembly_sim {summary.version}, inputs {summary.inputs_sha256 or 'unknown'}",
    )


def nearest(parts: Sequence[AssemblySummary]) -> set[int]:
    """Numbers of the parts that are drawn: without a verdict first, then the nearest to a limit."""

    def weight(at: int) -> tuple[bool, int, float]:
        verdict = parts[at].verdict
        load = verdict.judged[0].load if verdict.judged else 0.0
        return verdict.rank is None, verdict.rank or 0, load

    return set(sorted(range(len(parts)), key=weight, reverse=True)[:MOST_DRAWN])


def facts(result: Result, summary: RunSummary) -> Iterator[tuple[str, str]]:
    """Weather, run and inputs in a line each."""
    if result.case.climate.wraps:
        yield "Weather", f"{summary.climate}, {summary.climate_hours} hours a year"
        start = month_name[result.case.start_month]
        yield "Run", f"{span(summary.years)} from 1 {start}"
    else:
        weather, ran = period_lines(result)
        yield "Weather", weather
        yield "Run", ran
    yield "Inputs", (summary.inputs_sha256 or "unknown")[:16]


def _overview(summary: RunSummary, system: str) -> Section:
    """Where there are several assemblies: the answer for each in a row."""
    rows: list[tuple[Cell, ...]] = [
        (
            one.name,
            headline(one),
            one.verdict.plane or None,
            show(one.area_m2, "area", system),
            show(one.u_value_w_m2k, "transmittance", system),
        )
        for one in summary.assemblies
    ]
    columns = tuple(Column(head) for head in ("part", "moisture", "decided at", "area", "U-value"))
    table = DataTable("overview", "What was found", columns, tuple(rows))
    return Section("overview", "All parts", (Listed(table),))


def part_section(view: View, years: float) -> Section:
    """The first screen of an assembly with its figures; years: that were computed."""
    area = show(view.one.area_m2, "area", view.system)
    blocks = tuple(assembly_blocks(view))
    return Section(f"part-{view.number}", view.one.name, blocks, front(view, years), area)


def numbers_section(view: View) -> Section:
    """The tables that the figures of an assembly rest on."""
    title = f"{view.one.name}: the numbers"
    return Section(f"numbers-{view.number}", title, tuple(assembly_evidence(view)), apart=True)


def assembly_blocks(view: View) -> Iterator[Block]:
    """The figures of one assembly, most telling first."""
    for ended in outcome(view.result, view.result.assemblies[view.number - 1]):
        yield Words(ended.title, ended.lines)
    if not view.drawn:
        yield Absent(
            "Figures", f"this page draws the {MOST_DRAWN} parts nearest to a limit; {ALONE}"
        )
        return
    place = deciding_place(view)
    if place is None:
        yield Absent("Figures", "the run stopped before its first hour was over")
        return
    yield humidity_figure(view, place)
    yield calendar_figure(view, place)
    yield growth_figure(view)
    yield autumn_figure(view)
    yield margin_figure(view)
    yield heat_figure(view)
    yield limits_figure(view)
    if view.probing is not None:
        yield from probe_blocks(view.probing, view.system)
    yield from camera_blocks(view)


def _cautions(summary: RunSummary, system: str) -> Section:
    told = tuple(say(caution, system) for caution in summary.cautions)
    return Section("cautions", "Before work starts", (Listing("", told),))

"""A sweep as one page like all others: first screen, tables, figures, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from assembly_sim import __version__
from assembly_sim.files.output import whole_file, write_text
from assembly_sim.files.places import check_folder
from assembly_sim.report.blocks import Listing
from assembly_sim.report.page.content import (
    Answer,
    Block,
    Column,
    DataTable,
    Figure,
    Listed,
    Page,
    Section,
    Source,
)
from assembly_sim.report.page.content import figures as figures_of
from assembly_sim.report.page.draw import png
from assembly_sim.report.page.render import html
from assembly_sim.report.page.tables import write_tables
from assembly_sim.report.sweep.figures import cloud, effect_figures, rows_table, standing
from assembly_sim.report.sweep.regions import region_maps
from assembly_sim.report.sweep.text import heading, kept_words, reasons
from assembly_sim.report.sweep.words import short
from assembly_sim.studies.sweep.questions import Answers

TOLD = (
    *("plan", "method", "seed", "counts", "variants", "climate_sha256", "base_sha256"),
    *("plan_sha256", "sources"),
)


def write_page(answers: Answers, folder: Path, system: str) -> Path:
    """Write `page.html`, its tables and each figure as a PNG. OSError where that cannot be."""
    check_folder(folder, "--to")
    folder.mkdir(exist_ok=True)
    page = sweep_page(answers, system)
    write_tables(page, folder)
    for figure in figures_of(page):
        with whole_file(folder / f"{figure.name}.png") as part:
            png(figure.plot, part)
    write_text(html(page), folder / "page.html")
    return folder / "page.html"


def sweep_page(answers: Answers, system: str = "si") -> Page:
    """The content of the page of a sweep; pure, nothing is drawn yet."""
    about = answers.sweep.about
    effects = (
        block for at in range(len(answers.effects)) for block in effect_figures(answers, at, system)
    )
    return Page(
        kind="Many variants of one case",
        title=str(about.get("plan", "a sweep")),
        facts=tuple(facts(answers)),
        sections=(
            Section("answer", "What was found", answer=first_screen(answers, system)),
            Section("best", "Best and front", tuple(best_blocks(answers, system))),
            Section("hangs", "What it hangs on", (*effects, *region_maps(answers, system))),
            Section("basis", "What it rests on", tuple(basis(answers)), apart=True),
        ),
        made_by=f"assembly_sim {__version__}, plan {str(about.get('plan_sha256', ''))[:16]}",
    )


def facts(answers: Answers) -> Iterator[tuple[str, str]]:
    """Case and variants in a line each."""
    about = answers.sweep.about
    yield "Case", str(about.get("title", "")).removeprefix("Variants of ")
    yield "Variants", f"{len(answers.sweep)} of {about.get('variants', len(answers.sweep))}"
    yield "Method", f"{about.get('method')}, seed {about.get('seed')}"


def first_screen(answers: Answers, system: str) -> Answer:
    """How many variants keep what was asked, and the front."""
    drawn = cloud(answers, system)
    levels = tuple(f"{level}: {count}" for level, count in answers.levels.items())
    drawing = drawn if isinstance(drawn, Figure) else None
    absent = () if isinstance(drawn, Figure) else (f"{drawn.title} is not drawn: {drawn.why}.",)
    return Answer(
        headline=standing(answers),
        step=None,
        steps=(),
        sentences=(f"{kept_words(answers)}.", *(f"{one}." for one in heading(answers)), *absent),
        gauge=None,
        drawing=drawing,
        lists=(Listing("Variants by level", levels),),
    )


def best_blocks(answers: Answers, system: str) -> Iterator[Block]:
    """The best under the limits, and the front, as tables."""
    title = f"Best by {short(answers.energy)}"
    limits = f"Of those that keep {' and '.join(answers.limits)}."
    yield Listed(rows_table("best", title, answers, answers.best, system), limits)
    if len(answers.front):
        table = rows_table("front_rows", "The front", answers, answers.front, system)
        yield Listed(table, "None of these is beaten in both numbers.", folded=True)


def basis(answers: Answers) -> Iterator[Block]:
    """What did not end well, provenance, the plan and the case word for word."""
    yield Listing("Not run to their end", reasons(answers.sweep))
    about = answers.sweep.about
    rows = tuple((name, str(about[name])) for name in TOLD if name in about)
    table = DataTable("provenance", "Provenance", (Column("what"), Column("value")), rows)
    yield Listed(table, folded=True)
    for name, title in (("plan_text", "The plan"), ("case_text", "The case file")):
        if about.get(name):
            yield Source(title, str(about[name]))

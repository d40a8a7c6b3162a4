"""The page of a run as a file, and the tables behind it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from assembly_sim.files.output import write_text
from assembly_sim.report.page.render import html
from assembly_sim.report.page.run_page import run_page
from assembly_sim.report.page.tables import write_tables

if TYPE_CHECKING:
    from assembly_sim.report.page.content import Page
    from assembly_sim.solver.result import Result


def write_run_page(
    result: Result,
    summary: Any,
    system: str,
    probes: tuple[Any, ...],
    report: str | Path | None,
    folder: str | Path | None,
) -> Page:
    """Write what was asked for of the page of a run: the page itself, its tables in a folder."""
    page = run_page(result, summary, system, probes)
    if report:
        write_text(html(page), report)
    if folder:
        write_tables(page, folder)
    return page

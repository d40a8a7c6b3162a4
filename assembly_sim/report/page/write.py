"""Pages as files, and the tables behind that of a run."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from assembly_sim.files.output import write_text
from assembly_sim.report.compare.contract import compare_csv
from assembly_sim.report.page.compare_page import compare_page
from assembly_sim.report.page.render import html
from assembly_sim.report.page.run_page import run_page
from assembly_sim.report.page.tables import OPTIONS, write_tables

if TYPE_CHECKING:
    from assembly_sim.report.page.content import Page
    from assembly_sim.solver.result import Result
    from assembly_sim.studies.compare import Compared


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


def write_compare_page(
    found: Compared, system: str, report: str | Path | None, folder: str | Path | None = None
) -> Page:
    """Write what was asked for of a comparison: its page, and in a folder all of its tables."""
    page = compare_page(found, system)
    if report:
        write_text(html(page), report)
    if folder:
        write_tables(page, folder)
        write_text(compare_csv(found, system), Path(folder) / OPTIONS)
    return page

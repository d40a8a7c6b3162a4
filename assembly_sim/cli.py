"""The command line: parse, call, print. What is heavy is imported inside the commands.

Exit codes: 0 done; 1 the system refused a file or memory; 2 bad input, nothing run or written; 3 a
run that did not converge, with what was computed; 4 a fault of this program; 130 stopped by the
user.
"""

from __future__ import annotations

import io
import logging
import os
import sys
from pathlib import Path
from typing import Any

import click

from assembly_sim import __version__, cli_look
from assembly_sim.cli_sweep import sweep
from assembly_sim.cli_terminal import progress_line, say, shown
from assembly_sim.errors import InputError, shortened

FILE = click.Path(path_type=Path)
TRACE = "ASSEMBLY_SIM_TRACE"  # environment variable that shows where a fault arose


def main(arguments: list[str] | None = None) -> None:
    """Run a command and end the process with its exit code; no problem of input shows a trace."""
    try:
        code = commands.main(arguments, prog_name="assembly-sim", standalone_mode=False)
    except InputError as error:
        code = complain(str(error), 2)
    except click.ClickException as error:
        error.show(shown := io.StringIO())
        code = complain(shown.getvalue().rstrip("\n"), error.exit_code)
    except click.Abort:
        code = complain("stopped, nothing was left half written", 130)
    except KeyboardInterrupt:
        code = complain("stopped, nothing was left half written", 130)
    except OSError as error:
        code = complain(f"{_named(error.filename)}: {error.strerror or error}", 1)
    except MemoryError:
        code = complain("there is not enough memory for this", 1)
    except Exception as error:
        code = fault(error)
    sys.exit(code or 0)


def _named(file: str | bytes | int | None) -> str:
    return os.fsdecode(file) if isinstance(file, str | bytes) else "a file"


def fault(error: Exception) -> int:
    """Say that the program is at fault, what to report, and return the exit code."""
    if os.environ.get(TRACE):
        logging.getLogger("assembly_sim").error("the trace", exc_info=error)
    what = shortened(f"{type(error).__name__}: {error}".replace("\n", " "), 200)
    return complain(
        f"assembly-sim {__version__} is at fault here, not your input ({what}). Please report this "
        f"line with the files that lead to it; {TRACE}=1 shows where it arose",
        4,
    )


def complain(message: str, code: int) -> int:
    """Write a message to standard error and return the exit code."""
    say(message, err=True)
    return code


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__)
def commands() -> None:
    """Hour-by-hour heat and moisture through wall and roof assemblies."""
    handler = logging.StreamHandler()
    handler.setFormatter(logging.Formatter("%(message)s"))
    handler.addFilter(shown)
    logger = logging.getLogger("assembly_sim")
    logger.handlers = [handler]
    logger.setLevel(logging.INFO if sys.stderr.isatty() else logging.WARNING)


@commands.command()
@click.argument("case_file", metavar="CASE", type=FILE)
@click.option("--climate", metavar="FILE", help="Weather to use in place of the case's own.")
@click.option("--materials", type=FILE, help="Your own table of materials (TOML).")
@click.option("--json", "json_file", metavar="FILE", help="Write the summary (-: standard output).")
@click.option("--units", type=click.Choice(["si", "ip"]), default="si", show_default=True)
@click.option("--out", type=FILE, help="Keep the whole result (HDF5).")
@click.option("--csv", type=FILE, help="Folder for hourly fluxes and planes as CSV.")
@click.option("--report", type=FILE, help="Write a page to look at (HTML); --csv: its tables too.")
@click.option("--profiles", is_flag=True, help="Keep whole hourly profiles too (large).")
@click.option(
    "--refine",
    type=float,
    metavar="FACTOR",
    default=1.0,
    help="Divide every layer into FACTOR times more cells, to see whether the mesh matters.",
)
@click.option("--probe", is_flag=True, help="Find out by further runs what the verdict hangs on.")
@click.option("--full", is_flag=True, help="Print all of it: checks, planes, methods, cautions.")
def run(
    case_file: Path,
    climate: str,
    materials: Path,
    units: str,
    profiles: bool,
    refine: float,
    probe: bool,
    full: bool,
    **to: Any,
) -> int:
    """Run a CASE hour by hour and report what each assembly does."""
    from assembly_sim.report.text import run_text
    from assembly_sim.solver.run import run as solve
    from assembly_sim.verdict.summary import typed_summary

    case = prepared(case_file, climate, materials, to)
    if probe:
        check_probe(case)
    result = solve(case, progress=progress_line(), profiles=profiles, refine=refine)
    summary, found = typed_summary(result), probed(result) if probe else ()
    text = run_text(result, units, full, summary, found)
    say(text, err=to["json_file"] == "-", nl=False)
    keep(result, run_json(summary, found), units, **to)
    draw_page(result, summary, units, found, to)
    return 0 if all(assembly.converged for assembly in result.assemblies) else 3


@commands.command()
@click.argument("case_file", metavar="CASE", type=FILE)
@click.option("--climate", metavar="FILE", help="Weather to use in place of the case's own.")
@click.option("--materials", type=FILE, help="Your own table of materials (TOML).")
@click.option("--json", "json_file", metavar="FILE", help="Write all of it (-: standard output).")
@click.option("--csv", type=FILE, help="Folder for every table: options by part, and the page's.")
@click.option("--report", type=FILE, help="Write a page to look at and to print (HTML).")
@click.option("--units", type=click.Choice(["si", "ip"]), default="si", show_default=True)
@click.option("--band", is_flag=True, help="Also with half and twice the leak, and a damper room.")
@click.option("--checklist", is_flag=True, help="Print a list of what to look at and to do.")
def compare(
    case_file: Path, climate: str, materials: Path, units: str, checklist: bool, **to: Any
) -> int:
    """Run the options of a CASE and tell which comes first."""
    from assembly_sim.report.compare.checklist import checklist_text
    from assembly_sim.report.compare.text import compare_text
    from assembly_sim.studies.compare import compare as solve

    asked = asked_for(case_file, climate, materials, to)
    found = solve(asked, progress_line(), band=to["band"])
    text = (checklist_text if checklist else compare_text)(found, units)
    say(text, err=to["json_file"] == "-", nl=False)
    keep_comparison(found, units, to["json_file"], to["csv"], to["report"])
    return 0 if all(one.converged for one in found.options) else 3


def asked_for(case_file: Path, climate: str, materials: Path, to: dict[str, Any]) -> Any:
    """Read a comparison, once all that is asked for can be written and replaces no input."""
    from assembly_sim.files.case.comparison import read_comparison
    from assembly_sim.files.case.read import input_files
    from assembly_sim.files.places import check_apart, check_outputs, check_tables
    from assembly_sim.report.page.tables import compared_names

    check_outputs(to["json_file"], None, to["csv"], to["report"])
    asked = read_comparison(case_file, climate, materials)
    outputs = [("--json", to["json_file"]), ("--report", to["report"])]
    files = [(option, file) for option, file in outputs if file and file != "-"]
    if to["csv"]:
        files += check_tables(to["csv"], compared_names(len(asked.options)), "--csv")
    check_apart(files, input_files(case_file, climate, materials))
    return asked


def keep_comparison(
    found: Any, units: str, json_file: str | None, csv: Path | None, report: Path | None
) -> None:
    """Write what the user asked for: the object, the page, every table."""
    from assembly_sim.files.output import summary_text, write_text
    from assembly_sim.report.compare.contract import compare_json

    if json_file == "-":
        say(summary_text(compare_json(found), ascii_only=True), nl=False)
    elif json_file:
        write_text(summary_text(compare_json(found)), json_file)
    if report or csv:
        from assembly_sim.report.page.write import write_compare_page

        write_compare_page(found, units, report, csv)


def prepared(case_file: Path, climate: str, materials: Path, to: dict[str, Any]) -> Any:
    """Read a case, once all that is asked for can be written and replaces nothing it should not."""
    from assembly_sim.files.case.read import input_files, read_case
    from assembly_sim.files.places import check_apart, check_outputs, check_tables
    from assembly_sim.files.result.csv import table_names
    from assembly_sim.report.page.tables import table_names as page_tables

    check_outputs(**to)
    case = read_case(case_file, climate=climate, materials=materials)
    outputs = [("--json", to["json_file"]), ("--out", to["out"]), ("--report", to["report"])]
    files = [(option, file) for option, file in outputs if file and file != "-"]
    if to["csv"]:
        files += check_tables(to["csv"], table_names(case), "--csv")
    if to["csv"] and to["report"]:
        files += check_tables(to["csv"], page_tables(case), "--csv")
    check_apart(files, input_files(case_file, climate, materials))
    return case


def check_probe(case: Any) -> None:
    """Refuse a probe that cannot be made before anything runs."""
    from assembly_sim.studies.probe import check_alone, check_weather

    check_weather(case)
    check_alone(case)


def probed(result: Any) -> tuple[Any, ...]:
    """What further runs say of each verdict."""
    from assembly_sim.studies.probe import probes

    return probes(result, progress_line())


def run_json(summary: Any, probes: tuple[Any, ...]) -> dict[str, Any]:
    """The object of the contract, with what probes found."""
    from assembly_sim.report.contract import with_probes
    from assembly_sim.verdict.contract import summary_json

    return with_probes(summary_json(summary), probes)


def keep(
    result: Any,
    summary: dict[str, Any],
    units: str,
    json_file: str | None,
    out: Path | None,
    csv: Path | None,
    **_: Any,
) -> None:
    """Write what the user asked for: the summary, the whole result, the hourly tables."""
    from assembly_sim.files.output import summary_text, write_text

    if json_file == "-":
        say(summary_text(summary, ascii_only=True), nl=False)
    elif json_file:
        write_text(summary_text(summary), json_file)
    if out:
        from assembly_sim.files.result.write import write_hdf5

        write_hdf5(result, out)
    if csv:
        from assembly_sim.files.result.csv import write_csv

        write_csv(result, csv, units)


def draw_page(
    result: Any, summary: Any, units: str, probes: tuple[Any, ...], to: dict[str, Any]
) -> None:
    """Write the page and the tables behind it, if a page was asked for."""
    if to["report"]:
        from assembly_sim.report.page.write import write_run_page

        write_run_page(result, summary, units, probes, to["report"], to["csv"])


for one in (
    cli_look.materials,
    cli_look.climate,
    cli_look.schema,
    cli_look.new,
    cli_look.hole,
    cli_look.holes,
    sweep,
):
    commands.add_command(one)

if __name__ == "__main__":
    main()

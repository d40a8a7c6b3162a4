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
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import click

from assembly_sim import __version__
from assembly_sim.cli_sweep import sweep
from assembly_sim.errors import InputError, Problem, shortened, visible

FILE = click.Path(path_type=Path)
TRACE = "ASSEMBLY_SIM_TRACE"  # environment variable that shows where a fault arose
PICTURES = (".png", ".svg", ".pdf")


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


def say(text: str, err: bool = False, nl: bool = True) -> None:
    """Print text: nothing in it steers the terminal, and what its encoding lacks is spelled out."""
    encoding = (sys.stderr if err else sys.stdout).encoding or "utf-8"
    plain = visible(text).encode(encoding, "backslashreplace").decode(encoding)
    click.echo(plain, err=err, nl=nl)


def shown(record: logging.LogRecord) -> bool:
    """Make a record's text such as may be printed."""
    record.msg, record.args = visible(record.getMessage()), ()
    return True


def progress_line() -> Callable[[float, str], None] | None:
    """Return what shows progress (share done, what is going on), None where nobody watches."""
    if not sys.stderr.isatty():
        return None

    def show(share: float, what: str) -> None:
        line = "" if share >= 1.0 else f"{share:4.0%} {visible(what)}"
        click.echo(f"\r\033[K{line}", err=True, nl=False)

    return show


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


@commands.command()
@click.argument("name", required=False)
@click.option("--materials", type=FILE, help="Your own table of materials (TOML).")
@click.option("--plot", type=FILE, help="Draw the curves of NAME to this file.")
@click.option("--units", type=click.Choice(["si", "ip"]), default="si", show_default=True)
def materials(name: str | None, materials: Path | None, plot: Path | None, units: str) -> None:
    """List the materials, or show one by NAME with its values and sources."""
    from assembly_sim.files.material.read import load
    from assembly_sim.report.materials import material_text, materials_list

    known = load(materials)
    if name is None and plot:
        raise click.UsageError("--plot needs the NAME of one material")
    if name is None:
        say(materials_list(known, units))
        return
    found = known.get(name)
    if found is None:
        say(materials_list(named_alike(name, known), units))
        return
    if plot:
        draw(found, plot, materials)
    say(material_text(found, units))


def named_alike(name: str, known: Mapping[str, Any]) -> dict[str, Any]:
    """Materials that a word of the trade fits; InputError with close names where there is none."""
    from assembly_sim.files.material.words import search
    from assembly_sim.files.words import nearest

    if found := search(name, known):
        return {each: known[each] for each in found}
    cure = nearest(name, known) or "`assembly-sim materials` lists them"
    raise InputError(Problem(f"no material or sheet is called '{name[:100]}'", cure))


def draw(material: Any, plot: Path, materials: Path | None) -> None:
    """Draw a material's curves to a file whose ending names its format."""
    from assembly_sim.files.output import whole_file
    from assembly_sim.files.places import check_apart, check_file
    from assembly_sim.report.materials import material_figure

    check_file(plot, "--plot")
    check_apart([("--plot", plot)], {"the materials": materials} if materials else {})
    if plot.suffix.lower() not in PICTURES:
        cure = f"end its name in one of {', '.join(PICTURES)}"
        raise InputError(Problem("no format for a drawing", cure, str(plot), field="--plot"))
    with whole_file(plot) as part:
        material_figure(material, part)


@commands.command()
@click.argument("file")
@click.option("--to", type=FILE, help="Write the year in canonical form (CSV).")
@click.option("--cold-year", is_flag=True, help="Make of it the year with a one-in-ten winter.")
@click.option("--wet-year", is_flag=True, help="Make of it the one-in-ten year for rain.")
@click.option("--seed", type=int, default=1, show_default=True, help="Seed of the made year.")
@click.option("--units", type=click.Choice(["si", "ip"]), default="si", show_default=True)
def climate(
    file: str, to: Path | None, cold_year: bool, wet_year: bool, seed: int, units: str
) -> None:
    """Show what a weather FILE (or a shipped climate) holds and what its check found."""
    from assembly_sim.files.climate.read import find_climate, read_climate, write_canonical
    from assembly_sim.files.climate.years import tenth_percentile_year
    from assembly_sim.files.places import check_apart, check_file
    from assembly_sim.report.climate import climate_text

    found = find_climate(file)
    if to:
        check_file(to, "--to")
        check_apart([("--to", to)], {"the climate": found})
    weather = read_climate(found)
    for kind in ["cold"] * cold_year + ["wet"] * wet_year:
        weather = tenth_percentile_year(weather, kind, seed)
    say(climate_text(weather, units), nl=False)
    if to:
        write_canonical(weather, to)


@commands.command()
def schema() -> None:
    """Print the JSON Schema of a case file, for editors."""
    import json

    from assembly_sim.files.case.read import schema as case_schema

    click.echo(json.dumps(case_schema(), indent=2))


@commands.command()
@click.argument("file", type=FILE)
@click.option("--house", is_flag=True, help="A house: an attic, openings, the parts of a roof.")
def new(file: Path, house: bool) -> None:
    """Write a commented case to start from into FILE (.toml is added where it lacks)."""
    from assembly_sim.files.case.read import starting_case
    from assembly_sim.files.output import write_text
    from assembly_sim.files.places import check_file

    if not file.name.strip("."):
        raise InputError(Problem("this is no name for a file", "write letters", field="FILE"))
    path = file if file.suffix == ".toml" else file.with_name(f"{file.name}.toml")
    check_file(path, "FILE")
    if path.exists():
        cure = "choose another name, or remove it first"
        raise InputError(Problem("exists already and is left as it is", cure, file=str(path)))
    write_text(starting_case(path.stem, house), path)
    say(f"wrote {path}: edit it, then `assembly-sim run {path}`")


@commands.command()
@click.argument("openings", nargs=-1, metavar="[OPENING]...")
@click.option("--climate", metavar="FILE", help="Weather for a year's air and heat.")
@click.option("--height", default="2.5 m", show_default=True, help="Above the neutral level.")
@click.option("--room", default="20 degC", show_default=True, help="Temperature of the room.")
@click.option("--facing", metavar="ANGLE", help="Add the wind on a wall ('90 deg' is east).")
@click.option("--price", metavar="PRICE", help="Of delivered heat, '0.15 per kWh'.")
@click.option("--units", type=click.Choice(["si", "ip"]), default="si", show_default=True)
def hole(
    openings: tuple[str, ...], climate: str | None, price: str | None, units: str, **at: Any
) -> None:
    """Tell what an OPENING ("1/4 in x 36 in", "outlet") is equal to, passes and costs."""
    from assembly_sim.files.climate.read import find_climate, read_climate
    from assembly_sim.files.opening.options import situation
    from assembly_sim.report.holes import holes_text, presets_text

    if not openings:
        say(presets_text(units), nl=False)
        return
    where = situation(**at)
    weather = None if climate is None else read_climate(find_climate(climate))
    say(holes_text(openings, weather, where, price, units), nl=False)


@commands.command()
@click.argument("case_file", metavar="CASE", type=FILE)
@click.option("--materials", type=FILE, help="Your own table of materials (TOML).")
@click.option("--run", is_flag=True, help="Run a year: flow, direction, heat, money of each.")
@click.option("--price", metavar="PRICE", help="Of delivered heat, with --run: '0.15 per kWh'.")
@click.option("--units", type=click.Choice(["si", "ip"]), default="si", show_default=True)
def holes(
    case_file: Path, materials: Path | None, run: bool, price: str | None, units: str
) -> None:
    """List the openings of a CASE: where each leads, what it is equal to, what passes it."""
    from assembly_sim.files.case.read import read_whole
    from assembly_sim.files.opening.prices import priced
    from assembly_sim.report.house_holes import case_holes_text, run_holes_text

    if price and not run:
        raise InputError(Problem("a price needs a year of heat", "add --run", field="--price"))
    read = read_whole(case_file, materials=materials)
    money = priced(read, price)
    text = run_holes_text(read.case, units, progress_line(), money) if run else None
    say(text or case_holes_text(read.case, units), nl=False)


commands.add_command(sweep)

if __name__ == "__main__":
    main()

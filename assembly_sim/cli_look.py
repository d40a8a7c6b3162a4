"""Commands that look up, start and estimate: no case is solved, but for a year of `holes --run`."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from shlex import quote
from typing import Any

import click

from assembly_sim.cli_terminal import progress_line, say
from assembly_sim.errors import InputError, Problem

FILE = click.Path(path_type=Path)
PICTURES = (".png", ".svg", ".pdf")


@click.command()
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
    from assembly_sim.files.material.words import TRADE_WORDS, search
    from assembly_sim.files.words import nearest

    if found := search(name, known):
        return {each: known[each] for each in found}
    cure = nearest(name, [*known, *TRADE_WORDS]) or "`assembly-sim materials` lists them"
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


@click.command()
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


@click.command()
def schema() -> None:
    """Print the JSON Schema of a case file, for editors."""
    import json

    from assembly_sim.files.case.read import schema as case_schema

    click.echo(json.dumps(case_schema(), indent=2))


@click.command()
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
    say(f"wrote {path}: edit it, then `assembly-sim run {quote(str(path))}`")


@click.command()
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


@click.command()
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

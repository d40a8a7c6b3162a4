"""Commands of sweeps: `sweep PLAN`, `sweep report`, `sweep merge` and the like. As in `cli.py`."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from assembly_sim.cli_terminal import say

FILE = click.Path(path_type=Path)
EVERY = 30.0  # s between two plain lines of progress


class PlanFirst(click.Group):
    """A group whose own argument is a plan: `sweep PLAN.toml` is `sweep run PLAN.toml`."""

    def parse_args(self, context: click.Context, arguments: list[str]) -> list[str]:
        """Put the word `run` before what is no command of the group."""
        known = arguments and (arguments[0] in self.commands or arguments[0] in ("-h", "--help"))
        if arguments and not known:
            arguments = ["run", *arguments]
        return super().parse_args(context, arguments)


@click.group(cls=PlanFirst, subcommand_metavar="PLAN --out FOLDER | COMMAND [ARGS]...")
def sweep() -> None:
    """Run the many variants of a PLAN, and ask what they say."""


@sweep.command("run")
@click.argument("plan_file", metavar="PLAN", type=FILE)
@click.option("--out", type=FILE, help="Folder for the table; the same again goes on in it.")
@click.option("-j", "workers", type=click.IntRange(1, 4096), help="Threads; else all processors.")
@click.option("--shard", metavar="N/M", help="Run only this part of the variants, 3/16.")
@click.option("--scheduler", metavar="ADDRESS", help="Run on the machines of a Dask scheduler.")
@click.option("--retry", is_flag=True, help="Run again the variants that could not be run.")
@click.option("--materials", type=FILE, help="Your own table of materials (TOML).")
@click.option("--look", is_flag=True, help="Show count, time by the first, rows; write nothing.")
def run(plan_file: Path, materials: Path | None, look: bool, **how: Any) -> int:
    """Run what is not finished of a PLAN."""
    from assembly_sim.files.plan.read import read_plan
    from assembly_sim.report.sweep.text import look_text, table_text

    plan = read_plan(plan_file, materials)
    if look or how["out"] is None:
        say(look_text(plan, how["workers"]), nl=False)
        if not look:
            say("not run: --out FOLDER runs them and keeps their table")
        return 0
    for _ in rows_of(plan, **how):
        pass
    text, code = table_text(how["out"])
    say(text, nl=False)
    return code


def rows_of(plan: Any, out: Path, shard: str | None, scheduler: str | None, **how: Any) -> Any:
    """Rows of a sweep as they finish, with its progress on standard error."""
    from assembly_sim.files.sweep.folder import shard_named
    from assembly_sim.studies.sweep.run import sweep as run_sweep

    part = shard_named(shard) if shard else None
    return run_sweep(plan, out, shard=part, client=scheduler, watch=progress(), **how)


def progress() -> Callable[[Any], None]:
    """What shows progress: one line that changes on a terminal, else a line now and then."""
    from assembly_sim.report.sweep.text import progress_text

    terminal, last = sys.stderr.isatty(), [0.0]

    def show(done: Any) -> None:
        now, over = time.monotonic(), done.done >= done.total
        if terminal:
            click.echo(f"\r\033[K{progress_text(done)}", err=True, nl=over)
        elif over or now - last[0] >= EVERY:
            last[0] = now
            click.echo(progress_text(done), err=True)

    return show


@sweep.command("merge")
@click.argument("folder", type=FILE)
@click.option("--incomplete", is_flag=True, help="Merge although variants are missing.")
def merge(folder: Path, incomplete: bool) -> None:
    """Make one table of the shards in FOLDER; refuses to where one is missing."""
    from assembly_sim.files.sweep.merge import merge as merge_shards

    place, rows = merge_shards(folder, incomplete)
    say(f"wrote {place}: {rows} variants")


@sweep.command("report")
@click.argument("folder", type=FILE)
@click.option(
    "--at-least",
    metavar="LEVEL",
    default="gets wet, within limits",
    show_default=True,
    help="Best and front only of variants this dry.",
)
@click.option("--where", multiple=True, metavar="'NAME <= VALUE'", help="Only variants so; SI.")
@click.option("--by", metavar="COLUMN", help="What is best where it is smallest.")
@click.option("--moisture", metavar="COLUMN", help="What stands against it in the front.")
@click.option("--most", type=click.IntRange(1, 1000), default=10, show_default=True)
@click.option("--to", type=FILE, help="Folder for a page, its figures and tables.")
@click.option("--units", type=click.Choice(["si", "ip"]), default="si", show_default=True)
def report(folder: Path, to: Path | None, units: str, **asked: Any) -> None:
    """Best variants under limits, the front, what matters most; with --to figures and a page."""
    from assembly_sim.report.sweep.page import write_page
    from assembly_sim.report.sweep.text import report_text
    from assembly_sim.studies.sweep.questions import asked_of
    from assembly_sim.studies.sweep.table import read_sweep

    found = read_sweep(folder)
    answers = asked_of(found, **asked)
    say(report_text(answers, units), nl=False)
    if to:
        say(f"wrote {write_page(answers, to, units)}")


@sweep.command("smallest")
@click.argument("plan_file", metavar="PLAN", type=FILE)
@click.option("--factor", required=True, help="The range to search, the foam's thickness.")
@click.option("--each", "each", help="Search for each option of this factor, the climate.")
@click.option("--at-least", default="dry, thin margin", show_default=True, metavar="LEVEL")
@click.option("--within", type=float, default=0.05, show_default=True, help="Share of the range.")
@click.option("--units", type=click.Choice(["si", "ip"]), default="si", show_default=True)
def smallest(plan_file: Path, units: str, **asked: Any) -> None:
    """Find the smallest value of a factor of a PLAN that keeps a level, by bisection."""
    from assembly_sim.files.plan.read import read_plan
    from assembly_sim.report.sweep.text import smallest_text
    from assembly_sim.studies.sweep.smallest import smallest as search

    plan = read_plan(plan_file)
    say(smallest_text(search(plan, **asked), units), nl=False)


@sweep.command("uncertain")
@click.argument("case_file", metavar="CASE", type=FILE)
@click.option("--out", type=FILE, required=True, help="Folder for the table.")
@click.option("--count", type=click.IntRange(10, 1_000_000), default=100, show_default=True)
@click.option("--seed", type=int, default=1, show_default=True)
@click.option("--assembly", help="Which of a case of several.")
@click.option("-j", "workers", type=click.IntRange(1, 4096), help="Threads; else all processors.")
@click.option("--units", type=click.Choice(["si", "ip"]), default="si", show_default=True)
def uncertain(case_file: Path, out: Path, workers: int | None, units: str, **drawn: Any) -> None:
    """How likely the verdict of a CASE holds, with what it is made of uncertain as usual."""
    from assembly_sim.files.plan.uncertain import uncertain_plan
    from assembly_sim.report.sweep.text import chance_text
    from assembly_sim.studies.sweep.chance import chance
    from assembly_sim.studies.sweep.table import read_sweep

    plan = uncertain_plan(case_file, **drawn)
    for _ in rows_of(plan, out, None, None, workers=workers):
        pass
    say(chance_text(chance(read_sweep(out), plan), plan, units), nl=False)

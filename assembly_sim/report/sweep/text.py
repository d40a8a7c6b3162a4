"""What a sweep says, as text: before it runs, while it runs, and what came of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import islice
from pathlib import Path

import numpy as np

from assembly_sim.changes.plan import Plan
from assembly_sim.report.blocks import Block, Lines, Listing, Table, as_text
from assembly_sim.report.sweep.words import number, short, span, told
from assembly_sim.studies.sweep.chance import Chance
from assembly_sim.studies.sweep.questions import Answers, Effects
from assembly_sim.studies.sweep.run import Progress, processors
from assembly_sim.studies.sweep.smallest import Smallest
from assembly_sim.studies.sweep.table import Sweep, read_sweep
from assembly_sim.verdict.rules import LEVELS, PAST
from assembly_sim.words.figures import percent

FIRST = 5
NOT_DONE = ("failed", "stopped", "not converged")


def look_text(plan: Plan, workers: int | None) -> str:
    """What a plan would run: how many variants, how long by its first one, the first rows."""
    from assembly_sim.studies.sweep.keys import keyed
    from assembly_sim.studies.sweep.points import count, variants
    from assembly_sim.studies.sweep.work import finish

    (variant, key), threads = next(keyed(plan)), workers or processors()
    row = finish(plan, variant, key, "", lambda: False).row
    seconds, size = float(row["seconds"]), count(plan)
    took = f"some {span(seconds * size / threads)} on {threads} processors: {seconds:.2f} s each"
    lines = (
        f"variants  {size}, by {plan.method}, seed {plan.seed}",
        f"time      {took}, by the first"
        if row["status"] != "failed"
        else "time      unknown: the first could not be run",
        f"first     {row['status']}{', ' if row['level'] else ''}{row['level']}"
        if row["status"] != "failed"
        else f"first     failed: {row['reason']}",
    )
    names = tuple(factor.name for factor in plan.factors)
    rows = [
        tuple(told(factor.kind, value, "si") for factor, value in zip(plan.factors, one.values))
        for one in islice(variants(plan), FIRST)
    ]
    return as_text([Lines(plan.name, lines), table(names, rows)])


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> Table:
    """A table as wide as what is in it."""
    listed = [tuple(row) for row in rows]
    head = tuple(short(one) for one in head)
    widths = [max(len(cell) for cell in column) + 2 for column in zip(head, *listed)]
    return Table(head, tuple(listed), tuple(widths))


def progress_text(done: Progress) -> str:
    """One line: how many, how fast, how long to go, how many failed."""
    text = f"{done.done} of {done.total} variants"
    if done.rate > 0.0 and done.done < done.total:
        text += f", {done.rate * 60.0:.1f} a minute, {span(done.left)} to go"
    if done.found:
        text += f", {done.found} of them from before"
    return text + (f", {done.failed} failed" if done.failed else "")


def table_text(folder: Path) -> tuple[str, int]:
    """What a finished sweep holds, and the exit code: 3 where a variant did not end well."""
    sweep = read_sweep(folder)
    counted = Counter(sweep.column("status").tolist())
    bad = sum(counted[status] for status in NOT_DONE)
    lines = tuple(f"{number:6d}  {status}" for status, number in counted.most_common())
    blocks: list[Block] = [Lines(f"{len(sweep)} variants in {folder}", lines)]
    blocks += [Listing("Not run to their end:", reasons(sweep))] if bad else []
    return as_text(blocks), 3 if bad else 0


def reasons(sweep: Sweep, most: int = 5) -> tuple[str, ...]:
    """Why variants did not end well, the most frequent reasons first, each with a number."""
    found = Counter(
        reason
        for status, reason in zip(sweep.column("status"), sweep.column("reason"))
        if status in NOT_DONE
    )
    return tuple(f"{count} variants: {reason}" for reason, count in found.most_common(most))


def report_text(answers: Answers, system: str) -> str:
    """All answers as text."""
    return as_text(report_blocks(answers, system))


def report_blocks(answers: Answers, system: str) -> list[Block]:
    """All answers as blocks."""
    sweep = answers.sweep
    what = (answers.energy, answers.moisture)
    within = kept_words(answers)
    blocks: list[Block] = [
        Lines(str(sweep.about.get("title", "a sweep")), tuple(heading(answers))),
        Lines("Levels", tuple(f"{count:6d}  {level}" for level, count in answers.levels.items())),
        Lines(f"{within}; best by {short(answers.energy)}:"),
        rows_table(sweep, answers.best, what, system),
        Lines(
            f"Front of {short(what[0])} against {short(what[1])}, "
            f"{variants_of(len(answers.front))}:"
        ),
        rows_table(sweep, answers.front, what, system),
    ]
    for found in answers.effects:
        blocks += effect_blocks(found)
    return blocks


def kept_words(answers: Answers) -> str:
    """How many variants keep what was asked."""
    keep = "keeps" if answers.within == 1 else "keep"
    return f"{variants_of(answers.within)} with a verdict {keep} {' and '.join(answers.limits)}"


def variants_of(number: int) -> str:
    """A number of variants in words."""
    return f"{number} variant{'' if number == 1 else 's'}"


def heading(answers: Answers) -> list[str]:
    """How many variants there are, and everything that is missing."""
    sweep = answers.sweep
    lines = [f"{len(sweep)} variants, by {sweep.about.get('method')}"]
    lines += [f"{count} {status}" for status, count in answers.statuses.items() if status != "ok"]
    if sweep.absent:
        lines.append(f"{len(sweep.absent)} of the plan are not run yet: nothing below counts them")
    if sweep.stale:
        lines.append(f"{sweep.stale} rows of an earlier plan, case or version are left out")
    if answers.unjudged:
        lines.append(f"{answers.unjudged} without a verdict: they keep no level, and are no best")
    lines += parts_lines(sweep)
    return lines


def parts_lines(sweep: Sweep) -> list[str]:
    """Where more than the judged assembly ran: which it is, and where another part is wetter."""
    if "worst_rank" not in sweep.columns or not sweep.about.get("assembly"):
        return []
    worst, own = sweep.number("worst_rank"), sweep.number("rank")
    wetter = int((worst > own).sum())
    unknown = int((np.isfinite(own) & ~np.isfinite(worst)).sum())
    lines = [f"judged: '{sweep.about['assembly']}' alone"]
    if wetter:
        lines.append(f"in {wetter} of them another part is wetter: see worst_rank, worst_assembly")
    if unknown:
        lines.append(f"in {unknown} of them another part has no verdict")
    return lines


def rows_table(sweep: Sweep, rows: Iterable[int], what: Sequence[str], system: str) -> Block:
    """Rows with their factors, level and what is asked."""
    head = ("variant", *sweep.factors, "level", *what)
    cells = [
        (
            str(sweep.column("variant")[row]),
            *(told(sweep.kinds[name], sweep.column(name)[row], system) for name in sweep.factors),
            sweep.column("level")[row] or sweep.column("status")[row],
            *(number(float(sweep.column(name)[row])) for name in what),
        )
        for row in rows
    ]
    return table(head, cells) if cells else Lines("", ("none",))


def effect_blocks(found: Effects) -> list[Block]:
    """What a response hangs on, as a table; or why that is not told."""
    title = f"What {short(found.response)} hangs on"
    if found.refused:
        return [Lines(title, (f"not told: {found.refused}",))]
    if found.left_out:
        title += f" ({found.left_out} variants without it left out)"
    head: tuple[str, ...]
    rows: list[tuple[str, ...]]
    if found.indices:
        head = ("factor", "first", "95 %", "total", "95 %")
        rows = [
            (short(one.factor), f"{one.first:.3f}", ends(one.first_ends))
            + (f"{one.total:.3f}", ends(one.total_ends))
            for one in found.indices
        ]
        return [Lines(f"{title}: Sobol' indices"), table(head, rows)]
    if found.elementary:
        head = ("factor", "mean absolute", "mean", "spread")
        rows = [
            (short(one.factor), number(one.absolute), number(one.mean), number(one.spread))
            for one in found.elementary
        ]
        return [Lines(f"{title}: elementary effects"), table(head, rows)]
    ordered = sorted(found.main, key=lambda one: -one.share)
    rows = [
        (short(one.factor), percent(one.share), number(min(one.means)), number(max(one.means)))
        for one in ordered
    ]
    return [Lines(title), table(("factor", "of variance", "lowest mean", "highest"), rows)]


def ends(two: tuple[float, float]) -> str:
    """An interval as text; a dash where it cannot be told."""
    if not np.isfinite(two).all():
        return "-"
    return f"{two[0]:.3f} to {two[1]:.3f}"


def smallest_text(found: Sequence[Smallest], system: str) -> str:
    """The smallest value for each option, with what was run."""
    head = ("for", "smallest", "not at", "runs")
    rows = []
    for one in found:
        if not one.monotone:
            value = "none: more is not always drier here"
        else:
            value = "none in the range" if one.value is None else told(one.kind, one.value, system)
        below = "-" if one.below is None else told(one.kind, one.below, system)
        unjudged = sum(not np.isfinite(rank) for _, rank in one.ran)
        runs = f"{len(one.ran)}{f', {unjudged} without a verdict' if unjudged else ''}"
        rows.append((str(one.option or "the case"), value, below, runs))
    title = f"The smallest that is at least '{found[0].level}', and the largest run that is not"
    return as_text([Lines(title), table(head, rows)])


def chance_text(found: Chance, plan: Plan, system: str) -> str:
    """The chance that a verdict holds, in words, and what carries it."""
    count = found.count
    lines = [
        f"as it is: {found.level}",
        f"within its limits in {found.within} of {count} random variants: "
        f"{chance_words(found.within / count, found.within_ends)}",
    ]
    if LEVELS.index(found.level) < PAST - 1:  # of wetter ones that line tells as much or more
        lines.append(
            f"at least '{found.level}' in {found.holds} of {count}: "
            f"{chance_words(found.holds / count, found.ends)}"
        )
    if found.unjudged:
        lines.append(f"{found.unjudged} without a verdict count as not holding")
    levels = tuple(f"{count:6d}  {level}" for level, count in found.levels if count)
    rows = [(short(name), f"{rank:+.2f}") for name, rank in found.carried]
    head = ("input", "rank correlation")
    told_of = f"What carries it, by rank with {short('nearest_limit_last_year')}"
    carried: list[Block] = [Lines(told_of), table(head, rows)]
    if found.refused:
        carried = [Lines(told_of, (f"not told: {found.refused}",))]
    return as_text([Lines(plan.name, tuple(lines)), Lines("Levels", levels), *carried])


def chance_words(share: float, ends: tuple[float, float]) -> str:
    """A share with the interval in which it may lie."""
    return f"{percent(share)} (95 % interval {percent(ends[0])} to {percent(ends[1])})"

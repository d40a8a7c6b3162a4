"""What a verdict hangs on, in words: limits, changes that move it, hard conditions, forgiveness."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from assembly_sim.report.blocks import Listing
from assembly_sim.studies.forgiveness import Forgiveness
from assembly_sim.studies.probe import Limit, Move, Probing, Trial
from assembly_sim.verdict import told
from assembly_sim.verdict.rules import LEVELS
from assembly_sim.words.figures import figure, limit_figure, percent, say


def probe_blocks(found: Probing, system: str = "si") -> Iterator[Listing]:
    """The blocks of a probe."""
    if found.level is None:
        yield Listing("What the verdict hangs on", ("not probed: there is no verdict",))
        return
    yield Listing(
        f"What the verdict hangs on ({found.runs} further runs, one thing changed in each)",
        tuple(limit_line(limit, system) for limit in found.limits),
    )
    yield Listing(
        f"What moves it from '{found.level}', by the smallest change tried",
        tuple(move_line(move, system) for move in found.moves),
    )
    yield Listing(
        "Does the level hold?",
        tuple(hold_line(trial, found.level, system) for trial in found.holds),
    )
    yield Listing(
        "Water that gets in by accident in autumn", tuple(forgiveness(found.forgiveness, system))
    )


def better(found: Probing, system: str = "si") -> Iterator[str]:
    """Changes that make the level better, the best first."""
    here = LEVELS.index(found.level or "")
    trials = [move.trial for move in found.moves if move.trial and move.trial.rank < here]
    for trial in sorted(trials, key=lambda trial: trial.rank)[:2]:
        yield f"It would be '{trial.level}' with: {say(trial.change, system)}."
    if here > 1 and not trials:
        yield f"Nothing of what was tried in {found.runs} further runs makes it better."


def reaches(found: Probing, system: str = "si") -> Iterator[str]:
    """How far the level of a dry assembly reaches."""
    if LEVELS.index(found.level or "") <= 1:
        yield from (f"{limit_line(limit, system)}." for limit in found.limits[:2])


def fails(found: Probing, system: str = "si") -> Iterator[str]:
    """Hard conditions in which the level does not hold."""
    here = LEVELS.index(found.level or "")
    for trial in [trial for trial in found.holds if trial.rank > here][:2]:
        level = "there is no verdict" if trial.level is None else f"it is '{trial.level}'"
        yield f"With {say(trial.change, system)} {level}."


def limit_line(limit: Limit, system: str = "si") -> str:
    """One limit: up to where it stays dry and within limits, all else as it is."""
    dry = reach(limit.dry_up_to, limit.not_dry_from, limit, system)
    within = reach(limit.within_limits_up_to, limit.past_from, limit, system)
    return f"{limit.quantity}: dry {dry}; within limits {within}"


def reach(up_to: float | None, beyond: float | None, limit: Limit, system: str = "si") -> str:
    """How far a level reaches, in words that hold for what was tried."""
    if up_to is None:
        return f"not even at {amount(limit.lowest, limit.unit, system)}"
    known = f"up to {amount(up_to, limit.unit, system)}"
    if beyond is None:
        return f"{known}, the highest tried"
    return f"{known}, not at {amount(beyond, limit.unit, system)}"


def amount(value: float, unit: str, system: str = "si") -> str:
    """A limit's value in the words of the trade."""
    if unit == "1":
        return f"{limit_figure(value, 'percent', system)} RH"
    if unit == "kg/kg":
        return f"{limit_figure(value, 'moisture content', system)} by mass"
    if not value:
        return "no leak at all"
    return limit_figure(value, "air flow per area", system) + unit.removeprefix("m3/(s m2)")


def move_line(move: Move, system: str = "si") -> str:
    """The smallest change of a quantity that moves the level, or what was tried in vain."""
    if move.trial is None:
        tried = "; ".join(say(change, system) for change in move.tried)
        return f"{move.quantity}: nothing tried moves it ({tried})"
    line = f"{say(move.trial.change, system)} makes it '{move.trial.level}'"
    return line if line.startswith(move.quantity) else f"{move.quantity}: {line}"


def hold_line(trial: Trial, level: str, system: str = "si") -> str:
    """Whether the level holds in a hard condition, with the reason where it does not."""
    change = say(trial.change, system)
    if trial.level == level:
        return f"{change}: it holds"
    why = told.reasons(trial.verdict, system)[0]
    if trial.level is None:
        return f"{change}: no verdict; {why}"
    return f"{change}: '{trial.level}'; {why}"


def forgiveness(found: Iterable[Forgiveness], system: str = "si") -> Iterator[str]:
    """Path by path, what is left of water put in at a plane."""
    for one in found:
        start = f"{one.path}: of {figure(one.water, 'areal mass', system)} at {one.plane}"
        if one.after_year is None or one.after_summer is None:
            yield f"{start}: the run stopped"
            continue
        summer, year = max(0.0, one.after_summer), max(0.0, one.after_year)
        left = percent(summer), percent(year)
        yield f"{start}, {left[0]} are left at the end of August, {left[1]} after a year"

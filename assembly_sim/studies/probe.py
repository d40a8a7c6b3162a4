"""What a verdict hangs on: further runs of the case, each with one thing changed.

Three limits are found, all else as it is: the highest winter humidity of the room, the largest air
leak and the wettest start of the board at which the assembly stays dry, and at which it stays
within its limits. A limit is told only of what acts here: no leak where its air meets no cavity,
no start where there is no board. Then, quantity by quantity, the smallest change that moves the
verdict; and whether it holds in a damper room, with twice the leak, in the worst orientation and
in hard years. Humidity and start are bisected: more of them never makes it drier (a law under
test). A leak may dry as well as wet, so all its variants are run up to the first that is past a
limit. Changes in pairs are left out.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from functools import cache, partial
from threading import Event
from typing import Any

from assembly_sim.changes import applied
from assembly_sim.envelope.airways import meets_cavity
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Case
from assembly_sim.solver.result import Result
from assembly_sim.solver.run import run
from assembly_sim.studies import ladders as tried
from assembly_sim.studies.closing import board_to_measure, closing_ladder
from assembly_sim.studies.forgiveness import Forgiveness, forgiveness
from assembly_sim.studies.ladders import Ladder, Variant
from assembly_sim.studies.variation import alone
from assembly_sim.verdict.rules import LEVELS
from assembly_sim.verdict.verdict import Verdict, verdict

WORKERS = 2
DRY = LEVELS.index("dry, thin margin")  # the last level that counts as dry
WITHIN = LEVELS.index("gets wet, within limits")  # the last that is not past one

Progress = Callable[[float, str], None]
Judge = Callable[[Variant], "Trial"]


@dataclass(frozen=True)
class Trial:
    """One changed case: what was changed, and the verdict on it; sentences are made of both."""

    change: str
    verdict: Verdict

    @property
    def level(self) -> str | None:
        """Its level, None where there is no verdict."""
        return self.verdict.level

    @property
    def rank(self) -> int:
        """Place of the level in `LEVELS`; past the worst where there is no verdict."""
        return len(LEVELS) if self.level is None else LEVELS.index(self.level)


@dataclass(frozen=True)
class Limit:
    """The largest value at which it stays dry, and the next one tried, at which it does not.

    In `unit`; dry_up_to None: the lowest tried is not dry; not_dry_from None: the highest tried
    still is. within_limits_up_to, past_from: likewise of staying within all limits. lowest and
    highest: the range of the search; tried: the values that were run, rising.
    """

    quantity: str
    unit: str
    dry_up_to: float | None
    not_dry_from: float | None
    lowest: float
    highest: float
    within_limits_up_to: float | None = None
    past_from: float | None = None
    tried: tuple[float, ...] = ()


@dataclass(frozen=True)
class Move:
    """The smallest change of a quantity that moves the level; trial None where none tried does.

    tried: all changes that were run for it, in words.
    """

    quantity: str
    trial: Trial | None
    tried: tuple[str, ...]


@dataclass(frozen=True)
class Probing:
    """All that was found of one assembly; level is that of the case as it is.

    limits: of winter humidity, air leak and closing moisture; moves by quantity; holds: the hard
    conditions tried; runs: how many further runs it took. level None: no verdict to probe.
    """

    assembly: str
    level: str | None
    limits: tuple[Limit, ...] = ()
    moves: tuple[Move, ...] = ()
    holds: tuple[Trial, ...] = ()
    forgiveness: tuple[Forgiveness, ...] = ()
    runs: int = 0


@dataclass(frozen=True)
class _Found:
    """What one job brings home."""

    limit: Limit | None = None
    move: Move | None = None
    holds: tuple[Trial, ...] = ()


def probe(
    result: Result, at: int = 0, progress: Progress | None = None, workers: int = WORKERS
) -> Probing:
    """Probe one assembly of a run, by index: some 25 further runs in `workers` threads."""
    case, assembly = result.case, result.assemblies[at].assembly
    check_weather(case)
    check_alone(case)
    known = verdict(result, result.assemblies[at])
    if known.level is None:
        return Probing(assembly.name, None)
    base = Trial("as it is", known)
    stop = Event()
    ran = cache(partial(attempt, case, at, stop))
    jobs = _jobs(case, at, lambda variant: ran(variant) if variant.changes else base, base)
    with ThreadPoolExecutor(workers) as pool:
        water = pool.submit(forgiveness, case, at, progress=lambda _: go_on(stop))
        futures = [pool.submit(job) for job in jobs]
        _watch(pool, [water, *futures], progress, assembly.name, stop)
    found = [future.result() for future in futures]
    return Probing(
        assembly=assembly.name,
        level=base.level,
        limits=tuple(one.limit for one in found if one.limit),
        moves=tuple(one.move for one in found if one.move),
        holds=tuple(trial for one in found for trial in one.holds),
        forgiveness=water.result(),
        runs=ran.cache_info().misses,
    )


def check_weather(case: Case) -> None:
    """Refuse to probe under a window: its harder years and its year from October need a year."""
    if not case.climate.wraps:
        cause = (
            f"a probe needs weather of a whole year, this is a window from {case.climate.begins}"
        )
        raise InputError(Problem(cause, "take weather of a year, or leave --probe out", case.file))


def check_alone(case: Case) -> None:
    """Refuse to probe a house: its assemblies cannot be run one by one in a room that stays."""
    if case.breathes or case.more_rooms or case.ducts:
        cause = (
            "a probe changes one assembly by itself in a room whose air is known, and in a house "
            "of several spaces the air follows from all of it"
        )
        cure = "leave --probe out; change the case instead and run it again, or compare options"
        raise InputError(Problem(cause, cure, case.file))


def probes(result: Result, progress: Progress | None = None) -> tuple[Probing, ...]:
    """A probe of every assembly of a run."""
    return tuple(probe(result, at, progress) for at in range(len(result.assemblies)))


def attempt(case: Case, at: int, stop: Event, variant: Variant) -> Trial:
    """Run the changed case of a variant and judge the assembly; InterruptedError within a month."""

    changed = alone(applied(case, *variant.changes), at)
    result = run(changed, lambda share, name: go_on(stop), workers=1)
    found = verdict(result, result.assemblies[0])
    return Trial(variant.change, found)


def go_on(stop: Event) -> None:
    """InterruptedError where a probe is to stop."""
    if stop.is_set():
        raise InterruptedError("the probe was stopped")


def _jobs(case: Case, at: int, judge: Judge, base: Trial) -> list[Callable[[], _Found]]:
    """What can run side by side; trials that two questions share are in one job."""
    closing, foam = closing_ladder(case, at, base.rank <= DRY), tried.foam_ladder(case, at)
    jobs: list[Callable[[], _Found]] = [
        partial(_climb, "winter humidity of the room", tried.humidity_ladder(case), judge, base),
    ]
    if meets_cavity(case.assemblies[at]):
        jobs.append(partial(_climb, "air leak", tried.leak_ladder(case, at), judge, base, True))
    if closing is not None:
        board = board_to_measure(case.assemblies[at])
        assert board is not None
        name = f"moisture of {case.assemblies[at].layers[board].name} when closed in"
        jobs.append(partial(_limit_only, name, closing, judge))
    if foam is not None:
        jobs.append(partial(_step, "own foam", _way(foam, base, more=True), judge, base))
    if base.rank > 0:
        jobs.append(partial(_step, "added foam", tried.outside_foam(case, at), judge, base))
    jobs += [
        partial(_choose, "insulation", tried.repairs(case, at), judge, base),
        partial(_choose, "vapour retarder", tried.sheets(case, at), judge, base),
        partial(_choose, "colour", tried.colours(case, at), judge, base),
        partial(_turn, tried.orientations(case, at), judge, base),
    ]
    return jobs + [partial(_hold, variant, judge) for variant in tried.hard_years(case, at)]


def _climb(quantity: str, ladder: Ladder, judge: Judge, base: Trial, each: bool = False) -> _Found:
    """Limit and smallest move on a ladder, and whether the hard variant holds."""
    limit = limit_on(quantity, ladder, judge, each)
    move = smallest_move(quantity, _way(ladder, base, more=False), judge, base)
    hard = ladder.hard
    return _Found(limit, move, () if hard is None else (judge(ladder.variants[hard]),))


def _way(ladder: Ladder, base: Trial, more: bool) -> tuple[Variant, ...]:
    """Variants toward a drier verdict, or toward a wetter one where none is drier."""
    return ladder.up() if more == (base.rank > 0) else ladder.down()


def _limit_only(quantity: str, ladder: Ladder, judge: Judge) -> _Found:
    return _Found(limit_on(quantity, ladder, judge))


def _step(quantity: str, variants: Sequence[Variant], judge: Judge, base: Trial) -> _Found:
    return _Found(move=smallest_move(quantity, variants, judge, base)) if variants else _Found()


def _choose(quantity: str, variants: Sequence[Variant], judge: Judge, base: Trial) -> _Found:
    """Of alternatives without an order, the one that moves the level furthest."""
    if not variants:
        return _Found()
    trials = [judge(variant) for variant in variants]
    moved = sorted((one for one in trials if moves(one, base)), key=lambda one: one.rank)
    best = (moved[0] if base.rank > 0 else moved[-1]) if moved else None
    return _Found(move=Move(quantity, best, tuple(one.change for one in trials)))


def _turn(variants: Sequence[Variant], judge: Judge, base: Trial) -> _Found:
    """Other orientations: what they move, and the worst of them as a hard condition."""
    found = _choose("orientation", variants, judge, base)
    worst = max([base, *(judge(variant) for variant in variants)], key=lambda one: one.rank)
    told = Trial(f"the worst orientation, {worst.change}", worst.verdict)
    return _Found(move=found.move, holds=(told,) if variants else ())


def _hold(variant: Variant, judge: Judge) -> _Found:
    return _Found(holds=(judge(variant),))


def moves(trial: Trial, base: Trial) -> bool:
    """Whether a trial's level is drier than the base's, or wetter where none is drier."""
    if trial.level is None:
        return False
    return trial.rank < base.rank if base.rank > 0 else trial.rank > base.rank


def limit_on(quantity: str, ladder: Ladder, judge: Judge, each: bool = False) -> Limit:
    """Limits on a ladder by bisection, or one by one from the lowest; no verdict is not dry."""
    ranks: dict[int, int] = {}

    def rank(index: int) -> int:
        if index not in ranks:
            ranks[index] = judge(ladder.variants[index]).rank
        return ranks[index]

    find = first_above if each else bisected
    wet, past = (find(ladder, rank, level) for level in (DRY, WITHIN))

    def value(index: int) -> float | None:
        return ladder.variants[index].value if 0 <= index < len(ladder.variants) else None

    return Limit(
        quantity,
        ladder.unit,
        dry_up_to=value(wet - 1),
        not_dry_from=value(wet),
        lowest=ladder.variants[0].value,
        highest=ladder.variants[-1].value,
        within_limits_up_to=value(past - 1),
        past_from=value(past),
        tried=tuple(ladder.variants[index].value for index in sorted(ranks)),
    )


def bisected(ladder: Ladder, rank: Callable[[int], int], level: int) -> int:
    """Index of the first variant above a level, from the start; past the end where none."""
    low, high, here = -1, len(ladder.variants), ladder.start
    while high - low > 1:
        if rank(here) <= level:
            low = here
        else:
            high = here
        here = (low + high) // 2
    return high


def first_above(ladder: Ladder, rank: Callable[[int], int], level: int) -> int:
    """The same, with every variant below it run."""
    variants = range(len(ladder.variants))
    return next((index for index in variants if rank(index) > level), len(ladder.variants))


def smallest_move(quantity: str, variants: Sequence[Variant], judge: Judge, base: Trial) -> Move:
    """Bisection for the first variant that moves the level, variants from small change to large."""
    low, high, ran = -1, len(variants), []
    while high - low > 1:
        middle = (low + high) // 2
        ran.append(variants[middle].change)
        if moves(judge(variants[middle]), base):
            high = middle
        else:
            low = middle
    found = judge(variants[high]) if high < len(variants) else None
    return Move(quantity, found, tuple(ran))


def _watch(
    pool: ThreadPoolExecutor,
    futures: list[Future[Any]],
    progress: Progress | None,
    name: str,
    stop: Event,
) -> None:
    """Wait for all jobs and tell how many are done, from none on; interrupted, stop them all."""
    try:
        if progress is not None:
            progress(0.0, f"probing {name}")
        for number, future in enumerate(as_completed(futures), start=1):
            future.result()
            if progress is not None:
                progress(number / len(futures), f"probing {name}")
    except BaseException:
        stop.set()
        pool.shutdown(wait=False, cancel_futures=True)
        raise

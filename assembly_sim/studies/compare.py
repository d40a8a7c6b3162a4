"""A comparison: every option run, held against the house as found, and ranked.

What is equal in two options is run once: each option is cut into what can be run by itself
(`parts.pieces`), and pieces of the same inputs share a run. So one more option costs what it
changes, and the same option twice gives the same figures to the digit.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from threading import Event

from assembly_sim.boundary.openings import law
from assembly_sim.changes.comparison import Comparison, Option
from assembly_sim.changes.opening_size import all_sized
from assembly_sim.errors import InputError, Problem
from assembly_sim.hand.against_bills import AgainstBills
from assembly_sim.hand.bill_regression import BillFit, fit_bills
from assembly_sim.hand.degree_days import daily_between, last_year_of_days
from assembly_sim.hand.fuels import gross_heat
from assembly_sim.model import Case
from assembly_sim.model.opening import Unsized
from assembly_sim.solver.identity import case_sha256
from assembly_sim.solver.run import run
from assembly_sim.studies.band import Band, band_of, is_leak, variants
from assembly_sim.studies.moisture_change import MoistureChange, moisture_changes
from assembly_sim.studies.option_year import CLOSES, HouseYear, house_year
from assembly_sim.studies.part import Marched
from assembly_sim.studies.parts import parts_of, pieces
from assembly_sim.studies.ranking import Savings, ranking, savings
from assembly_sim.studies.wet_course import Course, courses
from assembly_sim.verdict.cautions import cautions, first_cautions
from assembly_sim.verdict.summary import AssemblySummary

Progress = Callable[[float, str], None]


@dataclass(frozen=True)
class OptionFound:
    """One option after its run.

    year None: a run stopped before a whole year was computed; saved: against the house as found,
    step: against the option it builds on (the same where it builds on none), None of the house as
    found itself; moisture: part by part against the house as found; band: with other leaks and
    humidity, where asked for; first_cautions come before any work; changed: names of the
    assemblies that are other than as found.
    """

    option: Option
    year: HouseYear | None
    converged: bool
    summaries: tuple[AssemblySummary, ...]
    moisture: tuple[MoistureChange, ...]
    saved: Savings | None
    step: Savings | None
    band: Band | None
    first_cautions: tuple[str, ...]
    cautions: tuple[str, ...]
    inputs_sha256: str
    changed: tuple[str, ...] = ()

    @property
    def rank(self) -> int:
        """The worst level of its parts, past the worst of `LEVELS` where one has no verdict."""
        return max((one.rank for one in self.moisture), default=0)


@dataclass(frozen=True)
class Compared:
    """All options in the order of the file, and their order of merit.

    ranked: numbers of options, the best first, without the house as found; alone: for an option
    that builds on another, the number of one that makes the same changes of the house as found;
    fit: what the bills say, None without; bills: the house as found against them; typical_bills:
    the bills were held against a typical year, not their own months; runs: how many were made;
    courses: of every option, in their order, the deciding plane of each part over the last year.
    """

    asked: Comparison
    options: tuple[OptionFound, ...]
    ranked: tuple[int, ...]
    alone: tuple[int | None, ...]
    fit: BillFit | None
    bills: AgainstBills | None
    typical_bills: bool
    runs: int
    courses: tuple[tuple[Course, ...], ...] = ()

    @property
    def as_found(self) -> OptionFound:
        """The option that all others are held against."""
        return next(one for one in self.options if one.option.name == self.asked.as_found)


def compare(
    asked: Comparison,
    progress: Progress | None = None,
    workers: int | None = None,
    band: bool = False,
) -> Compared:
    """Run all options side by side and hold them against the house as found.

    band: three further runs of each, with half and twice the leak and a damper room. InputError
    for weather that holds no whole year, and for bills that cannot be.
    """
    _refuse_short(asked.case)
    fit = bill_fit(asked)  # before anything runs
    cases = {(name, ""): case for name, case in asked.cases.items()}
    if band:
        cases |= {
            (name, change): made
            for name, case in asked.cases.items()
            for change, made in variants(case).items()
        }
    cut = {key: pieces(case) for key, case in cases.items()}
    kept: dict[str, tuple[Course, ...]] = {}
    marched = run_each([piece for each in cut.values() for piece in each], progress, workers, kept)
    houses = {
        key: tuple(marched[case_sha256(piece)] for piece in each) for key, each in cut.items()
    }
    wet = tuple(
        tuple(course for piece in cut[one.name, ""] for course in kept[case_sha256(piece)])
        for one in asked.options
    )
    return _compared(asked, houses, fit, len(marched), wet)


def _refuse_short(case: Case) -> None:
    """A saving a year needs weather of a year."""
    climate = case.climate
    if not climate.wraps and climate.hours < 8760:
        cause = f"this is a window of {climate.hours} hours, and savings are those of a year"
        raise InputError(Problem(cause, "take weather of a whole year", case.file))


def run_each(
    cases: Sequence[Case],
    progress: Progress | None = None,
    workers: int | None = None,
    kept: dict[str, tuple[Course, ...]] | None = None,
) -> dict[str, Marched]:
    """Run each case once by the hash of its inputs, in threads; interrupted, stop them all.

    kept: takes the courses of each run.
    """
    once = {case_sha256(case): case for case in cases}
    stop, done = Event(), dict.fromkeys(once, 0.0)

    def month(key: str, share: float, name: str) -> None:
        if stop.is_set():
            raise InterruptedError("the comparison was stopped")
        done[key] = share
        if progress is not None:
            progress(sum(done.values()) / len(done), name)

    def made(key: str) -> Marched:
        def told(share: float, name: str) -> None:
            month(key, share, name)

        result = run(once[key], told, workers=1)
        found = parts_of(result)
        if kept is not None:
            kept[key] = courses(result)
        return found

    with ThreadPoolExecutor(workers or os.cpu_count()) as pool:
        futures: dict[Future[Marched], str] = {pool.submit(made, key): key for key in once}
        try:
            return {futures[one]: one.result() for one in as_completed(futures)}
        except BaseException:
            stop.set()
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def _compared(
    asked: Comparison,
    houses: dict[tuple[str, str], tuple[Marched, ...]],
    fit: BillFit | None,
    runs: int,
    wet: tuple[tuple[Course, ...], ...],
) -> Compared:
    years = {key: house_year(marched) for key, marched in houses.items()}
    for (name, _), year in years.items():
        if year is not None and year.misses > CLOSES:
            raise ArithmeticError(f"the parts of {name} miss the whole by {year.misses:.1e}")
    found = years[asked.as_found, ""]
    bills = _against_bills(asked, fit, found)
    options = tuple(_option(asked, one, houses, years, bills) for one in asked.options)
    return Compared(
        asked=asked,
        options=options,
        ranked=ranking(asked.as_found, [(o.option.name, o.saved, o.moisture) for o in options]),
        alone=tuple(_alone(asked, one) for one in asked.options),
        fit=fit,
        bills=bills,
        typical_bills=fit is not None and (asked.bill_climate or asked.case.climate).wraps,
        runs=runs,
        courses=wet,
    )


def _option(
    asked: Comparison,
    option: Option,
    houses: dict[tuple[str, str], tuple[Marched, ...]],
    years: dict[tuple[str, str], HouseYear | None],
    bills: AgainstBills | None,
) -> OptionFound:
    name, case = option.name, asked.cases[option.name]
    summaries = tuple(each for one in houses[name, ""] for each in one.summaries)
    before = [each for one in houses[asked.as_found, ""] for each in one.summaries]
    known = {each.name: each for each in before}
    own = {change: year for (one, change), year in years.items() if one == name and change}
    first = {
        change: year for (one, change), year in years.items() if one == asked.as_found and change
    }
    band = band_of(own, first, {c: houses[name, c] for c in own}) if own else None
    is_found = name == asked.as_found
    below, found = option.builds_on or asked.as_found, years[asked.as_found, ""]
    words = frozenset({"tight"} if tightens(case, asked.cases[asked.as_found]) else ())
    return OptionFound(
        option=option,
        year=years[name, ""],
        converged=all(one.converged for one in houses[name, ""]),
        summaries=summaries,
        moisture=moisture_changes(summaries, known),
        saved=None
        if is_found
        else savings(asked, found, years[name, ""], asked.cost_of(name), bills, band),
        step=None
        if is_found or below == name
        else savings(asked, years[below, ""], years[name, ""], option.cost),
        changed=tuple(
            one.name for one in case.assemblies if one not in asked.cases[asked.as_found].assemblies
        ),
        band=band,
        first_cautions=first_cautions(case, words),
        cautions=cautions(case, words),
        inputs_sha256=case_sha256(case),
    )


def tightens(case: Case, found: Case) -> bool:
    """Whether any leak is smaller than as found, vents aside: fires and boilers then feel it."""
    before, after = _leaks(found), _leaks(case)
    return any(after.get(name, 0.0) < (1.0 - 1e-9) * flow for name, flow in before.items())


def _leaks(case: Case) -> dict[tuple[str, str], float]:
    """Flow at 50 Pa of each assembly's leak and of each opening that is one, m3/s."""
    leaks = [one for one in case.assemblies if one.leak is not None]
    openings = [one for one in all_sized(case).openings if is_leak(one, case)]
    return {
        **{("leak", one.name): one.area * one.leak.flow_at(50.0) for one in leaks if one.leak},
        **{
            ("opening", one.name): law(one.shape).flow(50.0)
            for one in openings
            if not isinstance(one.shape, Unsized)
        },
    }


def _alone(asked: Comparison, option: Option) -> int | None:
    """Number of the option that makes the same changes of the house as found, and nothing else."""
    if option.builds_on in (None, asked.as_found):
        return None
    same = [
        number
        for number, other in enumerate(asked.options)
        if other.changes == option.changes and other.builds_on in (None, asked.as_found)
    ]
    return same[0] if same else None


def bill_fit(asked: Comparison) -> BillFit | None:
    """Base, slope and balance temperature of the bills; None without bills."""
    if not asked.bills or asked.fuel is None:
        return None
    climate = asked.bill_climate or asked.case.climate
    dates, daily = daily_between(climate, asked.bills[0].first, asked.bills[-1].last)
    return fit_bills(asked.bills, asked.fuel.heat_content, dates, daily)


def _against_bills(
    asked: Comparison, fit: BillFit | None, found: HouseYear | None
) -> AgainstBills | None:
    """The house as found against the heating part of its bills, in the year that was run."""
    if fit is None or found is None or asked.fuel is None:
        return None
    daily = last_year_of_days(asked.case.climate)
    computed = gross_heat(found.heating, asked.fuel.efficiency)
    return AgainstBills(computed, fit.heating_part(daily))

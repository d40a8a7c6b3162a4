"""Comparisons that a test writes down: verdicts of made results, years of made heat, no solver."""

from __future__ import annotations

from collections.abc import Mapping

from assembly_sim.changes.comparison import Comparison, Option
from assembly_sim.model.fuel import Cost, Currency, Fuel
from assembly_sim.solver.result import Result
from assembly_sim.studies.compare import Compared, OptionFound
from assembly_sim.studies.moisture_change import moisture_changes
from assembly_sim.studies.option_year import Heat, HouseYear, PartYear, Peak
from assembly_sim.studies.ranking import ranking, savings
from assembly_sim.studies.wet_course import courses
from assembly_sim.verdict.summary import AssemblySummary, typed_summary

KWH = 3.6e6  # J
DOLLARS = Currency("$")
FUEL = Fuel("heating oil", "volume", "L", 3.8e10, 0.8, 1000.0, DOLLARS, 2.7e3)
NOTHING = Heat(0.0, 0.0)
Heats = Mapping[str, tuple[float, float]]


def year(heats: Heats) -> HouseYear:
    """kWh, conducted and carried, by part."""
    parts = tuple(
        PartYear(name, 10.0, "wall", Heat(a * KWH, b * KWH), NOTHING, NOTHING, NOTHING)
        for name, (a, b) in heats.items()
    )
    heating = sum(part.heating.total for part in parts)
    return HouseYear(heating, 0.0, Peak(900.0, 1, 6), Peak(0.0, 7, 15), parts, 0.0)


def compared(
    made: Mapping[str, tuple[Result, Heats | None, Cost | None]],
    cautions: Mapping[str, str] = {},
    fuel: Fuel = FUEL,
) -> Compared:
    """Options by name, the house as found first: its result, its heat, its cost."""
    first, *_ = made
    results = {name: result for name, (result, _, _) in made.items()}
    options = tuple(Option(name, cost=cost) for name, (_, _, cost) in made.items())
    asked = Comparison(results[first].case, options, first, fuel=fuel)
    summaries = {name: typed_summary(result).assemblies for name, result in results.items()}
    years = {name: None if heats is None else year(heats) for name, (_, heats, _) in made.items()}
    found = tuple(_option(asked, one, summaries, years, cautions) for one in options)
    return Compared(
        asked=asked,
        options=found,
        ranked=ranking(first, [(one.option.name, one.saved, one.moisture) for one in found]),
        alone=tuple(None for _ in found),
        fit=None,
        bills=None,
        typical_bills=False,
        runs=len(found),
        courses=tuple(courses(result) for result in results.values()),
    )


def _option(
    asked: Comparison,
    one: Option,
    summaries: Mapping[str, tuple[AssemblySummary, ...]],
    years: Mapping[str, HouseYear | None],
    cautions: Mapping[str, str],
) -> OptionFound:
    before = {each.name: each for each in summaries[asked.as_found]}
    is_found = one.name == asked.as_found
    saved = savings(asked, years[asked.as_found], years[one.name], one.cost)
    return OptionFound(
        option=one,
        year=years[one.name],
        converged=True,
        summaries=summaries[one.name],
        moisture=moisture_changes(summaries[one.name], before),
        saved=None if is_found else saved,
        step=None,
        band=None,
        first_cautions=("Look first.",),
        cautions=("Look first.", *([cautions[one.name]] if one.name in cautions else [])),
        inputs_sha256="0" * 64,
    )

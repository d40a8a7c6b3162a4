"""The openings of a case as one table: where each leads, what it is equal to, what passes it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from assembly_sim.boundary.openings import free_area, law
from assembly_sim.changes.opening_size import all_sized
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import Case, Opening
from assembly_sim.model.opening import Unsized
from assembly_sim.physics.airflow import leakage_area, round_hole, square_hole
from assembly_sim.report.blocks import bullets
from assembly_sim.report.holes import CAUTIONS
from assembly_sim.units import convert, show
from assembly_sim.verdict.stream_summary import StreamSummary
from assembly_sim.verdict.summary import RunSummary, typed_summary
from assembly_sim.words.figures import figure, say

Progress = Callable[[float, str], None]
KILOWATT_HOUR = 3.6e6  # J
NAME, BETWEEN = 17, 16  # of a row's first cells, so that it stays within a page
HEADS = ("opening", "between", "height", "effective", "round", "square", "at 4 Pa", "at 50 Pa")
UNDERSTOOD = (
    "effective: leakage area at 4 Pa (coefficient 1); round and square: the sharp-edged hole "
    "with the same flow at 4 Pa, its diameter and its side",
    "4 Pa is about a cold day's stack, 50 Pa a blower door's; the pressures that each opening "
    "has in the year are found by a run (--run)",
)
YEAR_HEADS = ("opening", "between", "in season", "outward", "heat in season", "in {span}", "costs")
OF_A_RUN = (
    "in season: mean flow of the heating season, found by a run of a year with the air of the "
    "whole house in balance; outward: share of these hours in which it goes from the first space "
    "to the second",
    "heat: carried out of the rooms in the hours in which they lose heat; what comes back warmed "
    "is deducted (-: it joins no room); sealing one hole sends more through the others",
)
NO_PRICE = "what it costs: give --price, or a [fuel] with a price in the case"
Priced = Callable[[float], str]
"""What a heat (J) costs, as text."""


def case_holes_text(case: Case, system: str = "si", more: Sequence[str] = ()) -> str:
    """Every opening of a case, then all between two spaces; `system` is `si` or `ip`.

    more: a table of what a run knows of their year. InputError where the case has none.
    """
    if not case.openings:
        cure = "describe them in [[opening]]; `assembly-sim hole` tells of one alone"
        raise InputError(Problem("the case has no opening", cure, file=case.file))
    house = all_sized(case)
    rows = [_row(one, system) for one in house.openings]
    blocks = [case.name, table([HEADS, *rows]), *more, totals(house.openings, system)]
    understood = (UNDERSTOOD[0], *OF_A_RUN) if more else UNDERSTOOD
    notes = [*_notes(case, system), *understood]
    blocks += [bullets("About the openings", notes), bullets("Before one is sealed", CAUTIONS)]
    return "\n\n".join(blocks) + "\n"


def year_table(
    summary: RunSummary, case: Case, system: str = "si", priced: Priced | None = None
) -> str:
    """What a run knows of each opening's year: mean flow, direction, heat, money; dashes: nothing.

    An opening between spaces that no air can get out of has no flow.
    """
    known = {one.name: one for one in summary.streams if one.kind == "opening"}
    has_year = summary.house is None or summary.house.has_year
    span = "year" if has_year else "window"
    heads = tuple(head.format(span=span) for head in YEAR_HEADS)
    rows = [_year_row(one, known.get(one.name), system, priced) for one in case.openings]
    last = None if priced else -1
    return table([row[:last] for row in (heads, *rows)])


def _year_row(
    one: Opening, found: StreamSummary | None, system: str, priced: Priced | None
) -> tuple[str, ...]:
    ends = (cut_to(one.name, NAME), cut_to(_between(one), BETWEEN))
    if found is None:
        return (*ends, *("-",) * 5)
    heats = (_heat(heat, system) for heat in (found.heating_season_kwh, found.year_kwh))
    year = found.year_kwh
    cost = "-" if year is None or priced is None else priced(KILOWATT_HOUR * year)
    return (*ends, _mean_flow(found, system), _outward(found), *heats, cost)


def cut_to(text: str, width: int) -> str:
    """Text of at most so many letters."""
    return text if len(text) <= width else f"{text[: width - 3]}..."


def _mean_flow(one: StreamSummary, system: str) -> str:
    return figure(one.heating_season_flow_m3_s, "air flow", system)


def _outward(one: StreamSummary) -> str:
    hours = one.heating_season_hours
    return f"{100.0 * one.hours_outward / hours:.0f} %" if hours else "-"


def _heat(heat: float | None, system: str) -> str:
    return "-" if heat is None else figure(KILOWATT_HOUR * heat, "energy", system)


def run_holes_text(
    case: Case,
    system: str = "si",
    progress: Progress | None = None,
    priced: Priced | None = None,
) -> str:
    """The openings of a case with what a run of one year knows of them; its weather's if a window.

    The first year of a run tells of air and heat what later ones do; moisture it does not judge.
    """
    from assembly_sim.solver.run import run

    if not case.openings:
        return case_holes_text(case, system)
    year = replace(case, years=1) if case.climate.wraps else case
    summary = typed_summary(run(year, progress=progress))
    more = [year_table(summary, case, system, priced)]
    return case_holes_text(case, system, [*more, *([] if priced else [NO_PRICE])])


def table(rows: Sequence[Sequence[str]]) -> str:
    """Rows as columns: names to the left, figures to the right."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    names = 2
    return "\n".join(
        "  ".join(
            cell.ljust(width) if column < names else cell.rjust(width)
            for column, (cell, width) in enumerate(zip(row, widths))
        ).rstrip()
        for row in rows
    )


def totals(openings: Sequence[Opening], system: str) -> str:
    """What the openings between each two spaces pass together."""
    pairs: dict[str, list[Opening]] = {}
    for one in openings:
        pairs.setdefault(_between(one), []).append(one)
    rows: list[tuple[str, ...]] = [("all between", "", "effective", "at 4 Pa", "at 50 Pa")]
    for between, some in pairs.items():
        four, fifty = (sum(_flow(one, pressure) for one in some) for pressure in (4.0, 50.0))
        figures = (_area(four, system), *(show(f, "air flow", system) for f in (four, fifty)))
        rows.append((between, f"{len(some)}", *figures))
    return table(rows)


def _row(one: Opening, system: str) -> tuple[str, ...]:
    assert not isinstance(one.shape, Unsized)
    area, four = free_area(one.shape), _flow(one, 4.0)
    return (
        cut_to(one.name, NAME),
        cut_to(_between(one), BETWEEN),
        _height(one.height, system),
        _area(four, system),
        *(show(size(area), "length", system) for size in (round_hole, square_hole)),
        *(show(flow, "air flow", system) for flow in (four, _flow(one, 50.0))),
    )


def _between(one: Opening) -> str:
    return f"{one.inside} - {one.outside}"


def _flow(one: Opening, pressure: float) -> float:
    assert not isinstance(one.shape, Unsized)
    return law(one.shape).flow(pressure)


def _area(flow: float, system: str) -> str:
    """Effective leakage area of a flow (m3/s) at 4 Pa."""
    number, unit = convert(float(leakage_area(flow)), "opening area", system)
    digits = 1 if number < 10_000.0 else 0
    return f"{number:.{digits}f} {unit}"


def _height(height: float, system: str) -> str:
    size, unit = (1.0, "m") if system == "si" else (0.3048, "ft")
    return f"{height / size:.1f} {unit}"


def _notes(case: Case, system: str) -> list[str]:
    """What the case left unsaid of its openings."""
    return [say(note, system) for note in case.unstated if note.startswith("opening ")]

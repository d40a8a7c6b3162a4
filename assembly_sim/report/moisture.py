"""Moisture at length: the verdict, planes and boards by path, and every check that was made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from assembly_sim.checks.finding import Finding
from assembly_sim.report.answer import headline
from assembly_sim.report.blocks import Block, Lines, Listing, Table, wrapped
from assembly_sim.units import in_unit
from assembly_sim.verdict import told
from assembly_sim.verdict.summary import AssemblySummary, PlaneSummary
from assembly_sim.words.checks import (
    TELLINGS,
    distance,
    in_last_year,
    is_short,
    of_run,
    particulars,
    place_and_path,
    title,
    value_and_limit,
    when,
)
from assembly_sim.words.figures import figure, say

WIDTHS = (-46, 9, 8, 8, 9, 7)
CHECKS_HEAD = "All checks: the worst year, and the last (*: may decide)"
CHECKS_OF_RUN = "All checks, of the hours that ran (none decides without whole years)"
MEANINGS = (
    "RH max: highest hourly relative humidity, over liquid water, of the whole run",
    "risk h: condensation-risk hours of the last year, whose vapour pressure is at least "
    "{share:.0f} % of saturation (over ice below freezing)",
    "dew h: dew-point hours of the last year, with the plane colder than the dew point "
    "of the air that leaks bring to it (-: none comes); a count, not a verdict",
    "wetting: wetting potential, {unit}, of the last year: what the leak could leave there if all "
    "of it passed (-: no leak)",
    "mould: highest mould index of the whole run, 0 to 6 (-: no material there has a class)",
    "drained planes lie outside the drainage plane, get wet by design and never decide",
)


def verdict_block(one: AssemblySummary, system: str = "si") -> Listing:
    """The verdict: its level, what decided it and by how much, and why."""
    found = one.verdict
    decided, gap = "", ""
    if found.finding is not None:
        place = place_and_path(found.finding)
        decided = f". Decided by {title(found.finding, system)} at {place}"
        gap = distance(found.finding, system)
    lines = [*filter(None, (gap,)), *told.reasons(found, system), told.SCOPE]
    return Listing(f"Moisture: {headline(one)}{decided}", tuple(dict.fromkeys(lines)))


def wetting_unit(system: str) -> str:
    """The unit of the wetting potential."""
    return "g/m2" if system == "si" else "oz/ft2"


def planes_table(one: AssemblySummary, system: str = "si") -> Table:
    """Every plane, outside to inside, and below it each side on each path with its own figures."""
    head = ("planes, outside to inside", "RH max", "risk h", "dew h", "wetting", "mould")
    by_name: dict[str, list[PlaneSummary]] = {}
    for side in sorted(one.planes, key=lambda plane: plane.index):
        by_name.setdefault(side.name, []).append(side)
    rows = [row for sides in by_name.values() for row in plane_rows(sides, system)]
    return Table(head, tuple(rows), WIDTHS)


def plane_rows(sides: list[PlaneSummary], system: str) -> Iterator[tuple[str, ...]]:
    """A plane's name, then a row for each of its sides and paths."""
    drained = all(side.drained for side in sides)
    yield (sides[0].name + (" (drained)" if drained else ""),)
    for side in sides:
        where = side.path if side.side == "both" else f"{side.path}, {side.side} side"
        where += " (drained)" if side.drained and not drained else ""
        yield (
            f"  {where}",
            f"{100.0 * side.max_relative_humidity:.1f} %",
            f"{side.condensation_risk_hours:.0f}",
            _cell(side.dew_point_hours, 0),
            _cell(_wetting(side.wetting_potential_g_m2, system), 0 if system == "si" else 2),
            _cell(side.mould_index_max, 2),
        )


def _wetting(grams: float | None, system: str) -> float | None:
    if grams is None or system == "si":
        return grams
    return float(in_unit(grams / 1000.0, "areal mass", "oz/ft2"))


def _cell(value: float | None, digits: int) -> str:
    return "-" if value is None or value != value else f"{value:.{digits}f}"


def meanings(share: float, system: str = "si", short: bool = False) -> Listing:
    """How to read the planes; short: of a run without a whole year."""
    unit = wetting_unit(system)
    return Listing(
        "How to read the planes",
        tuple(of_run(line, short).format(share=100.0 * share, unit=unit) for line in MEANINGS),
    )


def boards_block(one: AssemblySummary) -> Listing:
    """The highest moisture content by mass of every layer of wood in the last year."""
    return Listing(
        of_run(
            "Wood, highest moisture content of the last year, mean of the layer", not one.has_year
        ),
        tuple(
            f"{', '.join(dict.fromkeys((layer.name, layer.material)))} ({layer.path}): "
            f"{figure(layer.moisture_content_max, 'moisture content')} by mass"
            for layer in one.layers
            if layer.moisture_content_max is not None
        ),
    )


def checks_blocks(one: AssemblySummary, system: str = "si") -> list[Block]:
    """Every check that was made or could not be: value, limit, place, path, time, last year."""
    blocks: list[Block] = [Lines(CHECKS_HEAD if one.has_year else CHECKS_OF_RUN)]
    for check in TELLINGS:
        found = [finding for finding in one.findings if finding.check == check]
        if found:
            blocks.append(Lines("", tuple(check_lines(found, system))))
    return blocks


def check_lines(found: list[Finding], system: str = "si") -> Iterator[str]:
    """One check at all its places: the worst first, those with nothing in one sentence.

    A limit, and what else is known, stand once at the head where all places share them.
    """
    something = [finding for finding in found if is_something(finding, system)]
    limits = {limit_words(finding, system) for finding in something}
    notes = {finding.note for finding in something}
    shared = [*(limits if len(limits) == 1 else ()), *(notes if len(notes) == 1 else ())]
    yield from wrapped(", ".join(filter(None, (title(found[0], system), *shared))), "", "  ")
    for finding in sorted(something, key=_harm, reverse=True):
        own = [limit_words(finding, system)] if len(limits) > 1 else []
        note = particulars(finding, system)
        if len(notes) == 1:
            note = note.removeprefix(say(finding.note, system)).removeprefix("; ")
        yield from wrapped(check_line(finding, (*own, note), system), "  ", " " * 16)
    nothing = [one for one in found if one.value is not None and one not in something]
    if nothing:
        none = "no change at" if found[0].check == "trend of water" else "none at"
        yield from wrapped(f"{none} {'; '.join(places(nothing))}", "  ", "      ")
    missing: dict[str, list[Finding]] = {}
    for finding in found:
        if finding.value is None:
            missing.setdefault(particulars(finding, system), []).append(finding)
    for why, where in missing.items():
        yield from wrapped(f"{why}: {'; '.join(places(where))}", "  ", "      ")


def is_something(finding: Finding, system: str = "si") -> bool:
    """Whether a value is written as more than nothing."""
    if finding.value is None:
        return False
    written = float(value_and_limit(finding, system)[0].split()[0])
    return written != 0.0 or TELLINGS[finding.check].kind == "degrees Celsius"


def places(found: Iterable[Finding]) -> list[str]:
    """Places with all the paths of each."""
    paths: dict[str, list[str]] = {}
    for finding in found:
        paths.setdefault(finding.place, []).append(finding.path)
    return [f"{place} ({', '.join(filter(None, names))})" for place, names in paths.items()]


def _harm(finding: Finding) -> float:
    value = finding.value or 0.0
    return -value if finding.at_least else value


def limit_words(finding: Finding, system: str = "si") -> str:
    """The limit of a finding in words; none where nothing at all is the limit."""
    if not finding.limit:
        return ""
    limit = value_and_limit(finding, system)[1]
    return f"at least {limit}" if finding.at_least else f"limit {limit}"


def check_line(finding: Finding, more: tuple[str, ...], system: str = "si") -> str:
    """One finding in a line."""
    mark = "*" if finding.decides else " "
    alone = finding.settled is not None and not is_short(finding)
    settled = f"last year {in_last_year(finding, system)}" if alone else ""
    value = value_and_limit(finding, system)[0]
    parts = (place_and_path(finding), when(finding), settled, *more)
    return f"{mark} {value:>10}  {'; '.join(filter(None, parts))}"

"""What further runs found, as a map of room humidity against air leak.

The probe ran along two lines: the leak changed at the room's own humidity, and the humidity at the
assembly's own leak. A drier room never makes a level worse (a law under test), so what holds at a
leak holds below that line too, and what is past a limit stays so above it. All else is left blank.
"""

from __future__ import annotations

from math import sqrt

from assembly_sim.changes.room import winter_humidity
from assembly_sim.report.page.content import Absent, Cell, Column, DataTable, Figure
from assembly_sim.report.page.plots import Area, Dot, Map
from assembly_sim.report.page.view import View
from assembly_sim.report.probe import limit_line
from assembly_sim.studies.ladders import LEAST_HUMIDITY, MOST_HUMIDITY
from assembly_sim.studies.probe import Limit
from assembly_sim.words.figures import limit_figure

TITLE = "How damp a room, how leaky an assembly it bears"
HUMIDITY, LEAK = "winter humidity of the room", "air leak"
DRY, WITHIN, PAST = 0, 2, 4  # steps of the scale
LEGEND = ((0, "dry"), (2, "wet at most, within limits"), (4, "past a limit"))
STRIP = 0.014  # share of the width that one tried leak is drawn as


def limits_figure(view: View) -> Figure | Absent:
    """The map, or why there is none."""
    if view.probing is None:
        window = not view.result.case.climate.wraps
        why = (
            "the weather is a window, which cannot be probed"
            if window
            else ("not probed: run again with --probe, which makes some 30 further runs")
        )
        return Absent(TITLE, why)
    if view.probing.level is None:
        return Absent(TITLE, "not probed: there is no verdict")
    found = {limit.quantity: limit for limit in view.probing.limits}
    if HUMIDITY not in found or LEAK not in found:
        return Absent(TITLE, "a leak's air meets no cavity here, so there is nothing to map")
    return _figure(view, found[HUMIDITY], found[LEAK])


def _figure(view: View, humidity: Limit, leak: Limit) -> Figure:
    here = winter_humidity(view.result.case)
    own = view.found.assembly.leak
    flow = own.flow if own else 0.0
    pressure = leak.unit.removeprefix("m3/(s m2)")
    plot = Map(
        across=f"air leak, {view.unit('air flow per area')}{pressure}",
        up="winter humidity of the room, %",
        bounds=(0.0, _across(leak.highest), 100.0 * LEAST_HUMIDITY, 100.0 * MOST_HUMIDITY),
        areas=(*_along(leak, here), *_upward(humidity, flow, leak.highest)),
        dots=(Dot(_across(flow), 100.0 * here, "as it is"),),
        legend=LEGEND,
        x_ticks=_ticks(view, leak),
        y_ticks=tuple((float(p), f"{p} %") for p in range(10, 81, 10)),
    )
    return Figure(
        name=f"limits-{view.number}",
        title=TITLE,
        says=_says(view, humidity, leak, flow),
        reading=(
            f"From {view.probing.runs if view.probing else 0} further runs, one thing changed in "
            "each: the leak at the room's own humidity, the humidity at the assembly's own leak. A "
            "drier room is never worse, which fills the rest of what is tinted; where it is "
            "hatched nothing was run, or two runs differ. Leaks are drawn by their square root."
        ),
        plot=plot,
        table=_table(view, (humidity, leak)),
    )


def _across(flow: float) -> float:
    return sqrt(max(flow, 0.0))


def _reached(limit: Limit) -> list[tuple[float, float, int]]:
    """Spans of a quantity with the level that runs found there, rising."""
    spans = []
    if limit.dry_up_to is not None:
        spans.append((limit.lowest, limit.dry_up_to, DRY))
    wet_from = limit.lowest if limit.dry_up_to is None else limit.not_dry_from
    wet_to = limit.within_limits_up_to
    if wet_from is not None and wet_to is not None and wet_to >= wet_from:
        spans.append((wet_from, wet_to, WITHIN))
    if limit.past_from is not None:
        spans.append((limit.past_from, limit.past_from, PAST))
    return spans


def _along(leak: Limit, here: float) -> list[Area]:
    """Below the case's humidity what is dry or wet at most there; above it what is past."""
    least, most, line = 100.0 * LEAST_HUMIDITY, 100.0 * MOST_HUMIDITY, 100.0 * here
    areas, strip = [], STRIP * _across(leak.highest)
    for low, high, level in _reached(leak):
        left, right = _across(low), max(_across(high), _across(low) + strip)
        bottom, top = (line, most) if level == PAST else (least, line)
        areas.append(Area(left, right, bottom, top, level))
    return areas


def _upward(humidity: Limit, flow: float, highest: float) -> list[Area]:
    """A strip at the case's own leak: every level that the humidities tried have."""
    strip = STRIP * _across(highest)
    left = max(0.0, _across(flow) - 0.5 * strip)
    areas = []
    for low, high, level in _reached(humidity):
        top = MOST_HUMIDITY if level == PAST else high
        bottom, upper = 100.0 * low, max(100.0 * top, 100.0 * low + 0.6)
        areas.append(Area(left, left + strip, bottom, upper, level))
    return areas


def _ticks(view: View, leak: Limit) -> tuple[tuple[float, str], ...]:
    shares = (0.0, 0.02, 0.1, 0.25, 0.5, 1.0)
    flows = [share * leak.highest for share in shares]
    return tuple(
        (_across(flow), limit_figure(flow, "air flow per area", view.system).split()[0])
        for flow in flows
    )


def _says(view: View, humidity: Limit, leak: Limit, flow: float) -> str:
    level = view.probing.level if view.probing else ""
    said = f"As it is: '{level}'. {_capital(limit_line(humidity, view.system))}"
    at = "without a leak" if not flow else "at the leak it has"
    told = limit_line(leak, view.system)
    return f"{said} ({at}). {_capital(told)} (at the humidity the room has)."


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _table(view: View, limits: tuple[Limit, ...]) -> DataTable:
    from assembly_sim.report.probe import amount

    def text(value: float | None, limit: Limit) -> str:
        return "-" if value is None else amount(value, limit.unit, view.system)

    rows: list[tuple[Cell, ...]] = [
        (
            limit.quantity,
            *(text(one, limit) for one in (limit.dry_up_to, limit.not_dry_from)),
            *(text(one, limit) for one in (limit.within_limits_up_to, limit.past_from)),
            *(text(one, limit) for one in (limit.lowest, limit.highest)),
        )
        for limit in limits
    ]
    heads = ("dry up to", "not dry from", "within limits up to", "past one from")
    columns = tuple(Column(head) for head in ("quantity", *heads, "lowest tried", "highest tried"))
    return DataTable("limits", "Limits found by further runs", columns, tuple(rows))

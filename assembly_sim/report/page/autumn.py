"""Water left each autumn, when it is least: what an assembly gathers shows there year by year."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.period import begin_of
from assembly_sim.checks.planes import wet_by_design
from assembly_sim.envelope.rain import cladding_layers
from assembly_sim.report.page.content import Absent, Cell, Column, DataTable, Figure
from assembly_sim.report.page.plots import Bars, Part
from assembly_sim.report.page.view import View
from assembly_sim.solver.result import Result
from assembly_sim.units import in_unit
from assembly_sim.words.figures import figure

Array = NDArray[np.float64]

TITLE = "Water left each autumn"
NORTH, SOUTH = 10, 4  # months that begin after the season of drying
DIGITS = {"g/m2": 0, "kg/m2": 3, "oz/ft2": 2, "lb/ft2": 3}  # decimals of a table
SMALLEST = 1e-3  # kg/m2: a change below it is told as none


@dataclass(frozen=True)
class Autumns:
    """Water in kg/m2 at each autumn: in layers, free at planes, and the highest since the last.

    highest is NaN at the first, before which nothing is known.
    """

    names: tuple[str, ...]
    layers: tuple[float, ...]
    free: tuple[float, ...]
    highest: tuple[float, ...]

    @property
    def totals(self) -> tuple[float, ...]:
        """Both together."""
        return tuple(one + other for one, other in zip(self.layers, self.free))


def autumn_month(result: Result) -> int:
    """The month at whose start water is counted, by hemisphere."""
    return NORTH if result.case.climate.latitude >= 0.0 else SOUTH


def autumn_hours(result: Result) -> list[int]:
    """Hours of the run at whose start autumn begins; that after the last hour counts too."""
    wanted, months = autumn_month(result), result.month
    starts = np.flatnonzero((months == wanted) & (np.roll(months, 1) != wanted))
    if len(months) and months[0] == wanted and _begins_a_month(result):
        starts = np.union1d(starts, [0])
    found = [int(hour) for hour in starts if hour or _begins_a_month(result)]
    return [*found, result.hours] if _ends_at(result, wanted) else found


def _begins_a_month(result: Result) -> bool:
    climate = result.case.climate
    return climate.wraps or (begin_of(climate).day, begin_of(climate).hour) == (1, 0)


def _ends_at(result: Result, month: int) -> bool:
    """Whether the hour after the last would be the first of this month."""
    climate, hours = result.case.climate, result.hours
    if not hours:
        return False
    if climate.wraps:
        return hours % climate.hours == 0 and result.case.start_month == month
    end = begin_of(climate, hours)
    return (end.month, end.day, end.hour) == (month, 1, 0)


def autumns(view: View) -> Autumns | None:
    """Water at each autumn of the run; None where there are fewer than two."""
    hours = autumn_hours(view.result)
    if len(hours) < 2:
        return None
    layers, free = _layers(view), _free(view)
    total = layers + free
    highest = [float("nan")] + [
        float(total[before : now + 1].max()) for before, now in zip(hours, hours[1:])
    ]
    return Autumns(
        names=tuple(_name(view.result, hour, number) for number, hour in enumerate(hours)),
        layers=tuple(float(layers[hour]) for hour in hours),
        free=tuple(float(free[hour]) for hour in hours),
        highest=tuple(highest),
    )


def _layers(view: View) -> Array:
    """Water in all layers but cladding and roofing, at the start of the run and each hour's end."""
    assembly = view.found.assembly
    kept = [i for i in range(len(assembly.layers)) if i not in cladding_layers(assembly)]
    parts = [
        path.share
        * np.concatenate(([path.initial_layer_water[kept].sum()], path.layer_water[:, kept].sum(1)))
        for path in view.found.paths
    ]
    return np.asarray(np.sum(parts, axis=0))


def _free(view: View) -> Array:
    """Free water and frost at all planes that rain does not wet, likewise; none at the start."""
    assembly, parts = view.found.assembly, []
    for path in view.found.paths:
        kept = [i for i, plane in enumerate(path.planes) if not wet_by_design(assembly, plane)]
        parts.append(path.share * np.append(0.0, path.free_water[:, kept].sum(axis=1)))
    return np.asarray(np.sum(parts, axis=0))


def _name(result: Result, hour: int, number: int) -> str:
    climate = result.case.climate
    if not climate.wraps:
        return str(begin_of(climate, hour).year)
    return "start" if hour == 0 else f"year {-(-hour // climate.hours)}"


def autumn_figure(view: View) -> Figure | Absent:
    """Bars of the water left each autumn, with the highest of the year before it."""
    found = autumns(view)
    if found is None:
        return Absent(TITLE, "the run holds fewer than two autumns")
    unit = _unit(view, found)

    def shown(values: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(in_unit(np.asarray(values), "areal mass", unit).tolist())

    parts = [Part("in the layers", shown(found.layers), "moist")]
    if max(found.free) >= SMALLEST:
        parts.append(Part("free or frost", shown(found.free), "start", hatched=True))
    day = f"1 {'October' if autumn_month(view.result) == NORTH else 'April'}"
    return Figure(
        name=f"autumn-{view.number}",
        title=TITLE,
        says=_says(view, found, day),
        reading=(
            f"All water on {day}, after the season of drying, in everything but cladding and "
            "roofing: mean of the paths by area. The line over a bar is the highest of the twelve "
            "months before. A row of bars that rises is an assembly that gathers water."
        ),
        plot=Bars(
            f"water, {unit}", found.names, tuple(parts), shown(found.highest), "highest before"
        ),
        table=_table(view, found, unit),
    )


def _unit(view: View, found: Autumns) -> str:
    """The unit of axis and columns: that in which the sentence writes the largest amount."""
    largest = float(np.nanmax([*found.totals, *found.highest]))
    return figure(largest, "areal mass", view.system).rpartition(" ")[2]


def _says(view: View, found: Autumns, day: str) -> str:
    totals = found.totals
    now = figure(totals[-1], "areal mass", view.system)
    said = f"On the last {day} of the run everything inside the cladding held {now} of water, "
    if not cladding_layers(view.found.assembly):
        said = said.replace("everything inside the cladding", "the assembly")
    said += f"{_change(view, totals[-1] - totals[-2])} a year before"
    if len(totals) > 2:
        first = "at the start" if found.names[0] == "start" else "on the first"
        said += f" and {_change(view, totals[-1] - totals[0])} {first}"
    return f"{said}."


def _change(view: View, step: float) -> str:
    if abs(step) < SMALLEST:
        return "as much as"
    return f"{figure(abs(step), 'areal mass', view.system)} {'more' if step > 0 else 'less'} than"


def _table(view: View, found: Autumns, unit: str) -> DataTable:
    digits = DIGITS[unit]
    columns = (
        *(Column("autumn"), Column(f"in the layers, {unit}", digits)),
        Column(f"free or frost, {unit}", digits),
        Column(f"highest since the last, {unit}", digits),
    )
    rows: list[tuple[Cell, ...]] = []
    for name, *amounts in zip(found.names, found.layers, found.free, found.highest):
        rows.append((name, *(float(in_unit(one, "areal mass", unit)) for one in amounts)))
    return DataTable("autumn_water", TITLE, columns, tuple(rows))

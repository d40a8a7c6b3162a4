"""How far each plane stays from dew: its temperature above the dew point, month by month."""

from __future__ import annotations

from calendar import month_name

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.planes import hour_means, place_of
from assembly_sim.physics.moist_air import dew_or_frost_point
from assembly_sim.report.page.content import Cell, Column, DataTable, Figure
from assembly_sim.report.page.plots import Cells, Key
from assembly_sim.report.page.times import MONTHS, by_month
from assembly_sim.report.page.view import View
from assembly_sim.solver.result import PathResult, Plane
from assembly_sim.words.figures import figure

Array = NDArray[np.float64]

LEAST_PRESSURE = 1.0  # Pa: drier air than any has a dew point that no plane comes near
BOUNDS = (0.0, 1.0, 3.0)  # K between the steps
AIR = {"room": "room air", "outdoors": "outdoor air", "none": "air in the pores"}


def plane_margin(view: View, path: PathResult, position: int) -> Array:
    """K by which a plane is warmer than the dew point of the air that reaches it, (hours,).

    That air is the room's or outdoor air where leaks bring it, else what its own pores hold.
    """
    reach, drivers = path.planes[position].reach, view.found.drivers
    if reach == "none":
        pressure = np.asarray(path.vapour_pressure[:, position])
    else:
        room = reach == "room"
        ends = drivers.room_vapour_pressure if room else drivers.outdoor_vapour_pressure
        pressure = hour_means(ends)
    year = view.last
    dew = dew_or_frost_point(np.maximum(pressure[year], LEAST_PRESSURE))
    return np.asarray(path.temperature[year, position] - dew)


def margin_figure(view: View) -> Figure:
    """A drawn table: planes by months."""
    months = by_month(view.result, view.last)
    rows = []
    for path in view.found.paths:
        for position, plane in enumerate(path.planes):
            margin = plane_margin(view, path, position)
            means = [float(margin[hours - view.last.start].mean()) for _, hours in months]
            rows.append((place_of(plane), path.name, plane.reach, means))
    texts = tuple(tuple(_text(view, mean) for mean in means) for *_, means in rows)
    return Figure(
        name=f"margin-{view.number}",
        title="How far each plane stays from dew",
        says=_says(view, months, rows),
        reading=(
            f"Monthly means of {view.span}, in {view.unit('temperature difference')}: how much "
            "warmer a plane is than the dew point (below freezing the frost point) of the air that "
            "leaks bring there, or of the air in its pores where none comes. Below zero that air "
            "leaves water if it comes; how much comes, this does not tell."
        ),
        plot=Cells(
            rows=tuple(short_name(p) for path in view.found.paths for p in path.planes),
            columns=tuple(MONTHS[month - 1] for month, _ in months),
            texts=texts,
            steps=tuple(tuple(_step(mean) for mean in means) for *_, means in rows),
            legend=_legend(view),
            groups=_groups(view),
        ),
        table=_table(view, months, rows),
    )


def _step(margin: float) -> int:
    """Palest where it is far from dew; 3 below zero."""
    return sum(margin < bound for bound in BOUNDS)


def short_name(plane: Plane) -> str:
    """A plane in few words: a side of a sheet by the sheet alone."""
    if plane.side == "both":
        return plane.name
    between = plane.name.split(" | ")[1:-1] or [plane.name]
    return f"{' | '.join(between)}, {plane.side} side"


def _groups(view: View) -> tuple[tuple[int, str], ...]:
    """Where the rows of each path begin, if there are several."""
    starts = np.cumsum([0, *(len(path.planes) for path in view.found.paths)])
    named = tuple((int(at), f"{p.name} path") for at, p in zip(starts, view.found.paths))
    return named if len(named) > 1 else ()


def _legend(view: View) -> tuple[Key, ...]:
    one, three = (_text(view, bound) for bound in BOUNDS[1:])
    unit = view.unit("temperature difference")
    words = (f"{three} {unit} or more", f"{one} to {three}", f"0 to {one}", "below the dew point")
    return tuple(enumerate(words))


def _text(view: View, kelvin: float) -> str:
    shown = float(view.shown(kelvin, "temperature difference"))
    text = f"{shown:.1f}" if abs(shown) < 9.95 else f"{shown:.0f}"
    return text.removeprefix("-") if not text.strip("-0.") else text


Row = tuple[str, str, str, list[float]]


def _says(view: View, months: list[tuple[int, NDArray[np.int64]]], rows: list[Row]) -> str:
    inner = [row for row in rows if row[2] != "outdoors"] or rows
    place, path, reach, means = min(inner, key=lambda row: min(row[3]))
    month = month_name[months[int(np.argmin(means))][0]]
    least = figure(abs(min(means)), "temperature difference", view.system)
    side = "warmer" if min(means) >= 0.0 else "colder"
    below = sum(min(row[3]) < 0.0 for row in inner)
    said = (
        f"Nearest to dew, of what outdoor air does not reach, is {place} ({path} path) in {month}: "
        f"{least} {side} on average than the dew point of the {AIR[reach]}"
    )
    if inner is rows:
        said = said.replace(", of what outdoor air does not reach,", "")
    some = f"{below} of {len(inner)} such places are below it on the average of some month"
    none = "no such place is below it on the average of any month"
    return f"{said}; {some if below else none}."


def _table(view: View, months: list[tuple[int, NDArray[np.int64]]], rows: list[Row]) -> DataTable:
    unit = view.unit("temperature difference")
    columns = (
        *(Column("plane"), Column("path"), Column("against the dew point of")),
        *(Column(f"{MONTHS[month - 1]}, {unit}", 1) for month, _ in months),
    )
    cells: list[tuple[Cell, ...]] = [
        (
            place,
            path,
            AIR[reach],
            *(float(view.shown(mean, "temperature difference")) for mean in means),
        )
        for place, path, reach, means in rows
    ]
    return DataTable("dew_margin", "Margin to the dew point", columns, tuple(cells))

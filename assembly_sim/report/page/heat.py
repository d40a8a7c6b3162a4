"""Heat of each month: what left the room here and what came in, conducted and carried by air."""

from __future__ import annotations

from calendar import month_name

from assembly_sim.checks.energy import KWH_PER_W_HOUR, one_way
from assembly_sim.model.assembly import ROOM
from assembly_sim.report.page.content import Cell, Column, DataTable, Figure
from assembly_sim.report.page.plots import Bars, Part
from assembly_sim.report.page.times import MONTHS, by_month
from assembly_sim.report.page.view import View
from assembly_sim.units import show

PARTS = ("conducted", "carried")
KILOWATT_HOUR = 3.6e6  # J


def monthly_heat(view: View) -> list[tuple[int, dict[str, float]]]:
    """Months of the last year with loss and gain by part, kWh/m2, both counted positive."""
    ways = {"loss": one_way(view.found, 1.0), "gain": one_way(view.found, -1.0)}
    return [
        (
            month,
            {
                f"{way} {part}": KWH_PER_W_HOUR * float(getattr(hourly, part)[hours].sum())
                for way, hourly in ways.items()
                for part in PARTS
            },
        )
        for month, hours in by_month(view.result, view.last)
    ]


def heat_figure(view: View) -> Figure:
    """Bars of each month: losses upward, gains downward."""
    months = monthly_heat(view)
    unit = view.unit("energy per area")

    def shown(name: str, sign: float) -> tuple[float, ...]:
        return tuple(_shown(view, sign * parts[name]) for _, parts in months)

    parts = (
        Part("lost by conduction", shown("loss conducted", 1.0), "conducted"),
        Part("lost with air", shown("loss carried", 1.0), "carried", hatched=True),
        Part("gained by conduction", shown("gain conducted", -1.0), "between"),
        Part("gained with air", shown("gain carried", -1.0), "start", hatched=True),
    )
    drawn = tuple(part for part in parts if any(part.values)) or parts[:1]
    return Figure(
        name=f"heat-{view.number}",
        title="Heat through the inner surface, month by month",
        says=_says(view, months),
        reading=(
            f"Of {view.span}, for each square "
            f"{'foot' if view.system == 'ip' else 'metre'}: hours in which heat left upward, hours "
            "in which it came in downward. Air that leaks out counts as bringing its replacement "
            "from outdoors to room temperature; air that leaks in, as handing on what it took from "
            "the assembly."
        ),
        plot=Bars(f"heat, {unit} a month", tuple(MONTHS[month - 1] for month, _ in months), drawn),
        table=_table(view, months, unit),
    )


def _shown(view: View, kilowatt_hours: float) -> float:
    return float(view.shown(kilowatt_hours * KILOWATT_HOUR, "energy per area"))


def _says(view: View, months: list[tuple[int, dict[str, float]]]) -> str:
    sums = {name: sum(parts[name] for _, parts in months) for name in months[0][1]}
    loss = sums["loss conducted"] + sums["loss carried"]
    gain = sums["gain conducted"] + sums["gain carried"]

    def text(amount: float) -> str:
        return show(amount * KILOWATT_HOUR, "energy per area", view.system)

    inside = view.found.assembly.inside
    space = f"the {inside}" if inside == ROOM else inside
    said = f"In {view.span} {text(loss)} left {space} here and {text(gain)} came in"
    if loss > 0.0:
        worst, _ = max(months, key=lambda one: one[1]["loss conducted"] + one[1]["loss carried"])
        share, way = 100.0 * sums["loss carried"] / loss, "of the loss"
        air = f"air carried {share:.0f} % {way}"
        if sums["loss carried"] < 0.0:
            air = f"air that leaks took {text(-sums['loss carried'])} off the loss"
        elif not sums["loss carried"]:
            air = "none of the loss went with air"
        said += f"; {month_name[worst]} lost most, and {air}"
    return f"{said}."


def _table(view: View, months: list[tuple[int, dict[str, float]]], unit: str) -> DataTable:
    names = [f"{way} {part}" for way in ("loss", "gain") for part in PARTS]
    heads = ("lost by conduction", "lost with air", "gained by conduction", "gained with air")
    rows: list[tuple[Cell, ...]] = [
        (MONTHS[month - 1], *(_shown(view, parts[name]) for name in names))
        for month, parts in months
    ]
    total = [sum(parts[name] for _, parts in months) for name in names]
    rows.append(("all", *(_shown(view, one) for one in total)))
    columns = (Column("month"), *(Column(f"{head}, {unit}", 2) for head in heads))
    return DataTable("heat", f"Heat of {view.span} by month", columns, tuple(rows))

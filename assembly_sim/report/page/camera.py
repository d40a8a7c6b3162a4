"""What a thermal camera should show in a chosen hour, and the hours that suit a survey."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from assembly_sim.boundary.stamps import start_hour
from assembly_sim.checks.planes import hour_means, room_surface
from assembly_sim.checks.survey import (
    BEFORE,
    DIFFERENCE,
    LITTLE_WIND,
    STEADY,
    survey_hours,
)
from assembly_sim.envelope.resistances import MAIN_PATH, steady_layers
from assembly_sim.envelope.retarders import is_batt_or_fill, is_foam_or_board
from assembly_sim.model import Layer
from assembly_sim.model.assembly import AnyLayer
from assembly_sim.physics.surface import air_layer_resistance
from assembly_sim.report.page.build import outside_of
from assembly_sim.report.page.content import Absent, Cell, Column, DataTable, Figure, Listed
from assembly_sim.report.page.plots import Patch, Side, Surface, Thermal
from assembly_sim.report.page.times import MONTHS, by_month, clock
from assembly_sim.report.page.view import View
from assembly_sim.words.figures import figure

TITLE = "What a thermal camera should show"
GAP_SHARE = 0.05  # of the width that is drawn without insulation
DULL = 0.9  # emittance of the faces of an empty cavity
LEAST_SCALE = 1.0  # K between the ends of the scale of colour


@dataclass(frozen=True)
class Seen:
    """A part of the surfaces in one hour: K, share of the area; supposed: by hand, not run."""

    name: str
    share: float
    inner: float
    outer: float
    supposed: bool = False


@dataclass(frozen=True)
class Sight:
    """One hour: its number in the run, the air on both sides (K), what is seen, what is missing.

    suits: whether it is among the hours that suit a survey; hours: those of the last year.
    """

    hour: int
    inside: float
    outside: float
    parts: tuple[Seen, ...]
    missing: str
    suits: bool
    hours: np.ndarray


def sight(view: View) -> Sight:
    """The hour of the last year with the largest difference across, of those that suit if any."""
    drivers, year = view.found.drivers, view.last
    inside, outside = (
        hour_means(ends) for ends in (drivers.room_temperature, drivers.outdoor_temperature)
    )
    hours = np.flatnonzero(survey_hours(view.result, view.found))
    hours = hours[hours >= year.start]
    among = hours if len(hours) else np.arange(year.start, year.stop)
    hour = int(among[np.argmax(np.abs(inside - outside)[among])])
    parts = tuple(
        Seen(
            path.name,
            path.share,
            float(path.temperature[hour, room_surface(view.found.assembly, path)]),
            float(path.temperature[hour, 0]),
        )
        for path in view.found.paths
    )
    between = float(inside[hour]), float(outside[hour])
    missing, without = _without_insulation(view, parts, *between)
    return Sight(hour, *between, (*parts, *without), missing, bool(len(hours)), hours)


def _without_insulation(
    view: View, parts: tuple[Seen, ...], inside: float, outside: float
) -> tuple[str, tuple[Seen, ...]]:
    """The main path as if its best insulation were an empty cavity, shifted by hand.

    The surfaces move from where the run has them by (T_i - T_e) R_s (1/R_without - 1/R_with).
    """
    assembly = view.found.assembly
    steady = steady_layers(assembly)
    resistances = [float(r) for r in steady.resistances[steady.paths.index(MAIN_PATH)]]
    fills = {at: r for at, r in enumerate(resistances) if _insulates(steady.layers[at])}
    main = next((part for part in parts if part.name == MAIN_PATH), None)
    if not fills or main is None:
        return "", ()
    at = max(fills, key=lambda one: fills[one])
    best = steady.layers[at]
    assert isinstance(best, Layer)
    whole = steady.inner_surface + sum(resistances) + steady.outer_surface
    without = whole - fills[at] + min(_empty(best, assembly.outer.tilt), fills[at])
    more = (inside - outside) * (1.0 / without - 1.0 / whole)
    seen = Seen(
        f"{best.name} missing",
        GAP_SHARE,
        main.inner - more * steady.inner_surface,
        main.outer + more * steady.outer_surface,
        supposed=True,
    )
    return best.name, (seen,)


def _empty(layer: Layer, tilt: float) -> float:
    """Resistance (m2K/W) of the cavity that is left where a layer is missing."""
    return air_layer_resistance(layer.thickness, DULL, DULL, tilt)


def _insulates(layer: AnyLayer) -> bool:
    return isinstance(layer, Layer) and (is_batt_or_fill(layer) or is_foam_or_board(layer))


def camera_blocks(view: View) -> Iterator[Figure | Listed | Absent]:
    """The surfaces in a chosen hour, and the hours of the year that suit.

    Neither of a part without such an hour whose surfaces look alike all over.
    """
    seen = sight(view)
    if not seen.suits and len(seen.parts) == 1:
        why = "no hour of the last year suits a survey, and this part would look alike all over"
        yield Absent(TITLE, why)
        return
    yield camera_figure(view, seen)
    if not seen.suits:
        return
    yield Listed(survey_table(view, seen), survey_note(view, seen), folded=True)


def camera_figure(view: View, seen: Sight) -> Figure:
    """The surface towards the room and the outer one, as built and where insulation is missing."""
    assembly = view.found.assembly
    outer, inner = f"from {outside_of(assembly)}", f"from {assembly.inside}"
    return Figure(
        name=f"camera-{view.number}",
        title=TITLE,
        says=_says(view, seen),
        reading=_reading(view, seen),
        plot=Thermal(
            (_side(view, seen, inner, True), _side(view, seen, outer, False)),
            view.unit("temperature"),
        ),
        table=_table(view, seen),
    )


def _side(view: View, seen: Sight, where: str, inside: bool) -> Side:
    """One side as described and, where it is known what may lack, with a gap; over one scale."""
    built = tuple(part for part in seen.parts if not part.supposed)
    rows = [(f"{where}, as described", built)]
    if seen.missing:
        rows.append((f"{where}, with a gap in {seen.missing}", seen.parts))
    surfaces = tuple(
        Surface(title, tuple(_patch(view, part, inside, built) for part in parts))
        for title, parts in rows
    )
    values = [patch.value for surface in surfaces for patch in surface.patches]
    middle = 0.5 * (min(values) + max(values))
    half = max(0.5 * (max(values) - min(values)), 0.5 * LEAST_SCALE)
    return Side(surfaces, middle - half, middle + half)


def _patch(view: View, part: Seen, inside: bool, built: tuple[Seen, ...]) -> Patch:
    kelvin = part.inner if inside else part.outer
    value = float(view.shown(kelvin, "temperature"))
    about = "about " if part.supposed else ""
    return Patch(
        _part_name(part, built),
        part.share,
        value,
        f"{about}{figure(kelvin, 'temperature', view.system)}",
    )


def _part_name(part: Seen, built: tuple[Seen, ...]) -> str:
    """A part in words: of the main path, what it is away from."""
    others = [one.name for one in built if one.name != MAIN_PATH]
    if part.name != MAIN_PATH:
        return part.name
    return f"away from {', '.join(others)}" if others else "all of it"


def moment_of(view: View, hour: int) -> str:
    """An hour of the run by the calendar, `14 January, 05:00 to 06:00`."""
    climate = view.result.case.climate
    row = (start_hour(view.result.case) + hour) % climate.hours if climate.wraps else hour
    start = climate.hour_starts[row].astype("datetime64[s]").item()
    year = "" if climate.wraps else f" {start.year}"
    return f"{start.day} {start:%B}{year}, {start.hour}:00 to {start.hour + 1}:00"


def _says(view: View, seen: Sight) -> str:
    main = next((part for part in seen.parts if part.name == MAIN_PATH), seen.parts[0])

    def text(kelvin: float) -> str:
        return figure(kelvin, "temperature", view.system)

    built = tuple(part for part in seen.parts if not part.supposed)
    named = len(built) > 1 and main.name == MAIN_PATH
    away = f" {_part_name(main, built)}" if named else ""
    said = (
        f"On {moment_of(view, seen.hour)}, with {text(seen.inside)} inside and "
        f"{text(seen.outside)} outside, the inner surface{away} is at {text(main.inner)}"
    )
    for part in seen.parts:
        if part is main:
            continue
        about = "about " if part.supposed else ""
        said += f", {_at(part)} at {about}{text(part.inner)}"
    return f"{said}."


def _at(part: Seen) -> str:
    return (
        f"where {part.name.removesuffix(' missing')} is missing"
        if part.supposed
        else (f"at the {part.name}")
    )


def _reading(view: View, seen: Sight) -> str:
    chosen = (
        "the hour with the largest difference across the assembly among those that suit a survey"
        if seen.suits
        else "no hour suits a survey; this is the one with the largest difference across"
    )
    said = (
        f"Surface temperatures of each path in one hour of {view.span}: {chosen}. Parts are drawn "
        "side by side and again and again, by their share of the area; corners, fasteners and "
        "leaks show as well and are not drawn."
    )
    if seen.missing:
        said += (
            f" A gap is an estimate by hand, steady, with an empty cavity in place of "
            f"{seen.missing}: a camera that shows such a patch shows insulation that is not there."
        )
    return said


def _table(view: View, seen: Sight) -> DataTable:
    unit = view.unit("temperature")
    rows: list[tuple[Cell, ...]] = [
        (
            _part_name(part, tuple(one for one in seen.parts if not one.supposed)),
            None if part.supposed else 100.0 * part.share,
            *(float(view.shown(one, "temperature")) for one in (part.inner, part.outer)),
            "estimate by hand" if part.supposed else "run",
        )
        for part in seen.parts
    ]
    columns = (
        *(Column("part"), Column("share of the area, %", 1), Column(f"inner surface, {unit}", 1)),
        *(Column(f"outer surface, {unit}", 1), Column("by")),
    )
    return DataTable("camera", f"Surfaces on {moment_of(view, seen.hour)}", columns, tuple(rows))


def survey_note(view: View, seen: Sight) -> str:
    """What makes an hour suit, and how many of them there are."""
    across = figure(DIFFERENCE, "temperature difference", view.system)
    steady = figure(STEADY, "temperature difference", view.system)
    wind = figure(LITTLE_WIND, "speed", view.system)
    weather = (
        ""
        if view.found.assembly.outer.sheltered
        else f", no sun on the surface and no rain, and no more than {wind} of wind at the station"
    )
    return (
        f"{len(seen.hours)} hours of {view.span} suit: at least {across} across the assembly, "
        f"outdoors within {steady}{weather}, in that hour and the {BEFORE} before it. Common "
        "practice, no source."
    )


def survey_table(view: View, seen: Sight) -> DataTable:
    """Hours that suit by month and by the time of the day."""
    hour_of_day = clock(view.result)
    bands = ((0, 6), (6, 12), (12, 18), (18, 24))
    rows: list[tuple[Cell, ...]] = []
    for month, hours in by_month(view.result, view.last):
        suits = np.intersect1d(hours, seen.hours)
        of_day = hour_of_day[suits]
        counts = [int(((of_day >= low) & (of_day < high)).sum()) for low, high in bands]
        rows.append((MONTHS[month - 1], *counts, len(suits)))
    columns = (
        Column("month"),
        *(Column(f"{low}:00 to {high}:00, h", 0) for low, high in bands),
        Column("all, h", 0),
    )
    title = "Hours that suit a survey with a thermal camera"
    return DataTable("survey_hours", title, columns, tuple(rows))

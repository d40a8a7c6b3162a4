"""Openings as text: what each is equal to, what passes it, and what that costs in a year."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from math import degrees

from assembly_sim.boundary.openings import Law, free_area, law
from assembly_sim.errors import InputError, Problem
from assembly_sim.files.opening.options import Price, read_price
from assembly_sim.files.opening.read import Hole, Preset, presets, read_hole
from assembly_sim.hand.hole_year import HEATING_BELOW, HoleYear, Situation, hole_year
from assembly_sim.model.climate import Climate
from assembly_sim.physics.airflow import (
    EQUIVALENT,
    REFERENCE_DENSITY,
    leakage_area,
    round_hole,
    square_hole,
)
from assembly_sim.report.blocks import WIDTH, bullets
from assembly_sim.units import convert, show

CAUTIONS = (
    "Before a house is sealed, have appliances that burn fuel tested for draught and carbon "
    "monoxide; a tighter house draws on their flues. Then it needs ventilation of its own.",
    "Around chimneys, flues and recessed lights only fire-safe materials, with the clearances that "
    "their listings ask; never foam. Local codes rule.",
    "Leave open what is there to ventilate: attic and gable vents, crawl-space vents, intakes of "
    "combustion air, dryer and bath-fan outlets.",
)
YEAR_NOTES = (
    "heat: what the air takes to be warmed from outdoors to the room, without its humidity; what "
    "it brings in summer is not counted",
    "the height above the neutral level is given, not solved for; sealing one hole among many "
    "mostly saves less than this, since the others then pass more",
    "what leaves high has come in low: do not add the heat of holes above the neutral level to "
    "that of holes below it",
)
NO_WIND = "stack alone: wind comes on top (--facing)"


def holes_text(
    texts: Sequence[str],
    climate: Climate | None,
    where: Situation,
    price: str | None,
    system: str = "si",
) -> str:
    """Everything that is known of some openings; `system` is `si` or `ip`."""
    holes = [read_hole(text) for text in texts]
    cost = None if price is None else read_price(price)
    if cost is not None and climate is None:
        cure = "give --climate too"
        raise InputError(Problem("a price needs a year of weather", cure, field="--price"))
    blocks = [hole_text(hole, climate, where, cost, system) for hole in holes]
    if climate is not None:
        blocks.append(bullets("About the year", year_notes(climate, where, cost, system)))
    blocks.append(bullets("Before it is sealed", CAUTIONS))
    return "\n\n".join(blocks) + "\n"


def hole_text(
    hole: Hole, climate: Climate | None, where: Situation, price: Price | None, system: str
) -> str:
    """One opening: areas, equal holes, flows, and its year where a climate is given."""
    rows = [*size_rows(hole, system)]
    if climate is not None:
        rows += year_rows(hole_year(law(hole.shape), climate, where), price, system)
    lines = [hole.text, *(f"  {name:<24} {value}" for name, value in rows)]
    return "\n".join([*lines, *([preset_text(hole.preset, system)] if hole.preset else [])])


def size_rows(hole: Hole, system: str) -> list[tuple[str, str]]:
    """What it is equal to, and what passes at the pressures of stack and of a blower door."""
    area, flows = free_area(hole.shape), law(hole.shape)
    effective = leakage_area(flows.flow(4.0))
    equivalent = leakage_area(flows.flow(10.0), 10.0, EQUIVALENT)
    sharp = flows.exponent == 0.5
    taken = "a sharp-edged hole, coefficient 0.6, flow by the root of pressure"
    power = f"flow by pressure to the power {flows.exponent:g} (assumed)"
    same = "" if sharp else " (of a sharp-edged hole with the same flow at 4 Pa)"
    return [
        ("taken as", taken if sharp else power),
        ("free area", f"{show(area, 'opening area', system)}{same}"),
        ("equal round hole", f"{show(round_hole(area), 'length', system)} across"),
        ("equal square hole", f"{show(square_hole(area), 'length', system)} a side"),
        ("effective leakage area", f"{show(effective, 'opening area', system)} (4 Pa)"),
        ("equivalent leakage area", f"{show(equivalent, 'opening area', system)} (10 Pa)"),
        ("flow at 4 Pa", f"{show(flows.flow(4.0), 'air flow', system)} (about a cold day's stack)"),
        ("flow at 50 Pa", f"{show(flows.flow(50.0), 'air flow', system)} (a blower door's)"),
    ]


def year_rows(found: HoleYear, price: Price | None, system: str) -> list[tuple[str, str]]:
    """Air and heat of a year, and what the heat costs."""
    out, into = (_volume(mass, system) for mass in (found.air_out, found.air_in))
    mean, peak = (
        show(flow / REFERENCE_DENSITY, "air flow", system)
        for flow in (found.mean_flow, found.peak_flow)
    )
    rows = [
        ("air in the year", f"{out} out, {into} in"),
        ("flow in heating season", f"{mean} on average; {peak} in the year's hardest hour"),
        ("heat in heating season", _heat(found.heat, system)),
    ]
    return rows + ([("its price", f"{price.of(found.heat)} a year")] if price else [])


def _volume(mass: float, system: str) -> str:
    number, unit = convert(mass / REFERENCE_DENSITY, "volume", system)
    return f"{number:.0f} {unit}"


def _heat(joule: float, system: str) -> str:
    """Small heats with a digit more."""
    number, unit = convert(joule, "energy", system)
    return f"{number:.{0 if number > 100.0 else 1}f} {unit}"


def preset_text(preset: Preset, system: str) -> str:
    """Say that a figure was taken from a table and not measured."""
    per = " a metre" if preset.per_length else " each"
    figures = f"leaky {show(preset.leaky, 'opening area', system)}{per}"
    if preset.tight is not None:
        tight = show(preset.tight, "opening area", system)
        figures += f", tight ({preset.tightened}) {tight}"
    told = f"a preset, {preset.source}: {figures} at 4 Pa; real ones scatter threefold"
    return textwrap.fill(told, WIDTH, initial_indent="  ", subsequent_indent="  ")


def year_notes(climate: Climate, where: Situation, price: Price | None, system: str) -> list[str]:
    """What the year's figures stand on."""
    found = hole_year(Law(0.0, 0.5), climate, where)
    limit, room = (
        show(each, "temperature", system) for each in (HEATING_BELOW, where.room_temperature)
    )
    below, unit = convert(found.degree_hours, "temperature difference", system)
    notes = [
        f"{climate.name}; {_level(where.height, system)} the neutral level of a room at {room}",
        f"heating season: {found.heating_hours} hours of days with a mean below {limit}, "
        f"{below:.0f} {unit} h below the room; volumes are of air of 1.2 kg/m3",
        f"with the wind on a wall that faces {degrees(where.side.azimuth):.0f} deg, in a suburb"
        if where.side
        else NO_WIND,
        *YEAR_NOTES,
    ]
    paid = "its price is that of delivered heat: a fuel's price over its efficiency"
    return notes + ([paid] if price else [])


def _level(height: float, system: str) -> str:
    """A height in metres or feet, which millimetres and inches do not tell well."""
    size, unit = (1.0, "m") if system == "si" else (0.3048, "ft")
    return f"{abs(height) / size:.1f} {unit} {'above' if height >= 0.0 else 'below'}"


def presets_text(system: str = "si") -> str:
    """The presets that a command knows, leaky and tight."""
    rows = [
        (
            one.name + (", a metre" if one.per_length else ""),
            show(one.leaky, "opening area", system),
            "-" if one.tight is None else show(one.tight, "opening area", system),
            one.tightened,
        )
        for one in presets().values()
    ]
    heads = ("preset", "leaky", "tight", "tight means")
    lines = [f"{a:<26}{b:>11}{c:>11}  {d}".rstrip() for a, b, c, d in (heads, *rows)]
    note = "effective leakage areas at 4 Pa, from memory; real ones scatter threefold"
    return "\n".join([*lines, "", note, 'write "outlet", "6 x outlet", "attic hatch, tight"', ""])

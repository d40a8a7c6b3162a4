"""Energy of the last year, or of a shorter window: five lines for the answer, a table for all."""

from __future__ import annotations

from collections.abc import Iterator

from assembly_sim.checks.energy import Heat
from assembly_sim.model import Thresholds
from assembly_sim.report.blocks import Block, Lines, Table, wrapped
from assembly_sim.units import in_unit, show
from assembly_sim.verdict.summary import AssemblySummary
from assembly_sim.words.figures import figure
from assembly_sim.words.spaces import the

KILOWATT_HOUR = 3.6e6  # J
LABEL = 15  # width of the labels of the five lines
IP_R = "h ft2 degF/Btu"
AREA, FLUX = "energy per area", "heat flux"
YEARLY = (
    ("heat loss", "heat_loss", "hours with heat out of {space} here"),
    ("heat gain", "heat_gain", "hours with heat into {space} here"),
    ("  in heating season", "heating_season_loss", "loss, days with mean below {heating}"),
    ("  in cooling season", "cooling_season_gain", "gain, days with mean above {cooling}"),
)
# Of a part that faces a zone: its heat is no loss of the rooms.
THROUGH = (
    ("through it, out", "heat_loss", "out of {space} here, not of the rooms"),
    ("through it, in", "heat_gain", "into {space} here"),
    ("  in heating season", "heating_season_loss", "out, days with mean below {heating}"),
    ("  in cooling season", "cooling_season_gain", "in, days with mean above {cooling}"),
)
LOST = {"out": "loss", "into": "gain"}
PASSED = {"out": "outward", "into": "inward"}
PEAKS = (
    ("peak {out}", "peak_loss", "largest hourly mean out of {space}"),
    ("peak {into}", "peak_gain", "largest hourly mean into {space}"),
)


def energy_in_short(one: AssemblySummary, system: str = "si") -> list[str]:
    """U and R, loss, gain, seasons and peaks in five lines."""
    lines = [u_line(one, system)]
    lines += [f"{'defects':<{LABEL}}{told}" for told in defects(one, system)]
    found = one.energy or one.window_energy
    if found is None:
        return [*lines, "no whole year was computed, so there is no energy of one"]
    if not one.faces_room:
        return [*lines, *heat_lines(one, system)]
    return [
        *lines,
        f"{'heat loss':<{LABEL}}{_year(one, found.heat_loss, system)}",
        f"{'heat gain':<{LABEL}}{_year(one, found.heat_gain, system)}",
        f"{'seasons':<{LABEL}}{_whole(one, found.heating_season_loss, system)} lost in the heating "
        f"season, {_whole(one, found.cooling_season_gain, system)} gained in the cooling season",
        f"{'peaks':<{LABEL}}{_peak(one, found.peak_loss, system)} out, "
        f"{_peak(one, found.peak_gain, system)} in",
    ]


def u_line(one: AssemblySummary, system: str) -> str:
    """U and R."""
    return f"{'U-value':<{LABEL}}{transmission(one, system)}"


def heat_lines(one: AssemblySummary, system: str = "si") -> list[str]:
    """What left the room here in a line; of a part at no room what went through it, which is not
    the house's.
    """
    found = one.energy or one.window_energy
    if found is None:
        return ["no whole year was computed, so there is no energy of one"]
    if one.faces_room:
        return [f"{'heat loss':<{LABEL}}{_year(one, found.heat_loss, system)}"]
    out, back = (_whole(one, heat, system) for heat in (found.heat_loss, found.heat_gain))
    span = "in this window" if one.window_energy else "a year"
    return [
        f"{'through it':<{LABEL}}{out} {span} from {the(one.inside)}, {back} to it: heat of "
        f"{the(one.inside)}, not of the rooms"
    ]


def transmission(one: AssemblySummary, system: str) -> str:
    """U-value and the resistance that is its inverse, from air to air."""
    r = figure(1.0 / one.u_value_w_m2k, "resistance", system)
    written = f"R {r}" if system == "si" else f"R-{r.split()[0]}"
    u = show(one.u_value_w_m2k, "transmittance", system)
    return f"{u}, {written} with its surfaces, steady"


def defects(one: AssemblySummary, system: str) -> Iterator[str]:
    """What voids and thin places cost: U as drawn beside U with them, and the resistance lost."""
    drawn, with_them = one.u_value_as_drawn_w_m2k, one.u_value_w_m2k
    if drawn is None:
        return
    as_drawn, u = (show(value, "transmittance", system) for value in (drawn, with_them))
    lost = 1.0 - drawn / with_them
    change = f"{100.0 * abs(lost):.2g} % of its resistance {'lost' if lost >= 0.0 else 'gained'}"
    yield f"U as drawn {as_drawn.split()[0]}, with defects {u}: {change} by {_of_the_area(one)}"


def _of_the_area(one: AssemblySummary) -> str:
    """`8 % of the area (pulled aside 3 %, pressed in 5 %)`; a single one without its share."""
    found = one.defects
    whole = f"{100.0 * sum(each.share for each in found):.2g} % of the area"
    if len(found) == 1:
        return f"{whole} ({found[0].path})"
    return f"{whole} ({', '.join(f'{a.path} {100.0 * a.share:.2g} %' for a in found)})"


def _whole(one: AssemblySummary, heat: Heat, system: str) -> str:
    return figure(heat.total * KILOWATT_HOUR * one.area_m2, "energy", system)


def _year(one: AssemblySummary, heat: Heat, system: str) -> str:
    """Whole and by area, with what air carries of it."""
    by_area = show(heat.total * KILOWATT_HOUR, AREA, system)
    parts = f"{_bare(heat.conducted, system)} conducted, {_bare(heat.carried, system)} by air"
    incoming = _bare(heat.incoming_air, system)
    span = "in this window" if one.window_energy else "a year"
    if float(incoming):
        parts += f"; incoming air {incoming} more"
    return f"{_whole(one, heat, system)} {span}, {by_area}: {parts}"


def _bare(kilowatt_hours: float, system: str) -> str:
    return _without_unit(show(kilowatt_hours * KILOWATT_HOUR, AREA, system))


def _without_unit(text: str) -> str:
    """The number of a quantity; nothing has no sign."""
    number = text.partition(" ")[0]
    return number if float(number) else number.removeprefix("-")


def _peak(one: AssemblySummary, heat: Heat, system: str) -> str:
    whole = show(heat.total * one.area_m2, "power", system)
    return f"{show(heat.total, FLUX, system)} ({whole})"


def energy_blocks(one: AssemblySummary, limits: Thresholds, system: str = "si") -> list[Block]:
    """Yearly and seasonal energies and peaks, parts beside them, and what they count."""
    span = "heat, this window" if one.window_energy else "heat, last year"
    head = (span, "total", "conducted", "by air", "whole area", "")
    rows = [*_rows(one, limits, system)]
    errors = one.heat_balance_error, one.moisture_balance_error
    small = f", {one.fallback_steps} steps by the fallback" if one.fallback_steps else ""
    notes = [
        *air_notes(one, system),
        f"balances of heat and of moisture close to {errors[0]:.0e} and {errors[1]:.0e} of what "
        f"went in{small}",
    ]
    title = f"{one.name}, {show(one.area_m2, 'area', system)}"
    inside, outside = (_film(r, system) for r in one.surface_resistances_m2k_w)
    convention = one.surface_resistances.partition(":")[0]
    surfaces = f"{convention}: {inside} inside, {outside} outside"
    u_value = f"U-value {transmission(one, system)} by {surfaces}"
    past = (row for told in defects(one, system) for row in wrapped(told))
    return [
        Lines(title, (*wrapped(u_value), *past)),
        Table(head, tuple(rows), (-20, 17, 10, 8, 11, -60)),
        Lines("", tuple(notes)),
    ]


def _rows(one: AssemblySummary, limits: Thresholds, system: str) -> Iterator[tuple[str, ...]]:
    days = {
        "heating": show(limits.heating_balance_temperature, "temperature", system),
        "cooling": show(limits.cooling_balance_temperature, "temperature", system),
    }
    for label, name, meaning in YEARLY if one.faces_room else THROUGH:
        heat = _heat(one, name)
        whole = _whole(one, heat, system) if heat else "-"
        parts = _parts(heat, AREA, system, KILOWATT_HOUR)
        meaning = meaning.format(**days, space=the(one.inside))
        yield (label, *parts, whole, f"  {meaning}")
    for label, name, meaning in PEAKS:
        heat = _heat(one, name)
        whole = show(heat.total * one.area_m2, "power", system) if heat else "-"
        meaning = meaning.format(space=the(one.inside))
        label = label.format(**(LOST if one.faces_room else PASSED))
        yield (label, *_parts(heat, FLUX, system, 1.0), whole, f"  {meaning}")


def _film(resistance: float, system: str) -> str:
    if system == "si":
        return show(resistance, "resistance", system)
    return f"R-{in_unit(resistance, 'resistance', IP_R):.2f}"


def _heat(one: AssemblySummary, name: str) -> Heat | None:
    found = one.energy or one.window_energy
    return None if found is None else getattr(found, name)


def _parts(heat: Heat | None, kind: str, system: str, scale: float) -> tuple[str, ...]:
    """Total with its unit, conducted and carried by air without."""
    if heat is None:
        return "-", "-", "-"
    shown = [
        show(scale * part, kind, system) for part in (heat.total, heat.conducted, heat.carried)
    ]
    return (shown[0], *(_without_unit(text) for text in shown[1:]))


def air_notes(one: AssemblySummary, system: str) -> Iterator[str]:
    """Say what "by air" counts, what it leaves to other assemblies, and the humidity beside it."""
    found = one.energy or one.window_energy
    if found is None:
        return
    loss, gain = found.heat_loss, found.heat_gain

    def both(part: str) -> list[str]:
        return [show(getattr(heat, part) * KILOWATT_HOUR, AREA, system) for heat in (loss, gain)]

    if loss.carried or gain.carried:
        own = "room temperature" if one.faces_room else f"the temperature of {the(one.inside)}"
        yield "by air: air that leaves here counts as bringing its replacement from outdoor to"
        yield f"  {own}; air that comes in, as handing on what it took from the assembly"
    if loss.incoming_air or gain.incoming_air:
        warmed, cooled = both("incoming_air")
        inside = "the room" if one.faces_room else the(one.inside)
        yield f"air that comes in here: {warmed} to warm it from outdoors to {inside}, {cooled}"
        yield "  to cool it, counted where air leaves; to judge sealing here, add to loss and gain"
    if loss.latent or gain.latent:
        out, into = both("latent")
        yield f"humidity by air, latent heat, apart from all above: {out} out, {into} in"

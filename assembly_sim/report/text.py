"""The table that a designer reads after a run: every figure with its unit and what it means.

Numbers come from the summary of `checks.summary`, the same that `--json` writes, so the two can
never disagree; places and causes of a stopped run come from the result.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from assembly_sim.boundary.period import begin_of, moment_in_words
from assembly_sim.checks.planes import has_year, last_span
from assembly_sim.hand.summary import steady_summary
from assembly_sim.model import Thresholds
from assembly_sim.report.probe import probe_text
from assembly_sim.report.steady import steady_text
from assembly_sim.report.words import MONTHS, bullets
from assembly_sim.solver.result import AssemblyResult, Result
from assembly_sim.units import show
from assembly_sim.verdict.period import period_lines

Summary = Mapping[str, Any]
KILOWATT_HOUR = 3.6e6  # J
# (label, name and unit in the summary, what it is)
ENERGIES = (
    ("heat loss", ("annual_heat_loss", "kwh_m2"), "hours with heat out of the room here"),
    ("heat gain", ("annual_heat_gain", "kwh_m2"), "hours with heat into the room here"),
    (
        "  in heating season",
        ("heating_season_loss", "kwh_m2"),
        "loss, days with mean below {heating}",
    ),
    (
        "  in cooling season",
        ("cooling_season_gain", "kwh_m2"),
        "gain, days with mean above {cooling}",
    ),
)
PEAKS = (
    ("peak loss", ("peak_loss", "w_m2"), "largest hourly mean out of the room"),
    ("peak gain", ("peak_gain", "w_m2"), "largest hourly mean into the room"),
)
COLUMNS = (
    ("RH max", "max_relative_humidity", 9),
    ("risk h", "condensation_risk_hours", 8),
    ("dew h", "dew_point_hours", 8),
    ("wetting", "wetting_potential_g_m2", 9),
    ("mould", "mould_index_max", 7),
)
MEANINGS = (
    "RH max: highest hourly relative humidity, over liquid water, of the whole run",
    "risk h: condensation-risk hours of the last year, whose vapour pressure is at least "
    "{share:.0f} % of saturation (over ice below freezing)",
    "dew h: dew-point hours of the last year, with the plane colder than the dew point "
    "of the air that leaks bring to it (-: none comes); a count, not a verdict",
    "wetting: wetting potential, g/m2, of the last year: what the leak could leave there if all of "
    "it passed (-: no leak)",
    "mould: highest mould index of the whole run, 0 to 6 (-: no material there has a class)",
)


def run_text(result: Result, summary: Summary, system: str = "si") -> str:
    """Return the whole report of a run as text; `system` is `si` or `ip`."""
    limits = result.case.thresholds
    blocks = [head(result, summary)]
    for computed, figures in zip(result.assemblies, summary["assemblies"], strict=True):
        blocks += [outcome(result, computed), energy(figures, limits, system)]
        blocks += [planes(figures), boards(figures, result), verdict(figures["verdict"])]
        blocks += [probe_text(figures["probe"], system)] if "probe" in figures else []
        blocks += [steady_text(steady_summary(result.case, computed.assembly), system)]
    share = 100 * limits.condensation_humidity
    blocks += [
        bullets("How to read the planes", (meaning(line, share, result) for line in MEANINGS)),
        bullets("Assumed, because the case does not say", summary["assumptions"]),
        bullets("About the weather", summary["climate"]["warnings"]),
        bullets("Before work starts", summary["cautions"]),
    ]
    return "\n\n".join(block for block in blocks if block) + "\n"


def meaning(line: str, share: float, result: Result) -> str:
    """Return what a column of planes means, of the span that was counted."""
    return line.format(share=share).replace("the last year", last_span(result))


def head(result: Result, summary: Summary) -> str:
    """Name the case, its weather, its length and the hash of its inputs."""
    climate, month = summary["climate"], MONTHS[result.case.start_month - 1]
    if not result.case.climate.wraps:
        return window_head(result, summary)
    years = "1 year" if summary["years"] == 1 else f"{summary['years']} years"
    lines = [
        result.case.name,
        f"  weather  {climate['name']}, {climate['hours']} hours a year",
        f"  run      {years} from 1 {month}; energy is that of the last year, moisture that of all",
        f"  made by  assembly_sim {summary['version']}, inputs {summary['inputs_sha256'][:16]}",
    ]
    return "\n".join(lines)


def window_head(result: Result, summary: Summary) -> str:
    """Name the case, the window of weather it ran through, and the hash of its inputs."""
    weather, ran = period_lines(result)
    heat = "energy is that of the last year" if has_year(result) else "energy is that of the window"
    lines = [
        result.case.name,
        f"  weather  {weather}",
        f"  run      {ran}; {heat}, moisture that of all",
        f"  made by  assembly_sim {summary['version']}, inputs {summary['inputs_sha256'][:16]}",
    ]
    return "\n".join(lines)


def outcome(result: Result, computed: AssemblyResult) -> str:
    """Say how a run ended that did not converge: when, where, why, and what may cure it."""
    if computed.converged:
        return ""
    ended = computed.outcome
    lines = [f"NOT CONVERGED: {computed.assembly.name}. What follows is what was computed."]
    if ended.name == "completed":
        steps = max(path.statistics.get("fallback steps", 0.0) for path in computed.paths)
        defect = max(path.state_defect for path in computed.paths)
        lines.append(
            f"  cause  too many steps by the fallback ({steps:.0f}), or too large a defect of the "
            f"state ({defect:.1e})"
        )
    if ended.hour is not None:
        lines.append(f"  hour   {ended.hour} of the run, {moment(result, ended.hour)}")
    rows = (("path", ended.path), ("layer", ended.layer), ("cause", ended.cause))
    lines += [f"  {name:<6} {text}" for name, text in (*rows, ("cure", ended.cure)) if text]
    return "\n".join(lines)


def moment(result: Result, hour: int) -> str:
    """Return an hour of the run as a count of days and a time, `day 12, 05:00, in October`."""
    if not result.case.climate.wraps:
        return moment_in_words(begin_of(result.case.climate, hour))
    days, clock = divmod(hour, 24)
    month = MONTHS[int(result.month[min(hour, result.hours - 1)]) - 1] if result.hours else ""
    return f"day {days + 1}, {clock:02d}:00" + (f", in {month}" if month else "")


def energy(figures: Summary, limits: Thresholds, system: str) -> str:
    """Return U-value, yearly and seasonal energies and peaks of one assembly, parts beside them."""
    u_value = show(figures["u_value_w_m2k"], "transmittance", system)
    window = figures.get("window_energy")
    figures = {**figures, **{f"annual_{k}": v for k, v in (window or {}).items()}, **(window or {})}
    heat = "heat, this window" if window else "heat, last year"
    lines = [
        f"{figures['name']}, {show(figures['area_m2'], 'area', system)}",
        f"  {'U-value':<20}{u_value:>17}   steady, surfaces by {figures['surface_resistances']}",
        f"  {heat:<20}{'total':>17}{'conducted':>10}{'by air':>8}{'whole area':>11}",
    ]
    days = {
        "heating": show(limits.heating_balance_temperature, "temperature", system),
        "cooling": show(limits.cooling_balance_temperature, "temperature", system),
    }
    for label, name, meaning in ENERGIES:
        whole = figures[key(name, "total")]
        whole = quantity(whole, "energy", system, KILOWATT_HOUR * figures["area_m2"])
        parts = heat_row(figures, label, name, "energy per area", system, KILOWATT_HOUR)
        lines.append(f"{parts}{whole:>11}  {meaning.format(**days)}")
    for label, name, meaning in PEAKS:
        parts = heat_row(figures, label, name, "heat flux", system)
        lines.append(f"{parts}{'':11}  {meaning}")
    lines += air_notes(figures, system)
    errors = figures["heat_balance_error"], figures["moisture_balance_error"]
    closed = " and ".join("-" if error is None else f"{error:.0e}" for error in errors)
    lines.append(f"  balances of heat and of moisture close to {closed} of what went in")
    return "\n".join(lines)


def key(name: tuple[str, str], part: str) -> str:
    """Return the summary's key of a part of an energy or a peak."""
    return f"{name[0]}_{part}_{name[1]}"


def heat_row(
    figures: Summary,
    label: str,
    name: tuple[str, str],
    kind: str,
    system: str,
    scale: float = 1.0,
) -> str:
    """Return total (with its unit), conducted and carried by air of one row."""
    shown = [
        quantity(figures[key(name, part)], kind, system, scale)
        for part in ("total", "conducted", "carried")
    ]
    conducted, carried = (text.partition(" ")[0] for text in shown[1:])
    return f"  {label:<20}{shown[0]:>17}{conducted:>10}{carried:>8}"


def air_notes(figures: Summary, system: str) -> list[str]:
    """Say what "by air" counts, what it leaves to other assemblies, and the humidity beside it."""

    def both(part: str) -> tuple[bool, list[str]]:
        values = [figures[key(name, part)] or 0.0 for _, name, _ in ENERGIES[:2]]
        shown = [show(one * KILOWATT_HOUR, "energy per area", system) for one in values]
        return any(values), shown

    lines = []
    if both("carried")[0]:
        lines += [
            "  by air: air that leaves here counts as bringing its replacement from outdoor to",
            "    room temperature; air that comes in, as handing on what it took from the assembly",
        ]
    some, (warmed, cooled) = both("incoming_air")
    if some:
        lines += [
            f"  air that comes in here: {warmed} to warm it from outdoors to the room, {cooled}",
            "    to cool it, counted where air leaves; to judge sealing here, add to loss and gain",
        ]
    some, (out, into) = both("latent")
    if some:
        lines.append(f"  humidity by air, latent heat, apart from all above: {out} out, {into} in")
    return lines


def quantity(value: float | None, kind: str, system: str, scale: float = 1.0) -> str:
    """Return a number of the summary with its unit, or a dash where there is none."""
    return "-" if value is None else show(value * scale, kind, system)


def planes(figures: Summary) -> str:
    """Return a row for each plane, outside to inside, with the worst of its sides and paths."""
    heads = "".join(f"{title:>{width}}" for title, _, width in COLUMNS)
    lines = [f"  {'planes, outside to inside':<42}{'wettest on':<20}{heads}"]
    by_name: dict[str, list[Summary]] = {}
    for side in sorted(figures["planes"], key=lambda plane: plane["index"]):
        by_name.setdefault(side["name"], []).append(side)
    several = len({side["path"] for side in figures["planes"]}) > 1
    return "\n".join([*lines, *(plane_row(sides, several) for sides in by_name.values())])


def plane_row(sides: Sequence[Summary], several: bool) -> str:
    """Return one plane's row; with the side, and of several paths the one, of the highest RH."""
    worst = max(sides, key=lambda side: side["max_relative_humidity"])
    side = "" if worst["side"] == "both" else f"{worst['side']} side"
    place = ", ".join(filter(None, (side, worst["path"] if several else "")))
    mark = " (drained)" if worst["drained"] else ""
    name = fitted(worst["name"], 41 - len(mark)) + mark
    cells = (cell([side[key] for side in sides], key, width) for _, key, width in COLUMNS)
    return f"  {name:<42}{fitted(place, 19):<20}" + "".join(cells)


def fitted(text: str, width: int) -> str:
    """Return a text cut to a width, with dots where it was cut."""
    return text if len(text) <= width else text[: width - 2].rstrip() + ".."


def cell(values: Iterable[float | None], key: str, width: int) -> str:
    """Return the largest of a plane's values in its column's form."""
    known = [value for value in values if value is not None]
    if not known:
        return f"{'-':>{width}}"
    if key == "max_relative_humidity":
        return f"{100 * max(known):.1f} %".rjust(width)
    return f"{max(known):>{width}.{2 if key == 'mould_index_max' else 0}f}"


def boards(figures: Summary, result: Result) -> str:
    """Return the highest moisture content by mass of every layer of wood in the last year."""
    wood = [layer for layer in figures["layers"] if layer["moisture_content_max"] is not None]
    lines = (
        f"{', '.join(dict.fromkeys((layer['name'], layer['material'])))} ({layer['path']}): "
        f"{100 * layer['moisture_content_max']:.1f} % by mass"
        for layer in wood
    )
    return bullets(
        f"Wood, highest moisture content of {last_span(result)}, mean of the layer", lines
    )


def verdict(found: Summary) -> str:
    """Return the verdict in words: its level, what decided it and by how much, and why."""
    if found["level"] is None:
        title = "Moisture: no verdict"
    else:
        place = f" at {found['plane']} ({found['path']})" if found["plane"] else ""
        title = f"Moisture: {found['level']}. Decided by {found['decided_by']}{place}"
    lines = [*measured(found), *found["reasons"], found["leak_statement"], found["scope"]]
    return bullets(title, dict.fromkeys(lines))


def measured(found: Summary) -> list[str]:
    """Return the deciding value with its limit and margin, nothing where there is none."""
    numbers = [found[name] for name in ("value", "limit", "margin")]
    if None in numbers:
        return []
    value, limit, margin = (f"{number:.3g}" for number in numbers)
    unit = f" {found['unit']}" if found["unit"] else ""
    return [f"value {value}{unit}, limit {limit}{unit}, margin {margin}{unit}"]

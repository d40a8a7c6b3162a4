"""What a run rests on, in tables: every check, planes, energies, inputs, sources, balances."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace

from assembly_sim.checks.energy import Energy
from assembly_sim.checks.finding import Finding
from assembly_sim.model import Layer, Material, Membrane, Sheet
from assembly_sim.report.blocks import Listing
from assembly_sim.report.moisture import is_something, meanings, wetting_unit
from assembly_sim.report.moisture import places as places_of
from assembly_sim.report.page.content import Block, Cell, Column, DataTable, Listed, Source
from assembly_sim.report.page.view import View
from assembly_sim.report.steady import steady_block
from assembly_sim.solver.result import Result
from assembly_sim.units import in_unit, show
from assembly_sim.verdict import told
from assembly_sim.verdict.summary import RunSummary
from assembly_sim.words.checks import particulars, title, value_and_limit, when
from assembly_sim.words.figures import say

KILOWATT_HOUR = 3.6e6  # J
ENERGIES = {
    "heat_loss": "heat loss",
    "heat_gain": "heat gain",
    "heating_season_loss": "loss in the heating season",
    "cooling_season_gain": "gain in the cooling season",
}
PEAKS = {"peak_loss": "peak loss", "peak_gain": "peak gain"}
KEPT = ("total", "conducted", "carried", "incoming_air")


def assembly_evidence(view: View) -> Iterator[Block]:
    """The tables of one assembly."""
    yield energy_table(view)
    yield from checks_blocks(view)
    yield planes_table(view)
    yield steady_block(view.one.steady, view.system)
    yield balances_table(view)


def energy_table(view: View) -> Listed:
    """Heat of the last year by part; dashes where there is none."""
    found = view.one.energy or view.one.window_energy
    area, flux = view.unit("energy per area"), ("W/m2", "Btu/(h ft2)")[view.system == "ip"]
    rows: list[tuple[Cell, ...]] = []
    for names, kind, scale in (
        (ENERGIES, "energy per area", KILOWATT_HOUR),
        (PEAKS, "heat flux", 1.0),
    ):
        unit = area if kind == "energy per area" else flux
        for name, words in names.items():
            rows.append((f"{words}, {unit}", *_heat(found, name, kind, scale, view.system)))
    columns = (
        Column(f"heat, {view.span}"),
        *(Column(head, 2) for head in ("total", "conducted", "by air", "incoming air besides")),
    )
    u_value = show(view.one.u_value_w_m2k, "transmittance", view.system)
    note = (
        f"U-value {u_value} ({view.one.surface_resistances}). Area "
        f"{show(view.one.area_m2, 'area', view.system)}."
    )
    return Listed(DataTable("energy", "Energy", columns, tuple(rows)), note)


def _heat(found: Energy | None, name: str, kind: str, scale: float, system: str) -> list[Cell]:
    if found is None:
        return [None] * len(KEPT)
    units = {"energy per area": ("kWh/m2", "kBtu/ft2"), "heat flux": ("W/m2", "Btu/(h ft2)")}
    heat, unit = getattr(found, name), units[kind][system == "ip"]
    return [float(in_unit(scale * getattr(heat, part), kind, unit)) for part in KEPT]


def checks_blocks(view: View) -> Iterator[Block]:
    """Every finding of every check: those that found something in a table, the rest by name."""
    something = [one for one in view.one.findings if is_something(one, view.system)]
    rows = tuple(_check_row(one, view.system) for one in something)
    columns = tuple(
        Column(head)
        for head in (
            *("check", "place", "path", "value", "limit", "last year"),
            *("when", "may decide", "more"),
        )
    )
    note = (
        "The value is that of the worst year; what may not decide is told beside the verdict. "
        "What was checked and found nothing is listed by itself."
    )
    yield Listed(DataTable("checks", "Every check", columns, rows), note, folded=True)
    nothing = [one for one in view.one.findings if one not in something]
    columns = (Column("check"), Column("where"))
    none = tuple(_nothing([one for one in nothing if one.value is not None], view.system))
    if none:
        found_none = DataTable("nothing_found", "Checked, and nothing found", columns, none)
        yield Listed(found_none, folded=True)
    missing = tuple(_nothing([one for one in nothing if one.value is None], view.system))
    if missing:
        yield Listed(DataTable("not_checked", "Not checked", columns, missing), folded=True)


def _nothing(found: list[Finding], system: str) -> Iterator[tuple[Cell, ...]]:
    """By check, and why it was not made where it was not, the places it concerns."""
    places: dict[str, list[Finding]] = {}
    for one in found:
        why = "" if one.value is not None else f", {particulars(one, system)}"
        places.setdefault(f"{title(one, system)}{why}", []).append(one)
    return ((name, "; ".join(places_of(where))) for name, where in places.items())


def _check_row(finding: Finding, system: str) -> tuple[Cell, ...]:
    value, limit = value_and_limit(finding, system)
    settled = None
    if finding.settled is not None:
        settled = value_and_limit(replace(finding, value=finding.settled), system)[0]
    return (
        title(finding, system),
        finding.place,
        finding.path,
        value,
        f"at least {limit}" if finding.at_least and limit != "-" else limit,
        settled,
        when(finding),
        "yes" if finding.decides else "no",
        particulars(finding, system),
    )


def planes_table(view: View) -> Listed:
    """Every side of every plane, as in JSON."""
    gram = 1.0 if view.system == "si" else 1.0 / 1000.0
    rows: list[tuple[Cell, ...]] = []
    for plane in view.one.planes:
        wetting = plane.wetting_potential_g_m2
        if wetting is not None and view.system == "ip":
            wetting = float(in_unit(gram * wetting, "areal mass", "oz/ft2"))
        rows.append(
            (
                f"{plane.name}{'' if plane.side == 'both' else f', {plane.side} side'}",
                *(plane.path, plane.reach, "yes" if plane.drained else "no"),
                100.0 * plane.max_relative_humidity,
                plane.condensation_risk_hours,
                plane.wet_hours,
                plane.dew_point_hours,
                wetting,
                plane.mould_index_max,
            )
        )
    columns = (
        *(Column("plane"), Column("path"), Column("air that reaches it"), Column("drained")),
        *(Column("highest humidity, %", 1), Column("condensation-risk h", 0)),
        *(Column("wet h", 0), Column("dew-point h", 0)),
        Column(f"wetting potential, {wetting_unit(view.system)}", 0 if view.system == "si" else 2),
        Column("mould index, highest", 2),
    )
    table = DataTable("planes", "Planes, outside to inside", columns, tuple(rows))
    return Listed(
        table, "Counts are those of the last year, highest values those of all.", folded=True
    )


def balances_table(view: View) -> Listed:
    """How the run went on each path, in numbers of the solver."""
    names = sorted({name for path in view.found.paths for name in path.statistics})
    rows: list[tuple[Cell, ...]] = [
        ("share of the area", *(f"{path.share:.3g}" for path in view.found.paths)),
        ("heat balance error", *(f"{p.heat_balance_error:.1e}" for p in view.found.paths)),
        ("moisture balance error", *(f"{p.moisture_balance_error:.1e}" for p in view.found.paths)),
        ("state defect", *(f"{path.state_defect:.1e}" for path in view.found.paths)),
    ]
    rows += [
        (name, *(f"{path.statistics.get(name, 0.0):.6g}" for path in view.found.paths))
        for name in names
    ]
    columns = (Column("figure"), *(Column(path.name) for path in view.found.paths))
    ended = (
        view.one.outcome.name if view.one.converged else f"{view.one.outcome.name}, not converged"
    )
    note = (
        f"The run {ended}. Balance errors are what is stored less what came in, over all that came "
        "in, through the whole run; the state defect is what is carried against the same "
        "recomputed."
    )
    return Listed(
        DataTable("balances", "Balances and solver", columns, tuple(rows)), note, folded=True
    )


def shared_evidence(result: Result, summary: RunSummary, system: str) -> Iterator[Block]:
    """What all assemblies of a run share: assumptions, weather, limits, sources, the case."""
    yield Listing(
        "Assumed, because the case does not say",
        tuple(say(phrase, system) for phrase in summary.assumptions),
    )
    yield Listing(
        "About the weather, in the units of its file",
        tuple(say(note, system) for note in summary.climate_notes),
    )
    yield Listed(_limits(result), "A case can set each of them.", folded=True)
    short = not all(one.has_year for one in summary.assemblies)
    yield meanings(result.case.thresholds.condensation_humidity, system, short)
    yield Listing("What the words mean", DEFINITIONS)
    yield Listed(
        _sources(result), "Short names are those of materials/references.toml.", folded=True
    )
    yield Listed(_provenance(result))
    if result.case.text:
        yield Source("The case as it was read", result.case.text)


DEFINITIONS = (
    "path: one of the parallel routes through an assembly, with its share of the area; moisture "
    "is judged on the worst, energy is the mean of all",
    "plane: a surface or an interface, named by its neighbours",
    "drained: on or outside the plane down which leaked rain drains; it gets wet by design",
    "condensation-risk hour: the hour's mean vapour pressure is near saturation over what is "
    "stable there, water or ice",
    "dew-point hour: a plane is colder than the dew point of the air that leaks bring to it; a "
    "count, never a verdict",
    "conducted: what passes the surface towards the room; by air: what air carries out, credited "
    "with what it hands on where it comes in",
    told.SCOPE,
)


def _limits(result: Result) -> DataTable:
    limits = result.case.thresholds
    rows = tuple(
        (one.name.replace("_", " "), f"{getattr(limits, one.name):.6g}") for one in fields(limits)
    )
    columns = (
        Column("limit or bound"),
        Column("value, SI (temperatures K, water kg/m2, shares 0-1)"),
    )
    return DataTable("thresholds", "Limits that results were held against", columns, rows)


def _sources(result: Result) -> DataTable:
    rows: list[tuple[Cell, ...]] = []
    for name, used in sorted(_materials(result).items()):
        rows += [(name, value.replace("_", " "), source) for value, source in used.sources.items()]
        if not used.sources:
            rows.append((name, "all values", f"no source given (confidence: {used.confidence})"))
    columns = (Column("material or sheet"), Column("value"), Column("source"))
    return DataTable("sources", "Where the values of materials come from", columns, tuple(rows))


def _materials(result: Result) -> dict[str, Material | Sheet]:
    found: dict[str, Material | Sheet] = {}
    for assembly in result.case.assemblies:
        for layer in assembly.layers:
            if isinstance(layer, Membrane):
                found[layer.sheet.name] = layer.sheet
                continue
            if isinstance(layer, Layer):
                found[layer.material.name] = layer.material
            found |= {bridge.material.name: bridge.material for bridge in layer.bridges}
    return found


def _provenance(result: Result) -> DataTable:
    rows = tuple((name.replace("_", " "), value) for name, value in result.provenance.items())
    columns = (Column("what"), Column("which"))
    return DataTable("provenance", "Versions and hashes, to repeat the run", columns, rows)

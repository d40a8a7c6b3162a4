"""A case as the tables of a case file: every entry stated, in the model's units."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.case.build import HIGH_OCCUPANCY
from assembly_sim.files.case.house_describe import house_tables
from assembly_sim.files.case.schedule import entry_table
from assembly_sim.files.material.read import load
from assembly_sim.files.material.write import exact, table_of
from assembly_sim.model import (
    AirLayer,
    AirLeak,
    Assembly,
    Case,
    ColumnOfFile,
    Constant,
    Defect,
    ExcessVapour,
    Layer,
    Material,
    Membrane,
    MoistureBalance,
    OutdoorCurve,
    Room,
    Schedule,
    Sheet,
    SineOverYear,
    Thresholds,
)
from assembly_sim.model.assembly import ROOM, AnyLayer
from assembly_sim.model.case import THRESHOLDS
from assembly_sim.model.ranges import RANGES
from assembly_sim.model.schedule import WEEKDAY_NAMES

Table = dict[str, Any]


Columns = dict[tuple[str, str], Table]
"""Rules of hourly columns, by room and entry."""


def tables_of(case: Case, climate: str, columns: Columns) -> Table:
    """All entries of a case file that reads back to this case.

    `climate` is how the file names its weather, `columns` the rules of hourly columns by room and
    entry. InputError for what no case file can say.
    """
    said = {
        name: getattr(case, name)
        for name in ("code_zone", "code_edition", "years")
        if getattr(case, name) is not None
    }
    rooms = [_room(one, columns) for one in case.rooms]
    more = {"thresholds": _thresholds(case.thresholds), "materials": _own_materials(case)}
    return {
        "format": 1,
        "name": case.name,
        "climate": climate,
        **said,
        "start_month": case.start_month,
        "starting_humidity": case.starting_humidity,
        "room": rooms[0],
        **({"other_room": rooms[1:]} if rooms[1:] else {}),
        **house_tables(case),
        "assembly": [_assembly(one) for one in case.assemblies],
        **{name: table for name, table in more.items() if table},
    }


RULES = ("temperature", "humidity")
_KIND = {"temperature": "temperature", "humidity": "fraction"}
_SWING = {"temperature": "temperature difference", "humidity": "fraction"}


def _room(room: Room, columns: Columns) -> Table:
    """A room's rules; the name that a room has unless it says is left out."""
    rules = {
        name: _rule(name, getattr(room, name), columns.get((room.name, name))) for name in RULES
    }
    return rules if room.name == ROOM else {"name": room.name, **rules}


def _rule(name: str, rule: Any, column: Table | None) -> Any:
    """A rule of the room as its entry."""
    match rule:
        case Constant():
            return exact(rule.value, _KIND[name])
        case SineOverYear():
            mean, swing = exact(rule.mean, _KIND[name]), exact(rule.amplitude, _SWING[name])
            return {"mean": mean, "amplitude": swing, "peak_day": rule.peak_day}
        case ColumnOfFile():
            return column
        case Schedule():
            return {
                "otherwise": exact(rule.otherwise, _KIND[name]),
                "first_day": WEEKDAY_NAMES[rule.first_weekday],
                "at": [entry_table(one, exact(one.value, _KIND[name])) for one in rule.entries],
            }
        case ExcessVapour():
            return {"excess": exact(rule.excess, "pressure")}
        case OutdoorCurve():
            return _curve(name, rule)
        case MoistureBalance():
            return {
                "volume": exact(rule.volume, "volume"),
                "air_changes": exact(rule.air_changes, "air changes"),
                "generation": exact(rule.generation, "mass flow"),
                "limit": rule.limit,
            }


def _curve(name: str, rule: OutdoorCurve) -> Table:
    occupancy = {0.0: "normal", HIGH_OCCUPANCY: "high"}.get(rule.offset)
    if occupancy is None or (name == "temperature" and rule.offset):
        cause = f"no case file holds the curve of EN 15026 with an offset of {rule.offset:g}"
        cure = f"take 0 or {HIGH_OCCUPANCY:g}, or give hourly values"
        raise InputError(Problem(cause, cure, field=f"room.{name}"))
    return {"curve": "EN 15026", "occupancy": occupancy}


def _thresholds(given: Thresholds) -> Table:
    """What differs from the usual."""
    changed: Table = {}
    for one in fields(given):
        value = getattr(given, one.name)
        if value == one.default:
            continue
        span = THRESHOLDS.get(one.name, "humidity threshold")
        hours = span == "hours threshold"
        changed[one.name] = f"{value!r} h" if hours else exact(value, RANGES[span].kind)
    return changed


def _assembly(one: Assembly) -> Table:
    outer = one.outer
    drained = outer.leaked_rain_layer
    return {
        "name": one.name,
        "outside": one.outside,
        "inside": one.inside,
        "area": exact(one.area, "area"),
        "tilt": exact(outer.tilt, "angle"),
        "azimuth": exact(outer.azimuth, "angle"),
        "solar_absorptance": outer.solar_absorptance,
        "emittance": outer.emittance,
        "sheltered": outer.sheltered,
        "height": exact(outer.height, "length"),
        "rain_exposure": outer.rain_exposure,
        "rain_deposition": outer.rain_deposition,
        "leaked_rain": outer.leaked_rain,
        **({} if drained is None else {"leaked_rain_layer": drained}),
        **_leak(one.leak),
        "air_through": exact(one.air_through, "air flow per area"),
        "order_meant": one.order_meant,
        "layer": [_layer(layer) for layer in one.layers],
    }


def _leak(leak: AirLeak | None) -> Table:
    if leak is None:
        return {"leak": "none"}
    flow, pressure = (
        exact(leak.flow, "air flow per area"),
        exact(leak.reference_pressure, "pressure"),
    )
    return {
        "leak": f"{flow} at {pressure}",
        "leak_exponent": leak.exponent,
        "height_above_neutral_level": exact(leak.height_above_neutral_level, "length"),
        "fan_pressure": exact(leak.fan_pressure, "pressure"),
    }


def _layer(layer: AnyLayer) -> Table:
    if isinstance(layer, AirLayer):
        faces = {"emittance_outer": layer.emittance_outer, "emittance_inner": layer.emittance_inner}
        changes = exact(layer.air_changes, "air changes")
        size = exact(layer.thickness, "length")
        air = {"name": layer.name, "air": size, **faces, "air_changes": changes}
        return air | ({"bridges": _bridges(layer)} if layer.bridges else {})
    tight = {} if layer.airtight is None else {"airtight": layer.airtight}
    if isinstance(layer, Membrane):
        return {"name": layer.name, "membrane": layer.sheet.name, **tight}
    size = exact(layer.thickness, "length")
    return {
        "name": layer.name,
        "material": layer.material.name,
        "thickness": size,
        **tight,
        **_start_and_parts(layer),
    }


def _bridges(layer: Layer | AirLayer) -> list[Table]:
    return [
        {"path": one.path, "material": one.material.name, "share": one.share}
        for one in layer.bridges
    ]


def _start_and_parts(layer: Layer) -> Table:
    start, bridges = layer.starting_humidity, _bridges(layer)
    depths = [{"name": one.name, "depth": exact(one.depth, "length")} for one in layer.probes]
    parts = {"starting_humidity": start, "bridges": bridges, "probes": depths}
    parts["defects"] = [_defect(one) for one in layer.defects]
    return {name: value for name, value in parts.items() if value not in (None, [])}


def _defect(one: Defect) -> Table:
    left = {"compressed_to" if one.compressed else "left": exact(one.left, "length")}
    return {"path": one.path, "share": one.share, **left, "space": one.space}


def _own_materials(case: Case) -> Table:
    """Materials and sheets that are not in the shipped table, or differ from it."""
    shipped, found = load(), dict[str, Material | Sheet]()
    for one in _all_materials(case):
        if found.setdefault(one.name, one) != one:
            cause = "two materials of the case have this name"
            raise InputError(Problem(cause, "give each its own", field=f"material {one.name}"))
    return {name: table_of(one) for name, one in found.items() if shipped.get(name) != one}


def _all_materials(case: Case) -> list[Material | Sheet]:
    found: list[Material | Sheet] = []
    for layer in (one for assembly in case.assemblies for one in assembly.layers):
        if isinstance(layer, Membrane):
            found.append(layer.sheet)
        else:
            own = [layer.material] if isinstance(layer, Layer) else []
            found += [*own, *(bridge.material for bridge in layer.bridges)]
    return found

"""What a house has besides its assemblies, as the tables of a case file: every entry stated."""

from __future__ import annotations

from typing import Any

from assembly_sim.files.material.write import exact
from assembly_sim.model import Case, Ducts, Fan, MeasuredFlow, Opening, Pipe, Zone
from assembly_sim.model.assembly import OUTDOORS
from assembly_sim.model.opening import (
    Gap,
    LeakageArea,
    RoundHole,
    Shape,
    SquareHole,
    Unsized,
    Wetted,
)

Table = dict[str, Any]


def house_tables(case: Case) -> Table:
    """Zones, openings, the test, fans and ducts; what there is none of is left out."""
    tables = {
        "zone": [_zone(one) for one in case.zones],
        "opening": [_opening(one) for one in case.openings],
        "blower_door": case.blower_door and _tested(case.blower_door),
        "fan": [_fan(one) for one in case.fans],
        "ducts": [_ducts(one) for one in case.ducts],
        "pipe": [_pipe(one) for one in case.pipes],
    }
    return {name: table for name, table in tables.items() if table}


def _zone(one: Zone) -> Table:
    return {
        "name": one.name,
        "volume": exact(one.volume, "volume"),
        "heat_capacity": exact(one.heat_capacity, "heat capacity"),
        "air_changes": exact(one.air_changes, "air changes"),
        "heat_gain": exact(one.heat_gain, "power"),
        "moisture": exact(one.moisture, "mass flow"),
    }


def _opening(one: Opening) -> Table:
    side = {}
    if one.side is not None:
        side = {
            "facing": exact(one.side.azimuth, "angle"),
            "tilt": exact(one.side.tilt, "angle"),
        }
    return {
        "name": one.name,
        **_size(one.shape),
        "inside": one.inside,
        "outside": one.outside,
        "height": exact(one.height, "length"),
        **side,
        **({} if one.wets is None else {"wets": _wets(one.wets)}),
    }


def _wets(wets: Wetted) -> Table:
    path = {} if wets.path is None else {"path": wets.path}
    return {"assembly": wets.assembly, "layer": wets.layer, **path}


def _size(shape: Shape) -> Table:
    """A shape as `read_hole` reads it, with its exponent where it has one."""
    match shape:
        case Unsized():
            return {"weight": shape.weight}
        case Gap():
            return {"size": f"{exact(shape.width, 'length')} x {exact(shape.length, 'length')}"}
        case RoundHole():
            return {"size": f"{exact(shape.diameter, 'length')} round"}
        case SquareHole():
            return {"size": f"{exact(shape.side, 'length')} square"}
        case LeakageArea():
            area = exact(shape.area, "opening area")
            return {"size": f"{area} at 4 Pa", "exponent": shape.exponent}
        case MeasuredFlow():
            return {"size": _flow(shape), "exponent": shape.exponent}
    return {"size": exact(shape.area, "opening area")}


def _flow(test: MeasuredFlow) -> str:
    return f"{exact(test.flow, 'air flow')} at {exact(test.pressure, 'pressure')}"


def _tested(test: MeasuredFlow) -> Table:
    return {"flow": _flow(test), "exponent": test.exponent}


def _fan(one: Fan) -> Table:
    """Written so that it reads back as it is: a fan that empties a room outdoors blows outwards."""
    out = one.other == OUTDOORS and one.flow < 0.0
    source, target = (one.zone, one.other) if out else (one.other, one.zone)
    flow = exact(-one.flow if out else one.flow, "air flow")
    return {"name": one.name, "flow": flow, "from": source, "to": target}


def _ducts(one: Ducts) -> Table:
    return {
        "name": one.name,
        "zone": one.zone,
        "room": one.room,
        "flow": exact(one.flow, "air flow"),
        "supply_area": exact(one.supply_area, "area"),
        "return_area": exact(one.return_area, "area"),
        "resistance": exact(one.resistance, "resistance"),
        "supply_temperature": exact(one.supply_temperature, "temperature"),
        "full_load_temperature": exact(one.full_load_temperature, "temperature"),
        "balance_temperature": exact(one.balance_temperature, "temperature"),
        "supply_leak": one.supply_leak,
        "return_leak": one.return_leak,
    }


def _pipe(one: Pipe) -> Table:
    return {
        "name": one.name,
        "zone": one.zone,
        "inner_diameter": exact(one.inner_diameter, "length"),
        "outer_diameter": exact(one.outer_diameter, "length"),
        "insulation": exact(one.insulation, "length"),
        "conductivity": exact(one.conductivity, "conductivity"),
    }

"""A material or sheet as the table that reads back to it, quantities in the model's units."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from assembly_sim.model import (
    ConductivityPoints,
    ConstantDiffusivity,
    Material,
    Points,
    RetentionCurve,
    Sheet,
    SorptionPoints,
    TwoPointStorage,
    UptakeCoefficient,
)
from assembly_sim.model.material import LiquidTransport, Storage
from assembly_sim.unit_table import KINDS

Table = dict[str, Any]


def exact(value: float, kind: str) -> str | float:
    """A number in the model's unit as an entry that reads back to the last bit."""
    unit = KINDS[kind][0]
    return f"{float(value)!r} {unit}" if unit else float(value)


def table_of(thing: Material | Sheet) -> Table:
    """All entries of a material or sheet; the reader says where one of them cannot be read."""
    own = _material(thing) if isinstance(thing, Material) else _sheet(thing)
    common = {"emittance": thing.emittance, "kinds": sorted(thing.kinds)}
    return {**own, **common, "confidence": thing.confidence, **_said(thing, {*own, *common})}


def _said(thing: Material | Sheet, entries: set[str]) -> Table:
    """Sources of the entries that there are, and the note."""
    sources = {key: text for key, text in thing.sources.items() if key in entries}
    note = {"note": thing.sources["note"]} if "note" in thing.sources else {}
    return {**note, **({"sources": sources} if sources else {})}


def _material(one: Material) -> Table:
    more: Table = {}
    if one.storage is not None:
        more["storage"] = _storage(one.storage)
    if one.liquid is not None:
        more["liquid"] = _liquid(one.liquid)
    if one.air_permeability is not None:
        more["air_permeability"] = exact(one.air_permeability, "air permeability")
    for name in ("mould_class", "solar_absorptance"):
        if getattr(one, name) is not None:
            more[name] = getattr(one, name)
    return {
        "density": exact(one.density, "density"),
        "specific_heat": exact(one.specific_heat, "specific heat"),
        "porosity": one.porosity,
        "conductivity": _conductivity(one),
        "vapour": {
            **_against_humidity(one.permeability, "permeability"),
            "temperature_exponent": one.permeability_temperature_exponent,
        },
        **more,
    }


def _conductivity(one: Material) -> Table:
    return {
        "temperature": _list(one.conductivity.x, "temperature"),
        "value": _list(one.conductivity.y, "conductivity"),
        "gain_per_water": exact(one.conductivity_per_water, "conductivity per water content"),
    }


def _sheet(one: Sheet) -> Table:
    form: Table = {"form": "sheet", "vapour": _against_humidity(one.permeance, "permeance")}
    if one.air_permeance is not None:
        form["air_permeance"] = exact(one.air_permeance, "air permeance")
    return form


def _against_humidity(curve: Points, kind: str) -> Table:
    return {"humidity": _list(curve.x, "fraction"), kind: _list(curve.y, kind)}


def _storage(held: Storage) -> Table:
    saturation = {"saturation": exact(held.saturation, "water content")}
    match held:
        case SorptionPoints():
            return {
                "humidity": _list(held.relative_humidity, "fraction"),
                "water_content": _list(held.water_content, "water content"),
                **saturation,
            }
        case TwoPointStorage():
            return {"at_80_percent": exact(held.at_80_percent, "water content"), **saturation}
        case RetentionCurve():
            kinds = {"weight": "fraction", "alpha": "inverse pressure"}
            return saturation | {
                key: _list((getattr(term, key) for term in held.terms), kinds.get(key, "fraction"))
                for key in ("weight", "alpha", "n", "m")
            }


def _liquid(moves: LiquidTransport) -> Table:
    match moves:
        case UptakeCoefficient():
            return {"uptake_coefficient": exact(moves.value, "uptake coefficient")}
        case ConstantDiffusivity():
            return {"diffusivity": exact(moves.value, "diffusivity")}
        case ConductivityPoints():
            return {
                "water_content": _list(moves.water_content, "water content"),
                "conductivity": _list(moves.conductivity, "liquid conductivity"),
            }


def _list(values: Iterable[float], kind: str) -> list[str | float]:
    return [exact(value, kind) for value in values]

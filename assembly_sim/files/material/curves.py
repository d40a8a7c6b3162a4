"""The curves of a material: conductivity, vapour, storage, liquid. Impossible ones are refused.

Each function reads one entry of a material's table and returns fields of the model.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from assembly_sim.files.material.fields import (
    FieldError,
    quantities,
    quantity,
    refuse_unless_paired,
    refuse_unless_rising,
    shape,
)
from assembly_sim.model import (
    ConductivityPoints,
    ConstantDiffusivity,
    Points,
    RetentionCurve,
    RetentionTerm,
    SorptionPoints,
    TwoPointStorage,
    UptakeCoefficient,
)
from assembly_sim.model.material import LiquidTransport, Storage
from assembly_sim.physics.constants import STILL_AIR_PERMEABILITY, WATER_DENSITY
from assembly_sim.physics.liquid import CAPILLARY_SHARE, capillary_share

Table = Mapping[str, Any]

MOST_OPEN = 2.0 * STILL_AIR_PERMEABILITY  # kg/(m s Pa): a value above this is a slip of the unit
_GAINS = ("gain_per_moisture?", "gain_per_water?")


def density(table: Table) -> float:
    """Dry density, kg/m3."""
    return quantity(table, ("density",), "density", 1.0, 25000.0)


def porosity(table: Table) -> float:
    """Share of the volume that water can fill, 0-1."""
    return quantity(table, ("porosity",), "fraction", 0.0, 1.0)


def conductivity(table: Table) -> dict[str, Any]:
    """Conductivity against temperature, and its gain with water.

    `gain_per_moisture` b gives conductivity (1 + b w / density) (as a percentage for each
    percent of mass; common practice, no source); `gain_per_water` gives the gain for each kg/m3.
    """
    path = ("conductivity",)
    options = [("value", "mean_temperature", *_GAINS), ("value", "temperature", *_GAINS)]
    axis = shape(table, path, options)[1]
    at = quantities(table, (*path, axis), "temperature", 173.15, 1273.15)
    value = quantities(table, (*path, "value"), "conductivity", 1e-3, 1000.0)
    refuse_unless_rising(at, (*path, axis))
    refuse_unless_paired(at, value, (*path, "value"))
    gain = _gain_per_water(table, value[0])
    return {"conductivity": Points(at, value), "conductivity_per_water": gain}


def _gain_per_water(table: Table, dry: float) -> float:
    entry, path = table["conductivity"], ("conductivity",)
    if "gain_per_moisture" in entry and "gain_per_water" in entry:
        raise FieldError(path, "the gain with water is given twice", "keep one of the two")
    if "gain_per_moisture" in entry:
        gain = quantity(table, (*path, "gain_per_moisture"), "fraction", 0.0, 100.0)
        return dry * gain / density(table)
    if "gain_per_water" in entry:
        kind = "conductivity per water content"
        return quantity(table, (*path, "gain_per_water"), kind, 0.0, 1.0)
    return 0.0


def permeability(table: Table) -> dict[str, Any]:
    """Vapour permeability against humidity, from any of the three ways to print it."""
    path, more = ("vapour",), ("humidity?", "temperature_exponent?")
    options = [
        ("permeability", *more),
        ("permeance", "specimen_thickness", *more),
        ("resistance_factor", *more),
    ]
    given = shape(table, path, options)[0]
    value = _permeability_values(table, given)
    exponent = 0.0
    if "temperature_exponent" in table["vapour"]:
        exponent = quantity(table, (*path, "temperature_exponent"), "fraction", -5.0, 5.0)
    return {
        "permeability": _against_humidity(table, value, given),
        "permeability_temperature_exponent": exponent,
    }


def _permeability_values(table: Table, given: str) -> tuple[float, ...]:
    path = ("vapour", given)
    if given == "resistance_factor":
        factors = quantities(table, path, "fraction", 0.5, 1e8)
        return tuple(STILL_AIR_PERMEABILITY / factor for factor in factors)
    if given == "permeability":
        return quantities(table, path, "permeability", 1e-20, MOST_OPEN)
    thickness = quantity(table, ("vapour", "specimen_thickness"), "length", 1e-5, 1.0)
    high = MOST_OPEN / thickness
    permeances = quantities(table, path, "permeance", 1e-20, high)
    return tuple(permeance * thickness for permeance in permeances)


def permeance(table: Table) -> Points:
    """Permeance of a sheet against humidity, printed as such or as equivalent air layer."""
    more = ("humidity?",)
    options = [("permeance", *more), ("air_layer_thickness", *more)]
    given = shape(table, ("vapour",), options)[0]
    path = ("vapour", given)
    if given == "permeance":
        return _against_humidity(table, quantities(table, path, "permeance", 1e-16, 1e-6), given)
    layers = quantities(table, path, "equivalent air-layer thickness", 1e-4, 1e6)
    return _against_humidity(table, tuple(STILL_AIR_PERMEABILITY / s for s in layers), given)


def _against_humidity(table: Table, value: tuple[float, ...], given: str) -> Points:
    path = ("vapour", given)
    if "humidity" not in table["vapour"]:
        refuse_unless_paired((0.5,), value, path)
        return Points((0.5,), value)
    humidity = quantities(table, ("vapour", "humidity"), "fraction", 0.0, 1.0)
    refuse_unless_rising(humidity, ("vapour", "humidity"))
    refuse_unless_paired(humidity, value, path)
    return Points(humidity, value)


def storage(table: Table) -> Storage:
    """Water content against humidity or suction, never falling and never above the pores."""
    full = porosity(table) * WATER_DENSITY
    path = ("storage",)
    options = [
        ("humidity", "water_content", "saturation"),
        ("humidity", "moisture_content", "saturation"),
        ("at_80_percent", "saturation"),
        ("saturation", "weight", "alpha", "n", "m"),
    ]
    chosen = shape(table, path, options)
    saturation = quantity(table, (*path, "saturation"), "water content", 1e-6, 1000.0)
    if saturation > full * (1.0 + 1e-9):
        cause = f"{saturation:g} kg/m3 of water do not fit into the pores ({full:g} kg/m3)"
        raise FieldError((*path, "saturation"), cause, "lower the saturation or raise the porosity")
    if chosen[0] == "humidity":
        return _sorption(table, chosen[1], saturation)
    return _two_point(table, saturation) if len(chosen) == 2 else _retention(table, saturation)


def _sorption(table: Table, given: str, saturation: float) -> SorptionPoints:
    at, path = ("storage", "humidity"), ("storage", given)
    humidity = quantities(table, at, "fraction", 1e-4, 0.99999)
    refuse_unless_rising(humidity, at)
    if given == "water_content":
        water = quantities(table, path, "water content", 0.0, 1000.0)
    else:
        dry = density(table)
        contents = quantities(table, path, "moisture content", 0.0, 100.0)
        water = tuple(dry * content for content in contents)
    refuse_unless_paired(humidity, water, path)
    for before, after in zip(water, water[1:]):
        if after < before:
            cause = f"sorption falls from {before:g} to {after:g} kg/m3 as humidity rises"
            raise FieldError(path, cause, "give points that never fall")
    if water[-1] > saturation:
        cause = f"the last point, {water[-1]:g} kg/m3, lies above saturation, {saturation:g} kg/m3"
        raise FieldError(path, cause, "raise the saturation or leave the point out")
    return SorptionPoints(humidity, water, saturation)


def _two_point(table: Table, saturation: float) -> TwoPointStorage:
    path = ("storage", "at_80_percent")
    at_80 = quantity(table, path, "water content", 1e-6, 1000.0)
    if at_80 >= 0.8 * saturation:
        cause = f"{at_80:g} kg/m3 at 80 % is too near saturation, {saturation:g} kg/m3"
        raise FieldError(path, cause, "give less than 0.8 of saturation: the fit bends upward only")
    return TwoPointStorage(at_80, saturation)


def _retention(table: Table, saturation: float) -> RetentionCurve:
    bounds = {
        "weight": ("fraction", 0.0, 1.0),
        "alpha": ("inverse pressure", 1e-12, 1.0),
        "n": ("fraction", 0.1, 100.0),
        "m": ("fraction", 1e-3, 100.0),
    }
    lists = [quantities(table, ("storage", key), *bound) for key, bound in bounds.items()]
    for key, values in zip(bounds, lists):
        refuse_unless_paired(lists[0], values, ("storage", key))
    if abs(sum(lists[0]) - 1.0) > 1e-6:
        cause = f"the weights add up to {sum(lists[0]):g}"
        raise FieldError(("storage", "weight"), cause, "make them add up to 1")
    return RetentionCurve(saturation, tuple(RetentionTerm(*term) for term in zip(*lists)))


def liquid(table: Table) -> LiquidTransport:
    """Liquid transport; it needs a storage curve to move along."""
    if "storage" not in table:
        cause = "liquid moves only where water is stored"
        raise FieldError(("liquid",), cause, "add a storage curve or leave liquid out")
    options = [("uptake_coefficient",), ("diffusivity",), ("water_content", "conductivity")]
    given = shape(table, ("liquid",), options)[0]
    path = ("liquid", given)
    if given == "uptake_coefficient":
        _refuse_without_capillary_water(table, path)
        return UptakeCoefficient(quantity(table, path, "uptake coefficient", 1e-7, 10.0))
    if given == "diffusivity":
        return ConstantDiffusivity(quantity(table, path, "diffusivity", 1e-16, 1e-3))
    return _conductivity_points(table)


def _refuse_without_capillary_water(table: Table, path: tuple[str, ...]) -> None:
    held = storage(table)
    if capillary_share(held) < CAPILLARY_SHARE:
        cause = "the storage curve is full at 90 %, which leaves no water for liquid to draw in"
        cure = "raise saturation, lower the sorption points, or give liquid as conductivity points"
        raise FieldError(path, cause, cure)


def _conductivity_points(table: Table) -> ConductivityPoints:
    path, full = ("liquid", "water_content"), storage(table).saturation
    water = quantities(table, path, "water content", 0.0, full)
    value = quantities(table, ("liquid", "conductivity"), "liquid conductivity", 1e-40, 1e-3)
    refuse_unless_rising(water, path)
    refuse_unless_paired(water, value, ("liquid", "conductivity"))
    return ConductivityPoints(water, value)

"""A field by its path: set to a value, or multiplied."""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace
from math import isfinite
from typing import Any

from assembly_sim.changes.opening_size import scaled
from assembly_sim.changes.path import Path, changed_at, name_of, path_of, spelled
from assembly_sim.changes.words import Quantity, Words, named
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import AirLeak, Case, Points
from assembly_sim.model.opening import SizedShape

KINDS = {
    **dict.fromkeys(("thickness", "air", "height", "depth", "left"), "length"),
    **dict.fromkeys(("height_above_neutral_level",), "length"),
    **dict.fromkeys(("tilt", "azimuth"), "angle"),
    **dict.fromkeys(("fan_pressure", "reference_pressure", "excess"), "pressure"),
    **dict.fromkeys(("air_through", "flow"), "air flow per area"),
    **dict.fromkeys(("starting_moisture_content",), "moisture content"),
    **dict.fromkeys(("solar_absorptance", "emittance", "starting_humidity", "share"), "fraction"),
    **dict.fromkeys(("emittance_outer", "emittance_inner", "leaked_rain"), "fraction"),
    **{"area": "area", "volume": "volume", "generation": "mass flow"},
    **{"air_changes": "air changes", "density": "density", "specific_heat": "specific heat"},
    **{"conductivity": "conductivity", "permeability": "permeability", "permeance": "permeance"},
    **{"heat_capacity": "heat capacity", "heat_gain": "power", "moisture": "mass flow"},
    **dict.fromkeys(("supply_area", "return_area"), "area"),
    **dict.fromkeys(("supply_leak", "return_leak"), "fraction"),
    **dict.fromkeys(
        *(("supply_temperature", "full_load_temperature", "balance_temperature"), "temperature")
    ),
    **{"resistance": "resistance", "facing": "angle"},
    **{"porosity": "fraction", "temperature": "temperature", "humidity": "fraction"},
}
"""Kind of the number that stands at the end of a path."""
_AIR_FLOWS = ("fan", "ducts", "blower_door")


@dataclass(frozen=True)
class Set:
    """Another value at a path, SI: a number, a name, a material, a rule of the room, a leak.

    `starting_moisture_content` (kg/kg) of a layer is turned into humidity by its storage curve. A
    bare number is a constant rule of the room, or a flat curve of a material.
    """

    path: Path
    value: Any

    def __post_init__(self) -> None:
        object.__setattr__(self, "path", path_of(self.path))

    def apply(self, case: Case) -> Case:
        """The case with this value there."""
        return changed_at(case, self.path, lambda old: self.value)

    @property
    def words(self) -> Words:
        """`rigid foam: thickness {0}`."""
        where = place_in_words(self.path)
        if isinstance(self.value, AirLeak):
            flow = (self.value.flow, "air flow per area")
            return Words(
                f"{where} {{0}} at {{1}}", (flow, (self.value.reference_pressure, "pressure"))
            )
        if not isinstance(self.value, int | float) or isinstance(self.value, bool):
            return Words(f"{where} {named(_name(self.value))}")
        return Words(f"{where} {{0}}", (_quantity(self.path, float(self.value)),))


@dataclass(frozen=True)
class Times:
    """A number, a curve, a rule's mean or a leak's flow times a factor; a leak times 0 is none."""

    path: Path
    factor: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "path", path_of(self.path))
        if not (isfinite(self.factor) and self.factor >= 0.0):
            cause = f"{self.factor:g} is no factor"
            raise InputError(Problem(cause, "give 0 or more", field=spelled(self.path)))

    def apply(self, case: Case) -> Case:
        """The case with what is there multiplied."""
        return changed_at(case, self.path, self._times)

    def _times(self, old: Any) -> Any:
        if isinstance(old, AirLeak):
            return replace(old, flow=old.flow * self.factor) if self.factor else None
        if isinstance(old, SizedShape):
            return scaled(old, self.factor)
        if isinstance(old, Points):
            return replace(old, y=tuple(value * self.factor for value in old.y))
        if isinstance(old, int | float) and not isinstance(old, bool):
            return old * self.factor
        inner = [one.name for one in fields(old)] if is_dataclass(old) else []
        if inner == ["value"]:  # a constant of the room, an uptake coefficient
            return replace(old, value=old.value * self.factor)
        cause = "there is no leak" if old is None else f"'{_name(old)}' is no number to multiply"
        cure = f"name one of its fields: {', '.join(inner)}" if inner else "set it first"
        raise InputError(Problem(cause, cure, field=spelled(self.path)))

    @property
    def words(self) -> Words:
        """`polyiso: conductivity times {0}`."""
        return Words(f"{place_in_words(self.path)} times {{0}}", ((self.factor, "factor"),))


_WITH_NAMES = ("assembly", "layer", "bridges", "defects", "probes")


def place_in_words(path: Path) -> str:
    """`North roof, rigid foam: thickness`: names apart from the field."""
    listed = ("opening", "fan", "ducts", "zone", "other_room", *_WITH_NAMES, "material")
    names = [str(one) for before, one in zip(path, path[1:]) if before in listed]
    rest = [str(one) for one in path if str(one) not in (*names, *listed[:-1])]
    rest = rest if path[0] != "material" else [str(one) for one in path[2:]]
    last = str(path[-1])
    rest = rest or [last if last in ("bridges", "defects", "probes") else "material"]
    field = " ".join(rest).replace("_", " ")
    return named(f"{', '.join(names)}: {field}" if names else field)


def _quantity(path: Path, value: float) -> Quantity:
    last = str(path[-1])
    if last == "flow" and path[0] in _AIR_FLOWS:
        return value, "air flow"
    of_rule = ("mean", "value", "otherwise")
    inner = dict.fromkeys(of_rule, str(path[-2])) if len(path) > 1 else {}
    return value, KINDS.get(inner.get(last, last), "factor")


def _name(value: Any) -> str:
    if value is None or value == ():
        return "none"
    if isinstance(value, tuple):
        return ", ".join(_name(one) for one in value)
    return name_of(value) or (value if isinstance(value, str) else type(value).__name__)

"""Materials to look at: the list, one material with its sources, and its curves as a figure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from assembly_sim import units
from assembly_sim.model import (
    ConductivityPoints,
    ConstantDiffusivity,
    Material,
    Points,
    RetentionCurve,
    Sheet,
    TwoPointStorage,
    UptakeCoefficient,
)
from assembly_sim.model.material import LiquidTransport, Storage
from assembly_sim.physics import liquid as liquid_water
from assembly_sim.physics import pore_water
from assembly_sim.physics.constants import STILL_AIR_PERMEABILITY

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Row = tuple[str, str, str]  # label, value, key of its source


def materials_list(materials: Mapping[str, Material | Sheet], system: str = "si") -> str:
    """One line for each material, then for each sheet; vapour at 50 % humidity.

    `mu` is the resistance factor against still air, `sd` the equivalent air layer.
    """
    solid = [m for _, m in sorted(materials.items()) if isinstance(m, Material)]
    thin = [s for _, s in sorted(materials.items()) if isinstance(s, Sheet)]
    head = ("material", "density", "conductivity", "mu", "water at 80 %", "confidence")
    sheet_head = ("sheet", "permeance", "sd", "confidence")
    parts = [_aligned([head, *(_line(m, system) for m in solid)])] if solid else []
    if thin:
        parts.append(_aligned([sheet_head, *(_sheet_line(s, system) for s in thin)]))
    return "\n\n".join(parts)


def material_text(material: Material | Sheet, system: str = "si") -> str:
    """Every value of one material or sheet, each with its source."""
    if isinstance(material, Sheet):
        rows = _sheet_rows(material, system)
    else:
        rows = _material_rows(material, system)
    kinds = ", ".join(sorted(material.kinds))
    lines = [f"{material.name} ({kinds})" if kinds else material.name]
    lines.append(f"  confidence: {material.confidence}")
    for label, value, key in rows:
        lines.append(f"  {label}: {value}")
        if source := material.sources.get(key):
            lines.append(f"      source: {source}")
    if note := material.sources.get("note"):
        lines.append(f"  note: {note}")
    return "\n".join(lines)


def material_figure(material: Material | Sheet, path: Path) -> None:
    """Draw the curves of one material or sheet to a file; its ending names the format."""
    from matplotlib.figure import Figure

    drawn = _sheet_panels(material) if isinstance(material, Sheet) else _material_panels(material)
    columns = min(len(drawn), 3)
    rows = -(-len(drawn) // columns)
    figure = Figure(figsize=(4.2 * columns, 3.4 * rows), layout="constrained")
    figure.suptitle(material.name)
    for number, (x, y, x_label, y_label, scale) in enumerate(drawn, start=1):
        _draw(figure.add_subplot(rows, columns, number), x, y, (x_label, y_label), scale)
    figure.savefig(path, dpi=120)


def _line(material: Material, system: str) -> tuple[str, ...]:
    water = "-"
    if material.storage is not None:
        at_80 = pore_water.suction(0.80, pore_water.REFERENCE_TEMPERATURE)
        held = float(pore_water.water_content(material.storage, at_80))
        value, unit = units.convert(held, "water content", system)
        water = f"{value:.3g} {unit}"
    return (
        material.name,
        units.show(material.density, "density", system),
        units.show(_near_room(material.conductivity), "conductivity", system),
        f"{STILL_AIR_PERMEABILITY / _at_half(material.permeability):.3g}",
        water,
        material.confidence,
    )


def _sheet_line(sheet: Sheet, system: str) -> tuple[str, ...]:
    permeance = _at_half(sheet.permeance)
    layer = units.show(STILL_AIR_PERMEABILITY / permeance, "equivalent air-layer thickness", system)
    return sheet.name, units.show(permeance, "permeance", system), layer, sheet.confidence


def _at_half(points: Points) -> float:
    """Vapour value at 50 % humidity, read log-linearly as the solver does."""
    return float(np.exp(np.interp(0.5, points.x, np.log(points.y))))


def _near_room(points: Points) -> float:
    return float(np.interp(297.15, points.x, points.y))


def _aligned(rows: Iterable[tuple[str, ...]]) -> str:
    rows = list(rows)
    widths = [max(map(len, column)) for column in zip(*rows)]
    cells = [[c.ljust(w) if i == 0 else c.rjust(w) for i, (c, w) in enumerate(zip(row, widths))]
             for row in rows]  # fmt: skip
    return "\n".join("  ".join(row).rstrip() for row in cells)


def _material_rows(material: Material, system: str) -> list[Row]:
    def show(value: float, kind: str) -> str:
        return units.show(value, kind, system)

    rows = [
        ("density", show(material.density, "density"), "density"),
        ("specific heat, dry", show(material.specific_heat, "specific heat"), "specific_heat"),
        ("porosity", show(material.porosity, "fraction"), "porosity"),
        *_conductivity_rows(material, system),
        ("vapour permeability", _curve(material.permeability, "permeability", system), "vapour"),
    ]
    if material.storage is not None:
        rows.append(("water held", _storage_text(material.storage, system), "storage"))
    if material.liquid is not None:
        rows.append(("liquid transport", _liquid_text(material.liquid, system), "liquid"))
    if material.air_permeability is not None:
        value = show(material.air_permeability, "air permeability")
        rows.append(("air permeability", value, "air_permeability"))
    if material.mould_class:
        rows.append(("mould class", material.mould_class, "mould_class"))
    rows.append(("emittance", f"{material.emittance:g}", "emittance"))
    if material.solar_absorptance is not None:
        rows.append(("solar absorptance", f"{material.solar_absorptance:g}", "solar_absorptance"))
    return rows


def _conductivity_rows(material: Material, system: str) -> list[Row]:
    points = material.conductivity
    pairs = zip(points.x, points.y)
    shown = "; ".join(
        f"{units.show(y, 'conductivity', system)} at {units.show(x, 'temperature', system)}"
        for x, y in pairs
    )
    rows = [("conductivity", shown, "conductivity")]
    if material.conductivity_per_water:
        gain = units.show(material.conductivity_per_water, "conductivity per water content", system)
        rows.append(("its gain with water", gain, ""))
    return rows


def _sheet_rows(sheet: Sheet, system: str) -> list[Row]:
    rows = [("vapour permeance", _curve(sheet.permeance, "permeance", system), "vapour")]
    if sheet.air_permeance is not None:
        value = units.show(sheet.air_permeance, "air permeance", system)
        rows.append(("air permeance", value, "air_permeance"))
    rows.append(("emittance", f"{sheet.emittance:g}", "emittance"))
    return rows


def _curve(points: Points, kind: str, system: str) -> str:
    if len(points.x) == 1:
        return units.show(points.y[0], kind, system)
    return "; ".join(
        f"{units.show(y, kind, system)} at {100 * x:.4g} %" for x, y in zip(points.x, points.y)
    )


def _storage_text(storage: Storage, system: str) -> str:
    def water(held: float) -> str:
        value, unit = units.convert(held, "water content", system)
        return f"{value:.4g} {unit}"

    full = f"{water(storage.saturation)} saturated"
    if isinstance(storage, TwoPointStorage):
        return f"{water(storage.at_80_percent)} at 80 %; {full}"
    if isinstance(storage, RetentionCurve):
        terms = "; ".join(
            f"weight {t.weight:g}, alpha {t.alpha:g} 1/Pa, n {t.n:g}, m {t.m:g}"
            for t in storage.terms
        )
        return f"{full}; retention curve: {terms}"
    pairs = zip(storage.relative_humidity, storage.water_content)
    return "; ".join([*(f"{water(w)} at {100 * phi:.4g} %" for phi, w in pairs), full])


def _liquid_text(liquid: LiquidTransport, system: str) -> str:
    match liquid:
        case UptakeCoefficient():
            shown = units.show(liquid.value, "uptake coefficient", system)
            return f"uptake coefficient {shown}"
        case ConstantDiffusivity():
            return f"diffusivity {units.show(liquid.value, 'diffusivity', system)}"
    pairs = zip(liquid.conductivity, liquid.water_content)
    return "; ".join(f"{k:.3g} s at {units.show(w, 'water content', system)}" for k, w in pairs)


Panel = tuple[np.ndarray, np.ndarray, str, str, str]


def _sheet_panels(sheet: Sheet) -> list[Panel]:
    humidity = np.linspace(0.0, 1.0, 201)
    permeance = _log_linear(sheet.permeance, humidity)
    label = "permeance, ng/(m2 s Pa)"
    scale = _scale(permeance)
    return [(100 * humidity, 1e12 * permeance, "mean humidity of its faces, %", label, scale)]


def _material_panels(material: Material) -> list[Panel]:
    humidity = np.linspace(0.0, 1.0, 201)
    permeability = 1e12 * _log_linear(material.permeability, humidity)
    celsius = np.linspace(-20.0, 40.0, 121)
    points = material.conductivity
    conductivity = np.interp(celsius + 273.15, points.x, points.y)
    label = "permeability, ng/(m s Pa)"
    panels: list[Panel] = [
        (celsius, conductivity, "temperature, degC", "conductivity, W/(m K)", "linear"),
        (100 * humidity, permeability, "humidity, %", label, _scale(permeability)),
    ]
    if material.storage is not None:
        panels.extend(_storage_panels(material.storage))
        if material.liquid is not None:
            panels.append(_liquid_panel(material.liquid, material.storage))
    return panels


def _storage_panels(storage: Storage) -> list[Panel]:
    """Against humidity, where people read it, and against suction, where it is resolved."""
    humidity = np.append(np.linspace(0.01, 0.99, 197), 1.0 - np.geomspace(0.0099, 1e-5, 60))
    suction = pore_water.suction(humidity, pore_water.REFERENCE_TEMPERATURE)
    water = pore_water.water_content(storage, suction)
    return [
        (100 * humidity, water, "humidity, %", "water, kg/m3", "linear"),
        (suction / 1e6, water, "suction, MPa (1.5 at 98.9 %)", "water, kg/m3", "log-log"),
    ]


def _liquid_panel(liquid: LiquidTransport, storage: Storage) -> Panel:
    water = np.linspace(0.0, storage.saturation, 201)
    if isinstance(liquid, ConductivityPoints):
        y, label = liquid_water.conductivity(liquid, water), "liquid conductivity, s"
    else:
        y = liquid_water.diffusivity(liquid, water, storage)
        label = "liquid diffusivity, m2/s"
    return water, y, "water, kg/m3", label, "log"


def _scale(curve: np.ndarray) -> str:
    """Logarithmic where a curve spans more than a factor of 20, from zero otherwise."""
    return "log" if curve.max() > 20.0 * curve.min() else "linear"


def _log_linear(points: Points, at: np.ndarray) -> np.ndarray:
    return np.exp(np.interp(at, points.x, np.log(points.y)))


def _draw(axis: Axes, x: np.ndarray, y: np.ndarray, labels: tuple[str, str], scale: str) -> None:
    axis.plot(x, y, color="black", linewidth=1.5)
    axis.set(xlabel=labels[0], ylabel=labels[1])
    axis.set_yscale("linear" if scale == "linear" else "log")
    axis.set_xscale("log" if scale == "log-log" else "linear")
    if scale == "linear":
        axis.set_ylim(bottom=0.0)
    axis.grid(visible=True, which="both", alpha=0.2)

"""Wood and boards: moisture content by mass, and what the air would make it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.checks.finding import Finding, missing
from assembly_sim.checks.planes import (
    face_planes,
    has_year,
    humidity_at,
    when,
    year_around,
    years_of,
)
from assembly_sim.envelope.rain import spared_layers
from assembly_sim.envelope.resistances import material_on_path
from assembly_sim.model import AirLayer, Assembly, Layer, Material, Membrane
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.physics.pore_water import suction, water_content
from assembly_sim.solver.result import PathResult, Result

Array = NDArray[np.float64]

Filled = Layer | AirLayer  # what wood may fill: a layer, or studs in an empty cavity
WOOD_KINDS = frozenset({"wood", "wood-based board"})


def wood_handbook_moisture(temperature: ArrayLike, relative_humidity: ArrayLike) -> Array:
    """Equilibrium moisture content of wood, kg/kg, from K and 0-1 (any shapes that broadcast).

    M = (1800/W) [K h/(1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2)/(1 + K1 K h + K1 K2 K^2 h^2)] %
    (Wood Handbook, USDA FPL, eq. 4-5; constants for degC from secondary sources). For solid wood
    below about 95 %; boards with glue hold less. A cross-check, never used in the run.
    """
    t = np.asarray(temperature, dtype=float) - ICE_POINT
    weight = 349.0 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * np.asarray(relative_humidity, dtype=float)
    single, double = k1 * kh, k1 * k2 * kh**2
    return 18.0 / weight * (kh / (1.0 - kh) + (single + 2.0 * double) / (1.0 + single + double))


def isotherm_moisture(material: Material, humidity: ArrayLike, temperature: ArrayLike) -> Array:
    """Moisture content (kg/kg) by a material's own isotherm at humidities 0-1 and K.

    Above saturation it holds what it holds at saturation. Where there is ice the humidity is that
    over ice, and this is what stays in the cell walls and pores beside the ice.
    """
    if material.storage is None:
        raise ValueError(f"{material.name} has no storage curve")
    wetness = suction(np.minimum(humidity, 1.0), temperature)
    return water_content(material.storage, wetness) / material.density


@dataclass(frozen=True)
class BoardMoisture:
    """Moisture content (kg/kg) of one wood layer along a path.

    layer: its index; moisture: (hours,) mean over the thickness at each hour's end; faces:
    (hours, 2) at its outer and inner face by its own isotherm.
    """

    layer: int
    name: str
    material: Material
    moisture: Array
    faces: Array

    def hours_above(self, limit: float, hours: slice) -> int:
        """Hours of a span in which the layer's mean exceeds `limit` (kg/kg)."""
        return int((self.moisture[hours] > limit).sum())


def path_boards(assembly: Assembly, path: PathResult) -> tuple[BoardMoisture, ...]:
    """Layers of wood or wood-based board along a path that have a storage curve."""
    return tuple(each_board(assembly, path))


def each_board(assembly: Assembly, path: PathResult) -> Iterator[BoardMoisture]:
    """The same one by one: each holds hourly arrays of its own."""
    return (
        _board(assembly, path, index, layer, material)
        for index, layer, material in _wood_layers(assembly, path)
        if material.storage is not None
    )


def _wood_layers(assembly: Assembly, path: PathResult) -> list[tuple[int, Filled, Material]]:
    layers = []
    for index, layer in enumerate(assembly.layers):
        material = material_on_path(layer, path.name)
        if isinstance(layer, Membrane) or material is None:
            continue
        if material.kinds & WOOD_KINDS:
            layers.append((index, layer, material))
    return layers


def _board(
    assembly: Assembly,
    path: PathResult,
    index: int,
    layer: Filled,
    material: Material,
) -> BoardMoisture:
    faces = [
        isotherm_moisture(material, humidity_at(path, i), path.temperature[:, i])
        for i in face_planes(assembly, path, index)
    ]
    mean = path.layer_water[:, index] / (layer.thickness * material.density)
    bridged = isinstance(layer, AirLayer) or material is not layer.material
    name = f"{material.name} in {layer.name}" if bridged else layer.name
    return BoardMoisture(index, name, material, mean, np.stack(faces, axis=1))


def wood_findings(
    result: Result,
    assembly: Assembly,
    path: PathResult,
    boards: tuple[BoardMoisture, ...],
) -> tuple[Finding, ...]:
    """Peak moisture of every wood layer over the run, by mass."""
    lacking = tuple(
        missing("wood moisture", layer.name, path.name, f"a storage curve of {material.name}")
        for _, layer, material in _wood_layers(assembly, path)
        if material.storage is None
    )
    peaks = tuple(_peak(result, path, assembly, board) for board in boards)
    return lacking + peaks


def _peak(
    result: Result,
    path: PathResult,
    assembly: Assembly,
    board: BoardMoisture,
) -> Finding:
    limits = result.case.thresholds
    hour = int(board.moisture.argmax())
    year, last = year_around(result, hour), years_of(result)[-1]
    return Finding(
        check="wood moisture",
        place=board.name,
        path=path.name,
        value=float(board.moisture[hour]),
        limit=limits.wood_moisture,
        unit="kg/kg",
        **when(result, hour),
        decides=board.layer not in spared_layers(assembly),
        settled=float(board.moisture[last].max()),
        counts=(
            ("hours_over_limit", board.hours_above(limits.wood_moisture, year)),
            ("hours_over_decay_moisture", board.hours_above(limits.wood_decay_moisture, year)),
            *([("lowest_of_last_year", float(board.moisture[last].min()))] * has_year(result)),
            *_steps(result, path, assembly, board, year).items(),
        ),
    )


def _steps(
    result: Result, path: PathResult, assembly: Assembly, board: BoardMoisture, year: slice
) -> dict[str, float]:
    """Steps that hours are counted above, and what the last year's air would give solid wood."""
    limits, last = result.case.thresholds, years_of(result)[-1]
    at = list(face_planes(assembly, path, board.layer))
    humidity = np.mean([humidity_at(path, i)[last].mean() for i in at])
    expected = wood_handbook_moisture(path.temperature[last, at].mean(), min(1.0, float(humidity)))
    soaked = limits.wood_saturated_moisture
    return {
        "wood_moisture": limits.wood_moisture,
        "decay_moisture": limits.wood_decay_moisture,
        "saturated_moisture": soaked,
        "hours_over_saturated_moisture": float(board.hours_above(soaked, year)),
        "wettest_face": float(board.faces.max()),
        "mean_of_last_year": float(board.moisture[last].mean()),
        "handbook_moisture": float(expected),
    }

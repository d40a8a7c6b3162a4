"""Frost: freeze-thaw of wet masonry, hours below 0 degC at a named depth, time for a pipe."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from assembly_sim.checks.finding import Finding, missing
from assembly_sim.checks.pipes import frost_hours, pipe_time_constant
from assembly_sim.checks.planes import (
    harmed_at,
    humidity_at,
    last_year,
    per_year,
    place_of,
    when,
    years_of,
)
from assembly_sim.checks.wood import isotherm_moisture
from assembly_sim.model import Assembly, Layer, Material, NamedDepth
from assembly_sim.physics.constants import ICE_POINT, WATER_DENSITY
from assembly_sim.solver.result import PathResult, Plane, Result

Array = NDArray[np.float64]


def freezings(temperature: Array, freezes_below: float) -> tuple[NDArray, NDArray]:
    """Hours at which a thawed place freezes, and for each the last thawed hour before it.

    temperature: (hours,) K. A place is frozen below `freezes_below` (K; pore water freezes at -2
    to -3 degC, Fagerlund 1977, from memory) and thawed above 0 degC; between the two nothing
    changes, so that swings about one temperature do not count.
    """
    state = np.where(temperature > ICE_POINT, 1, np.where(temperature < freezes_below, -1, 0))
    turns = np.flatnonzero(state)
    falls = np.flatnonzero((state[turns[1:]] == -1) & (state[turns[:-1]] == 1))
    return turns[falls + 1], turns[falls]


def saturation_degree(material: Material, humidity: Array, temperature: Array) -> Array:
    """Share of all pores (0-1) that is filled at a humidity 0-1 and K, by the material's isotherm.

    Of all pores, as Fagerlund's critical saturation is: capillary saturation leaves some empty.
    """
    content = material.density * isotherm_moisture(material, humidity, temperature)
    return content / (material.porosity * WATER_DENSITY)


def hours_to_freezing(
    inner_diameter: float,
    outer_diameter: float,
    insulation: float,
    conductivity: float,
    water: float,
    air: float,
) -> float:
    """Hours until still water in an insulated pipe cools from `water` to 0 degC in `air` (K).

    rho c pi (D1/2)^2 R ln[(t_i - t_a) / (t_f - t_a)] / 3600, R = ln(D3/D2) / (2 pi k) m K/W
    (ASHRAE Fundamentals 2021, ch. 23); lengths m, k W/(m K). Pipe wall and film are left out, and
    so are latent heat and supercooling: it is neither the time to burst nor a promise.
    Raises ValueError unless water is above and air below 0 degC and there is insulation.
    """
    if not (water > ICE_POINT > air and insulation > 0.0 and conductivity > 0.0):
        raise ValueError("needs water above and air below 0 degC, and insulation on the pipe")
    constant = pipe_time_constant(inner_diameter, outer_diameter, insulation, conductivity)
    return constant * math.log((water - air) / (ICE_POINT - air))


def temperature_at(
    assembly: Assembly, path: PathResult, index: int, layer: Layer, probe: NamedDepth
) -> Array:
    """Temperature (K, (hours,)) at a named depth of the layer of this index.

    From the plane that bears its name; where there is none, linear between the planes around it.
    Depths count from the layer's inner face, on which a pipe lies where the layer is missing, thin
    or pressed together; a pipe outside all that is left has the temperature of the outermost face.
    """
    inside = len(assembly.layers)
    own = [at for at, plane in enumerate(path.planes) if plane.index <= inside]
    for position, plane in enumerate(path.planes):
        if position not in own and plane.name == probe.name:
            return path.temperature[:, position]
    indices = [path.planes[at].index for at in own]
    first = max((one for one in indices if one <= index), default=indices[0])
    last = min((one for one in indices if one > index), default=indices[-1])
    around = [at for at, one in zip(own, indices) if first <= one <= last]
    depths = np.array([path.planes[at].depth for at in around])
    return _between(path.temperature[:, around], depths, layer.thickness - probe.depth)


def _between(temperature: Array, depths: Array, from_inside: float) -> Array:
    """Temperature (hours,) of planes (hours, planes) this far (m) from the innermost, linear."""
    depth = max(depths[-1] - from_inside, depths[0])
    if len(depths) == 1:
        return temperature[:, 0]
    before = int(np.clip(np.searchsorted(depths, depth, "right") - 1, 0, len(depths) - 2))
    span = depths[before + 1] - depths[before]
    share = (depth - depths[before]) / span if span > 0.0 else 1.0
    return (1.0 - share) * temperature[:, before] + share * temperature[:, before + 1]


def frost_findings(result: Result, assembly: Assembly, path: PathResult) -> tuple[Finding, ...]:
    """Freeze-thaw cycles at every plane of masonry, and frost hours at every named depth."""
    cycles = tuple(
        _cycles(result, assembly, path, position, material)
        for position, plane in enumerate(path.planes)
        for material in _masonry_at(plane)
    )
    return cycles + _probes(result, assembly, path)


def _masonry_at(plane: Plane) -> list[Material]:
    """Masonry that a plane touches, once where both sides are the same."""
    inner = () if plane.inner_material is plane.outer_material else (plane.inner_material,)
    touching = (plane.outer_material, *inner)
    return [m for m in touching if m is not None and "masonry" in m.kinds]


def _cycles(
    result: Result, assembly: Assembly, path: PathResult, position: int, material: Material
) -> Finding:
    """Cycles of the worst year; the outer face of a mass wall counts, cladding does not."""
    check, plane = "freeze-thaw cycles above critical saturation", path.planes[position]
    place = f"{material.name} at {place_of(plane)}"
    if material.storage is None:
        return missing(check, place, path.name, f"a storage curve of {material.name}")
    limits = result.case.thresholds
    temperature = path.temperature[:, position]
    phi = humidity_at(path, position)
    frozen, thawed = freezings(temperature, limits.freezing_temperature)
    # Saturation of the last thawed hour: once there is ice, the humidity is that over ice.
    filled = saturation_degree(material, phi[thawed], temperature[thawed])
    wet = frozen[filled > limits.critical_saturation]
    counts = [int(((wet >= y.start) & (wet < y.stop)).sum()) for y in years_of(result)]
    worst = years_of(result)[int(np.argmax(counts))]
    first = wet[(wet >= worst.start) & (wet < worst.stop)]
    humid = int((phi[thawed] > limits.condensation_humidity).sum())
    return Finding(
        check=check,
        place=place,
        path=path.name,
        value=max(counts),
        limit=0,
        unit=per_year(result, "cycles"),
        **when(result, int(first[0]) if len(first) else None),
        decides=any(material is one for one in harmed_at(assembly, plane)),
        settled=counts[-1],
        counts=(
            ("cycles_of_run", float(len(frozen))),
            ("humid_cycles", float(humid)),
            ("humid_from", limits.condensation_humidity),
        ),
    )


def _probes(result: Result, assembly: Assembly, path: PathResult) -> tuple[Finding, ...]:
    """Hours below 0 degC in the last year at each named depth, with the coldest."""
    return tuple(
        _probe(result, path, probe.name, temperature_at(assembly, path, index, layer, probe))
        for index, layer in enumerate(assembly.layers)
        if isinstance(layer, Layer)
        for probe in layer.probes
    )


def _probe(result: Result, path: PathResult, name: str, hourly: Array) -> Finding:
    year = last_year(result)
    temperature = hourly[year]
    hour = year.start + int(temperature.argmin())
    return Finding(
        check="hours below 0 degC",
        place=name,
        path=path.name,
        value=frost_hours(temperature).hours,
        limit=0,
        unit=per_year(result, "h"),
        **when(result, hour),
        counts=(("coldest_hour", float(temperature.min())),),
    )

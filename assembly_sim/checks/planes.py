"""What every check reads off a run: humidities at planes, the last year, faces of layers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary import period
from assembly_sim.boundary.period import whole_years
from assembly_sim.envelope.rain import cladding_layers, spared_layers
from assembly_sim.envelope.resistances import material_on_path
from assembly_sim.model import AirLayer, Assembly, Material, Membrane
from assembly_sim.solver.result import PathResult, Plane, Result

Array = NDArray[np.float64]

TENDER = frozenset({"very sensitive", "sensitive", None})
SOFTENS = "gypsum"
"""Kind of what loses its strength in water, whatever grows on it (common practice, no source)."""
PAPER = "paper"
PAPER_CLASS = "sensitive"
"""Mould class of a sheet of that kind: paper-coated products, ANSI/ASHRAE 160 (from memory)."""


def humidity_at(path: PathResult, position: int) -> Array:
    """Relative humidity over liquid at one plane of a path, (hours,), 0-1.

    The convention of weather files, isotherms and the mould index; what frost and condensate obey
    is over ice below 0 degC. The mean of the hour's humidities, which no pore passes 1 with.
    """
    return np.asarray(path.relative_humidity[:, position])


def last_year(result: Result) -> slice:
    """The last whole year of a run, or all its hours where it holds less than one."""
    return years_of(result)[-1]


def years_of(result: Result) -> tuple[slice, ...]:
    """The whole years of a run, counted back from its end; all its hours where it holds none."""
    return whole_years(result.case.climate, result.hours) or (slice(0, result.hours),)


def has_year(result: Result) -> bool:
    """Whether a run holds a whole year: a window of weather may not, nor a run that stopped."""
    return bool(whole_years(result.case.climate, result.hours))


def last_span(result: Result) -> str:
    """What counts of the last year are counted over, in words."""
    return "the last year" if has_year(result) else "the run"


def per_year(result: Result, unit: str) -> str:
    """The unit of a count of the last year, which is no count a year where there is none."""
    return f"{unit}/year" if has_year(result) else unit


def year_around(result: Result, hour: int) -> slice:
    """The whole year of a run that an hour lies in, or its first."""
    years = years_of(result)
    return next((year for year in years[::-1] if year.start <= hour), years[0])


def year_number(result: Result, hour: int) -> int:
    """Year of the run that an hour lies in, from 1."""
    return period.year_number(result.case.climate, hour)


def when(result: Result, hour: int | None) -> dict[str, Any]:
    """Hour, month and year of a finding, all None where it has no hour."""
    if hour is None:
        return {"hour": None, "month": None, "year": None}
    return {
        "hour": hour,
        "month": int(result.month[hour]),
        "year": year_number(result, hour),
    }


def hour_means(at_hour_end: Array) -> Array:
    """Means of the hours of a quantity given at their ends and linear between, (hours,)."""
    before = np.concatenate((at_hour_end[:1], at_hour_end[:-1]))
    return 0.5 * (before + at_hour_end)


def place_of(plane: Plane) -> str:
    """A plane in words, with its side where its two sides differ."""
    return plane.name if plane.side == "both" else f"{plane.name}, {plane.side} side"


def wet_by_design(assembly: Assembly, plane: Plane) -> bool:
    """Whether water here is weather: free water, wet hours and hours of risk never decide.

    So it is on the outer surface, out to the drainage plane, on the back of cladding or roofing
    towards a sheet or air, and where outdoor air washes the plane. Harm decides there as anywhere.
    A named depth lies inside a material and is no plane for water to stand on.
    """
    back = plane.inner_material is None and plane.index - 1 in cladding_layers(assembly)
    outside = plane.index == 0 or plane.drained or back or plane.reach == "outdoors"
    return outside or plane.index > len(assembly.layers)


def harmed_at(assembly: Assembly, plane: Plane) -> tuple[Material, ...]:
    """Materials that a plane touches and that water may harm there: all but cladding and roofing.

    The back of siding that is the wall itself counts, its face does not.
    The same material on both sides comes once; a named depth touches none.
    """
    if plane.index > len(assembly.layers):
        return ()
    cladding, spared = cladding_layers(assembly), spared_layers(assembly)
    outer, inner = plane.outer_material, plane.inner_material
    harmed = [outer] if plane.index - 1 not in spared else []
    harmed += [inner] if plane.index not in cladding else []
    return tuple({id(one): one for one in harmed if one is not None}.values())


def water_harms(assembly: Assembly, plane: Plane) -> bool:
    """Whether a side is wood, paper, gypsum or the like: mould grows readily, or is unknown.

    Between foam, foil, fibre and metal a film matters only once it is enough to run off.
    """
    sides = (plane.outer_material, plane.inner_material)
    tender = (one.mould_class in TENDER or SOFTENS in one.kinds for one in sides if one is not None)
    return any(tender) or touches_paper(assembly, plane)


def touches_paper(assembly: Assembly, plane: Plane) -> bool:
    """Whether a sheet at a plane is of paper: a facing, not paint or a film."""
    touching = assembly.layers[max(0, plane.index - 1) : plane.index + 1]
    return plane.index <= len(assembly.layers) and any(
        isinstance(one, Membrane) and PAPER in one.sheet.kinds for one in touching
    )


def room_surface(assembly: Assembly, path: PathResult) -> int:
    """Position in `path.planes` of the surface that faces the room."""
    inside = len(assembly.layers)
    return max(
        (i for i, plane in enumerate(path.planes) if plane.index <= inside),
        key=lambda i: path.planes[i].index,
    )


def room_ground(assembly: Assembly, path: PathResult) -> Material | None:
    """The innermost material of a path, on which sheets that face the room lie; None: air."""
    solid = next(one for one in assembly.layers[::-1] if not isinstance(one, Membrane))
    return None if isinstance(solid, AirLayer) else material_on_path(solid, path.name)


def face_planes(assembly: Assembly, path: PathResult, layer: int) -> tuple[int, int]:
    """Positions in `path.planes` of the outer and the inner face of the layer of this index.

    Plane j lies between layers j - 1 and j; of two with one index, the one that touches it.
    """
    material = material_on_path(assembly.layers[layer], path.name)

    def nearest(index: int, touching: Callable[[Plane], Material | None]) -> int:
        def strangeness(position: int) -> tuple[int, bool]:
            plane = path.planes[position]
            return abs(plane.index - index), touching(plane) != material

        return min(range(len(path.planes)), key=strangeness)

    return (
        nearest(layer, lambda plane: plane.inner_material),
        nearest(layer + 1, lambda plane: plane.outer_material),
    )

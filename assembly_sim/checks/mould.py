"""Mould growth index 0-6, hour by hour, on every plane.

Equations of Hukka and Viitanen, Wood Sci. Technol. 33 (1999) 475, with the sensitivity classes of
Ojanen et al., Buildings XI (2010), in the hourly form of ANSI/ASHRAE 160-2021; all from memory.
The scale: 0 no growth, 1 microscope only, 3 visible, below 10 % cover, 6 heavy, all covered.
It speaks of growth on a clean surface of that class; dirt, paper, treatment and time without
oxygen are left out. The index is counted through the whole run without a restart.

**The term for the species.** Hukka and Viitanen slow spruce down by 0.14 W in the exponent of time
(W 0 pine, 1 spruce). For the classes two readings are about: W = 0 throughout, since Ojanen et al.
define a class's factor as time of pine over its own, 1 / 0.578 for `sensitive`, which with W = 1
would be 1.99 instead of 1.73; or W = 1 for all but `very sensitive`, as we recall ANSI/ASHRAE 160.
Neither text was at hand. W = 0 is taken: it agrees with the definition, and grows 15 % faster.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.checks.finding import Finding, missing
from assembly_sim.checks.planes import (
    PAPER_CLASS,
    harmed_at,
    has_year,
    humidity_at,
    place_of,
    room_ground,
    room_surface,
    touches_paper,
    when,
    year_number,
    years_of,
)
from assembly_sim.model import Assembly, Material
from assembly_sim.physics.constants import ICE_POINT
from assembly_sim.solver import warm_up
from assembly_sim.solver.kernel import hours
from assembly_sim.solver.result import PathResult, Result

Array = NDArray[np.float64]

HORIZON = 10
"""Years to which an index that still rises is carried on, ours."""
RISE = 0.02
"""A rise of the index in a year that counts as one, ours."""


@dataclass(frozen=True)
class Sensitivity:
    """How readily a class of surfaces grows mould.

    Factors on the growth of pine sapwood below and from index 1; highest index A + B r - C r^2;
    lowest humidity (%) for growth, held above `plateau_from` (degC).
    """

    factor_below_1: float
    factor_from_1: float
    a: float
    b: float
    c: float
    lowest_humidity: float
    plateau_from: float


SENSITIVITY = {
    "very sensitive": Sensitivity(1.0, 2.0, 1.0, 7.0, 2.0, 80.0, 20.0),
    "sensitive": Sensitivity(0.578, 0.386, 0.3, 6.0, 1.0, 80.0, 20.0),
    "medium resistant": Sensitivity(0.072, 0.097, 0.0, 5.0, 1.5, 85.0, 7.0),
    "resistant": Sensitivity(0.033, 0.014, 0.0, 3.0, 1.0, 85.0, 7.0),
}
FORM = "ANSI/ASHRAE 160 form without its term for spruce"


def critical_humidity(celsius: ArrayLike, surface: Sensitivity) -> Array:
    """Humidity (%) above which mould grows at a temperature in degC.

    -0.00267 t^3 + 0.160 t^2 - 3.13 t + 100, never below the class's lowest, which holds from
    20 degC (very sensitive and sensitive) or 7 degC (the others) upward.
    """
    t = np.asarray(celsius, dtype=float)
    curve = ((-0.00267 * t + 0.160) * t - 3.13) * t + 100.0
    held = (t > surface.plateau_from) | (curve < surface.lowest_humidity)
    return np.where(held, surface.lowest_humidity, curve)


def growth_rate(celsius: ArrayLike, humidity: ArrayLike) -> Array:
    """Growth per hour on pine at an index below 1, far from its highest.

    1 / (168 exp(-0.68 ln t - 13.9 ln RH + 66.02)), t in degC, RH in %: sawn pine (W = SQ = 0).
    """
    log_weeks = -0.68 * np.log(celsius) - 13.9 * np.log(humidity) + 66.02
    return np.asarray(np.exp(-log_weeks) / 168.0)


def highest_index(celsius: ArrayLike, humidity: ArrayLike, surface: Sensitivity) -> Array:
    """Index that constant conditions (degC, %) lead to: A + B r - C r^2.

    r = (RHcrit - RH) / (RHcrit - 100): 0 at the critical humidity, 1 in saturated air.
    """
    critical = critical_humidity(celsius, surface)
    r = (critical - np.asarray(humidity)) / (critical - 100.0)
    return surface.a + surface.b * r - surface.c * r**2


def decline(hours: ArrayLike, factor: float) -> Array:
    """Index lost after `hours` without growth: 0.00133 an hour for 6 h, none to 24 h, then half.

    `factor` scales it to the material (1 pine, 0.1 almost no decline).
    """
    h = np.asarray(hours, dtype=float)
    return factor * (0.00133 * np.minimum(h, 6.0) + 0.000667 * np.maximum(h - 24.0, 0.0))


def mould_index(
    temperature: Array, humidity: Array, surface: Sensitivity, decline_factor: float
) -> Array:
    """Index at each hour's end, (hours,), from K and 0-1 of the same shape.

    Only hours of growth are stepped, decline has a closed form. Raises ValueError where a state is
    not a number: no growth would be a false all-clear.
    """
    unknown = np.flatnonzero(~(np.isfinite(temperature) & np.isfinite(humidity)))
    if len(unknown):
        raise ValueError(f"no mould index: temperature or humidity of hour {unknown[0]} is unknown")
    celsius = temperature - ICE_POINT
    # Air on a surface holds no more than saturated air does; what is above is round-off and film.
    percent = np.minimum(100.0 * humidity, 100.0)
    hours = np.flatnonzero((percent > surface.lowest_humidity) & (celsius > 0.0) & (celsius < 50.0))
    hours = hours[percent[hours] > critical_humidity(celsius[hours], surface)]
    if not len(hours):
        return np.zeros(len(celsius))
    t, rh = celsius[hours], percent[hours]
    idle = np.diff(hours, prepend=hours[0] - 1) - 1
    grown = _grow(
        growth_rate(t, rh),
        highest_index(t, rh, surface),
        decline(idle, decline_factor),
        surface,
    )
    bounds = np.append(hours, len(celsius))
    last = np.repeat(np.arange(len(hours)), np.diff(bounds))
    since = np.arange(hours[0], len(celsius)) - hours[last]
    after = np.maximum(grown[last] - decline(since, decline_factor), 0.0)
    return np.concatenate((np.zeros(hours[0]), after))


def _grow(rates: Array, highest: Array, declines: Array, surface: Sensitivity) -> Array:
    """Index after each hour of growth; `declines` is what was lost since the one before."""
    warm_up.ready()
    trace = np.empty(len(rates))
    hours.grow(rates, highest, declines, surface.factor_below_1, surface.factor_from_1, trace)
    return trace


def most_sensitive(materials: Iterable[Material | None]) -> str | None:
    """The most sensitive class among materials; None where none has one."""
    classes = {material.mould_class for material in materials if material is not None}
    return next((name for name in SENSITIVITY if name in classes), None)


def surface_class(assembly: Assembly, path: PathResult, position: int) -> str | None:
    """The more sensitive class of what a plane touches; None where none has one.

    Cladding and roofing count only where they touch nothing that water could harm.
    """
    plane = path.planes[position]
    return _harmed_class(assembly, path, position) or most_sensitive(
        (plane.outer_material, plane.inner_material)
    )


def _harmed_class(assembly: Assembly, path: PathResult, position: int) -> str | None:
    """The most sensitive class of what mould may harm at a plane, sheets of paper too."""
    found = most_sensitive(_harmed(assembly, path, position))
    if not touches_paper(assembly, path.planes[position]):
        return found
    return next(name for name in SENSITIVITY if name in (found, PAPER_CLASS))


def _harmed(assembly: Assembly, path: PathResult, position: int) -> tuple[Material | None, ...]:
    """What mould may harm at a plane: of sheets that face the room, what they lie on.

    Paint and wallpaper have no class of their own. Behind a tight one its ground stays dry while
    mould grows on its face, so the face is taken to be as sensitive as the ground (ours).
    """
    harmed = harmed_at(assembly, path.planes[position])
    if harmed or position != room_surface(assembly, path):
        return harmed
    return (room_ground(assembly, path),)


def plane_mould_index(
    assembly: Assembly, path: PathResult, position: int, decline_factor: float
) -> Array | None:
    """Index at each hour's end at one plane of a path, (hours,); None without a class."""
    name = surface_class(assembly, path, position)
    if name is None:
        return None
    return mould_index(
        path.temperature[:, position],
        humidity_at(path, position),
        SENSITIVITY[name],
        decline_factor,
    )


def path_mould_index(
    assembly: Assembly, path: PathResult, decline_factor: float
) -> NDArray[np.floating]:
    """Index at each hour's end at every plane of a path, (hours, planes); NaN without a class."""
    index = np.full(path.temperature.shape, np.nan, np.float32)
    for position in range(len(path.planes)):
        found = plane_mould_index(assembly, path, position, decline_factor)
        if found is not None:
            index[:, position] = found
    return index


def mould_findings(result: Result, assembly: Assembly, path: PathResult) -> tuple[Finding, ...]:
    """Highest index of each plane over the whole run, against the limit (visible growth, 3)."""
    return tuple(_finding(result, assembly, path, i) for i in range(len(path.planes)))


def _finding(result: Result, assembly: Assembly, path: PathResult, position: int) -> Finding:
    plane, limits = path.planes[position], result.case.thresholds
    name = surface_class(assembly, path, position)
    if name is None:
        return missing("mould index", place_of(plane), path.name, "a mould_class on either side")
    index = plane_mould_index(assembly, path, position, limits.mould_decline)
    assert index is not None
    hour, last = int(index.argmax()), years_of(result)[-1]
    through = "all years" if has_year(result) else "the run"
    return Finding(
        check="mould index",
        place=place_of(plane),
        path=path.name,
        value=float(index[hour]),
        limit=limits.mould_index,
        **when(result, hour),
        decides=_harmed_class(assembly, path, position) is not None,
        note=f"{name} surface, {FORM}, counted through {through}",
        settled=float(index[last].max()),
        counts=(
            ("hours_over_limit", float((index >= limits.mould_index).sum())),
            *_projected(result, path, position, index, SENSITIVITY[name]),
        ),
    )


def _projected(
    result: Result, path: PathResult, position: int, index: Array, surface: Sensitivity
) -> tuple[tuple[str, float], ...]:
    """Where an index leads that still rises: its highest, and the year of it, by `HORIZON`.

    A slow rise must not end with the run: its last year is repeated. The model rests on
    experiments of a year or two; so far ahead it warns and does not prove.
    """
    limits, years = result.case.thresholds, years_of(result)
    last = years[-1]
    if not rises(index, last):
        return ()
    temperature, humidity = path.temperature[:, position], humidity_at(path, position)
    repeated = np.concatenate((np.arange(len(index)), repeating(last, len(years))))
    longer = mould_index(temperature[repeated], humidity[repeated], surface, limits.mould_decline)
    over = np.flatnonzero(longer >= limits.mould_index)
    at = int(over[0]) if len(over) else int(longer.argmax())
    return (
        ("projected_index", float(longer.max())),
        ("projected_year", float(year_number(result, at))),
    )


def rises(index: Array, last: slice) -> bool:
    """Whether the index is higher at the end of the last year than at its start, beyond noise."""
    return last.start > 0 and bool(index[-1] - index[last.start - 1] > RISE)


def repeating(last: slice, years: int) -> NDArray[np.int64]:
    """Hours of the last year over and over, as many as a run of `years` lacks to `HORIZON`."""
    return np.tile(np.arange(last.start, last.stop), max(0, HORIZON - years))

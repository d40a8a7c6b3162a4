"""Interstitial condensation month by month, on a taut string below saturation (ISO 13788).

The vapour pressure across an assembly without storage is a straight line over the cumulative
vapour resistance; where it would exceed saturation it becomes the lower convex hull of the
saturation points, and every plane that the hull touches condenses. A plane that still holds
condensate keeps saturation and may evaporate. All of it from memory of ISO 13788:2012.

Left out, as the standard does: liquid transport, storage, air leaks, sun, changing properties.
Distances x are cumulative vapour resistances, from inside to outside: sd in m here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assembly_sim.boundary.stamps import MONTH_DAYS
from assembly_sim.envelope.resistances import (
    MAIN_PATH,
    ROUNDED_AIR_PERMEABILITY,
    steady_layers,
    vapour_thickness,
)
from assembly_sim.hand.monthly_air import MonthlyAir
from assembly_sim.model import Assembly
from assembly_sim.physics.moist_air import saturation_pressure_over_stable_phase

Array = NDArray[np.float64]

LARGEST_CUT = 0.25  # m2K/W
SECONDS = tuple(86400.0 * days for days in MONTH_DAYS)

NONE = "no condensation"
DRIES = "condenses and dries within the year"
STAYS = "does not dry within the year"


@dataclass(frozen=True)
class MonthlyCondensation:
    """A year of the method, months 1-12 in order of the calculation (start month first).

    months: (n,); rates (n, planes) and amounts (n, planes): condensed in the month and held at
    its end, kg/m2; planes are the cut points between the surfaces, from inside to outside, in
    layers `plane_layers` (index, outward, of the layer inside the plane; `at_interface` where the
    plane is that layer's outer face). peak and residual in kg/m2, summed over planes; verdict in
    words.
    """

    months: tuple[int, ...]
    rates: Array
    amounts: Array
    plane_layers: tuple[int, ...]
    at_interface: tuple[bool, ...]
    peak: float
    peak_month: int | None
    residual: float
    verdict: str


def cut_layers(
    resistances: ArrayLike, thicknesses: ArrayLike
) -> tuple[Array, Array, NDArray[np.int64]]:
    """Cut layers with R > 0.25 m2K/W into equal parts: (R, sd, layer index) of the parts.

    resistances (m2K/W) and air-layer thicknesses sd (m), both (layers,).
    """
    resistances = np.asarray(resistances, float)
    counts = np.maximum(np.ceil(resistances / LARGEST_CUT - 1e-9).astype(int), 1)
    index = np.repeat(np.arange(len(counts), dtype=np.int64), counts)
    parts = counts[index]
    return resistances[index] / parts, np.asarray(thicknesses, float)[index] / parts, index


def taut_string(x: Array, ceiling: Array, fixed: NDArray[np.bool_]) -> Array:
    """Vapour pressure (points,) over x: the lower convex hull between the fixed points.

    ceiling holds saturation, and at both ends (always fixed) the air's own vapour pressure;
    between fixed points the string may touch the ceiling and never exceeds it.
    """
    hull = _touched(x, ceiling, fixed)
    return np.interp(x, x[hull], ceiling[hull])


def _touched(x: Array, ceiling: Array, fixed: NDArray[np.bool_]) -> list[int]:
    """Points at which the taut string touches the ceiling or is held, in order."""
    hull: list[int] = []
    for i in range(len(x)):
        while len(hull) > 1 and not fixed[hull[-1]] and _above_chord(x, ceiling, hull, i):
            hull.pop()
        hull.append(i)
    return hull


def _above_chord(x: Array, y: Array, hull: list[int], c: int) -> bool:
    """Whether the hull's last point lies on or above the chord from the one before it to c."""
    a, b = hull[-2:]
    return bool((y[b] - y[a]) * (x[c] - x[a]) >= (y[c] - y[a]) * (x[b] - x[a]))


def condensing(x: Array, pressure: Array, permeability: float = 1.0) -> Array:
    """Inflow less outflow at the inner points, (points - 2,): g = delta0 d(slope of p over x)."""
    flow = -permeability * np.diff(pressure) / np.diff(x)
    return flow[:-1] - flow[1:]


def _rates(x: Array, ceiling: Array, wet: NDArray[np.bool_]) -> Array:
    """Condensation (+) and evaporation (-) at the inner points, kg/(m2 s); round-off is zero.

    Where the string does not touch it is straight, and where it touches unheld it is convex: only
    a wet plane can lose water.
    """
    hull = _touched(x, ceiling, np.concatenate(([True], wet, [True])))
    string = np.interp(x, x[hull], ceiling[hull])
    touched = np.isin(np.arange(1, len(x) - 1), hull)
    rates = np.where(touched, condensing(x, string, ROUNDED_AIR_PERMEABILITY), 0.0)
    rates = np.where(wet, rates, np.maximum(rates, 0.0))
    steepest = ceiling[1:-1] / np.minimum(np.diff(x)[:-1], np.diff(x)[1:])
    small = 1e-9 * ceiling.max() / x[-1] + 1e-12 * steepest
    return np.where(np.abs(rates) > ROUNDED_AIR_PERMEABILITY * small, rates, 0.0)


def month_end(x: Array, ceiling: Array, held: Array, seconds: float) -> Array:
    """Condensate (planes,) kg/m2 after a month that begins with `held`.

    Where a plane dries out, the month is split there and the rest calculated without it. That ends
    after as many parts as there are planes, at most, and one more: a plane that dries out lay
    above the string without it, and each later release only lowers the string (fewer points hold
    it up; to hold it where it touches does not move it). So a plane that dried out takes up
    nothing more in that month, which is what `dried` says against round-off too, and each part
    but the last adds one plane to those.
    """
    left, dried = seconds, np.zeros(len(held), dtype=bool)
    for _ in range(len(held) + 1):
        rates = np.where(dried, 0.0, _rates(x, ceiling, held > 0.0))
        drying = rates < 0.0
        time = np.min(-held[drying] / rates[drying], initial=left)
        emptied = drying & (held + rates * time <= 1e-12 * np.maximum(held, 1.0))
        held = np.where(emptied, 0.0, held + rates * time)
        dried |= emptied
        left -= time
        if left <= 0.0:
            break
    return held


def _start(x: Array, ceilings: Array) -> int | None:
    """Index of the first month with condensation after the driest month, None where none has."""
    dry = np.zeros(len(x) - 2, dtype=bool)
    wet = [bool(np.any(_rates(x, ceiling, dry) > 0.0)) for ceiling in ceilings]
    line = [np.interp(x, x[[0, -1]], ceiling[[0, -1]]) for ceiling in ceilings]
    margins = [np.min((c - p)[1:-1], initial=np.inf) for c, p in zip(ceilings, line, strict=True)]
    order = (int(np.argmax(margins)) + 1 + np.arange(12)) % 12
    return next((int(month) for month in order if wet[month]), None)


def ceilings_of(
    resistances: Array,
    air: MonthlyAir,
    surfaces: tuple[float, float],
) -> Array:
    """Saturation at the cut points by month, (12, points), with the air's pressure at both ends.

    resistances of the parts, inside to outside; surfaces: inside and outside, m2K/W.
    """
    passed = surfaces[0] + np.cumsum(resistances)
    share = passed[:-1] / (passed[-1] + surfaces[1])
    fall = air.outside_temperature - air.inside_temperature
    temperature = air.inside_temperature[:, None] + fall[:, None] * share
    saturation = saturation_pressure_over_stable_phase(temperature)
    return np.column_stack([air.inside_pressure, saturation, air.outside_pressure])


def condensation(assembly: Assembly, air: MonthlyAir, path: str = MAIN_PATH) -> MonthlyCondensation:
    """The method on one path of an assembly, permeances at 50 % RH, dry materials at 10 degC.

    Layer indices of the result count from the room; a vented air layer ends the calculation.
    """
    steady = steady_layers(assembly)
    resistances = steady.resistances[steady.paths.index(path), ::-1]
    thicknesses = [vapour_thickness(layer, path) for layer in steady.layers[::-1]]
    surfaces = (steady.inner_surface, steady.outer_surface)
    return monthly_condensation(resistances, thicknesses, air, surfaces)


def monthly_condensation(
    resistances: ArrayLike,
    thicknesses: ArrayLike,
    air: MonthlyAir,
    surfaces: tuple[float, float],
) -> MonthlyCondensation:
    """A year of ISO 13788's method (from memory).

    Layers inside to outside: resistances (m2K/W) and sd (m); surfaces: inside and outside, m2K/W.
    """
    parts, part_sd, index = cut_layers(resistances, thicknesses)
    x = np.concatenate(([0.0], np.cumsum(part_sd)))
    ceilings = ceilings_of(parts, air, surfaces)
    start = _start(x, ceilings)
    order = [((start or 0) + k) % 12 for k in range(12)]
    amounts = _year(x, ceilings, order)
    at_interface = tuple(bool(flag) for flag in np.diff(index) > 0)
    return _summary(order, amounts, tuple(int(i) for i in index[:-1]), at_interface)


def _year(x: Array, ceilings: Array, order: list[int]) -> Array:
    """Condensate at the end of each month in order, (12, planes), from a dry start."""
    held = np.zeros(len(x) - 2)
    amounts = []
    for month in order:
        held = month_end(x, ceilings[month], held, SECONDS[month])
        amounts.append(held)
    return np.array(amounts)


def _summary(
    order: list[int], amounts: Array, layers: tuple[int, ...], at_interface: tuple[bool, ...]
) -> MonthlyCondensation:
    total = amounts.sum(axis=1)
    peak, residual = float(total.max()), float(total[-1])
    first = np.vstack([np.zeros_like(amounts[:1]), amounts])
    return MonthlyCondensation(
        months=tuple(month + 1 for month in order),
        rates=np.diff(first, axis=0),
        amounts=amounts,
        plane_layers=layers,
        at_interface=at_interface,
        peak=peak,
        peak_month=order[int(np.argmax(total))] + 1 if peak > 0.0 else None,
        residual=residual,
        verdict=STAYS if residual > 0.0 else DRIES if peak > 0.0 else NONE,
    )

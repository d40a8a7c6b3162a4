"""Air through the openings of a house under stack, wind and fans, hour by hour.

**Pressures.** Each zone holds air of one temperature, so of one density rho_j. Its pressure is
counted over that of outdoor air at the same height, far from the wind:

    e_j(z) = P_j + (rho_o - rho_j) g z,

P_j being its excess at height 0, the unknown; no large columns are subtracted. Outdoors e is the
wind's C_p rho_o U^2 / 2 on that side. An opening at height z from zone a to b feels
dp = e_a(z) - e_b(z) and passes m(dp) of `airflow.mass_flow`, which is smooth and rises strictly.

**Balance.** Of every zone what leaves equals what fans bring:

    F_j(P) = sum of +- m(dp) over its openings - S_j = 0.

**One solution, always found.** F is the gradient of Phi(P) = sum of M(dp) - S P, where M' = m. M
is strictly convex, so Phi is, in every direction that changes some dp; with a way from each zone
to outdoors, directly or through others, every direction does. M grows as |dp|^(1+n) with n >= 0.5,
faster than S P, so Phi has a minimum, and only one: F = 0 has exactly one solution. The
Jacobian of F (the Hessian of Phi: the openings' slopes as a weighted graph, grounded outdoors) is
symmetric and positive definite at every P, so along Newton's direction d = -J^-1 F Phi falls at
first, at the rate g(0) < 0 of g(t) = F(P + t d) d, which rises with t. As it rises,

    Phi(P + t d) - Phi(P) = integral of g <= t [g(t/2) + g(t)] / 2,

so the largest step of 1, 1/2, 1/4 ... with g(t/2) + g(t) <= g(0) / 4 lowers Phi by t |g(0)| / 8 at
least. Such a step exists (towards t = 0 the left side is 2 g(0)), and in the end it is the whole
one (there g is straight, the left side g(0) / 2). Phi's level sets are closed and bounded, and J
between bounds on them: Newton's method so damped converges from any start, at second order in the
end (Boyd and Vandenberghe 2004, ch. 9, from memory). It does so in any units of P, so that doors
between zones beside pinholes do no harm; a step that must lower |F| crawls there. Whole steps alone
would not do: on an orifice they jump to and fro across zero. The hours march side by side; one that
is done is left.

Left out: two flows at once through one tall opening, air's own storage, the inertia of gusts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.openings import law, sized
from assembly_sim.model.climate import Climate
from assembly_sim.model.opening import OUTDOORS, Fan, MeasuredFlow, Opening, Side, Unsized
from assembly_sim.model.ranges import refused
from assembly_sim.physics import airflow
from assembly_sim.physics.constants import GRAVITY

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

BALANCED = 5e-11  # kg/s, what a zone's balance may miss
# Of a zone's flows, on top, and a fiftieth of it of what its pressure would move by its slopes:
# 6e-12 kg/s at 100 Pa through 1 m2, and all there is where a fan in a sealed box makes 1 MPa.
ROUND_OFF = 1e-13
MOST_ITERATIONS = 200  # some ten are needed
ENOUGH = 0.25  # of g(0), which the last, whole steps have twice
SHORTEST_STEP = 2.0**-40
LEAST_DIFFERENCE = 1e-6  # kg/m3 between inside and outside, below which no level is neutral
TERRAIN = "suburb"  # a case names none


@dataclass(frozen=True, eq=False)
class Weather:
    """What presses from outdoors: temperature K, pressure Pa and `wind` in Pa, by hour.

    Shapes (hours,), `wind` (hours, openings): C_p rho U^2 / 2 at each opening, zero without.
    """

    temperature: Array
    pressure: Array
    wind: Array


@dataclass(frozen=True, eq=False)
class AirFlows:
    """What the balance gave, by hour.

    `flow` (hours, openings) kg/s, positive from inside to outside; `difference` (hours, openings)
    Pa of inside over outside; `excess` (hours, zones) Pa over outdoors at height 0;
    `neutral_level` (hours, zones) m, where a zone's pressure is that of outdoors out of the wind,
    NaN where both are as dense; `imbalance` (hours, zones) kg/s, what the balance misses.
    """

    flow: Array
    difference: Array
    excess: Array
    neutral_level: Array
    imbalance: Array


@dataclass(frozen=True, eq=False)
class _Network:
    """Openings as arrays over (hours, openings); zone indices, outdoors the last."""

    inside: Indices
    outside: Indices
    coefficient: Array
    exponent: Array
    drive: Array  # Pa, dp where all P are zero
    here: Array  # kg/m3
    there: Array
    supply: Array  # (hours, zones) kg/s


def house_flows(
    openings: Sequence[Opening],
    climate: Climate,
    room_temperature: Array,
    fans: Sequence[Fan] = (),
    test: MeasuredFlow | None = None,
) -> AirFlows:
    """Air of a house of one room (K by hour) through a year of weather; see `zone_flows`.

    `test` is the blower door's figure that openings without a size share.
    """
    openings = sized(openings, test)
    weather = weather_at(openings, climate)
    return zone_flows(openings, ("room",), room_temperature[:, None], weather, fans)


def weather_at(openings: Sequence[Opening], climate: Climate) -> Weather:
    """A climate as it presses on each opening."""
    wind = np.stack([wind_pressure(one.side, one.height, climate) for one in openings], axis=1)
    return Weather(climate.temperature, climate.pressure, wind)


def wind_pressure(side: Side | None, height: float, climate: Climate) -> Array:
    """Pressure of the wind (Pa, by hour) on a side at a height (m); none where it faces none."""
    if side is None:
        return np.zeros(climate.hours)
    if missing := int(np.isnan(climate.wind_speed + climate.wind_direction).sum()):
        cure = "bring weather with wind, or leave the openings' sides out"
        raise refused("climate.wind", f"it is missing in {missing} hours", cure)
    speed = airflow.local_wind_speed(
        climate.wind_speed, climate.wind_height, max(height, 0.0), TERRAIN
    )
    turned = climate.wind_direction - side.azimuth
    density = airflow.air_density(climate.temperature, climate.pressure)
    return airflow.wind_pressure(airflow.pressure_coefficient(side.tilt, turned), speed, density)


def zone_flows(
    openings: Sequence[Opening],
    zones: Sequence[str],
    temperature: Array,
    weather: Weather,
    fans: Sequence[Fan] = (),
    supply: Array | float = 0.0,
) -> AirFlows:
    """Air of any number of zones, whose temperature (hours, zones) is in K.

    supply: kg/s that each zone gets besides, (hours, zones). All openings have a size. Raises
    InputError where one leads nowhere or a zone has no way outdoors, ArithmeticError with the hour
    where no balance was found (none is known).
    """
    _refuse_lost(openings, zones, fans)
    network = _network(openings, zones, temperature, weather, fans, supply)
    excess = _balanced(network)
    imbalance, _, flow, difference = _residual(network, excess)
    outdoor = airflow.air_density(weather.temperature, weather.pressure)[:, None]
    lighter = outdoor - airflow.air_density(temperature, weather.pressure[:, None])
    known = np.abs(lighter) > LEAST_DIFFERENCE
    level = -excess / (GRAVITY * np.where(known, lighter, np.nan))
    return AirFlows(flow, difference, excess, level, imbalance)


def _refuse_lost(openings: Sequence[Opening], zones: Sequence[str], fans: Sequence[Fan]) -> None:
    """Refuse what names no zone, has no size, and zones from which no air can get outdoors."""
    for one in openings:
        for end in {one.inside, one.outside} - {*zones, OUTDOORS}:
            raise refused(f"opening {one.name}", f"there is no zone '{end}'", f"use {list(zones)}")
        if isinstance(one.shape, Unsized):
            raise refused(f"opening {one.name}", "it has no size", "give a test of the house")
    for fan in fans:
        for end in {*fan.way} - {*zones, OUTDOORS}:
            raise refused("fan", f"there is no zone '{end}'", f"use {list(zones)}")
    reached = {OUTDOORS}
    for _ in zones:
        reached |= {one.inside for one in openings if one.outside in reached}
        reached |= {one.outside for one in openings if one.inside in reached}
    for zone in set(zones) - reached:
        raise refused(f"zone {zone}", "no opening leads from it outdoors", "give it one")


def _network(
    openings: Sequence[Opening],
    zones: Sequence[str],
    temperature: Array,
    weather: Weather,
    fans: Sequence[Fan],
    supply: Array | float,
) -> _Network:
    """Arrays of a house: outdoors is a last zone, of its own density and no excess."""
    index = {name: number for number, name in enumerate((*zones, OUTDOORS))}
    inside = np.array([index[one.inside] for one in openings], dtype=np.intp)
    outside = np.array([index[one.outside] for one in openings], dtype=np.intp)
    height = np.array([one.height for one in openings])
    laws = [law(one.shape) for one in openings if not isinstance(one.shape, Unsized)]
    every = np.column_stack((temperature, weather.temperature))
    density = airflow.air_density(every, weather.pressure[:, None])
    buoyant = GRAVITY * (density[:, -1:] - density)
    stack = (buoyant[:, inside] - buoyant[:, outside]) * height
    return _Network(
        inside=inside,
        outside=outside,
        coefficient=np.array([one.coefficient for one in laws]),
        exponent=np.array([one.exponent for one in laws]),
        drive=stack - weather.wind,
        here=density[:, inside],
        there=density[:, outside],
        supply=_supply(fans, zones, density) + supply,
    )


def _supply(fans: Sequence[Fan], zones: Sequence[str], density: Array) -> Array:
    """What fans bring to each zone, kg/s, (hours, zones): of the density where it is taken."""
    supply, spaces = np.zeros_like(density), (*zones, OUTDOORS)
    for fan in fans:
        source, target = (spaces.index(end) for end in fan.way)
        air = abs(fan.flow) * density[:, source]
        supply[:, source] -= air
        supply[:, target] += air
    return supply[:, :-1]


def _hours(network: _Network, hours: Indices) -> _Network:
    """The same house in some of its hours."""
    return _Network(
        network.inside,
        network.outside,
        network.coefficient,
        network.exponent,
        *(getattr(network, name)[hours] for name in ("drive", "here", "there", "supply")),
    )


def _residual(network: _Network, excess: Array) -> tuple[Array, Array, Array, Array]:
    """F (hours, zones), slopes, flows and pressures of the openings at P = `excess`."""
    whole = np.column_stack((excess, np.zeros(len(excess))))
    inside, outside = network.inside, network.outside
    dp = network.drive + whole[:, inside] - whole[:, outside]
    coefficient, exponent = network.coefficient, network.exponent
    flow, slope = airflow.mass_flow(coefficient, exponent, dp, network.here, network.there)
    zones = excess.shape[1]
    join = (inside == np.arange(zones)[:, None]) - 1.0 * (outside == np.arange(zones)[:, None])
    return flow @ join.T - network.supply, slope, flow, dp


def _jacobian(network: _Network, slope: Array, zones: int) -> Array:
    """Slopes of F, (hours, zones, zones): symmetric, positive definite."""
    each = np.arange(zones)[:, None]
    join = (network.inside == each) - 1.0 * (network.outside == each)
    return np.einsum("zo,ho,yo->hzy", join, slope, join)


def _balanced(network: _Network) -> Array:
    """P (hours, zones) at which every zone's balance closes; see the head of this file."""
    excess = np.zeros_like(network.supply)
    left = np.arange(len(excess))
    for _ in range(MOST_ITERATIONS):
        part = _hours(network, left)
        miss, slope, flow, _ = _residual(part, excess[left])
        most = BALANCED + _round_off(part, excess[left], flow, slope)
        open_ = ~(np.abs(miss) <= most).all(axis=1)  # not-a-number stays open
        if not open_.any():
            return excess
        left, part = left[open_], _hours(part, np.flatnonzero(open_))
        jacobian = _jacobian(part, slope[open_], excess.shape[1])
        step = np.linalg.solve(jacobian, -miss[open_][..., None])[..., 0].astype(float)
        excess[left] = _damped(part, excess[left], step, miss[open_])
    raise ArithmeticError(f"no balance of air in hour {left[0]}, and {len(left) - 1} more")


def _round_off(network: _Network, excess: Array, flow: Array, slope: Array) -> Array:
    """What the last digits of flows and pressures leave of each zone's balance, (hours, zones)."""
    sizes = np.column_stack((np.abs(excess), np.zeros(len(excess))))
    moved = slope * (sizes[:, network.inside] + sizes[:, network.outside])
    each = np.arange(excess.shape[1])[:, None]
    beside = (network.inside == each) | (network.outside == each)
    return ROUND_OFF * (np.abs(flow) + 0.02 * moved) @ beside.T


def _damped(network: _Network, excess: Array, step: Array, miss: Array) -> Array:
    """P after Newton's step, in each hour halved until Phi is sure to fall."""

    def rate(size: Array) -> Array:
        """g(t), the slope of Phi along the step, (hours, 1)."""
        now = _residual(network, excess + size * step)[0]
        return np.einsum("hz,hz->h", now, step)[:, None]

    start = np.einsum("hz,hz->h", miss, step)[:, None]
    size = np.ones((len(excess), 1))
    whole, half = rate(size), rate(0.5 * size)
    while (steep := ~(half + whole <= ENOUGH * start) & (size > SHORTEST_STEP)).any():
        size = np.where(steep, 0.5 * size, size)
        whole = np.where(steep, half, whole)
        half = rate(0.5 * size)
    return excess + size * step
